//! The genetics of an animal, a pairing, a clutch, in a line or two on their own pages.

use crate::route::Page;
use crate::store::barn;
use crate::words::{genetics as words, names};
use book::views::parents;
use book::{AnimalId, ClutchId};
use leptos::prelude::*;

/// An animal's probable genotype, and the way to all of it.
#[component]
pub fn AnimalGenotype(id: AnimalId) -> impl IntoView {
    let text = barn().read(|book| book.genotype_text(&id));
    view! {
        <div class="card">
            <p class="quiet">{words::TITLE}</p>
            <p>{text.unwrap_or_else(|| words::NORMAL.to_owned())}</p>
            <a class="reach" href=Page::Genes(id.to_string()).href()>{words::ENTER}</a>
        </div>
    }
    .into_any()
}

/// For each dam and sire that may be the parents: what the babies can be.
#[component]
pub fn PairGenetics(dams: Vec<AnimalId>, sires: Vec<AnimalId>) -> impl IntoView {
    let barn = barn();
    let both = dams.iter().flat_map(|dam| sires.iter().map(move |sire| (dam, sire)));
    let rows = both.map(|(dam, sire)| {
        let said = barn.peek(|book| format!("{} × {}", names::animal(book, dam), names::animal(book, sire)));
        row(Page::Outcomes(dam.to_string(), sire.to_string()), words::OUTCOMES, said)
    });
    rows.collect_view().into_any()
}

/// A clutch's outcomes and its babies' looks.
#[component]
pub fn ClutchGenetics(id: ClutchId) -> impl IntoView {
    let both = barn().read(|book| parents(book, &id));
    let ids = |side: Vec<(AnimalId, String)>| side.into_iter().map(|(id, _)| id).collect::<Vec<_>>();
    view! {
        <h2>{words::TITLE}</h2>
        <PairGenetics dams=ids(both.dams) sires=ids(both.sires) />
        {row(Page::Looks(id.to_string()), words::LOOKS, String::new())}
    }
    .into_any()
}

fn row(to: Page, title: &'static str, said: String) -> AnyView {
    view! {
        <a class="row" href=to.href()>
            <span class="text"><span class="title">{title}</span>{(!said.is_empty()).then(|| view! { <span class="aside">{said}</span> })}</span>
        </a>
    }
    .into_any()
}
