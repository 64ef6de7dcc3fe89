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
mod trail;
mod ui;
mod words;

use wasm_bindgen::prelude::wasm_bindgen;

/// What a start takes of memory: asked for at once it costs one turn, and bit by bit well over a hundred.
const MEMORY: usize = 10 << 20;

#[wasm_bindgen]
extern "C" {
    /// Of boot.js, which stands when nothing here does any more: says over the page that the app broke, and on what.
    #[wasm_bindgen(js_name = candlemarkBroke)]
    fn broke(why: &str);
}

fn main() {
    // No fault is silent.
    std::panic::set_hook(Box::new(|why| broke(&why.to_string())));
    drop(std::hint::black_box(Vec::<u8>::with_capacity(MEMORY)));
    leptos::mount::mount_to_body(app::App);
}
