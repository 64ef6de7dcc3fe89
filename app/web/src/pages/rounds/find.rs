//! Finds an animal, clutch, box or place by name, code, number or typed label code.

use crate::route::Page;
use crate::store::barn;
use crate::words::rounds as said;
use book::Kind;
use book::views::{Hit, search};
use leptos::prelude::*;

const MOST: usize = 12;

fn page_of(hit: &Hit) -> Page {
    let id = hit.thing.id.clone();
    match hit.thing.kind {
        Kind::Animal => Page::Animal(id),
        Kind::Clutch => Page::Clutch(id),
        Kind::Place => Page::Place(id),
        _ => Page::Box(id),
    }
}

#[component]
pub fn Find() -> impl IntoView {
    let barn = barn();
    let typed = RwSignal::new(String::new());
    // A label's code may be typed as printed, dashes and check letter included.
    let wanted =
        move || typed.with(|t| t.parse::<labels::Code>().map_or_else(|_| t.trim().to_owned(), |c| c.id().to_owned()));
    view! {
        <label class="field find">
            <span class="unseen">{said::FIND}</span>
            <input type="search" placeholder=said::FIND autocomplete="off" prop:value=typed on:input=move |ev| typed.set(event_target_value(&ev)) />
        </label>
        {move || {
            let wanted = wanted();
            if wanted.is_empty() {
                return ().into_any();
            }
            let hits = barn.read(|book| search(book, &wanted, MOST));
            if hits.is_empty() {
                return view! { <p class="card" role="status">{said::none_found(&wanted)}</p> }.into_any();
            }
            hits.into_iter().map(|hit| view! {
                <a class="row" href=page_of(&hit).href()>
                    <span class="text"><span class="title">{hit.title.clone()}</span><span class="aside">{hit.detail.clone()}</span></span>
                </a>
            }).collect_view().into_any()
        }}
    }
}
