//! How it goes, letting devices in, taking one out, and stopping.

use super::joining::place;
use super::set_up::Password;
use crate::clock;
use crate::prefs::prefs;
use crate::store::barn;
use crate::store::sharing::{Going, Why};
use crate::ui::forms::Faults;
use crate::words::{bundles, share as words};
use js_sys::{Function, Promise, Reflect};
use labels::qr::{Matrix, QUIET};
use leptos::prelude::*;
use leptos::task::spawn_local;
use share::store::No;
use share::wire::{StoreAt, Told};
use share::{Invitation, MARK, Status};
use wasm_bindgen::{JsCast, JsValue};

#[component]
pub fn InStep() -> impl IntoView {
    let barn = barn();
    let place = move || barn.invitation().map(|invitation| place(&invitation.store));
    let folder = move || {
        let is_folder = || barn.invitation().is_some_and(|own| matches!(own.store, StoreAt::Folder { .. }));
        let refused = |told: &Told| matches!(told.status, Status::Waiting { no: No::Access, .. });
        match barn.going() {
            Going::Stopped(why) => why == Why::NoFolder,
            Going::On(told) => refused(&told) && is_folder(),
            Going::Off | Going::Starting | Going::OtherTab => false,
        }
    };
    let allow = move |_| {
        spawn_local(async move {
            // Not allowed, the button stays.
            barn.allow_folder().await;
        })
    };
    let notices = move || {
        let (notices, level) = match barn.going() {
            Going::On(told) => (told.notices, matches!(told.status, Status::InStep { .. })),
            _ => (Vec::new(), false),
        };
        let exchange = barn.exchange();
        let (own, today, now) = (barn.device(), clock::today(), clock::wall().ms);
        barn.read(|book| {
            let device = |dev| bundles::device(book, dev, own);
            let odd = book.journal().odd_clocks(now);
            let odd = odd.map(|odd| bundles::clock_ahead(&device(odd.dev), odd.latest.ms(), today));
            let split = book.journal().forks().map(|fork| bundles::copied(&device(fork.dev)));
            // While entries are on their way, so may be what signs them.
            let unverified = if level { exchange.unverified(book.journal()) } else { Vec::new() };
            let unverified = unverified.into_iter().filter(|(dev, _)| Some(*dev) != own);
            let unverified = unverified.map(|(dev, entries)| bundles::not_verified(entries as usize, &device(dev)));
            let seen = notices.iter().rev().map(|seen| words::seen(seen, device));
            odd.chain(split).chain(unverified).chain(seen).collect::<Vec<String>>()
        })
    };
    view! {
        <h2>{words::HOW}</h2>
        <div class="card stack">
            <p role="status">{move || barn.step.get()}</p>
            <p class="aside">{place}</p>
            {move || match folder() {
                true => view! { <button type="button" class="act" on:click=allow>{words::ALLOW}</button> }.into_any(),
                false => view! {
                    <button type="button" class="act" on:click=move |_| barn.step_now()>{words::NOW}</button>
                }.into_any(),
            }}
        </div>
        {move || (!notices().is_empty()).then(|| view! {
            <h2>{words::NOTICED}</h2>
            <ul class="card lines">
                {notices().into_iter().map(|said| view! { <li>{said}</li> }).collect_view()}
            </ul>
        })}
    }
}

/// The code that another device scans, and the same as a text.
#[component]
pub fn LetIn() -> impl IntoView {
    let barn = barn();
    let open = RwSignal::new(false);
    let toggle = move |ev: leptos::ev::Event| {
        let details: web_sys::Element = event_target(&ev);
        open.set(details.has_attribute("open"));
    };
    view! {
        // Drawn only while it is open: whoever sees it can join.
        <details class="card" on:toggle=toggle>
            <summary>{words::LET_IN}</summary>
            {move || barn.invitation().filter(|_| open.get()).map(|invitation| view! { <Code invitation /> })}
        </details>
    }
}

#[component]
fn Code(invitation: Invitation) -> impl IntoView {
    let barn = barn();
    let link = format!("{}{MARK}{}", app_address(), invitation.text());
    let is_folder = matches!(invitation.store, StoreAt::Folder { .. });
    let (code, text) = (Matrix::of(&link), link.clone());
    let copy = move |_| {
        if let Some(copied) = copied(&link) {
            spawn_local(async move {
                if wasm_bindgen_futures::JsFuture::from(copied).await.is_ok() {
                    barn.say(words::COPIED.to_owned(), None);
                }
            });
        }
    };
    view! {
        <p>{words::LET_IN_SAID}</p>
        {is_folder.then(|| view! { <p>{words::LET_IN_FOLDER}</p> })}
        {code.map(|code| drawn(&code))}
        <label class="field">
            <span>{words::INVITATION}</span>
            <textarea readonly rows="3" data-secret="" prop:value=text></textarea>
        </label>
        <button type="button" class="act small" on:click=copy>{words::COPY}</button>
    }
}

/// Where this app is, as its labels say it.
fn app_address() -> String {
    let own = prefs().with_untracked(|prefs| prefs.label_address.clone());
    let here = || {
        let location = window().location();
        location.href().unwrap_or_default().split('#').next().unwrap_or_default().to_owned()
    };
    if own.is_empty() { here() } else { own }
}

fn drawn(code: &Matrix) -> impl IntoView + use<> {
    let side = code.with_quiet();
    let margin = QUIET;
    let path: String = code
        .runs()
        .map(|(column, row, length)| format!("M{} {}h{length}v1h-{length}z", column + margin, row + margin))
        .collect();
    view! {
        // Black on white in each theme, or no camera reads it.
        <svg class="code" role="img" aria-label=words::CODE viewBox=format!("0 0 {side} {side}") shape-rendering="crispEdges">
            <rect width=side height=side fill="#fff" />
            <path d=path fill="#000" />
        </svg>
    }
}

fn copied(text: &str) -> Option<Promise> {
    let clipboard = Reflect::get(&window().navigator(), &"clipboard".into()).ok()?;
    let write: Function = Reflect::get(&clipboard, &"writeText".into()).ok()?.dyn_into().ok()?;
    write.call1(&clipboard, &JsValue::from(text)).ok()?.dyn_into().ok()
}

/// A device was lost, or this one shall share no longer.
#[component]
pub fn TakeOut() -> impl IntoView {
    let barn = barn();
    let faults = Faults::new();
    let password = RwSignal::new(String::new());
    let failed = RwSignal::new(None::<String>);
    let busy = RwSignal::new(false);
    let label = move || match barn.invitation().map(|invitation| invitation.store) {
        Some(StoreAt::Web { .. }) => Some(words::NEW_PASSWORD),
        Some(StoreAt::Bucket { .. }) => Some(words::NEW_SECRET),
        Some(StoreAt::Folder { .. }) | None => None,
    };
    let lock_anew = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        if busy.get_untracked() {
            return;
        }
        busy.set(true);
        failed.set(None);
        spawn_local(async move {
            match barn.share_with_new_key(password.get_untracked()).await {
                Ok(()) => {
                    let _ = password.try_set(String::new());
                    barn.say(words::NEW_KEY_DONE.to_owned(), None);
                }
                Err(why) => drop(failed.try_set(Some(words::stopped(&why)))),
            }
            let _ = busy.try_set(false);
        });
    };
    let stop = move |_| {
        barn.stop_sharing();
        barn.say(words::STOPPED.to_owned(), None);
    };
    view! {
        <details class="card">
            <summary>{words::TAKE_OUT}</summary>
            <ol class="lines">{words::TAKE_OUT_SAID.map(|said| view! { <li>{said}</li> })}</ol>
            <form class="stack" on:submit=lock_anew novalidate>
                {move || label().map(|label| view! { <Password label value=password faults /> })}
                <button type="submit" class="act" disabled=busy>{words::NEW_KEY}</button>
                {move || failed.get().map(|why| view! { <p class="hint bad" role="alert">{why}</p> })}
            </form>
        </details>
        <details class="card">
            <summary>{words::STOP}</summary>
            <p>{words::STOP_SAID}</p>
            <button type="button" class="act" on:click=stop>{words::STOP}</button>
        </details>
    }
}
