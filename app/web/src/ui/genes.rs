//! The genetics of an animal, a pairing, a clutch, in a line or two on their own pages.

use crate::clock;
use crate::route::Page;
use crate::store::barn;
use crate::words::{genetics as words, names};
use book::acts::{GenotypeLine, GenotypesNoted};
use book::views::parents;
use book::{AnimalId, ClutchId};
use leptos::prelude::*;
use trade::when::When;

/// An animal's probable genotype, and the way to all of it.
#[component]
pub fn AnimalGenotype(id: AnimalId) -> impl IntoView {
    let said = barn().read(|book| book.genotype_said(&id));
    view! {
        <div class="card spread">
            <div>
                <p class="quiet">{words::TITLE}</p>
                <p>{words::genotype(&said)}</p>
            </div>
            <a class="reach" href=Page::Genes(id.to_string()).href()>{words::ENTER}</a>
        </div>
        <TypedTraits id />
    }
    .into_any()
}

/// What words typed as an animal's looks seem to name, each entered with a tap; nothing of it counts before.
#[component]
pub fn TypedTraits(id: AnimalId) -> impl IntoView {
    let barn = barn();
    move || {
        let typed = barn.read(|book| book.typed_traits(&id));
        if typed.is_empty() {
            return ().into_any();
        }
        let enter = move |line: GenotypeLine| {
            let act = GenotypesNoted { lines: vec![line], when: When::day(clock::today()) };
            barn.save(act, words::SAVED, |_| {});
        };
        let each = typed.into_iter().map(|one| {
            let (said, line) = (words::enter_typed(&one.words), one.line);
            view! { <button type="button" class="act small" on:click=move |_| enter(line.clone())>{said}</button> }
                .into_any()
        });
        view! { <div class="card"><p class="quiet">{words::TYPED}</p><div class="gap">{each.collect_view()}</div></div> }
            .into_any()
    }
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
    let several = if both.sire_names().len() > 1 { words::LOOKS_SEVERAL } else { "" };
    let ids = |side: Vec<(AnimalId, String)>| side.into_iter().map(|(id, _)| id).collect::<Vec<_>>();
    view! {
        <h2>{words::TITLE}</h2>
        <PairGenetics dams=ids(both.dams) sires=ids(both.sires) />
        {row(Page::Looks(id.to_string()), words::LOOKS, several.to_owned())}
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
