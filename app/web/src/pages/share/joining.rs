//! Joining a barn that shares already, by another device's invitation.

use crate::route::Page;
use crate::store::barn;
use crate::store::sharing::{has_folders, pick_folder};
use crate::words::share as words;
use leptos::prelude::*;
use leptos::task::spawn_local;
use share::Invitation;
use share::wire::StoreAt;
use std::cell::RefCell;
use wasm_bindgen_futures::JsFuture;
use web_sys::HtmlInputElement;

/// Letters of a file that are looked at: no invitation has as many.
const MOST: f64 = 16_384.0;

thread_local! {
    /// An invitation that came as an address, until the page has it.
    pub static WAITS: RefCell<String> = const { RefCell::new(String::new()) };
}

/// Where a store is, to be shown.
pub fn place(store: &StoreAt) -> String {
    match store {
        StoreAt::Web { address, .. } => address.clone(),
        StoreAt::Bucket { address, bucket, .. } => format!("{address}/{bucket}"),
        StoreAt::Folder { name } => name.clone(),
    }
}

#[component]
pub fn Joining(joined: Callback<()>) -> impl IntoView {
    let barn = barn();
    let text = RwSignal::new(String::new());
    let read = RwSignal::new(None::<Result<Invitation, &'static str>>);
    let failed = RwSignal::new(None::<String>);
    let busy = RwSignal::new(false);
    let look = move |text: &str| {
        // The page may be gone.
        let _ = failed.try_set(None);
        let _ = read.try_set(Some(Invitation::read(text).map_err(words::no_invitation)));
    };
    let waited = WAITS.take();
    if !waited.is_empty() {
        look(&waited);
    }
    let read_it = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        text.with_untracked(|text| look(text));
    };
    let picked = move |ev: leptos::ev::Event| {
        let input: HtmlInputElement = event_target(&ev);
        let Some(file) = input.files().and_then(|files| files.get(0)) else { return };
        spawn_local(async move {
            // Whatever it is, what stands in it is looked at as a text that was pasted is.
            let text =
                JsFuture::from(file.slice_with_f64_and_f64(0.0, MOST).map_or(file.text(), |part| part.text())).await;
            // The same file may be chosen once more.
            input.set_value("");
            look(&text.ok().and_then(|text| text.as_string()).unwrap_or_default());
        });
    };
    let join = move |invitation: Invitation| {
        if busy.get_untracked() {
            return;
        }
        busy.set(true);
        spawn_local(async move {
            // Each device finds the folder by itself.
            let folder = match &invitation.store {
                StoreAt::Folder { .. } if !has_folders() => {
                    let _ = failed.try_set(Some(words::NO_FOLDERS.to_owned()));
                    let _ = busy.try_set(false);
                    return;
                }
                StoreAt::Folder { .. } => match pick_folder().await {
                    Some((_, folder)) => Some(folder),
                    None => {
                        let _ = busy.try_set(false);
                        return;
                    }
                },
                StoreAt::Web { .. } | StoreAt::Bucket { .. } => None,
            };
            match barn.join_sharing(invitation, folder).await {
                // The page may be gone.
                Ok(()) => drop(joined.try_run(())),
                Err(why) => drop(failed.try_set(Some(words::stopped(&why)))),
            }
            let _ = busy.try_set(false);
        });
    };
    view! {
        <h2>{words::JOIN}</h2>
        <div class="card stack">
            {move || match read.get() {
                Some(Ok(invitation)) => {
                    let at = words::join_at(&place(&invitation.store));
                    view! {
                        <p>{words::JOIN_ASKED}</p>
                        <p class="aside">{at}</p>
                        <button type="button" class="act main" disabled=busy
                            on:click=move |_| join(invitation.clone())>{words::JOIN_NOW}</button>
                    }.into_any()
                }
                other => view! {
                    <p>{words::JOIN_SAID}</p>
                    <div class="gap chips">
                        <a class="act small" href=Page::Scan.href()>{words::SCAN}</a>
                        <label class="act small photo-pick">{words::OPEN_FILE}
                            <input class="unseen" type="file" accept=".txt,text/plain" aria-label=words::OPEN_FILE on:change=picked />
                        </label>
                    </div>
                    <form class="stack" on:submit=read_it novalidate>
                        <label class="field">
                            <span>{words::INVITATION}</span>
                            // It opens the barn's store, so no draft holds it.
                            <input type="text" autocomplete="off" data-secret="" prop:value=text
                                on:input=move |ev| text.set(event_target_value(&ev)) />
                        </label>
                        {other.and_then(Result::err).map(|why| view! { <p class="hint bad" role="alert">{why}</p> })}
                        <button type="submit" class="act small">{words::READ_IT}</button>
                    </form>
                }.into_any(),
            }}
            {move || failed.get().map(|why| view! { <p class="hint bad" role="alert">{why}</p> })}
        </div>
    }
}
