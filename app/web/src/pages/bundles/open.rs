//! Opening a bundle: picked, dropped, shared with the app or opened with it; read, summed up, and then taken or left.

use super::Working;
use crate::route::{Go, Page};
use crate::store::{Failed, NoBundle, Opened, Running, barn, cancel, unlock};
use crate::ui::{Arrived, Phrase};
use crate::words::bundles as words;
use js_sys::{Array, ArrayBuffer, Function, Promise, Reflect};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::rc::Rc;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{DragEvent, File, HtmlInputElement, RequestInit};

/// Where the service worker lays a file that was shared with the app.
const SHARED: &str = "./shared-bundle";
/// The largest file opened, in bytes; what is shared is measured by the service worker (sw.js), which answers with this
/// status, *no content*, when it is larger.
const MOST_BYTES: f64 = 512.0 * 1024.0 * 1024.0;
const LARGE: f64 = 204.0;

#[component]
pub fn Open(shared: bool) -> impl IntoView {
    let barn = barn();
    let running: Running = StoredValue::new_local(None);
    let percent = RwSignal::new(None::<u32>);
    let failed = RwSignal::new(None::<String>);
    let other_book = RwSignal::new(false);
    let locked = RwSignal::new(false);
    let passphrase = RwSignal::new(String::new());
    let opened = RwSignal::new_local(None::<Rc<Opened>>);
    let file = RwSignal::new_local(None::<ArrayBuffer>);
    let over = RwSignal::new(false);

    let told = move |done| {
        let _ = percent.try_set(Some(done));
    };
    let look = move |join: bool| {
        // The page may have been left while the file was read.
        let Some(bytes) = file.try_get_untracked().flatten() else { return };
        opened.set(None);
        failed.set(None);
        other_book.set(false);
        locked.set(false);
        percent.set(Some(0));
        spawn_local(async move {
            let answer = barn.open_bundle(bytes, join, running, told).await;
            let _ = percent.try_set(None);
            match answer {
                Ok(found) => drop(opened.try_set(Some(Rc::new(found)))),
                Err(why) => {
                    let _ = other_book.try_set(matches!(why, NoBundle::Failed(Failed::OtherBook(_))));
                    let _ = locked.try_set(matches!(why, NoBundle::Failed(Failed::Locked(_))));
                    let _ = failed.try_set(words::failed(&why));
                }
            }
        });
    };
    let try_passphrase = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(bytes) = file.get_untracked().filter(|_| percent.get_untracked().is_none()) else { return };
        failed.set(None);
        percent.set(Some(0));
        spawn_local(async move {
            let answer = unlock(bytes, passphrase.get_untracked(), running, told).await;
            let _ = percent.try_set(None);
            match answer {
                Ok(bytes) => {
                    let _ = passphrase.try_set(String::new());
                    let _ = file.try_set(Some(bytes));
                    look(false);
                }
                // The file is as it was: another try needs no other choosing.
                Err(why) => drop(failed.try_set(words::failed(&why))),
            }
        });
    };
    let take_bytes = move |promise: Option<Promise>| {
        spawn_local(async move {
            let Some(promise) = promise else { return };
            let given = JsFuture::from(promise).await.unwrap_or(JsValue::UNDEFINED);
            let why = if given.as_f64() == Some(LARGE) { words::TOO_LARGE } else { words::NONE_SHARED };
            match given.dyn_into::<ArrayBuffer>() {
                Ok(bytes) => {
                    let _ = file.try_set(Some(bytes));
                    look(false);
                }
                Err(_) => drop(failed.try_set(Some(why.to_owned()))),
            }
        });
    };
    let take_file = move |file: Option<File>| match file {
        Some(file) if file.size() > MOST_BYTES => drop(failed.try_set(Some(words::TOO_LARGE.to_owned()))),
        file => take_bytes(file.map(|file| file.array_buffer())),
    };
    // Any site can hand a file to the app in the share sheet's name: it lies where it is until the keeper has said so.
    let handed = RwSignal::new(shared);
    let look_at_it = move |_| {
        handed.set(false);
        take_bytes(shared_file("GET"));
    };
    let throw_away = move |_| {
        handed.set(false);
        drop(shared_file("DELETE"));
        barn.say(words::THROWN_AWAY.to_owned(), None);
        Page::Bundles.replace();
    };
    opened_with(move |file| take_file(Some(file)));
    let picked = move |ev: leptos::ev::Event| {
        let input: HtmlInputElement = event_target(&ev);
        take_file(input.files().and_then(|files| files.get(0)));
        // The same file can be chosen again.
        input.set_value("");
    };
    let dropped = move |ev: DragEvent| {
        ev.prevent_default();
        over.set(false);
        let files = ev.data_transfer().and_then(|data| data.files());
        take_file(files.and_then(|files| files.get(0)));
    };
    let stop = Callback::new(move |()| cancel(running));
    // A page left is work nobody waits for.
    on_cleanup(move || cancel(running));
    let left = Callback::new(move |()| {
        let _ = opened.try_set(None);
        let _ = file.try_set(None);
    });
    view! {
        <section class="card stack drop" class:over=over aria-label=words::OPEN
            on:dragover=move |ev: DragEvent| { ev.prevent_default(); over.set(true); }
            on:dragleave=move |_| over.set(false) on:drop=dropped>
            {move || handed.get().then(|| view! {
                <div class="banner" role="alert">
                    <p>{words::HANDED}</p>
                    <button type="button" class="act" on:click=look_at_it>{words::LOOK_AT_IT}</button>
                    <button type="button" class="act" on:click=throw_away>{words::THROW_AWAY}</button>
                </div>
            })}
            <p>{words::OPEN_SAID}</p>
            <label class="act photo-pick">{words::CHOOSE}
                <input class="unseen" type="file" aria-label=words::OPEN on:change=picked />
            </label>
            <Working percent cancel=stop />
            {move || failed.get().map(|said| view! { <p class="warn" role="alert">{said}</p> })}
            {move || locked.get().then(|| view! {
                <form class="stack" novalidate on:submit=try_passphrase>
                    <Phrase value=passphrase />
                    <button type="submit" class="act main" disabled=move || percent.get().is_some()>{words::UNLOCK}</button>
                </form>
            })}
            {move || other_book.get().then(|| view! {
                <p>{words::JOIN_SAID}</p>
                <button type="button" class="act" on:click=move |_| look(true)>{words::JOIN}</button>
            })}
            {move || opened.get().map(|found| view! { <Arrived found taken=left left /> })}
        </section>
    }
}

/// The file that was shared with the app, fetched from where the service worker laid it (`GET`), or its status where
/// there is none to read; or that file thrown away (`DELETE`). Either way it is not there any more.
fn shared_file(method: &str) -> Option<Promise> {
    let get = |of: &JsValue, name: &str| Reflect::get(of, &name.into()).unwrap_or(JsValue::UNDEFINED);
    let window = web_sys::window()?;
    // A host knows nothing of it.
    if get(&get(&window.navigator(), "serviceWorker"), "controller").is_falsy() {
        return Some(Promise::resolve(&JsValue::UNDEFINED));
    }
    let how = RequestInit::new();
    how.set_method(method);
    let asked = window.fetch_with_str_and_init(SHARED, &how);
    let read = Closure::once_into_js(move |answer: JsValue| -> JsValue {
        let status = get(&answer, "status");
        if status.as_f64() != Some(200.0) {
            return status;
        }
        let bytes = get(&answer, "arrayBuffer").dyn_into::<Function>().and_then(|f| f.call0(&answer));
        bytes.unwrap_or(JsValue::UNDEFINED)
    });
    let then: Function = Reflect::get(&asked, &"then".into()).ok()?.dyn_into().ok()?;
    then.call1(&asked, &read).ok()?.dyn_into().ok()
}

/// Hears of files the system opens with the app, where it can.
fn opened_with(take: impl Fn(File) + 'static) {
    let queue = web_sys::window().and_then(|window| Reflect::get(&window, &"launchQueue".into()).ok());
    let Some(queue) = queue.filter(|queue| queue.is_object()) else { return };
    let Ok(set) = Reflect::get(&queue, &"setConsumer".into()).and_then(|set| set.dyn_into::<Function>()) else {
        return;
    };
    let take = Rc::new(take);
    let heard = Closure::<dyn Fn(JsValue)>::new(move |launch: JsValue| {
        let files: Option<Array> = Reflect::get(&launch, &"files".into()).ok().and_then(|files| files.dyn_into().ok());
        let Some(handle) = files.map(|files| files.get(0)).filter(JsValue::is_object) else { return };
        let asked = Reflect::get(&handle, &"getFile".into()).and_then(|get| get.dyn_into::<Function>());
        let promise = asked.and_then(|get| get.call0(&handle)).ok().and_then(|file| file.dyn_into::<Promise>().ok());
        let (Some(promise), take) = (promise, take.clone()) else { return };
        spawn_local(async move {
            if let Some(file) = JsFuture::from(promise).await.ok().and_then(|file| file.dyn_into::<File>().ok()) {
                take(file);
            }
        });
    });
    let _ = set.call1(&queue, heard.as_ref());
    heard.forget();
}
