//! A word on Rounds: how keeping in step goes, when stored records were damaged, and a kind one when the last bundle from here
//! is old.

use super::age_days;
use crate::route::Page;
use crate::store::barn;
use crate::words::{bundles as words, health};
use leptos::prelude::*;

/// Acts of this device without any bundle before it is mentioned.
const ACTS: u32 = 25;
/// Days after which a bundle is old.
const DAYS: u64 = 14;

#[component]
pub fn Nag() -> impl IntoView {
    let barn = barn();
    let said = move || {
        let made = barn.made_ms().map(age_days);
        let own = barn.device();
        let acts = barn.read(|book| own.and_then(|own| book.journal().chain(own)).map_or(0, |chain| chain.seq));
        if barn.any_harm() {
            return Some((health::FOUND_SHORT.to_owned(), health::SEE));
        }
        // Invented records need no copy.
        let due = !barn.demo && acts >= ACTS && made.is_none_or(|days| days >= DAYS);
        due.then(|| (words::nag(made), words::NAG))
    };
    let step = move || barn.step.get().map(|line| view! { <a class="in-step" href=Page::Share.href()>{line}</a> });
    let nag = move || {
        said().map(|(said, act)| {
            view! {
                <div class="row">
                    <span class="text">{said}</span>
                    <a class="act small" href=Page::Bundles.href()>{act}</a>
                </div>
            }
        })
    };
    view! { {step}{nag} }
}
