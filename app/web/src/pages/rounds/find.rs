//! Finds an animal, clutch, box or place by name, code, number or typed label code.

use crate::recent;
use crate::route::Page;
use crate::store::{Barn, barn};
use crate::words::rounds as said;
use book::Kind;
use book::views::{Hit, hit_of, search};
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
    let asked = RwSignal::new(false);
    // A label's code may be typed as printed, dashes and check letter included.
    let wanted =
        move || typed.with(|t| t.parse::<labels::Code>().map_or_else(|_| t.trim().to_owned(), |c| c.id().to_owned()));
    view! {
        <label class="field find">
            <span class="unseen">{said::FIND}</span>
            <input type="search" placeholder=said::FIND autocomplete="off" prop:value=typed on:focus=move |_| asked.set(true) on:input=move |ev| typed.set(event_target_value(&ev)) />
        </label>
        {move || {
            let wanted = wanted();
            if wanted.is_empty() {
                return asked.get().then(|| before_typing(barn)).into_any();
            }
            let hits = barn.read(|book| search(book, &wanted, MOST));
            if hits.is_empty() {
                return view! { <p class="card" role="status">{said::none_found(&wanted)}</p> }.into_any();
            }
            rows(hits)
        }}
    }
}

fn rows(hits: Vec<Hit>) -> AnyView {
    let row = |hit: Hit| {
        let page = page_of(&hit);
        view! {
            <a class="row" href=page.href()>
                <span class="text"><span class="title">{hit.title}</span><span class="aside">{hit.detail}</span></span>
            </a>
        }
        .into_any()
    };
    hits.into_iter().map(row).collect_view().into_any()
}

/// What was opened last, and the way by place: a tap into the box and one more.
fn before_typing(barn: Barn) -> AnyView {
    let hits: Vec<Hit> = barn.peek(|book| recent::last().iter().filter_map(|thing| hit_of(book, thing)).collect());
    view! {
        {(!hits.is_empty()).then(|| view! { <h2>{said::RECENT}</h2> })}
        {rows(hits)}
        <div class="gap"><a class="act small" href=Page::WhereIs.href()>{said::BY_PLACE}</a></div>
    }
    .into_any()
}
