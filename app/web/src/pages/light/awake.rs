//! Keeps the screen on while codes are shown or looked at, where the browser can, and says whether it does.

use crate::words::light as words;
use js_sys::{Function, Promise, Reflect};
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

fn call(of: &JsValue, name: &str, with: &JsValue) -> Option<Promise> {
    let call: Function = Reflect::get(of, &name.into()).ok()?.dyn_into().ok()?;
    call.call1(of, with).ok()?.dyn_into().ok()
}

#[component]
pub fn Awake() -> impl IntoView {
    let (lock, kept) = (StoredValue::new_local(JsValue::UNDEFINED), RwSignal::new(None));
    let release = |lock: &JsValue| drop(call(lock, "release", &JsValue::UNDEFINED));
    let ask = move || {
        let navigator: JsValue = window().navigator().into();
        let locks = Reflect::get(&navigator, &"wakeLock".into()).unwrap_or_default();
        let Some(asked) =
            Some(locks).filter(JsValue::is_object).and_then(|locks| call(&locks, "request", &"screen".into()))
        else {
            return kept.set(Some(false));
        };
        spawn_local(async move {
            // Refused, for one, while the battery is low.
            let given = JsFuture::from(asked).await;
            let _ = kept.try_set(Some(given.is_ok()));
            let Ok(given) = given else { return };
            // Left meanwhile.
            if let Some(given) = lock.try_set_value(given) {
                release(&given);
            }
        });
    };
    ask();
    // The browser takes it back from a page that is not seen.
    let seen = window_event_listener(leptos::ev::visibilitychange, move |_| {
        if !document().hidden() {
            ask();
        }
    });
    on_cleanup(move || {
        seen.remove();
        if let Some(given) = lock.try_get_value() {
            release(&given);
        }
    });
    view! { <p class="aside">{move || kept.get().map(|kept| if kept { words::AWAKE } else { words::MAY_SLEEP })}</p> }
}
