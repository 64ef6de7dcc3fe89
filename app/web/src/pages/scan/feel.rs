//! Hit or miss, felt and heard without looking. The sound can be off.

use crate::prefs::prefs;
use leptos::prelude::*;
use std::cell::{Cell, RefCell};
use wasm_bindgen::prelude::*;
use web_sys::AudioContext;

thread_local! {
    // One for the page's life: browsers allow only a few.
    static SOUND: RefCell<Option<AudioContext>> = const { RefCell::new(None) };
    // A worker's answer and a key come from outside the pages, where preferences cannot be asked for.
    static ON: Cell<bool> = const { Cell::new(true) };
}

/// Keeps to whether the sound is on; once, around the pages.
pub fn follow_sound() {
    let prefs = prefs();
    Effect::new(move |_| ON.set(prefs.with(|p| p.sound)));
}

/// A label was read and known.
pub fn hit() {
    vibrate(&60.into());
    tone(1320.0, 0.08);
}

/// Something was read that leads nowhere.
pub fn miss() {
    vibrate(&js_sys::Array::of3(&40.into(), &60.into(), &40.into()));
    tone(330.0, 0.2);
}

fn vibrate(pattern: &JsValue) {
    let Some(window) = web_sys::window() else { return };
    // Looked up by name: iOS has no vibration, and there the call itself would throw.
    let navigator: JsValue = window.navigator().into();
    let vibrate =
        js_sys::Reflect::get(&navigator, &"vibrate".into()).ok().and_then(|f| f.dyn_into::<js_sys::Function>().ok());
    if let Some(vibrate) = vibrate {
        let _ = vibrate.call1(&navigator, pattern);
    }
}

/// A browser that has not been touched yet plays nothing; that is no fault.
fn tone(hertz: f32, seconds: f64) {
    if !ON.get() {
        return;
    }
    SOUND.with_borrow_mut(|kept| {
        if kept.is_none() {
            *kept = AudioContext::new().ok();
        }
        let Some(context) = kept else { return };
        let _ = context.resume();
        let Ok(voice) = context.create_oscillator() else { return };
        voice.frequency().set_value(hertz);
        if voice.connect_with_audio_node(&context.destination()).is_ok() && voice.start().is_ok() {
            let _ = voice.stop_with_when(context.current_time() + seconds);
        }
    });
}
