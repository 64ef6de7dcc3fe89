//! Candidate dams or sires: chips of the likeliest mates first, several where it is not known which.

use crate::store::barn;
use crate::ui::forms::Pick;
use crate::words::{names, pairings as words};
use book::words::Sex;
use book::{AnimalId, Book};
use leptos::prelude::*;

/// Chips offered; the others are in the list beneath.
const CHIPS: usize = 12;

/// Those chosen of one side, and what that side is.
#[derive(Clone, Copy)]
pub struct Side {
    pub sex: Sex,
    pub chosen: RwSignal<Vec<String>>,
}

impl Side {
    pub fn new(sex: Sex, chosen: &[AnimalId]) -> Side {
        Side { sex, chosen: RwSignal::new(chosen.iter().map(ToString::to_string).collect()) }
    }

    pub fn ids(&self) -> Vec<AnimalId> {
        self.chosen.with_untracked(|chosen| chosen.iter().map(|id| AnimalId::from(id.as_str())).collect())
    }
}

/// Animals of a side with their names: those chosen, those once put with the other side, those of its species, others.
fn mates(book: &Book, side: Side, other: &[AnimalId]) -> Vec<(String, String)> {
    let wrong = if side.sex == Sex::Female { Sex::Male } else { Sex::Female };
    let species = other.iter().find_map(|id| book.animal(id)?.species.clone());
    let known: Vec<&AnimalId> = other
        .iter()
        .flat_map(|id| book.pairings_of(id))
        .flat_map(|pairing| if side.sex == Sex::Female { &pairing.dams } else { &pairing.sires })
        .collect();
    let chosen = side.chosen.get_untracked();
    let mut found: Vec<_> = book.animals().into_iter().filter(|animal| animal.sex != Some(wrong)).collect();
    found.sort_by_cached_key(|animal| {
        (
            !chosen.contains(&animal.id.to_string()),
            animal.sex != Some(side.sex),
            !known.contains(&&animal.id),
            species.is_some() && animal.species != species,
            book.animal_name(&animal.id),
        )
    });
    found.into_iter().map(|animal| (animal.id.to_string(), names::animal(book, &animal.id))).collect()
}

#[component]
pub fn SideField(side: Side, other: Side) -> impl IntoView {
    let barn = barn();
    let (label, nobody) = match side.sex {
        Sex::Female => (words::FEMALE, words::NOBODY_FEMALE),
        _ => (words::MALE, words::NOBODY_MALE),
    };
    let toggle = move |id: String| {
        side.chosen.update(|chosen| match chosen.iter().position(|known| *known == id) {
            Some(at) => {
                chosen.remove(at);
            }
            None => chosen.push(id),
        })
    };
    // Whom the chips show follows the other side; who is chosen here does not reshuffle them.
    let all = Memo::new(move |_| {
        other.chosen.track();
        barn.read(|book| mates(book, side, &other.ids()))
    });
    let more = RwSignal::new(String::new());
    Effect::new(move |_| {
        let id = more.get();
        if !id.is_empty() {
            if side.chosen.with_untracked(|chosen| !chosen.contains(&id)) {
                toggle(id);
            }
            more.set(String::new());
        }
    });
    let rest = Signal::derive(move || {
        let rest = all.get().into_iter().skip(CHIPS);
        std::iter::once((String::new(), words::OTHERS.to_owned())).chain(rest).collect::<Vec<_>>()
    });
    let chips = move || {
        let all = all.get();
        let late = side.chosen.get().into_iter().filter(|id| !all.iter().take(CHIPS).any(|(known, _)| known == id));
        let late: Vec<(String, String)> =
            late.filter_map(|id| all.iter().find(|(known, _)| *known == id).cloned()).collect();
        let shown: Vec<_> = all.iter().take(CHIPS).cloned().chain(late).collect();
        shown
            .into_iter()
            .map(|(id, name)| {
                let mine = id.clone();
                view! {
                    <button type="button" class="chip"
                        aria-pressed=move || side.chosen.with(|chosen| chosen.contains(&mine)).to_string()
                        on:click=move |_| toggle(id.clone())>{name}</button>
                }
                .into_any()
            })
            .collect_view()
    };
    view! {
        <fieldset class="field">
            <legend>{label}</legend>
            {move || if all.with(Vec::is_empty) {
                view! { <p class="aside">{nobody}</p> }.into_any()
            } else {
                view! { <div class="chips">{chips}</div> }.into_any()
            }}
        </fieldset>
        {move || (rest.with(Vec::len) > 1).then(|| view! { <div data-adds=""><Pick label=format!("{label}: {}", words::OTHERS) options=rest value=more /></div> })}
    }
}
