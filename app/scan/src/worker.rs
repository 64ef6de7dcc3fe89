//! Messages in, messages out.

use js_sys::{Array, ArrayBuffer, Float32Array, Object, Reflect, Uint8Array};
use scan::{Reader, luma};
use wasm_bindgen::prelude::*;
use web_sys::{DedicatedWorkerGlobalScope, MessageEvent};

/// Largest number of pixels of one picture: eight times full HD. A larger one is refused with a sentence.
const MOST_PIXELS: usize = 16_600_000;

/// What is kept between frames.
#[derive(Default)]
struct Desk {
    reader: Reader,
    /// Made when a screen is first looked at.
    of_screens: Option<Reader>,
    bytes: Vec<u8>,
    grey: Vec<u8>,
}

/// Listens, and tells the page that it does.
pub fn start() {
    let Ok(scope) = js_sys::global().dyn_into::<DedicatedWorkerGlobalScope>() else { return };
    let mut desk = Desk::default();
    let answer_from = scope.clone();
    let listener = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        answer(&answer_from, &mut desk, &event.data());
    });
    scope.set_onmessage(Some(listener.as_ref().unchecked_ref()));
    listener.forget();
    let ready = Object::new();
    set(&ready, "ready", &JsValue::TRUE);
    // Posting fails only when the page is gone already.
    let _ = scope.post_message(&ready);
}

fn set(object: &Object, key: &str, value: &JsValue) {
    // A plain object takes any key.
    let _ = Reflect::set(object, &key.into(), value);
}

fn answer(scope: &DedicatedWorkerGlobalScope, desk: &mut Desk, message: &JsValue) {
    let field = |key: &str| Reflect::get(message, &key.into()).unwrap_or(JsValue::UNDEFINED);
    if field("forget").is_truthy() {
        desk.reader.forget();
        return;
    }
    let clock = || scope.performance().map_or(0.0, |p| p.now());
    let start = clock();
    let out = Object::new();
    set(&out, "id", &field("id"));
    set(&out, "text", &JsValue::NULL);
    set(&out, "bytes", &JsValue::NULL);
    set(&out, "corners", &JsValue::NULL);
    let screen = field("screen").is_truthy();
    let back = Array::new();
    match field("buffer").dyn_into::<ArrayBuffer>() {
        Ok(buffer) => {
            match look(desk, screen, &buffer, field("width").as_f64(), field("height").as_f64()) {
                Ok(Some(read)) => {
                    let corners: Vec<f32> = read.corners.iter().flat_map(|&(x, y)| [x, y]).collect();
                    match screen {
                        true => set(&out, "bytes", &Uint8Array::from(&*read.bytes)),
                        false => set(&out, "text", &read.text().into()),
                    }
                    set(&out, "corners", &Float32Array::from(corners.as_slice()));
                }
                Ok(None) => {}
                Err(sentence) => set(&out, "error", &sentence.into()),
            }
            set(&out, "buffer", &buffer);
            back.push(&buffer);
        }
        Err(_) => set(&out, "error", &"Send the picture as an ArrayBuffer in `buffer`.".into()),
    }
    set(&out, "ms", &(clock() - start).into());
    if scope.post_message_with_transfer(&out, &back).is_err() {
        // The buffer could not be handed back (already detached): the answer matters more.
        let _ = Reflect::delete_property(&out, &"buffer".into());
        let _ = scope.post_message(&out);
    }
}

fn look(
    desk: &mut Desk,
    screen: bool,
    buffer: &ArrayBuffer,
    width: Option<f64>,
    height: Option<f64>,
) -> Result<Option<scan::Read>, &'static str> {
    let side = |v: Option<f64>| v.filter(|v| *v >= 1.0 && *v <= 65_535.0).map(|v| v as usize);
    let (Some(width), Some(height)) = (side(width), side(height)) else {
        return Err("Send `width` and `height` of the picture in pixels.");
    };
    let pixels = width * height;
    if pixels > MOST_PIXELS {
        return Err("The picture is too large: make it smaller, for example 1920 pixels wide, and send it again.");
    }
    let length = buffer.byte_length() as usize;
    if length != pixels && length != 4 * pixels {
        return Err("`buffer` must hold one byte (grey) or four bytes (RGBA) a pixel.");
    }
    desk.bytes.resize(length, 0);
    Uint8Array::new(buffer).copy_to(&mut desk.bytes);
    let reader = match screen {
        true => desk.of_screens.get_or_insert_with(Reader::of_screens),
        false => &mut desk.reader,
    };
    if length == pixels {
        return Ok(reader.read(&desk.bytes, width, height));
    }
    luma(&desk.bytes, &mut desk.grey);
    Ok(reader.read(&desk.grey, width, height))
}
