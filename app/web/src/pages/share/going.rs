//! How it goes, and letting devices in.

use super::access::{NewAccess, opens};
use super::joining::place;
use crate::clock;
use crate::prefs::prefs;
use crate::store::barn;
use crate::store::sharing::{Going, Why};
use crate::ui::files::give;
use crate::words::{bundles, share as words, trouble};
use js_sys::{Function, Promise, Reflect};
use labels::qr::{Matrix, QUIET};
use leptos::prelude::*;
use leptos::task::spawn_local;
use share::store::No;
use share::wire::{Seen, StoreAt, Told};
use share::{Invitation, MARK, Status};
use wasm_bindgen::{JsCast, JsValue};

#[component]
pub fn InStep() -> impl IntoView {
    let barn = barn();
    let place = move || barn.invitation().map(|invitation| place(&invitation.store));
    // What opens the store is another one now, or the folder has to be allowed again.
    let refused = |told: &Told| matches!(told.status, Status::Waiting { no: No::Access, .. });
    let shut_out = Memo::new(move |_| match barn.going() {
        Going::On(told) => refused(&told) && opens(barn).is_some(),
        Going::Off | Going::Starting | Going::OtherTab | Going::Stopped(_) => false,
    });
    let folder = move || {
        let is_folder = || barn.invitation().is_some_and(|own| matches!(own.store, StoreAt::Folder { .. }));
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
            let device = |dev| match Some(dev) == own {
                true => bundles::THIS_DEVICE_WITHIN.to_owned(),
                false => bundles::device(book, dev, own),
            };
            let odd = book.journal().odd_clocks(now);
            let odd = odd.map(|odd| bundles::clock_ahead(&device(odd.dev), odd.latest.ms(), today));
            let split = book.journal().forks().map(|fork| bundles::copied(&device(fork.dev)));
            // While entries are on their way, so may be what signs them.
            let unverified = if level { exchange.unverified(book.journal()) } else { Vec::new() };
            let unverified = unverified.into_iter().filter(|(dev, _)| Some(*dev) != own);
            let unverified = unverified.map(|(dev, entries)| bundles::not_verified(entries as usize, &device(dev)));
            // The line above says it already.
            let seen = notices.iter().rev().filter(|seen| **seen != Seen::Moved).map(|seen| words::seen(seen, device));
            odd.chain(split).chain(unverified).chain(seen).collect::<Vec<String>>()
        })
    };
    let books = move || {
        let Going::On(told) = barn.going() else { return Vec::new() };
        let book = |seen: &Seen| if let Seen::OtherBook(book) = seen { Some(*book) } else { None };
        told.notices.iter().filter_map(book).collect()
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
            {move || shut_out.get().then(|| view! { <NewAccess /> })}
        </div>
        {move || (!notices().is_empty()).then(|| view! {
            <h2>{words::NOTICED}</h2>
            <ul class="card lines">
                {notices().into_iter().map(|said| view! { <li>{said}</li> }).collect_view()}
            </ul>
        })}
        {move || books().into_iter().map(|book| {
            let take = move |_| {
                spawn_local(async move {
                    if let Err(why) = barn.take_book(book).await {
                        barn.amiss(trouble::saving(&why));
                    }
                })
            };
            view! { <button type="button" class="act" on:click=take>{words::TAKE_BOOK}</button> }
        }).collect_view()}
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
    let file = text.clone();
    let save = move |_| {
        let file = file.clone();
        spawn_local(async move {
            if give(file.as_bytes(), words::INVITATION_FILE, "text/plain").await.is_err() {
                barn.amiss(words::NOT_SAVED.to_owned());
            }
        });
    };
    view! {
        <p>{words::LET_IN_SAID}</p>
        {is_folder.then(|| view! { <p>{words::LET_IN_FOLDER}</p> })}
        {code.map(|code| drawn(&code))}
        <label class="field">
            <span>{words::INVITATION}</span>
            <textarea readonly rows="3" data-secret="" prop:value=text></textarea>
        </label>
        <div class="gap chips">
            <button type="button" class="act small" on:click=copy>{words::COPY}</button>
            <button type="button" class="act small" on:click=save>{words::SAVE_FILE}</button>
        </div>
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
