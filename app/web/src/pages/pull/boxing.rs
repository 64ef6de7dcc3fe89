//! How the eggs are set: medium and water, shelf, closed mass; one box or several.

use crate::prefs::{prefs, units};
use crate::store::barn;
use crate::ui::Lasting;
use crate::ui::forms::{Faults, Pick, Quantity, Stepper, TextField};
use crate::words::{names, pull as said};
use book::PlaceId;
use desk::Entry;
use desk::forms::pull::{BoxForm, number_box};
use leptos::prelude::*;

/// One box's fields as typed.
#[derive(Clone)]
pub struct BoxFields {
    start: BoxForm,
    shelf: RwSignal<String>,
    medium: RwSignal<String>,
    dry: RwSignal<Entry>,
    water: RwSignal<Entry>,
    closed: RwSignal<Entry>,
    unknown: RwSignal<bool>,
    /// How many of the good and dud eggs, where there are several boxes.
    share: RwSignal<Entry>,
    faults: Faults,
}

impl BoxFields {
    pub fn new(start: BoxForm, faults: Faults) -> Self {
        let entry = |entry: &Entry| RwSignal::new(entry.clone());
        Self {
            shelf: RwSignal::new(start.shelf.as_ref().map(ToString::to_string).unwrap_or_default()),
            medium: RwSignal::new(start.medium.clone()),
            dry: entry(&start.dry),
            water: entry(&start.water),
            closed: entry(&start.closed),
            unknown: RwSignal::new(start.unknown),
            share: entry(&start.share),
            faults,
            start,
        }
    }

    /// As it stands.
    pub fn form(&self) -> BoxForm {
        BoxForm {
            shelf: Some(self.shelf.get_untracked()).filter(|s| !s.is_empty()).map(|s| PlaceId::from(s.as_str())),
            medium: self.medium.get_untracked(),
            dry: self.dry.get_untracked(),
            water: self.water.get_untracked(),
            closed: self.closed.get_untracked(),
            unknown: self.unknown.get_untracked(),
            share: self.share.get_untracked(),
            ..self.start.clone()
        }
    }

    /// Says in its messages which box it is.
    fn call(&self, number: usize) {
        for entry in [self.dry, self.water, self.closed, self.share] {
            entry.update(|entry| number_box(entry, number));
        }
    }
}

#[component]
pub fn Boxing(
    boxes: RwSignal<Vec<BoxFields>>,
    good: RwSignal<Entry>,
    dud: RwSignal<Entry>,
    /// These fields come and go with *box later*; what is typed about a box added here does not.
    lasting: Lasting,
) -> impl IntoView {
    let add = move |_| {
        boxes.update(|list| {
            if let Some(last) = list.last() {
                let shelled = good.with_untracked(Entry::count) + dud.with_untracked(Entry::count);
                let halves = shelled / (list.len() as u32 + 1);
                let next = BoxForm::new(last.form().next(units()), None, Some(list.len() + 1), units());
                let Some(new) = lasting.make(|| BoxFields::new(next, last.faults)) else { return };
                for (i, b) in list.iter().enumerate() {
                    b.call(i + 1);
                    b.share.update(|share| share.offer(Some(i64::from(halves)), units()));
                }
                list.push(new);
            }
        });
    };
    view! {
        {move || {
            let list = boxes.get();
            let several = list.len() > 1;
            let last = list.len().saturating_sub(1);
            list.into_iter().enumerate().map(|(i, b)| view! {
                <OneBox fields=b number=several.then_some(i + 1) share=several && i < last />
            }).collect_view()
        }}
        <button type="button" class="act small field" data-opens="" on:click=add>{said::ANOTHER_BOX}</button>
    }
}

/// The fields of one box.
#[component]
pub fn OneBox(fields: BoxFields, number: Option<usize>, share: bool) -> impl IntoView {
    let barn = barn();
    let prefs = prefs();
    let shelves = Signal::derive(move || {
        barn.read(|book| {
            let none = (String::new(), said::NO_SHELF_YET.to_string());
            let all = book.shelves().into_iter().map(|shelf| {
                let aside = names::shelf_aside(book, &shelf.id, &prefs.get());
                (shelf.id.to_string(), format!("{} · {aside}", names::place(book, &shelf.id)))
            });
            std::iter::once(none).chain(all).collect()
        })
    });
    let (dry, water, unknown, faults) = (fields.dry, fields.water, fields.unknown, fields.faults);
    let start = fields.start.clone();
    let ratio = move || {
        let form = BoxForm { dry: dry.get(), water: water.get(), ..start.clone() };
        form.ratio(prefs.get().units()).map(said::ratio)
    };
    let ratio = Signal::derive(ratio);
    view! {
        <section class="card box-fields">
            <h3>{match number { Some(n) => said::box_number(n), None => said::BOX.to_string() }}</h3>
            {share.then(|| view! { <Stepper entry=fields.share faults /> })}
            <Pick label=said::SHELF options=shelves value=fields.shelf />
            <TextField label=said::MEDIUM value=fields.medium />
            {move || (!unknown.get()).then(|| view! {
                <div class="pair">
                    <Quantity entry=dry faults />
                    <Quantity entry=water faults />
                </div>
                <p class="aside field" role="status">{ratio}</p>
            })}
            <label class="gap tick field"><input type="checkbox" prop:checked=unknown on:change=move |ev| unknown.set(event_target_checked(&ev)) />{said::MIX_UNKNOWN}</label>
            <Quantity entry=fields.closed hint=said::CLOSED_HOW faults />
        </section>
    }
    .into_any()
}
