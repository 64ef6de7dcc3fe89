//! What each kind of observation asks when it is put right.

use super::promises;
use crate::clock;
use crate::pages::care::HowMuch;
use crate::prefs::units;
use crate::route::{Go, Page};
use crate::store::{Barn, barn};
use crate::ui::day::{Moment, MomentField};
use crate::ui::forms::{Choice, Faults, Pick, Quantity, TextField};
use crate::words::{
    self as all_words, animals as animal_words, boxes as box_words, care as care_words, cleaning as cleaning_words,
    correct as words, follicles, places,
};
use book::acts::{
    Act, AnimalEventEdited, CandlingEdited, CleaningEdited, DoseEdited, IncidentEdited, MealEdited, NoteEdited,
    OpeningEdited, PhotoEdited, ReadingEdited, Redated, SetPointEdited, TakenOutEdited, WaterEdited, may_redate,
};
use book::words::{AnimalEventWhat, MealOutcome, Seen};
use book::{Kind, Thing};
use desk::forms::correct::{
    CandlingForm, CleaningForm, DoseForm, IncidentForm, MealForm, NoteForm, OpeningForm, PhotoForm, ReadingForm,
    SetPointForm, TakenForm, WaterFixForm,
};
use desk::forms::places::INCIDENT;
use desk::forms::weights::EventForm;
use leptos::prelude::*;
use trade::when::When;

/// What all of them share.
#[derive(Clone)]
pub(super) struct At {
    pub(super) barn: Barn,
    pub(super) id: String,
    pub(super) moment: Moment,
    to: Page,
    /// For what has no date.
    pub(super) today: When,
    pub(super) faults: Faults,
}

/// The form of an observation; nothing where it can only be taken back.
pub fn of(thing: &Thing, moment: Moment, to: Page) -> AnyView {
    let today = When::day(clock::today());
    let at = At { barn: barn(), id: thing.id.clone(), moment, to, today, faults: Faults::new() };
    let own = match thing.kind {
        Kind::AnimalEvent => event(&at),
        Kind::Candling => candling(&at),
        Kind::Cleaning => cleaning(&at),
        Kind::Dose => dose(&at),
        Kind::Meal => meal(&at),
        Kind::Reading => reading(&at),
        Kind::SetPoint => set_point(&at),
        Kind::Incident => incident(&at),
        Kind::Water => water(&at),
        Kind::TakenOut => taken(&at),
        Kind::Note => note(&at),
        Kind::Photo => photo(&at),
        Kind::Hatching => opening(&at),
        Kind::Wish => promises::wish(&at),
        Kind::Hold => promises::hold(&at),
        Kind::Cost => promises::cost(&at),
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
        | Kind::StockTaking
        | Kind::LabelPrint
        | Kind::Label
        | Kind::Contact
        | Kind::DetailsErased
        | Kind::Rules
        | Kind::Snooze
        | Kind::Trait
        | Kind::Genotype
        | Kind::Supply
        | Kind::Treatment
        | Kind::Quarantine
        | Kind::Cooling
        | Kind::BreedingRule
        | Kind::CleaningRule => None,
    };
    own.unwrap_or_else(|| if may_redate(thing.kind) { redated(&at, thing.clone()) } else { ().into_any() })
}

/// Its fields, and *Save*; `act`: what it comes to, where nothing is wrong.
pub(super) fn form(
    at: &At,
    fields: AnyView,
    act: impl Fn(&At, When) -> Option<Box<dyn Act>> + 'static,
) -> Option<AnyView> {
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
pub(super) fn boxed(act: impl Act + 'static) -> Option<Box<dyn Act>> {
    Some(Box::new(act))
}

/// As it stands when *Save* is tapped: somebody else may have written meanwhile.
macro_rules! now {
    ($at:expr, $act:ident, $before:expr) => {
        $at.barn.peek(|book| $act::of(book, &$at.id.as_str().into(), $at.today)).unwrap_or_else(|| $before.clone())
    };
}
pub(super) use now;

/// Whether it is over, and since when.
#[derive(Clone, Copy)]
pub(super) struct End {
    over: RwSignal<bool>,
    moment: Moment,
}

impl End {
    pub(super) fn new(before: Option<When>) -> End {
        End { over: RwSignal::new(before.is_some()), moment: Moment::new(before) }
    }

    pub(super) fn field(self, label: &'static str) -> AnyView {
        let End { over, moment } = self;
        view! {
            <label class="gap tick"><input type="checkbox" prop:checked=over on:change=move |ev| over.set(event_target_checked(&ev)) />{label}</label>
            {move || over.get().then(|| view! { <MomentField label moment /> })}
        }
        .into_any()
    }

    /// `None` for what is no day, which is said at its field.
    pub(super) fn get(self) -> Option<Option<When>> {
        if self.over.get_untracked() { self.moment.get().map(Some) } else { Some(None) }
    }
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
    let shed = RwSignal::new(start.shed);
    let (looked, side) = (RwSignal::new(start.looked), RwSignal::new(start.side));
    let (size, count) = (RwSignal::new(start.size.clone()), RwSignal::new(start.count.clone()));
    let faults = at.faults;
    let is_follicles = move || AnimalEventWhat::of(&what.get()) == Some(AnimalEventWhat::Follicles);
    let follicles = move || {
        view! {
            <div class="pair"><Quantity entry=size faults /><Quantity entry=count faults /></div>
            <Choice label=follicles::LOOKED options=follicles::looked_choices() value=looked />
            <Choice label=follicles::SIDE options=follicles::side_choices() value=side />
        }
    };
    let is_shed = move || AnimalEventWhat::of(&what.get()).is_some_and(AnimalEventWhat::is_shed);
    let kinds: Vec<_> =
        AnimalEventWhat::ALL.iter().map(|what| (what.word().to_owned(), animal_words::event_button(*what))).collect();
    let fields = view! {
        <Pick label=words::WHAT options=Signal::stored(kinds) value=what />
        {move || is_shed().then(|| view! { <Choice label=animal_words::SHED_HOW options=animal_words::shed_choices() value=shed /> })}
        {move || is_follicles().then(follicles)}
        <MomentField label=words::HAPPENED moment=at.moment />
        <Quantity entry=mass faults=at.faults />
        <TextField label=animal_words::NOTE_TEXT value=note />
    };
    form(at, fields.into_any(), move |at, when| {
        let form = EventForm {
            what: AnimalEventWhat::of(&what.get_untracked()).unwrap_or(start.what),
            mass: mass.get_untracked(),
            shed: shed.get_untracked(),
            looked: looked.get_untracked(),
            side: side.get_untracked(),
            size: size.get_untracked(),
            count: count.get_untracked(),
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

fn dose(at: &At) -> Option<AnyView> {
    let start = DoseForm::new(at.barn.peek(|book| DoseEdited::of(book, &at.id.as_str().into(), at.today))?);
    let (left_out, note) = (RwSignal::new(start.left_out), RwSignal::new(start.note.clone()));
    let ways = vec![(false, care_words::GIVEN.to_owned()), (true, care_words::LEFT_OUT.to_owned())];
    let fields = view! {
        <Choice label=words::WHAT options=ways value=left_out />
        <MomentField label=words::HAPPENED moment=at.moment />
        <TextField label=care_words::WHY value=note />
    };
    form(at, fields.into_any(), move |at, when| {
        let form = DoseForm { left_out: left_out.get_untracked(), note: note.get_untracked(), ..start.clone() };
        boxed(form.act(when, &now!(at, DoseEdited, start.before)))
    })
}

fn cleaning(at: &At) -> Option<AnyView> {
    let start = CleaningForm::new(at.barn.peek(|book| CleaningEdited::of(book, &at.id.as_str().into(), at.today))?);
    let (spot, note) = (RwSignal::new(start.spot), RwSignal::new(start.note.clone()));
    let fields = view! {
        <HowMuch spot />
        <MomentField label=words::HAPPENED moment=at.moment />
        <TextField label=cleaning_words::NOTE value=note />
    };
    form(at, fields.into_any(), move |at, when| {
        let form = CleaningForm { spot: spot.get_untracked(), note: note.get_untracked(), ..start.clone() };
        boxed(form.act(when, &now!(at, CleaningEdited, start.before)))
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
    let [temp, humidity] = [&start.temp, &start.humidity].map(|entry| RwSignal::new(entry.clone()));
    let source = RwSignal::new(start.source.clone());
    let fields = view! {
        <Quantity entry=temp faults=at.faults />
        <Quantity entry=humidity hint=places::HUMIDITY_HOW faults=at.faults />
        <MomentField label=words::HAPPENED moment=at.moment />
        <TextField label=words::SOURCE value=source />
    };
    form(at, fields.into_any(), move |at, when| {
        let form = ReadingForm {
            temp: temp.get_untracked(),
            humidity: humidity.get_untracked(),
            source: source.get_untracked(),
            ..start.clone()
        };
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
    let end = End::new(start.before.to);
    let fields = view! {
        <TextField label=INCIDENT value=what faults=at.faults />
        <MomentField label=places::INCIDENT_FROM moment=at.moment />
        {end.field(places::INCIDENT_TO)}
        <TextField label=places::INCIDENT_MORE value=note />
    };
    form(at, fields.into_any(), move |at, from| {
        let to = end.get()?;
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

fn photo(at: &At) -> Option<AnyView> {
    let before = at.barn.peek(|book| PhotoEdited::of(book, &at.id.as_str().into(), at.today))?;
    let note = RwSignal::new(before.note.clone());
    let fields = view! {
        <MomentField label=words::HAPPENED moment=at.moment />
        <TextField label=animal_words::NOTE_TEXT value=note />
    };
    form(at, fields.into_any(), move |at, when| {
        let form = PhotoForm { before: before.clone(), note: note.get_untracked() };
        boxed(form.act(when, &now!(at, PhotoEdited, before)))
    })
}

/// Of a pip, and of a baby that came out, only the day can be another.
fn opening(at: &At) -> Option<AnyView> {
    let start = OpeningForm::new(at.barn.peek(|book| OpeningEdited::of(book, &at.id.as_str().into(), at.today))?);
    let opened = RwSignal::new(start.opened);
    let (why, found) = (RwSignal::new(start.why.clone()), RwSignal::new(start.found.clone()));
    let fields = view! {
        <Choice label=box_words::OPENED_HOW options=box_words::opened_choices() value=opened />
        <TextField label=box_words::OPENED_WHY value=why />
        <TextField label=box_words::OPENED_FOUND value=found />
        <MomentField label=words::HAPPENED moment=at.moment />
    };
    form(at, fields.into_any(), move |at, when| {
        let (opened, why, found) = (opened.get_untracked(), why.get_untracked(), found.get_untracked());
        let form = OpeningForm { opened, why, found, ..start.clone() };
        boxed(form.act(when, &now!(at, OpeningEdited, start.before)))
    })
}
