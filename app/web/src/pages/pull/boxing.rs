//! How the eggs are set: medium and water, shelf, closed mass; one box or several.

use crate::prefs::prefs;
use crate::store::barn;
use crate::ui::Lasting;
use crate::ui::forms::{MassField, Pick, TextField, typed_mass};
use crate::words::{names, pull as said, units};
use book::acts::BoxSetup;
use book::words::Mix;
use book::{FillingId, PlaceId};
use leptos::prelude::*;
use trade::units::Mass;

/// One box's fields as typed.
#[derive(Clone)]
pub struct BoxFields {
    base: BoxSetup,
    shelf: RwSignal<String>,
    medium: RwSignal<String>,
    dry: RwSignal<String>,
    water: RwSignal<String>,
    closed: RwSignal<String>,
    mix_unknown: RwSignal<bool>,
    /// How many of the good and dud eggs, where there are several boxes.
    share: RwSignal<u32>,
}

impl BoxFields {
    /// As offered from last time; a scanned blank label's id goes to it.
    pub fn new(offered: BoxSetup, label: Option<FillingId>) -> Self {
        let prefs = prefs().get_untracked();
        let digits = |m: Option<Mass>| RwSignal::new(m.map(|m| units::mass_digits(m, &prefs)).unwrap_or_default());
        let mixed = matches!(offered.mix, Some(Mix::Unknown | Mix::None | Mix::Premix | Mix::Volume));
        Self {
            shelf: RwSignal::new(offered.shelf.as_ref().map(ToString::to_string).unwrap_or_default()),
            medium: RwSignal::new(offered.medium.clone()),
            dry: digits(offered.dry),
            water: digits(offered.water),
            closed: RwSignal::new(String::new()),
            mix_unknown: RwSignal::new(mixed),
            share: RwSignal::new(0),
            base: BoxSetup { filling: label, closed: None, ..offered },
        }
    }

    /// As the act is told.
    pub fn setup(&self, eggs: Option<Vec<usize>>) -> BoxSetup {
        let unknown = self.mix_unknown.get_untracked();
        let mass = |text: RwSignal<String>| text.with_untracked(|t| typed_mass(t));
        BoxSetup {
            shelf: Some(self.shelf.get_untracked()).filter(|s| !s.is_empty()).map(|s| PlaceId::from(s.as_str())),
            medium: self.medium.get_untracked().trim().to_owned(),
            mix: unknown.then(|| self.base.mix.filter(|m| *m != Mix::Mass).unwrap_or(Mix::Unknown)),
            dry: mass(self.dry).filter(|_| !unknown),
            water: mass(self.water).filter(|_| !unknown),
            closed: mass(self.closed),
            eggs,
            ..self.base.clone()
        }
    }
}

/// What the act is told; with several boxes each takes its share of eggs, the last one the rest.
pub fn setups(list: &[BoxFields]) -> Vec<BoxSetup> {
    let mut next = 0;
    let last = list.len().saturating_sub(1);
    let share = |(i, b): (usize, &BoxFields)| {
        let eggs = (i < last).then(|| {
            let from = next;
            next += b.share.get_untracked() as usize;
            (from..next).collect()
        });
        b.setup(eggs)
    };
    list.iter().enumerate().map(share).collect()
}

#[component]
pub fn Boxing(
    boxes: RwSignal<Vec<BoxFields>>,
    good: RwSignal<u32>,
    dud: RwSignal<u32>,
    /// These fields come and go with *box later*; what is typed about a box added here does not.
    lasting: Lasting,
) -> impl IntoView {
    let add = move |_| {
        boxes.update(|list| {
            if let Some(last) = list.last() {
                let halves = (good.get_untracked() + dud.get_untracked()) / (list.len() as u32 + 1);
                let next = BoxSetup { container: None, ..last.setup(None) };
                let Some(new) = lasting.make(|| BoxFields::new(next, None)) else { return };
                list.iter().for_each(|b| b.share.set(halves));
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
        <button type="button" class="act small field" on:click=add>{said::ANOTHER_BOX}</button>
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
    let (dry, water, unknown) = (fields.dry, fields.water, fields.mix_unknown);
    let ratio = move || {
        let (dry, water) = (typed_mass(&dry.get())?, typed_mass(&water.get())?);
        (dry.0 > 0).then(|| said::ratio(water.grams() / dry.grams()))
    };
    view! {
        <section class="card box-fields">
            <h3>{match number { Some(n) => said::box_number(n), None => said::BOX.to_string() }}</h3>
            {share.then(|| view! { <crate::ui::forms::Stepper label=said::EGGS_IN_IT value=fields.share /> })}
            <Pick label=said::SHELF options=shelves value=fields.shelf />
            <TextField label=said::MEDIUM value=fields.medium />
            {move || (!unknown.get()).then(|| view! {
                <div class="pair">
                    <MassField label=said::DRY value=dry />
                    <MassField label=said::WATER value=water />
                </div>
                <p class="aside field" role="status">{ratio}</p>
            })}
            <label class="gap tick field"><input type="checkbox" prop:checked=unknown on:change=move |ev| unknown.set(event_target_checked(&ev)) />{said::MIX_UNKNOWN}</label>
            <MassField label=said::CLOSED value=fields.closed hint=said::CLOSED_HOW />
        </section>
    }
    .into_any()
}
