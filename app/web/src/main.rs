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

fn main() {
    leptos::mount::mount_to_body(app::App);
}
