//! The browser's side of Candlemark: pages, storage, camera, print, share.
//!
//! Guarantees: nothing is said to be saved before it is durable; no request leaves for another origin; text
//! that came from outside is only ever text.
//! Absent by design: sums about eggs (room `trade`) and rules about records (room `book`).

mod app;
mod clock;
mod pages;
mod paper;
mod prefs;
mod recent;
mod route;
mod store;
mod ui;
mod words;

use web_sys::{CustomEvent, CustomEventInit};

/// What a start takes of memory: asked for at once it costs one turn, and bit by bit well over a hundred.
const MEMORY: usize = 10 << 20;

/// No fault is silent: what broke is told to the page (boot.js), which stands when nothing here does any more.
fn tell_what_broke(why: &std::panic::PanicHookInfo<'_>) {
    let told = CustomEventInit::new();
    told.set_detail(&why.to_string().into());
    let event = CustomEvent::new_with_event_init_dict("candlemark:broke", &told);
    if let (Some(window), Ok(event)) = (web_sys::window(), event) {
        let _ = window.dispatch_event(&event);
    }
}

fn main() {
    std::panic::set_hook(Box::new(tell_what_broke));
    drop(std::hint::black_box(Vec::<u8>::with_capacity(MEMORY)));
    leptos::mount::mount_to_body(app::App);
}
