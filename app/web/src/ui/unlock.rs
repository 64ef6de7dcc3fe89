//! Where people's details would stand and are locked: a button that asks for the passphrase.

use super::Phrase;
use crate::store::barn;
use crate::words::{bundles, lost as words};
use leptos::prelude::*;
use leptos::task::spawn_local;

#[component]
pub fn Unlock(
    /// What it means here that they are locked.
    said: &'static str,
) -> impl IntoView {
    let barn = barn();
    let (asking, busy) = (RwSignal::new(false), RwSignal::new(false));
    let phrase = RwSignal::new(String::new());
    let failed = RwSignal::new(None::<String>);
    spawn_local(async move {
        // Not told now, reading the details will tell.
        drop(barn.people_kept().await);
    });
    let unlock = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        // A second tap would try it twice.
        if busy.get_untracked() {
            return;
        }
        busy.set(true);
        failed.set(None);
        spawn_local(async move {
            let done = barn.unlock_people(&phrase.get_untracked()).await;
            let _ = busy.try_set(false);
            match done {
                Ok(()) => {
                    let _ = phrase.try_set(String::new());
                    let _ = asking.try_set(false);
                }
                Err(why) => drop(failed.try_set(words::failed(&why))),
            }
        });
    };
    move || {
        barn.shut.get().then(|| {
            view! {
                <section class="card stack" aria-label=words::LOCKED>
                    <p>{said}</p>
                    {move || match asking.get() {
                        false => view! {
                            <button type="button" class="act" on:click=move |_| asking.set(true)>{bundles::UNLOCK}</button>
                        }.into_any(),
                        true => view! {
                            <form class="stack" novalidate on:submit=unlock>
                                <Phrase value=phrase />
                                <button type="submit" class="act main" disabled=busy>{bundles::UNLOCK}</button>
                                {move || busy.get().then(|| view! { <p class="aside" role="status">{words::WORKING}</p> })}
                                {move || failed.get().map(|said| view! { <p class="warn" role="alert">{said}</p> })}
                            </form>
                        }.into_any(),
                    }}
                </section>
            }
        })
    }
}
