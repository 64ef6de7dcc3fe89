//! Messages in, messages out. In: `{op, ask, lines?, file?, photos?}`, where `op` is `make`, `answer`, `look`, `sheets` or `table`, `ask` JSON,
//! `file` an ArrayBuffer and `photos` a list of `[hash, ArrayBuffer]`. Out: `{ready}` once, `{done, total}` while it
//! goes on, then `{ask, lines?, file?, photos?}` or `{bad, why}`: a sentence, and `other-book` or `locked` where the
//! page can ask for more.

use journal::Hash;
use journal::bundle::BadBundle;
use js_sys::{Array, ArrayBuffer, Object, Reflect, Uint8Array};
use wasm_bindgen::prelude::*;
use web_sys::{DedicatedWorkerGlobalScope, MessageEvent};

/// Listens, and tells the page that it does.
pub fn start() {
    let Ok(scope) = js_sys::global().dyn_into::<DedicatedWorkerGlobalScope>() else { return };
    let own = scope.clone();
    let listener = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        let answer = done(&own, &event.data())
            .unwrap_or_else(|(sentence, why)| object(&[("bad", sentence.as_str().into()), ("why", why.into())]));
        send(&own, &answer);
    });
    scope.set_onmessage(Some(listener.as_ref().unchecked_ref()));
    listener.forget();
    send(&scope, &object(&[("ready", JsValue::TRUE)]));
}

fn send(scope: &DedicatedWorkerGlobalScope, message: &Object) {
    // Posting fails only when the page is gone already.
    let _ = scope.post_message(message);
}

fn object(parts: &[(&str, JsValue)]) -> Object {
    let object = Object::new();
    for (name, value) in parts {
        // A plain object takes any key.
        let _ = Reflect::set(&object, &(*name).into(), value);
    }
    object
}

fn done(scope: &DedicatedWorkerGlobalScope, message: &JsValue) -> Result<Object, (String, &'static str)> {
    let field = |name: &str| Reflect::get(message, &name.into()).unwrap_or(JsValue::UNDEFINED);
    let text = |name: &str| field(name).as_string().unwrap_or_default();
    let mut last = usize::MAX;
    let mut told = |done: usize, total: usize| {
        // A hundredth at a time: more messages than that would take longer than the work.
        let share = done * 100 / total.max(1);
        if share != last {
            last = share;
            send(scope, &object(&[("done", done.into()), ("total", total.into())]));
        }
    };
    match text("op").as_str() {
        "make" => {
            let ask = serde_json::from_str(&text("ask")).map_err(said)?;
            let file = carry::make(&ask, &text("lines"), &pictures(&field("photos")), &mut told).map_err(said)?;
            Ok(object(&[("file", buffer(&file))]))
        }
        "answer" => {
            let (ask, theirs) = serde_json::from_str(&text("ask")).map_err(said)?;
            let (gap, file) = carry::answer(&ask, &theirs, &text("lines"), &mut told).map_err(said)?;
            let file = file.map_or(JsValue::UNDEFINED, |file| buffer(&file));
            Ok(object(&[("ask", serde_json::to_string(&gap).map_err(said)?.into()), ("file", file)]))
        }
        "look" => {
            let ask = serde_json::from_str(&text("ask")).map_err(said)?;
            let file = Uint8Array::new(&field("file")).to_vec();
            let parcel = carry::look(&ask, &text("lines"), &file, &mut told).map_err(|bad| {
                let why = match bad {
                    BadBundle::OtherBook { .. } => "other-book",
                    BadBundle::Locked => "locked",
                    _ => "",
                };
                (bad.to_string(), why)
            })?;
            let looked = serde_json::to_string(&parcel.looked).map_err(said)?;
            let photos: Array = parcel
                .photos
                .iter()
                .map(|(hash, bytes)| Array::of2(&hash.to_string().into(), &buffer(bytes)))
                .collect();
            Ok(object(&[("ask", looked.into()), ("lines", parcel.lines.into()), ("photos", photos.into())]))
        }
        "sheets" => {
            let sheets: Vec<(String, Vec<Vec<serde_json::Value>>)> =
                serde_json::from_str(&text("ask")).map_err(said)?;
            Ok(object(&[("file", buffer(&carry::sheets(&sheets).map_err(said)?))]))
        }
        "table" => {
            let rows = carry::table(&Uint8Array::new(&field("file")).to_vec()).map_err(said)?;
            Ok(object(&[("ask", serde_json::to_string(&rows).map_err(said)?.into())]))
        }
        other => Err(said(format!("Nothing here is called {other}."))),
    }
}

fn said(why: impl ToString) -> (String, &'static str) {
    (why.to_string(), "")
}

fn buffer(bytes: &[u8]) -> JsValue {
    Uint8Array::from(bytes).buffer().into()
}

fn pictures(list: &JsValue) -> Vec<(Hash, Vec<u8>)> {
    let list: Array = list.clone().dyn_into().unwrap_or_default();
    let picture = |pair: JsValue| {
        let pair: Array = pair.dyn_into().ok()?;
        let bytes: ArrayBuffer = pair.get(1).dyn_into().ok()?;
        Some((pair.get(0).as_string()?.parse().ok()?, Uint8Array::new(&bytes).to_vec()))
    };
    list.iter().filter_map(picture).collect()
}
