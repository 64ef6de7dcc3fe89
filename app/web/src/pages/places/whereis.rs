//! What is where at a glance: each rack and incubator with its tubs or shelves, free ones told by shape and word.

use crate::route::Page;
use crate::store::barn;
use crate::ui::Head;
use crate::words::{places as place_words, whereis as words};
use book::views::{Bay, Spot, bays};
use leptos::prelude::*;

/// Tubs and shelves shown at first, and how many more at a time.
const STEP: usize = 240;

#[component]
pub fn WhereIs() -> impl IntoView {
    let barn = barn();
    let free_only = RwSignal::new(false);
    let most = RwSignal::new(STEP);
    let found = Memo::new(move |_| barn.read(bays));
    let aside = Signal::derive(move || words::free(found.with(|bays| bays.iter().map(Bay::free).sum())));
    let body = move || {
        let only = free_only.get();
        let mut budget = most.get();
        let mut left = 0;
        let bays: Vec<AnyView> = found.with(|bays| {
            let mut views = Vec::new();
            for bay in bays {
                let spots: Vec<&Spot> = bay.spots.iter().filter(|spot| !only || spot.is_free()).collect();
                let shown = spots.len().min(budget);
                budget -= shown;
                left += spots.len() - shown;
                if shown > 0 {
                    views.push(bay_view(bay, &spots[..shown]));
                }
            }
            views
        });
        if bays.is_empty() {
            return view! { <p class="card">{words::NONE}</p> }.into_any();
        }
        view! {
            {bays}
            {(left > 0).then(|| view! {
                <button type="button" class="act small" on:click=move |_| most.update(|m| *m += STEP)>{place_words::more(left)}</button>
            })}
        }
        .into_any()
    };
    view! {
        <div class="page">
            <Head title=words::TITLE.to_string() aside back=(Page::Places, place_words::TITLE.to_owned()) />
            <div class="chips">
                <button type="button" class="chip" aria-pressed=move || free_only.get().to_string()
                    on:click=move |_| free_only.update(|only| *only = !*only)>{words::FREE_ONLY}</button>
                <a class="act small" href=Page::BarnSheet.href()>{words::ON_PAPER}</a>
            </div>
            {body}
        </div>
    }
}

fn bay_view(bay: &Bay, spots: &[&Spot]) -> AnyView {
    let title = match bay.path.last() {
        Some(name) => name.clone(),
        None => words::ELSEWHERE.to_owned(),
    };
    let title = match &bay.place {
        Some(id) => view! { <a class="reach" href=Page::Place(id.to_string()).href()>{title}</a> }.into_any(),
        None => title.into_any(),
    };
    let cells = spots.iter().map(|spot| {
        let free = spot.is_free();
        let held = match spot.held.as_slice() {
            [] => words::FREE.to_owned(),
            [(_, name)] => name.clone(),
            [(_, name), rest @ ..] => words::and_more(name, rest.len()),
        };
        view! {
            <a class="spot" class:free=free href=Page::Place(spot.id.to_string()).href()>
                <b>{spot.name.clone()}</b><span>{held}</span>
            </a>
        }
        .into_any()
    });
    view! {
        <h2>{title}" "<span class="aside">{words::free(bay.free())}</span></h2>
        <div class="spots">{cells.collect_view()}</div>
    }
    .into_any()
}
