//! Messages in, messages out, as the bundles' own worker has them. In: `{op, ask, file}`, where `op` is `lock` or
//! `unlock`, `ask` the passphrase and `file` an ArrayBuffer. Out: `{ready}` once, `{done, total}` while it goes on, then
//! `{file}` or `{bad}`, a sentence.

use js_sys::{Object, Reflect, Uint8Array};
use wasm_bindgen::prelude::*;
use web_sys::{DedicatedWorkerGlobalScope, MessageEvent};

/// Listens, and tells the page that it does.
pub fn start() {
    let Ok(scope) = js_sys::global().dyn_into::<DedicatedWorkerGlobalScope>() else { return };
    let own = scope.clone();
    let listener = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        let mut told = |done: usize, total: usize| send(&own, &[("done", done.into()), ("total", total.into())]);
        let answer = match answer(&event.data(), &mut told) {
            Ok(file) => ("file", Uint8Array::from(file.as_slice()).buffer().into()),
            Err(sentence) => ("bad", sentence.into()),
        };
        send(&own, &[answer]);
    });
    scope.set_onmessage(Some(listener.as_ref().unchecked_ref()));
    listener.forget();
    send(&scope, &[("ready", JsValue::TRUE)]);
}

fn send(scope: &DedicatedWorkerGlobalScope, parts: &[(&str, JsValue)]) {
    let message = Object::new();
    for (name, value) in parts {
        // A plain object takes any key.
        let _ = Reflect::set(&message, &(*name).into(), value);
    }
    // Posting fails only when the page is gone already.
    let _ = scope.post_message(&message);
}

fn answer(message: &JsValue, told: &mut dyn FnMut(usize, usize)) -> Result<Vec<u8>, String> {
    let field = |name: &str| Reflect::get(message, &name.into()).unwrap_or(JsValue::UNDEFINED);
    let text = |name: &str| field(name).as_string().unwrap_or_default();
    let file = Uint8Array::new(&field("file")).to_vec();
    match text("op").as_str() {
        "lock" => lock::lock(&file, &text("ask"), told),
        "unlock" => lock::unlock(&file, &text("ask"), told).map_err(|why| why.to_string()),
        other => Err(format!("Nothing here is called {other}.")),
    }
}
