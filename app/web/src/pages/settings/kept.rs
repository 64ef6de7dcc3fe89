//! Whether the browser promises to keep the records.

use crate::words::settings as words;
use js_sys::{Function, Promise, Reflect};
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Answer {
    Asking,
    Yes,
    No,
    /// The browser has no such promise to give (or not over plain http).
    Unknown,
}

/// Calls `persisted` or `persist` of the browser's storage. Looked up by name: where it is missing, the call
/// itself would throw.
async fn ask(name: &str) -> Answer {
    let Some(window) = web_sys::window() else { return Answer::Unknown };
    let Ok(storage) = Reflect::get(&window.navigator(), &JsValue::from("storage")) else { return Answer::Unknown };
    if storage.is_undefined() {
        return Answer::Unknown;
    }
    let call = Reflect::get(&storage, &JsValue::from(name)).ok().and_then(|f| f.dyn_into::<Function>().ok());
    let promise = call.and_then(|f| f.call0(&storage).ok()).and_then(|p| p.dyn_into::<Promise>().ok());
    let Some(promise) = promise else { return Answer::Unknown };
    match JsFuture::from(promise).await.ok().and_then(|said| said.as_bool()) {
        Some(true) => Answer::Yes,
        Some(false) => Answer::No,
        None => Answer::Unknown,
    }
}

#[component]
pub fn Kept() -> impl IntoView {
    let answer = RwSignal::new(Answer::Asking);
    let look = move |name: &'static str| {
        answer.set(Answer::Asking);
        spawn_local(async move {
            let said = ask(name).await;
            let _ = answer.try_set(said);
        });
    };
    look("persisted");
    view! {
        <h2>{words::KEPT}</h2>
        <div class="card stack">
            <p role="status">{move || match answer.get() {
                Answer::Asking => words::KEPT_ASKING,
                Answer::Yes => words::KEPT_YES,
                Answer::No => words::KEPT_NO,
                Answer::Unknown => words::KEPT_UNKNOWN,
            }}</p>
            {move || (answer.get() == Answer::No).then(|| view! {
                <button type="button" class="act small" on:click=move |_| look("persist")>{words::KEPT_ASK}</button>
            })}
        </div>
    }
}
