//! The address the browser shows, and the ways to another.

use crate::trail;
pub use desk::page::{BoxAct, GuidePart, Page, PullFrom, SeasonPart, Walking};
use leptos::prelude::*;

/// To a page.
pub trait Go {
    /// Goes there.
    fn go(&self);
    /// Goes there without leaving a step to come back to: a finished form is not a place to return to.
    fn replace(&self);
}

impl Go for Page {
    fn go(&self) {
        if let Some(window) = web_sys::window() {
            // Fails only where scripts may not set the address, and there nothing else works either.
            let _ = window.location().set_hash(&self.to_string());
        }
    }

    fn replace(&self) {
        if let Some(window) = web_sys::window() {
            let _ = window.location().replace(&self.href());
        }
    }
}

fn current() -> Page {
    let hash = web_sys::window().and_then(|w| w.location().hash().ok()).unwrap_or_default();
    Page::read(&hash)
}

/// The page the address asks for, followed as it changes.
pub fn follow() -> ReadSignal<Page> {
    let (page, set_page) = signal(current());
    trail::begin();
    let handle = window_event_listener(leptos::ev::hashchange, move |_| {
        let next = current();
        // An invitation opens the barn's store: it is kept nowhere.
        let address = if let Page::Join(_) = next { String::new() } else { next.href() };
        trail::turn(&address);
        set_page.set(next);
    });
    on_cleanup(move || handle.remove());
    provide_context(page);
    page
}

/// The page that is shown.
pub fn page() -> ReadSignal<Page> {
    expect_context::<ReadSignal<Page>>()
}
