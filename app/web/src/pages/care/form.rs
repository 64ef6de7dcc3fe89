//! What a veterinarian ordered, typed in or put right.

use crate::clock;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::day::{DateField, Moment, MomentField};
use crate::ui::forms::{Choice, Ends, Faults, Quantity, TextField};
use crate::ui::{Caution, Empty, Head};
use crate::words::{self as all_words, animals as animal_words, care as words, names};
use book::acts::{TreatmentCard, made};
use book::{AnimalId, Kind, TreatmentId};
use desk::Entry;
use desk::forms::care::{ENDED, Every, FIRST, TreatmentForm, UNTIL, WHAT};
use leptos::prelude::*;
use trade::when::When;

/// The fields, as the page holds them.
#[derive(Clone, Copy)]
struct Fields {
    start: StoredValue<TreatmentForm>,
    what: RwSignal<String>,
    dose: RwSignal<String>,
    by: RwSignal<String>,
    every: RwSignal<Entry>,
    unit: RwSignal<Every>,
    first: Moment,
    until: RwSignal<String>,
    ended: RwSignal<String>,
    note: RwSignal<String>,
    faults: Faults,
}

impl Fields {
    fn new(start: TreatmentForm, first: Moment) -> Fields {
        let text = |text: &String| RwSignal::new(text.clone());
        Fields {
            what: text(&start.what),
            dose: text(&start.dose),
            by: text(&start.by),
            every: RwSignal::new(start.every.clone()),
            unit: RwSignal::new(start.unit),
            first,
            until: text(&start.until),
            ended: text(&start.ended),
            note: text(&start.note),
            faults: Faults::new(),
            start: StoredValue::new(start),
        }
    }

    fn form(&self) -> TreatmentForm {
        TreatmentForm {
            what: self.what.get_untracked(),
            dose: self.dose.get_untracked(),
            by: self.by.get_untracked(),
            every: self.every.get_untracked(),
            unit: self.unit.get_untracked(),
            until: self.until.get_untracked(),
            ended: self.ended.get_untracked(),
            note: self.note.get_untracked(),
            ..self.start.get_value()
        }
    }

    /// `ends`: it can be said when it was ended.
    fn view(self, ends: bool) -> AnyView {
        let units = [(Every::Days, words::IN_DAYS), (Every::Hours, words::IN_HOURS), (Every::Once, words::ONCE)];
        let units = units.map(|(unit, said)| (unit, said.to_owned())).to_vec();
        view! {
            <TextField label=WHAT value=self.what faults=self.faults />
            <TextField label=words::DOSE value=self.dose hint=words::DOSE_HINT />
            <Choice label=words::HOW_OFTEN options=units value=self.unit />
            {move || (self.unit.get() != Every::Once).then(|| view! { <Quantity entry=self.every faults=self.faults /> })}
            <MomentField label=FIRST moment=self.first />
            <DateField label=UNTIL value=self.until faults=self.faults />
            <p class="aside inset">{words::UNTIL_HINT}</p>
            {ends.then(|| view! { <DateField label=ENDED value=self.ended faults=self.faults /> })}
            <TextField label=words::BY value=self.by />
            <TextField label=words::NOTE value=self.note />
        }
        .into_any()
    }
}

/// A new treatment of an animal.
#[component]
pub fn Treat(id: String) -> impl IntoView {
    let animal = AnimalId::new(id);
    let name = barn().peek(|book| names::animal(book, &animal));
    let back = (Page::Animal(animal.to_string()), name.clone());
    let done = Callback::new(|treatment: Option<String>| treatment.map_or(Page::Care, Page::Treatment).replace());
    view! {
        <div class="page with-acts">
            <Head title=words::of(&name) back />
            <TreatThese animals=vec![animal] done />
        </div>
    }
}

/// The same ordered for one or several; `done` gets the first treatment's id.
#[component]
pub fn TreatThese(
    animals: Vec<AnimalId>,
    done: Callback<Option<String>>,
    /// Leaves without saving.
    #[prop(optional)]
    leave: Option<Callback<()>>,
) -> impl IntoView {
    let barn = barn();
    let fields = Fields::new(TreatmentForm::blank(), Moment::to_come(Some(When::time(clock::now()))));
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(first) = fields.first.get() else { return };
        let built = fields.form().order(animals.clone(), first, clock::today());
        let Some(act) = fields.faults.pass(built) else { return };
        barn.save(act, words::SAVED, move |draft| {
            let _ = done.try_run(made(draft, Kind::Treatment).map(|treatment| treatment.id));
        });
    };
    view! {
        <p class="aside inset">{words::HOW}</p>
        <form novalidate on:submit=save>
            {fields.view(false)}
            <Caution text=words::CAUTION />
            <Ends leave />
        </form>
    }
}

/// Anything of a treatment put right.
#[component]
pub fn TreatmentEdit(id: String) -> impl IntoView {
    let barn = barn();
    let id = TreatmentId::new(id);
    let Some(before) = barn.peek(|book| TreatmentCard::of(book, &id)) else { return none() };
    let first = Moment::to_come(before.from);
    let fields = Fields::new(TreatmentForm::new(before), first);
    let page = Page::Treatment(id.to_string());
    let back = (page.clone(), barn.peek(|book| book.short_name(&id.thing())));
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        // As it stands by now: somebody else may have written meanwhile.
        let Some(now) = barn.peek(|book| TreatmentCard::of(book, &id)) else { return };
        let Some(first) = fields.first.get() else { return };
        let built = fields.form().edit(id.clone(), first, &now, clock::today());
        let Some(act) = fields.faults.pass(built) else { return };
        let to = page.clone();
        barn.save(act, words::SAVED, move |_| to.replace());
    };
    view! {
        <div class="page with-acts">
            <Head title=words::EDIT_TITLE.to_string() back />
            <form novalidate on:submit=save>
                {fields.view(true)}
                <Caution text=words::CAUTION />
                <div class="acts"><button type="submit" class="act main">{all_words::SAVE}</button></div>
            </form>
        </div>
    }
    .into_any()
}

/// There is no such treatment here.
pub fn none() -> AnyView {
    let back = (Page::Animals, animal_words::TITLE.to_owned());
    view! {
        <div class="page">
            <Head title=words::TITLE.to_string() back />
            <Empty text=words::NO_SUCH><a class="act main" href=Page::Care.href()>{words::TO_LIST}</a></Empty>
        </div>
    }
    .into_any()
}
