//! A label's link written to an NFC tag, where the browser can (Web NFC, W3C Community Group; Chrome for Android has it).
//! Reading needs nothing here: a phone that is held to the tag opens its link.

use super::text;
use crate::clock;
use crate::prefs::prefs;
use crate::store::barn;
use crate::words::{scan::sentence, tags as said};
use book::Thing;
use js_sys::{Array, Object, Promise, Reflect};
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{AbortController, DomException, Url};

#[wasm_bindgen]
extern "C" {
    #[wasm_bindgen(js_name = NDEFReader)]
    type Tags;

    #[wasm_bindgen(constructor, js_class = "NDEFReader", catch)]
    fn new() -> Result<Tags, JsValue>;

    #[wasm_bindgen(method, catch)]
    fn write(this: &Tags, message: &JsValue, options: &JsValue) -> Result<Promise, JsValue>;
}

fn can_write() -> bool {
    web_sys::window().is_some_and(|window| Reflect::has(&window, &"NDEFReader".into()).unwrap_or(false))
}

#[derive(Clone)]
enum State {
    Ready,
    Waiting,
    Written,
    /// And why.
    Not(String),
}

/// For one thing. Nothing where the browser has no NFC.
#[component]
pub fn Tag(thing: Thing) -> impl IntoView {
    if !can_write() {
        return ().into_any();
    }
    let (barn, prefs, state) = (barn(), prefs(), RwSignal::new(State::Ready));
    let stop = StoredValue::new_local(None::<AbortController>);
    let end = move || {
        let _ = stop.try_update_value(|stop| stop.take().map(|stop| stop.abort()));
    };
    on_cleanup(end);
    let begin = move |_| {
        let link = barn.peek(|book| text::ready(book, &thing, clock::now(), &prefs.get_untracked()));
        let link = match link {
            Ok(ready) => ready.text.link,
            Err(why) => return state.set(State::Not(sentence(&why))),
        };
        let Ok(controller) = AbortController::new() else { return };
        let stopped = controller.signal();
        stop.set_value(Some(controller));
        state.set(State::Waiting);
        spawn_local(async move {
            let written = put(&link, &stopped).await;
            let now = match written {
                Ok(()) => State::Written,
                Err(_) if stopped.aborted() => State::Ready,
                Err(why) => State::Not(told(&why).to_owned()),
            };
            let _ = state.try_set(now);
        });
    };
    let begin = StoredValue::new_local(begin);
    view! {
        <details>
            <summary>{said::TITLE}</summary>
            <p class="aside">{said::HOW}</p>
            <div role="status" aria-live="polite">{move || match state.get() {
                State::Ready => None,
                State::Waiting => Some(view! { <p>{said::HOLD}</p> }.into_any()),
                State::Written => Some(view! { <p>{said::WRITTEN}</p> }.into_any()),
                State::Not(why) => Some(view! { <p class="warn">{why}</p> }.into_any()),
            }}</div>
            {move || match state.get() {
                State::Waiting => view! { <button type="button" class="act" on:click=move |_| end()>{said::STOP}</button> }.into_any(),
                _ => view! { <button type="button" class="act" on:click=move |ev| begin.with_value(|begin| begin(ev))>{said::WRITE}</button> }.into_any(),
            }}
        </details>
    }
    .into_any()
}

/// Waits until a tag is held to the phone and holds the link.
async fn put(link: &str, stopped: &JsValue) -> Result<(), JsValue> {
    let record = Object::new();
    Reflect::set(&record, &"recordType".into(), &"url".into())?;
    // Phones look for the app of a link by its scheme and host, which the label writes large for its square code.
    Reflect::set(&record, &"data".into(), &Url::new(link)?.href().into())?;
    let message = Object::new();
    Reflect::set(&message, &"records".into(), &Array::of1(&record))?;
    let options = Object::new();
    Reflect::set(&options, &"signal".into(), stopped)?;
    JsFuture::from(Tags::new()?.write(&message, &options)?).await.map(|_| ())
}

/// What to do about it. The names are those of the Web NFC draft.
fn told(why: &JsValue) -> &'static str {
    let name = why.dyn_ref::<DomException>().map(DomException::name).unwrap_or_default();
    match name.as_str() {
        "NotAllowedError" | "SecurityError" => said::REFUSED,
        "NotReadableError" | "NotSupportedError" => said::OFF,
        _ => said::MOVED,
    }
}
