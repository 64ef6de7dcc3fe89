//! The camera on the other device's screen.

use super::steps::Walk;
use crate::pages::scan::{Eye, Lens, Read};
use crate::words::light as words;
use leptos::prelude::*;
use std::time::Duration;

/// So long without a code, and it is said what may help.
const PATIENCE_MS: f64 = 5000.0;

#[component]
pub fn Look(walk: Walk) -> impl IntoView {
    let last = StoredValue::new(js_sys::Date::now());
    let quiet = RwSignal::new(false);
    let heard = Callback::new(move |read: Read| {
        last.set_value(js_sys::Date::now());
        quiet.set(false);
        walk.read(&read);
    });
    let watch = set_interval_with_handle(
        move || quiet.set(js_sys::Date::now() - last.get_value() > PATIENCE_MS),
        Duration::from_millis(500),
    );
    on_cleanup(move || {
        if let Ok(watch) = watch {
            watch.clear();
        }
    });
    let bar = move || {
        walk.progress.get().map(|progress| {
            let said = words::progress(progress);
            view! {
                <div class="spread" role="status">
                    <progress max=progress.need.to_string() value=progress.have.to_string() aria-label=said.clone()></progress>
                    <span>{said}</span>
                </div>
            }
        })
    };
    view! {
        <Lens eye=Eye::new(true) heard no_camera=words::no_camera />
        {bar}
        <p class="scan-said" role="status" aria-live="polite">{move || match (quiet.get(), walk.progress.get().is_some()) {
            (false, _) => words::LOOKING,
            (true, false) => words::UNREAD,
            (true, true) => words::STUCK,
        }}</p>
    }
}
