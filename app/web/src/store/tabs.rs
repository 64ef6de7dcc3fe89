//! Several tabs of one app: a hint when one has written, and a look whenever a page comes back.

use super::Barn;
use crate::prefs::folder;
use leptos::prelude::set_interval;
use leptos::task::spawn_local;
use std::time::Duration;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;
use web_sys::BroadcastChannel;

fn channel() -> Option<BroadcastChannel> {
    BroadcastChannel::new(&format!("candlemark:{}", folder())).ok()
}

/// Tells the other tabs. Missing one does no harm: they look again when they come back into view.
pub fn tell() {
    if let Some(channel) = channel() {
        let _ = channel.post_message(&"written".into());
        channel.close();
    }
}

/// Listens for as long as the page lives.
pub fn listen(barn: Barn) {
    let look = Closure::<dyn Fn()>::new(move || {
        if !is_hidden() {
            barn.tick();
            spawn_local(async move {
                // Not caught up now: the next message or look will.
                let _ = barn.catch_up().await;
            });
        }
    });
    let function = look.as_ref().unchecked_ref();
    if let Some(channel) = channel() {
        channel.set_onmessage(Some(function));
        std::mem::forget(channel);
    }
    if let Some(window) = web_sys::window() {
        let _ = window.add_event_listener_with_callback("pageshow", function);
        if let Some(document) = window.document() {
            let _ = document.add_event_listener_with_callback("visibilitychange", function);
        }
    }
    look.forget();
    each_minute(barn);
}

/// The clock moves what is due, while somebody looks at the page; what is hidden looks when it is seen again.
fn each_minute(barn: Barn) {
    let tick = move || {
        if !is_hidden() {
            barn.tick();
        }
    };
    set_interval(tick, Duration::from_secs(60));
}

fn is_hidden() -> bool {
    web_sys::window().and_then(|w| w.document()).is_some_and(|d| d.hidden())
}
