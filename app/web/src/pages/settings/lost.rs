//! What somebody who finds this device can read and do, and what helps.

use crate::store::Kept;
use crate::words::lost as words;
use leptos::prelude::*;

#[component]
pub fn Lost(
    /// How people's details lie here; not yet known at first.
    kept: RwSignal<Option<Kept>>,
) -> impl IntoView {
    let list = |items: &[&'static str]| {
        let items = items.iter().map(|item| view! { <li>{*item}</li> }).collect_view();
        view! { <ul class="lines">{items}</ul> }
    };
    view! {
        <h2>{words::TITLE}</h2>
        <section class="card stack" aria-label=words::TITLE>
            <p>{words::INTRO}</p>
            {move || {
                let people = match kept.get() {
                    Some(Kept::Shut | Kept::Open) => words::READS_PEOPLE_NOT,
                    Some(Kept::Plain) | None => words::READS_PEOPLE,
                };
                list(&[words::READS, people, words::WRITES, words::FILES])
            }}
            <h3>{words::BEFORE}</h3>
            {list(&[words::DO_SCREEN, words::DO_BUNDLES])}
            <h3>{words::AFTER}</h3>
            {list(&[words::AFTER_LOCATE, words::AFTER_BUNDLES, words::AFTER_NEW])}
            <h3>{words::SHARED}</h3>
            <p>{words::SHARED_SAID}</p>
        </section>
    }
}
