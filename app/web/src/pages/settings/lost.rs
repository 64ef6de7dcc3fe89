//! What somebody who finds this device can read and do, and what helps.

use crate::words::lost as words;
use leptos::prelude::*;

#[component]
pub fn Lost() -> impl IntoView {
    let list = |items: &[&'static str]| {
        let items = items.iter().map(|item| view! { <li>{*item}</li> }).collect_view();
        view! { <ul class="lines">{items}</ul> }
    };
    view! {
        <h2>{words::TITLE}</h2>
        <section class="card stack" aria-label=words::TITLE>
            <p>{words::INTRO}</p>
            {list(&[words::READS, words::READS_PEOPLE, words::WRITES, words::FILES])}
            <h3>{words::BEFORE}</h3>
            {list(&[words::DO_SCREEN, words::DO_BUNDLES])}
            <h3>{words::AFTER}</h3>
            {list(&[words::AFTER_LOCATE, words::AFTER_BUNDLES, words::AFTER_NEW])}
            <h3>{words::SHARED}</h3>
            <p>{words::SHARED_SAID}</p>
        </section>
    }
}
