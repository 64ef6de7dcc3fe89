//! Finds an animal, clutch, box or place by name, code, number or typed label code.

use crate::recent;
use crate::route::Page;
use crate::store::{Barn, barn};
use crate::words::{self, rounds as said};
use book::views::{Hit, hit_of, search};
use leptos::prelude::*;
use leptos::reactive::computed::ScopedFuture;
use leptos::task::spawn_local;
use wasm_split_helpers::{SplitLoaderError, wasm_split};

const MOST: usize = 12;

/// `shown`: what stands in the empty field.
#[component]
pub fn Find(#[prop(default = said::FIND)] shown: &'static str) -> impl IntoView {
    let barn = barn();
    let typed = RwSignal::new(String::new());
    let below = RwSignal::new_local(None::<AnyView>);
    let look = move || {
        let text = typed.get_untracked();
        spawn_local(ScopedFuture::new(async move {
            let found = answer(barn, text.clone()).await;
            // A letter typed meanwhile has its own answer.
            if typed.try_get_untracked().is_some_and(|now| now == text) {
                let missing = || view! { <p class="card" role="alert">{words::PART_MISSING}</p> }.into_any();
                below.set(Some(found.unwrap_or_else(|_| missing())));
            }
        }));
    };
    let input = move |ev| {
        typed.set(event_target_value(&ev));
        look();
    };
    view! {
        <div class="finds"><label class="field find">
            <span class="unseen">{said::FIND}</span>
            <input type="search" placeholder=shown autocomplete="off" prop:value=typed on:focus=move |_| look() on:input=input />
        </label>
        <div class="found">{move || {
            below.track();
            below.write_untracked().take()
        }}</div></div>
    }
}

/// What stands below the field once it is tapped: hits, or what was opened last. No start needs it, so it comes with the
/// pages it leads to.
#[wasm_split(egg_room, fallible)]
fn answer(barn: Barn, typed: String) -> Result<AnyView, SplitLoaderError> {
    // A label's code may be typed as printed, dashes and check letter included.
    let wanted = typed.parse::<labels::Code>().map_or_else(|_| typed.trim().to_owned(), |code| code.id().to_owned());
    // For an empty field too: what the first search reads is there then before the first letter.
    let hits = barn.peek(|book| search(book, &wanted, MOST));
    if wanted.is_empty() {
        return Ok(before_typing(barn));
    }
    if hits.is_empty() {
        return Ok(view! { <p class="card" role="status">{said::none_found(&wanted)}</p> }.into_any());
    }
    Ok(rows(hits))
}

fn rows(hits: Vec<Hit>) -> AnyView {
    let row = |hit: Hit| {
        let page = Page::of(&hit.thing)?;
        let row = view! {
            <a class="row" href=page.href()>
                <span class="text"><span class="title">{hit.title}</span><span class="aside">{hit.detail}</span></span>
            </a>
        };
        Some(row.into_any())
    };
    hits.into_iter().filter_map(row).collect_view().into_any()
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
