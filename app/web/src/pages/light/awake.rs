//! Keeps the screen on while codes are shown or looked at, where the browser can.

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
    let lock = StoredValue::new_local(JsValue::UNDEFINED);
    let release = |lock: &JsValue| drop(call(lock, "release", &JsValue::UNDEFINED));
    let ask = move || {
        let navigator: JsValue = window().navigator().into();
        let locks = Reflect::get(&navigator, &"wakeLock".into()).unwrap_or_default();
        let Some(asked) =
            Some(locks).filter(JsValue::is_object).and_then(|locks| call(&locks, "request", &"screen".into()))
        else {
            return;
        };
        spawn_local(async move {
            // Refused, for one, while the battery is low: then the keeper taps the screen.
            let Ok(given) = JsFuture::from(asked).await else { return };
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
}
