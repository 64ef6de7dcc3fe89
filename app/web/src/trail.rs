//! Steps of the browser's history, each found again as it was left (`desk::trail`). The browser would scroll by itself
//! before the rows are there, so it is told not to.

use crate::prefs::folder;
use desk::trail::Trail;
use gloo_storage::{SessionStorage, Storage};
use leptos::prelude::*;
use std::cell::{Cell, RefCell};
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{FocusOptions, HtmlElement, ScrollRestoration};

/// Frames in which the rows of a page may come: two seconds.
const FRAMES: u32 = 120;

thread_local! {
    static TRAIL: RefCell<Trail> = RefCell::default();
    /// Rises with every step, and when somebody takes the page into their own hand.
    static TURN: Cell<u32> = const { Cell::new(0) };
}

fn key() -> String {
    format!("candlemark:{}trail", folder())
}

/// Takes up the trail of this tab, and goes on with it.
pub fn begin() {
    let kept = SessionStorage::raw().get_item(&key()).ok().flatten().unwrap_or_default();
    TRAIL.set(Trail::read(&kept));
    if let Some(history) = web_sys::window().and_then(|w| w.history().ok()) {
        // Where it cannot be told, the page begins at its top.
        let _ = history.set_scroll_restoration(ScrollRestoration::Manual);
    }
    enter();
    // A phone puts a page away without a further word.
    let away = window_event_listener_untyped("visibilitychange", |_| put_by());
    let gone = window_event_listener(leptos::ev::pagehide, |_| put_by());
    let own = || TURN.set(TURN.get().wrapping_add(1));
    let wheel = window_event_listener(leptos::ev::wheel, move |_| own());
    let finger = window_event_listener(leptos::ev::pointerdown, move |_| own());
    let key = window_event_listener(leptos::ev::keydown, move |_| own());
    // What is dictated or pasted comes without a key. What is filled in again (draft.js) comes without a person.
    let typed = window_event_listener(leptos::ev::input, move |ev| {
        if ev.is_trusted() {
            own();
        }
    });
    on_cleanup(move || {
        for listening in [away, gone, wheel, finger, key, typed] {
            listening.remove();
        }
    });
}

/// Keeps the trail for a page that is loaded anew.
fn put_by() {
    TRAIL.with_borrow_mut(|trail| trail.leave(scrolled(), ""));
    // Storage that is full or switched off loses a convenience, never a record.
    let _ = SessionStorage::raw().set_item(&key(), &TRAIL.with_borrow(Trail::written));
}

/// The address has changed to this one; what was shown until now still stands in the page.
pub fn turn(address: &str) {
    TRAIL.with_borrow_mut(|trail| trail.leave(scrolled(), address));
    let before = heading();
    let said = before.as_ref().map(|heading| heading.inner_text());
    enter();
    to_new_heading(before, said, TURN.get(), FRAMES);
}

/// What the last tap was about is stored: as a draft (`public/draft.js`) it is done with.
pub fn saved() {
    tell("candlemark:saved");
}

/// The records are others now: what Rounds showed is not what it shows (`public/first.js`).
pub fn changed() {
    tell("candlemark:changed");
}

/// People's details were erased or locked: no draft holds any of them.
pub fn erased() {
    tell("candlemark:erased");
}

fn tell(what: &str) {
    if let (Some(window), Ok(event)) = (web_sys::window(), web_sys::Event::new(what)) {
        let _ = window.dispatch_event(&event);
    }
}

/// The heading of the page, or of the record that stands beside its list.
fn heading() -> Option<HtmlElement> {
    let document = web_sys::window()?.document()?;
    document.query_selector("main .panes > .page h1").ok().flatten()?.dyn_into().ok()
}

/// Puts the focus on the page's heading.
pub fn to_heading() {
    let Some(heading) = heading() else { return };
    heading.set_tab_index(-1);
    quietly(&heading);
}

/// What had the focus goes with its page, and who reads by ear or by keys would begin at the top again: the heading of the page
/// that comes takes it, unless something else has it by then.
fn to_new_heading(before: Option<HtmlElement>, said: Option<String>, turn: u32, frames: u32) {
    request_animation_frame(move || {
        if TURN.get() != turn {
            return;
        }
        let new = heading().is_some_and(|now| before.as_ref() != Some(&now) || said != Some(now.inner_text()));
        if new {
            if !is_focused() {
                to_heading();
            }
        } else if frames > 0 {
            to_new_heading(before, said, turn, frames - 1);
        }
    });
}

/// Whether anything has the focus.
fn is_focused() -> bool {
    let active = web_sys::window().and_then(|w| w.document()).and_then(|document| document.active_element());
    active.is_some_and(|active| !active.tag_name().eq_ignore_ascii_case("body"))
}

/// The page stays where it is.
fn quietly(element: &HtmlElement) {
    let options = FocusOptions::new();
    options.set_prevent_scroll(true);
    let _ = element.focus_with_options(&options);
}

/// A list was turned to the row `from`.
pub fn turned(list: &str, from: usize) {
    TRAIL.with_borrow_mut(|trail| trail.keep(list, &from.to_string()));
}

/// Where a list was turned to when this step was shown last.
pub fn turned_to(list: &str) -> Option<usize> {
    TRAIL.with_borrow(|trail| trail.kept(list)?.parse().ok())
}

/// What is looked for on a page; it is there again when one comes back.
pub fn kept(name: &'static str) -> RwSignal<String> {
    let before = TRAIL.with_borrow(|trail| trail.kept(name).map(str::to_owned));
    let value = RwSignal::new(before.unwrap_or_default());
    Effect::new(move |before: Option<()>| {
        value.with(|value| {
            if before.is_some() {
                TRAIL.with_borrow_mut(|trail| trail.keep(name, value));
            }
        });
    });
    value
}

/// Comes to the step that the browser's history names, and brings the page to where it was.
fn enter() {
    let Some(window) = web_sys::window() else { return };
    let Ok(history) = window.history() else { return };
    let known = history.state().ok().and_then(|state| state.as_f64()).map(|number| number as u32);
    let number = TRAIL.with_borrow_mut(|trail| trail.enter(known));
    if known.is_none() {
        // Fails only where scripts may not touch the history; then every step is a new one.
        let _ = history.replace_state_with_url(&JsValue::from(number), "", None);
    }
    let step = TRAIL.with_borrow(|trail| trail.here().cloned()).unwrap_or_default();
    TURN.set(TURN.get().wrapping_add(1));
    window.scroll_to_with_x_and_y(0.0, 0.0);
    if step.scroll > 0 || !step.opened.is_empty() {
        again(Some(step.scroll), step.opened, TURN.get(), FRAMES);
    }
}

/// Once the rows are there; given up when somebody scrolls or goes on meanwhile.
fn again(scroll: Option<i32>, opened: String, turn: u32, frames: u32) {
    request_animation_frame(move || {
        if TURN.get() != turn {
            return;
        }
        let short = scroll.filter(|&scroll| {
            if let Some(window) = web_sys::window() {
                window.scroll_to_with_x_and_y(0.0, f64::from(scroll));
            }
            (scrolled() - scroll).abs() > 1
        });
        let done = short.is_none() && (opened.is_empty() || focus(&opened));
        if frames > 0 && !done {
            again(short, opened, turn, frames - 1);
        }
    });
}

fn scrolled() -> i32 {
    web_sys::window().and_then(|w| w.scroll_y().ok()).unwrap_or(0.0).round() as i32
}

/// Puts the focus on the row that was opened, unless it is somewhere already; whether that is done.
fn focus(opened: &str) -> bool {
    let Some(document) = web_sys::window().and_then(|w| w.document()) else { return true };
    // Ids and words hold none, but an address may be typed by anybody.
    if is_elsewhere(&document) || opened.contains(['"', '\\']) {
        return true;
    }
    let row = format!("main a.row[href=\"{opened}\"], main .row a.link[href=\"{opened}\"]");
    let Some(row) = document.query_selector(&row).ok().flatten() else { return false };
    if let Ok(row) = row.dyn_into::<HtmlElement>() {
        quietly(&row);
    }
    true
}

/// Whether the focus is on neither the heading nor nothing.
fn is_elsewhere(document: &web_sys::Document) -> bool {
    let active = document.active_element().map(|active| active.tag_name());
    active.is_some_and(|tag| !tag.eq_ignore_ascii_case("body") && !tag.eq_ignore_ascii_case("h1"))
}
