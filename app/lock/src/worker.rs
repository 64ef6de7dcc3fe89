//! Messages in, messages out, as the bundles' own worker has them. In: `{op, ask, file, texts}`. Out: `{ready}` once,
//! `{done, total}` while it goes on, then `{file}`, `{texts}` or `{bad}`, a sentence.
//!
//! | `op` | `ask` | in | out |
//! |---|---|---|---|
//! | `lock`, `unlock` | passphrase | `file`, an ArrayBuffer | `file` |
//! | `keys` | passphrase | | `texts`: recipient, wrapped secret, secret |
//! | `wrap`, `unwrap` | passphrase | `texts`: the secret, or the wrapped one | `texts`: the other |
//! | `seal` | recipient | `texts` | as many, locked |
//! | `open` | secret | `texts` | as many, open; null for one that does not open |

use js_sys::{Array, Object, Reflect, Uint8Array};
use lock::StaysLocked;
use lock::keys::{self, Keys};
use wasm_bindgen::prelude::*;
use web_sys::{DedicatedWorkerGlobalScope, MessageEvent};

/// Listens, and tells the page that it does.
pub fn start() {
    let Ok(scope) = js_sys::global().dyn_into::<DedicatedWorkerGlobalScope>() else { return };
    let own = scope.clone();
    let listener = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        let mut told = |done: usize, total: usize| send(&own, &[("done", done.into()), ("total", total.into())]);
        let answer = match answer(&event.data(), &mut told) {
            Ok(answer) => answer,
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

/// A part of the answer: its name and what it is.
type Part = (&'static str, JsValue);

fn answer(message: &JsValue, told: &mut dyn FnMut(usize, usize)) -> Result<Part, String> {
    let field = |name: &str| Reflect::get(message, &name.into()).unwrap_or(JsValue::UNDEFINED);
    let text = |name: &str| field(name).as_string().unwrap_or_default();
    let bytes = || Uint8Array::new(&field("file")).to_vec();
    let texts: Array = field("texts").dyn_into().unwrap_or_default();
    let texts = || texts.iter().map(|text| text.as_string().unwrap_or_default());
    let first = || texts().next().unwrap_or_default();
    let ask = text("ask");
    match text("op").as_str() {
        "lock" => lock::lock(&bytes(), &ask, told).map(file),
        "unlock" => lock::unlock(&bytes(), &ask, told).map(file).map_err(|why| why.to_string()),
        "keys" => {
            let Keys { recipient, secret } = Keys::fresh();
            keys::wrap(&secret, &ask).map(|wrapped| many([recipient, wrapped, secret].map(Some)))
        }
        "wrap" => keys::wrap(&first(), &ask).map(|wrapped| many([Some(wrapped)])),
        "unwrap" => keys::unwrap(&first(), &ask).map(|secret| many([Some(secret)])).map_err(stays),
        "seal" => {
            let sealed = texts().map(|text| keys::seal(&text, &ask).map(Some)).collect::<Result<Vec<_>, _>>();
            sealed.map(many)
        }
        "open" => Ok(many(texts().map(|text| keys::open(&text, &ask).ok()))),
        other => Err(format!("Nothing here is called {other}.")),
    }
}

fn file(bytes: Vec<u8>) -> Part {
    ("file", Uint8Array::from(bytes.as_slice()).buffer().into())
}

fn many(texts: impl IntoIterator<Item = Option<String>>) -> Part {
    let all: Array = texts.into_iter().map(|text| text.map_or(JsValue::NULL, JsValue::from)).collect();
    ("texts", all.into())
}

/// Why the key of what is kept here stays locked: no other file can be asked for.
fn stays(why: StaysLocked) -> String {
    match why {
        StaysLocked::Wrong => why.to_string(),
        _ => "What opens people's details is damaged on this device, so they cannot be read here. A bundle with details from another device brings those back.".to_owned(),
    }
}
