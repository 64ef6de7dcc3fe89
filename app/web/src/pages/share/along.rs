//! Photos and people's details: whether they go along, and how they stand.

use crate::store::barn;
use crate::words::share as words;
use leptos::prelude::*;
use share::Beside;

#[component]
pub fn Along() -> impl IntoView {
    view! {
        <details class="card">
            <summary>{words::ALONG}</summary>
            <p>{words::ALONG_SAID}</p>
            {Beside::ALL.map(|of| view! { <Sort of /> })}
            <p class="aside">{words::ALONG_STAYS}</p>
        </details>
    }
}

#[component]
fn Sort(of: Beside) -> impl IntoView {
    let barn = barn();
    let wanted = RwSignal::new(barn.goes_along(of));
    let want = move |ev| {
        wanted.set(event_target_checked(&ev));
        barn.let_along(of, wanted.get_untracked());
    };
    let stands = move || barn.stands(of).filter(|_| wanted.get()).map(words::stands);
    view! {
        // It counts at once.
        <label class="gap tick" data-now="">
            <input type="checkbox" prop:checked=wanted on:change=want />
            <span>{words::along(of)}</span>
        </label>
        {move || stands().map(|said| view! { <p class="aside" role="status">{said}</p> })}
    }
}
