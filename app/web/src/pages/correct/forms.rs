//! What each kind of observation asks when it is put right.

use crate::clock;
use crate::prefs::units;
use crate::route::{Go, Page};
use crate::store::{Barn, barn};
use crate::ui::day::{Moment, MomentField};
use crate::ui::forms::{Choice, Faults, Pick, Quantity, TextField};
use crate::words::{self as all_words, animals as animal_words, boxes as box_words, correct as words, places};
use book::acts::{
    Act, AnimalEventEdited, CandlingEdited, IncidentEdited, MealEdited, NoteEdited, ReadingEdited, Redated,
    SetPointEdited, TakenOutEdited, WaterEdited, may_redate,
};
use book::words::{AnimalEventWhat, MealOutcome, Seen};
use book::{Kind, Thing};
use desk::forms::correct::{
    CandlingForm, IncidentForm, MealForm, NoteForm, ReadingForm, SetPointForm, TakenForm, WaterFixForm,
};
use desk::forms::places::INCIDENT;
use desk::forms::weights::EventForm;
use leptos::prelude::*;
use trade::when::When;

/// What all of them share.
#[derive(Clone)]
struct At {
    barn: Barn,
    id: String,
    moment: Moment,
    to: Page,
    /// For what has no date.
    today: When,
    faults: Faults,
}

/// The form of an observation; nothing where it can only be taken back.
pub fn of(thing: &Thing, moment: Moment, to: Page) -> AnyView {
    let today = When::day(clock::today());
    let at = At { barn: barn(), id: thing.id.clone(), moment, to, today, faults: Faults::new() };
    let own = match thing.kind {
        Kind::AnimalEvent => event(&at),
        Kind::Candling => candling(&at),
        Kind::Meal => meal(&at),
        Kind::Reading => reading(&at),
        Kind::SetPoint => set_point(&at),
        Kind::Incident => incident(&at),
        Kind::Water => water(&at),
        Kind::TakenOut => taken(&at),
        Kind::Note => note(&at),
        Kind::Person
        | Kind::Place
        | Kind::Species
        | Kind::Animal
        | Kind::Pairing
        | Kind::LockSeen
        | Kind::Clutch
        | Kind::Egg
        | Kind::Box
        | Kind::Filling
        | Kind::Move
        | Kind::ReadingLog
        | Kind::Hatching
        | Kind::StockTaking
        | Kind::Photo
        | Kind::LabelPrint
        | Kind::Label
        | Kind::Contact
        | Kind::DetailsErased
        | Kind::Wish
        | Kind::Hold
        | Kind::Rules
        | Kind::Snooze
        | Kind::Trait
        | Kind::Genotype
        | Kind::Supply
        | Kind::Treatment
        | Kind::Dose
        | Kind::Quarantine => None,
    };
    own.unwrap_or_else(|| if may_redate(thing.kind) { redated(&at, thing.clone()) } else { ().into_any() })
}

/// Its fields, and *Save*; `act`: what it comes to, where nothing is wrong.
fn form(at: &At, fields: AnyView, act: impl Fn(&At, When) -> Option<Box<dyn Act>> + 'static) -> Option<AnyView> {
    let at = at.clone();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(when) = at.moment.get() else { return };
        let Some(act) = act(&at, when) else { return };
        let to = at.to.clone();
        at.barn.save_as_one(vec![act], words::SAVED, move |_| to.replace());
    };
    let form = view! {
        <form novalidate on:submit=save>
            {fields}
            <div class="acts"><button type="submit" class="act main">{all_words::SAVE}</button></div>
        </form>
    };
    Some(form.into_any())
}

/// Boxed, so that all are saved by the same code.
fn boxed(act: impl Act + 'static) -> Option<Box<dyn Act>> {
    Some(Box::new(act))
}

/// As it stands when *Save* is tapped: somebody else may have written meanwhile.
macro_rules! now {
    ($at:expr, $act:ident, $before:expr) => {
        $at.barn.peek(|book| $act::of(book, &$at.id.as_str().into(), $at.today)).unwrap_or_else(|| $before.clone())
    };
}

fn redated(at: &At, thing: Thing) -> AnyView {
    let fields = view! { <MomentField label=words::HAPPENED moment=at.moment /> }.into_any();
    form(at, fields, move |_, when| boxed(Redated { thing: thing.clone(), when })).into_any()
}

fn event(at: &At) -> Option<AnyView> {
    let before = at.barn.peek(|book| AnimalEventEdited::of(book, &at.id.as_str().into(), at.today))?;
    let start = EventForm::new(before, units());
    let what = RwSignal::new(start.what.word().to_owned());
    let (mass, note) = (RwSignal::new(start.mass.clone()), RwSignal::new(start.note.clone()));
    let kinds: Vec<_> =
        AnimalEventWhat::ALL.iter().map(|what| (what.word().to_owned(), animal_words::event_button(*what))).collect();
    let fields = view! {
        <Pick label=words::WHAT options=Signal::stored(kinds) value=what />
        <MomentField label=words::HAPPENED moment=at.moment />
        <Quantity entry=mass faults=at.faults />
        <TextField label=animal_words::NOTE_TEXT value=note />
    };
    form(at, fields.into_any(), move |at, when| {
        let form = EventForm {
            what: AnimalEventWhat::of(&what.get_untracked()).unwrap_or(start.what),
            mass: mass.get_untracked(),
            note: note.get_untracked(),
            ..start.clone()
        };
        boxed(at.faults.pass(form.act(when, &now!(at, AnimalEventEdited, start.before), units()))?)
    })
}

fn meal(at: &At) -> Option<AnyView> {
    let start = MealForm::new(at.barn.peek(|book| MealEdited::of(book, &at.id.as_str().into(), at.today))?);
    let text = |text: &str| RwSignal::new(text.to_owned());
    let (outcome, prey, size) = (text(&start.outcome), text(&start.prey), text(&start.size));
    let (how, note) = (text(&start.how), text(&start.note));
    let none = (String::new(), animal_words::meal(None).to_owned());
    let outcomes = MealOutcome::ALL.iter().map(|o| (o.word().to_owned(), animal_words::meal(Some(*o)).to_owned()));
    let outcomes: Vec<_> = std::iter::once(none).chain(outcomes).collect();
    let fields = view! {
        <Pick label=words::OUTCOME options=Signal::stored(outcomes) value=outcome />
        <MomentField label=words::HAPPENED moment=at.moment />
        <TextField label=animal_words::PREY value=prey />
        <TextField label=animal_words::PREY_SIZE value=size />
        <TextField label=animal_words::PREY_HOW value=how hint=animal_words::PREY_HOW_HINT />
        <TextField label=animal_words::NOTE_TEXT value=note />
    };
    form(at, fields.into_any(), move |at, when| {
        let form = MealForm {
            outcome: outcome.get_untracked(),
            prey: prey.get_untracked(),
            size: size.get_untracked(),
            how: how.get_untracked(),
            note: note.get_untracked(),
            ..start.clone()
        };
        boxed(form.act(when, &now!(at, MealEdited, start.before)))
    })
}

fn candling(at: &At) -> Option<AnyView> {
    let start = at.barn.peek(|book| {
        CandlingEdited::of(book, &at.id.as_str().into(), at.today).map(|before| CandlingForm::new(before, book))
    })?;
    let eggs: Vec<RwSignal<String>> = start.eggs.iter().map(|(_, _, seen)| RwSignal::new(seen.clone())).collect();
    let note = RwSignal::new(start.note.clone());
    let options: Vec<(String, String)> =
        Seen::ALL.iter().map(|seen| (seen.word().to_owned(), all_words::eggs::seen(*seen).to_owned())).collect();
    let picks = start.eggs.iter().zip(&eggs).map(|((_, letter, _), value)| {
        view! { <Pick label=letter.clone() options=Signal::stored(options.clone()) value=*value /> }
    });
    let fields = view! {
        <MomentField label=words::HAPPENED moment=at.moment />
        {picks.collect_view()}
        <TextField label=animal_words::NOTE_TEXT value=note />
    };
    form(at, fields.into_any(), move |at, when| {
        let mut form = CandlingForm { note: note.get_untracked(), ..start.clone() };
        for ((_, _, seen), typed) in form.eggs.iter_mut().zip(&eggs) {
            *seen = typed.get_untracked();
        }
        boxed(form.act(when, &now!(at, CandlingEdited, start.before)))
    })
}

fn reading(at: &At) -> Option<AnyView> {
    let before = at.barn.peek(|book| ReadingEdited::of(book, &at.id.as_str().into(), at.today))?;
    let start = ReadingForm::new(before, units());
    let (temp, source) = (RwSignal::new(start.temp.clone()), RwSignal::new(start.source.clone()));
    let fields = view! {
        <Quantity entry=temp faults=at.faults />
        <MomentField label=words::HAPPENED moment=at.moment />
        <TextField label=words::SOURCE value=source />
    };
    form(at, fields.into_any(), move |at, when| {
        let form = ReadingForm { temp: temp.get_untracked(), source: source.get_untracked(), ..start.clone() };
        boxed(at.faults.pass(form.act(when, &now!(at, ReadingEdited, start.before), units()))?)
    })
}

fn set_point(at: &At) -> Option<AnyView> {
    let before = at.barn.peek(|book| SetPointEdited::of(book, &at.id.as_str().into(), at.today))?;
    let start = SetPointForm::new(before, units());
    let temp = RwSignal::new(start.temp.clone());
    let fields = view! {
        <Quantity entry=temp faults=at.faults />
        <MomentField label=words::FROM moment=at.moment />
    };
    form(at, fields.into_any(), move |at, from| {
        let form = SetPointForm { temp: temp.get_untracked(), ..start.clone() };
        boxed(at.faults.pass(form.act(from, &now!(at, SetPointEdited, start.before), units()))?)
    })
}

fn incident(at: &At) -> Option<AnyView> {
    let start = IncidentForm::new(at.barn.peek(|book| IncidentEdited::of(book, &at.id.as_str().into(), at.today))?);
    let (what, note) = (RwSignal::new(start.what.clone()), RwSignal::new(start.note.clone()));
    let (over, end) = (RwSignal::new(start.before.to.is_some()), Moment::new(start.before.to));
    let fields = view! {
        <TextField label=INCIDENT value=what faults=at.faults />
        <MomentField label=places::INCIDENT_FROM moment=at.moment />
        <label class="gap tick"><input type="checkbox" prop:checked=over on:change=move |ev| over.set(event_target_checked(&ev)) />{places::INCIDENT_TO}</label>
        {move || over.get().then(|| view! { <MomentField label=places::INCIDENT_TO moment=end /> })}
        <TextField label=places::INCIDENT_MORE value=note />
    };
    form(at, fields.into_any(), move |at, from| {
        let to = if over.get_untracked() { Some(end.get()?) } else { None };
        let form = IncidentForm { what: what.get_untracked(), note: note.get_untracked(), ..start.clone() };
        boxed(at.faults.pass(form.act((from, to), &now!(at, IncidentEdited, start.before)))?)
    })
}

fn water(at: &At) -> Option<AnyView> {
    let before = at.barn.peek(|book| WaterEdited::of(book, &at.id.as_str().into(), at.today))?;
    let start = WaterFixForm::new(before, units());
    let [mass, added] = [&start.mass, &start.added].map(|entry| RwSignal::new(entry.clone()));
    let note = RwSignal::new(start.note.clone());
    let fields = view! {
        <Quantity entry=mass faults=at.faults />
        <Quantity entry=added faults=at.faults />
        <MomentField label=words::HAPPENED moment=at.moment />
        <TextField label=animal_words::NOTE_TEXT value=note />
    };
    form(at, fields.into_any(), move |at, when| {
        let form = WaterFixForm {
            mass: mass.get_untracked(),
            added: added.get_untracked(),
            note: note.get_untracked(),
            ..start.clone()
        };
        boxed(at.faults.pass(form.act(when, &now!(at, WaterEdited, start.before), units()))?)
    })
}

fn taken(at: &At) -> Option<AnyView> {
    let before = at.barn.peek(|book| TakenOutEdited::of(book, &at.id.as_str().into(), at.today))?;
    let start = TakenForm::new(before, units());
    let (mass, what, out) =
        (RwSignal::new(start.mass.clone()), RwSignal::new(start.what.clone()), RwSignal::new(start.out));
    let ways = vec![(true, box_words::TAKEN_OUT.to_owned()), (false, box_words::PUT_IN.to_owned())];
    let fields = view! {
        <Choice label=box_words::TAKEN_WHICH options=ways value=out />
        <TextField label=box_words::TAKEN_WHAT value=what />
        <Quantity entry=mass faults=at.faults />
        <MomentField label=words::HAPPENED moment=at.moment />
    };
    form(at, fields.into_any(), move |at, when| {
        let form = TakenForm {
            out: out.get_untracked(),
            mass: mass.get_untracked(),
            what: what.get_untracked(),
            ..start.clone()
        };
        boxed(at.faults.pass(form.act(when, &now!(at, TakenOutEdited, start.before), units()))?)
    })
}

fn note(at: &At) -> Option<AnyView> {
    let before = at.barn.peek(|book| NoteEdited::of(book, &at.id.as_str().into(), at.today))?;
    let text = RwSignal::new(before.text.clone());
    let fields = view! {
        <label class="field"><span>{all_words::notes::TEXT}</span>
            <textarea rows="4" maxlength="4000" prop:value=text on:input=move |ev| text.set(event_target_value(&ev))></textarea>
        </label>
        <MomentField label=words::HAPPENED moment=at.moment />
    };
    form(at, fields.into_any(), move |at, when| {
        let form = NoteForm { before: before.clone(), text: text.get_untracked() };
        boxed(form.act(when, &now!(at, NoteEdited, before)))
    })
}
