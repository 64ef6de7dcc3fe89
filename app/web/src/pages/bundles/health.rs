//! Whether what is stored is still what was stored: what was found, and a look at all of it by hand.

use crate::store::barn;
use crate::words::{self, health};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// What was found damaged or lost, until the keeper has read it.
#[component]
fn Found() -> impl IntoView {
    let barn = barn();
    let read = move |_| {
        spawn_local(async move {
            if let Err(trouble) = barn.harms_read().await {
                barn.amiss(words::trouble::saving(&trouble));
            }
        });
    };
    move || {
        let harms = barn.harms();
        (!harms.is_empty()).then(|| {
            view! {
                <div role="alert">
                    <h3>{health::FOUND}</h3>
                    <ul>{harms.iter().map(|harm| view! { <li>{health::harm(harm)}</li> }).collect_view()}</ul>
                    <p>{health::FOUND_DO}</p>
                    <button type="button" class="act small" on:click=read>{health::READ}</button>
                </div>
            }
        })
    }
}

/// Looks at everything by hand.
#[component]
pub fn Health() -> impl IntoView {
    let barn = barn();
    let (busy, said) = (RwSignal::new(None::<u32>), RwSignal::new(String::new()));
    let check = move |_| {
        if busy.get_untracked().is_some() {
            return;
        }
        busy.set(Some(0));
        said.set(String::new());
        spawn_local(async move {
            let done = barn
                .check(move |share| {
                    let _ = busy.try_set(Some(share));
                })
                .await;
            let _ = busy.try_set(None);
            let _ = said.try_set(match done {
                Ok(checked) => health::checked(&checked),
                Err(trouble) => health::not_checked(&trouble),
            });
        });
    };
    view! {
        <section class="card">
            <h2>{health::TITLE}</h2>
            <p>{health::SAID}</p>
            <Found />
            <button type="button" class="act" disabled=move || busy.get().is_some() on:click=check>
                {move || busy.get().map_or_else(|| health::CHECK.to_owned(), health::checking)}
            </button>
            <p role="status">{said}</p>
        </section>
    }
}
