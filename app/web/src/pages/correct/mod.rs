//! One observation put right, in what it says or in when it happened; or taken back.

use crate::clock;
use crate::prefs::units;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::day::{Moment, MomentField};
use crate::ui::forms::{Faults, Pick, Quantity, TextField};
use crate::ui::{Empty, Head};
use crate::words::{self as all_words, animals as animal_words, correct as words, dates};
use book::acts::{AnimalEventEdited, CandlingEdited, MealEdited, Redated, Withdrawn};
use book::words::{AnimalEventWhat, MealOutcome, Seen};
use book::{AnimalEventId, Book, CandlingId, EggId, Kind, MealId, Thing};
use desk::forms::weights::EventForm;
use leptos::prelude::*;
use trade::when::When;

/// When an observation happened, and whose page it stands on.
fn about(book: &Book, thing: &Thing) -> Option<(Option<When>, Page)> {
    let id = thing.id.as_str();
    let animal = |id: &Option<book::AnimalId>| id.as_ref().map_or(Page::Animals, |id| Page::Animal(id.to_string()));
    let in_box = |id: &Option<book::FillingId>| id.as_ref().map_or(Page::Boxes, |id| Page::Box(id.to_string()));
    let page = |of: &Option<Thing>| match of {
        Some(Thing { kind: Kind::Animal, id }) => Page::Animal(id.clone()),
        Some(Thing { kind: Kind::Clutch, id }) => Page::Clutch(id.clone()),
        Some(Thing { kind: Kind::Place, id }) => Page::Place(id.clone()),
        Some(Thing { kind: Kind::Egg, id }) => Page::Egg(id.clone()),
        Some(Thing { kind: Kind::Filling, id }) => Page::Box(id.clone()),
        _ => Page::Daybook,
    };
    match thing.kind {
        Kind::AnimalEvent => book.animal_event(&id.into()).map(|event| (event.when, animal(&event.animal))),
        Kind::Meal => book.meal(&id.into()).map(|meal| (meal.offered, animal(&meal.animal))),
        Kind::Move => book.move_of(&id.into()).map(|mv| (mv.when, page(&mv.things.first().cloned()))),
        Kind::Note => book.note(&id.into()).map(|note| (note.when, page(&note.about))),
        Kind::Photo => book.photo(&id.into()).map(|photo| (photo.when, page(&photo.about))),
        Kind::Candling => book.candling(&id.into()).map(|c| (c.when, in_box(&c.filling))),
        Kind::Water => book.water_check(&id.into()).map(|water| (water.when, in_box(&water.filling))),
        Kind::Hatching => {
            let hatching = book.hatching(&id.into())?;
            Some((hatching.when, hatching.egg.as_ref().map_or(Page::Boxes, |id| Page::Egg(id.to_string()))))
        }
        Kind::LockSeen => {
            let lock = book.lock(&id.into())?;
            Some((lock.when, lock.pairing.as_ref().map_or(Page::Pairings, |id| Page::Pairing(id.to_string()))))
        }
        _ => None,
    }
}

#[component]
pub fn Correct(kind: String, id: String) -> impl IntoView {
    let barn = barn();
    let thing = Kind::of(&kind).map(|kind| Thing::new(kind, id));
    let found = thing.as_ref().and_then(|thing| barn.peek(|book| about(book, thing)));
    let (Some(thing), Some((when, page))) = (thing, found) else {
        return view! {
            <div class="page"><Empty text=words::GONE><a class="act main" href=Page::Daybook.href()>{all_words::daybook::TITLE}</a></Empty></div>
        }
        .into_any();
    };
    let today = clock::today();
    let written = barn.peek(|book| book.written(&thing)).map(|written| {
        let by = barn.peek(|book| all_words::names::person(book, &written.by));
        let typed = clock::day_at(written.at_ms).map(|day| dates::near(day, today));
        words::typed(&typed.unwrap_or_default(), &by)
    });
    let moment = Moment::new(when);
    let back = (page.clone(), words::BACK.to_owned());
    let form = match thing.kind {
        Kind::AnimalEvent => {
            view! { <Event id=AnimalEventId::from(thing.id.as_str()) moment to=page.clone() /> }.into_any()
        }
        Kind::Candling => {
            view! { <Candling id=CandlingId::from(thing.id.as_str()) moment to=page.clone() /> }.into_any()
        }
        Kind::Meal => view! { <Meal id=MealId::from(thing.id.as_str()) moment to=page.clone() /> }.into_any(),
        _ => {
            let (thing, to) = (thing.clone(), page.clone());
            let save = move |ev: leptos::ev::SubmitEvent| {
                ev.prevent_default();
                let Some(when) = moment.get() else { return };
                let to = to.clone();
                barn.save(Redated { thing: thing.clone(), when }, words::SAVED, move |_| to.replace());
            };
            view! { <form on:submit=save><MomentField label=words::HAPPENED moment /><Save /></form> }.into_any()
        }
    };
    let take_back = move |_| {
        let to = page.clone();
        barn.save(Withdrawn { thing: thing.clone() }, words::TAKEN_BACK, move |_| to.replace());
    };
    view! {
        <div class="page with-acts">
            <Head title=words::TITLE.to_string() back />
            {form}
            {written.map(|written| view! { <p class="aside inset">{written}</p> })}
            <button type="button" class="act bad" on:click=take_back>{words::TAKE_BACK}</button>
        </div>
    }
    .into_any()
}

#[component]
fn Save() -> impl IntoView {
    view! { <div class="acts"><button type="submit" class="act main">{all_words::SAVE}</button></div> }
}

#[component]
fn Event(id: AnimalEventId, moment: Moment, to: Page) -> impl IntoView {
    let barn = barn();
    let today = When::day(clock::today());
    let Some(before) = barn.peek(|book| AnimalEventEdited::of(book, &id, today)) else { return ().into_any() };
    let start = EventForm::new(before, units());
    let what = RwSignal::new(start.what.word().to_owned());
    let (mass, note) = (RwSignal::new(start.mass.clone()), RwSignal::new(start.note.clone()));
    let faults = Faults::new();
    let kinds: Vec<_> =
        AnimalEventWhat::ALL.iter().map(|what| (what.word().to_owned(), animal_words::event_button(*what))).collect();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(when) = moment.get() else { return };
        let form = EventForm {
            what: AnimalEventWhat::of(&what.get_untracked()).unwrap_or(start.what),
            mass: mass.get_untracked(),
            note: note.get_untracked(),
            ..start.clone()
        };
        let Some(act) = faults.pass(form.act(when, units())) else { return };
        let to = to.clone();
        barn.save(act, words::SAVED, move |_| to.replace());
    };
    view! {
        <form on:submit=save>
            <Pick label=words::WHAT options=Signal::stored(kinds) value=what />
            <MomentField label=words::HAPPENED moment />
            <Quantity entry=mass faults />
            <TextField label=animal_words::NOTE_TEXT value=note />
            <Save />
        </form>
    }
    .into_any()
}

#[component]
fn Meal(id: MealId, moment: Moment, to: Page) -> impl IntoView {
    let barn = barn();
    let today = When::day(clock::today());
    let Some(before) = barn.peek(|book| MealEdited::of(book, &id, today)) else { return ().into_any() };
    let outcome = RwSignal::new(before.outcome.map(|outcome| outcome.word().to_owned()).unwrap_or_default());
    let text = |text: &str| RwSignal::new(text.to_owned());
    let (prey, size) = (text(&before.prey), text(&before.size));
    let (how, note) = (text(&before.how), text(&before.note));
    let none = (String::new(), animal_words::meal(None).to_owned());
    let outcomes = MealOutcome::ALL.iter().map(|o| (o.word().to_owned(), animal_words::meal(Some(*o)).to_owned()));
    let outcomes: Vec<_> = std::iter::once(none).chain(outcomes).collect();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(offered) = moment.get() else { return };
        let act = MealEdited {
            meal: before.meal.clone(),
            offered,
            outcome: MealOutcome::of(&outcome.get_untracked()),
            outcome_when: before.outcome_when,
            prey: prey.get_untracked(),
            size: size.get_untracked(),
            how: how.get_untracked(),
            note: note.get_untracked(),
        };
        let to = to.clone();
        barn.save(act, words::SAVED, move |_| to.replace());
    };
    view! {
        <form on:submit=save>
            <Pick label=words::OUTCOME options=Signal::stored(outcomes) value=outcome />
            <MomentField label=words::HAPPENED moment />
            <TextField label=animal_words::PREY value=prey />
            <TextField label=animal_words::PREY_SIZE value=size />
            <TextField label=animal_words::PREY_HOW value=how hint=animal_words::PREY_HOW_HINT />
            <TextField label=animal_words::NOTE_TEXT value=note />
            <Save />
        </form>
    }
    .into_any()
}

#[component]
fn Candling(id: CandlingId, moment: Moment, to: Page) -> impl IntoView {
    let barn = barn();
    let today = When::day(clock::today());
    let Some(before) = barn.peek(|book| CandlingEdited::of(book, &id, today)) else { return ().into_any() };
    let mut eggs: Vec<(EggId, String, RwSignal<String>)> = barn.peek(|book| {
        let egg = |(id, seen): (&EggId, &Seen)| {
            (id.clone(), book.short_name(&id.thing()), RwSignal::new(seen.word().to_owned()))
        };
        before.seen.iter().map(egg).collect()
    });
    eggs.sort_by(|a, b| (a.1.len(), &a.1).cmp(&(b.1.len(), &b.1)));
    let note = RwSignal::new(before.note.clone());
    let options: Vec<(String, String)> =
        Seen::ALL.iter().map(|seen| (seen.word().to_owned(), all_words::eggs::seen(*seen).to_owned())).collect();
    let fields = eggs.clone();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(when) = moment.get() else { return };
        let seen = eggs.iter().filter_map(|(id, _, seen)| Some((id.clone(), Seen::of(&seen.get_untracked())?)));
        let act = CandlingEdited {
            candling: before.candling.clone(),
            when,
            seen: seen.collect(),
            note: note.get_untracked(),
        };
        let to = to.clone();
        barn.save(act, words::SAVED, move |_| to.replace());
    };
    view! {
        <form on:submit=save>
            <MomentField label=words::HAPPENED moment />
            {fields.into_iter().map(|(_, label, value)| view! {
                <Pick label options=Signal::stored(options.clone()) value />
            }).collect_view()}
            <TextField label=animal_words::NOTE_TEXT value=note />
            <Save />
        </form>
    }
    .into_any()
}
