//! The fields of a cooling: several animals cooled by one plan, and put right together.

use crate::clock;
use crate::prefs::units;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::day::DateField;
use crate::ui::forms::{Ends, Faults, Quantity, TextField};
use crate::ui::{Caution, Head};
use crate::words::{cooling as words, many};
use book::acts::{CoolingCard, made};
use book::{AnimalId, CoolingId, Kind};
use desk::Entry;
use desk::forms::cooling::{BEGAN, CoolingForm, ENDED, FAST, FROM, UNTIL};
use leptos::prelude::*;

/// The fields, as the page holds them.
#[derive(Clone, Copy)]
pub(super) struct Fields {
    start: StoredValue<CoolingForm>,
    from: RwSignal<String>,
    until: RwSignal<String>,
    temp: RwSignal<Entry>,
    fast: RwSignal<Entry>,
    began: RwSignal<String>,
    ended: RwSignal<String>,
    note: RwSignal<String>,
    pub(super) faults: Faults,
}

impl Fields {
    pub(super) fn new(start: CoolingForm) -> Fields {
        let text = |text: &String| RwSignal::new(text.clone());
        Fields {
            from: text(&start.from),
            until: text(&start.until),
            temp: RwSignal::new(start.temp.clone()),
            fast: RwSignal::new(start.fast.clone()),
            began: text(&start.began),
            ended: text(&start.ended),
            note: text(&start.note),
            faults: Faults::new(),
            start: StoredValue::new(start),
        }
    }

    pub(super) fn form(&self) -> CoolingForm {
        CoolingForm {
            from: self.from.get_untracked(),
            until: self.until.get_untracked(),
            temp: self.temp.get_untracked(),
            fast: self.fast.get_untracked(),
            began: self.began.get_untracked(),
            ended: self.ended.get_untracked(),
            note: self.note.get_untracked(),
            ..self.start.get_value()
        }
    }

    /// `happened`: it can be said when it began and ended.
    pub(super) fn view(self, happened: bool) -> AnyView {
        let faults = self.faults;
        view! {
            <DateField label=FROM value=self.from faults />
            {(!happened).then(|| view! { <p class="aside inset">{words::SINCE_TODAY}</p> })}
            <DateField label=UNTIL value=self.until faults />
            <Quantity entry=self.temp faults />
            <Quantity entry=self.fast hint=words::fast_hint(self.start.with_value(|start| start.differ.contains(&FAST))) faults />
            {happened.then(|| view! {
                <DateField label=BEGAN value=self.began faults />
                <DateField label=ENDED value=self.ended faults />
            })}
            <TextField label=words::NOTE value=self.note />
        }
        .into_any()
    }
}

/// One plan for these animals; `done` gets the first record's id.
#[component]
pub fn CoolThese(animals: Vec<AnimalId>, done: Callback<Option<String>>, leave: Callback<()>) -> impl IntoView {
    let barn = barn();
    let fields = Fields::new(CoolingForm::blank(clock::today(), units()));
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let built = fields.form().set(animals.clone(), clock::today(), units());
        let Some(act) = fields.faults.pass(built) else { return };
        barn.save(act, words::SAVED, move |draft| {
            let _ = done.try_run(made(draft, Kind::Cooling).map(|cooling| cooling.id));
        });
    };
    view! {
        <form novalidate on:submit=save>
            {fields.view(false)}
            <Caution text=words::CAUTION />
            <Ends leave=Some(leave) />
        </form>
    }
}

/// As they stand by now: somebody else may have written meanwhile.
pub(super) fn cards(ids: &[CoolingId]) -> Vec<(CoolingId, CoolingCard)> {
    barn().peek(|book| ids.iter().filter_map(|id| Some((id.clone(), CoolingCard::of(book, id)?))).collect())
}

/// Days, temperature and the rest, for those that were ticked.
#[component]
pub(super) fn Fix(coolings: Vec<CoolingId>, shut: Callback<()>) -> impl IntoView {
    let barn = barn();
    let stand: Vec<CoolingCard> = cards(&coolings).into_iter().map(|(_, card)| card).collect();
    let form = CoolingForm::of_several(&stand, units());
    let differ = (!form.differ.is_empty()).then(|| words::differ(&form.differ));
    let fields = Fields::new(form);
    let listed =
        barn.peek(|book| coolings.iter().map(|id| book.short_name(&id.thing())).collect::<Vec<_>>().join(", "));
    let title = many::act_title(words::FIX, coolings.len());
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(act) = fields.faults.pass(fields.form().edit(&cards(&coolings), clock::today(), units())) else {
            return;
        };
        // Those put right may have a plan of their own by now: its page is theirs.
        let to = coolings.first().map(|id| Page::Cooling(Some(id.to_string())));
        barn.save(act, words::SAVED, move |_| {
            let _ = shut.try_run(());
            to.into_iter().for_each(|to| to.replace());
        });
    };
    view! {
        <div class="page with-acts">
            <Head title />
            <p class="sub">{listed}</p>
            {differ.map(|said| view! { <p class="aside inset">{said}</p> })}
            <form novalidate on:submit=save>
                {fields.view(true)}
                <Caution text=words::CAUTION />
                <Ends leave=Some(shut) />
            </form>
        </div>
    }
}
