//! What a key does in the page: to the search, along a list, or a sheet of all keys.

use crate::route::{Go, Page};
use crate::words::{self, nav};
use desk::keys::Act;
use desk::lists::{Walk, walk};
use leptos::mount::{UnmountHandle, mount_to};
use leptos::prelude::*;
use std::cell::Cell;
use wasm_bindgen::JsCast;
use web_sys::{Document, Element, HtmlDialogElement, HtmlElement};

/// Frames in which Rounds may come with its search.
const FRAMES: u32 = 60;
const FIND: &str = ".finds input";
/// What leads on from a row: the row itself, or the link in it.
const ROWS: &str = "a.row, .row a.link, .lanes a.lane";

pub fn pressed(act: Act) {
    let Some(document) = web_sys::window().and_then(|w| w.document()) else { return };
    // A question or the sheet of keys is answered first.
    if first(&document, ".asked, dialog[open]").is_some() {
        return;
    }
    match act {
        Act::Find => find(&document),
        Act::Next => step(&document, true),
        Act::Before => step(&document, false),
        Act::Keys => sheet(&document),
    }
}

fn first(document: &Document, what: &str) -> Option<HtmlElement> {
    document.query_selector(what).ok().flatten()?.dyn_into().ok()
}

/// Those that can be seen.
fn seen(within: &Element, what: &str) -> Vec<HtmlElement> {
    let Ok(found) = within.query_selector_all(what) else { return Vec::new() };
    let all = (0..found.length()).filter_map(|i| found.item(i)?.dyn_into::<HtmlElement>().ok());
    all.filter(|element| element.offset_parent().is_some()).collect()
}

fn find(document: &Document) {
    let field = |document: &Document| document.body().and_then(|body| seen(&body, FIND).into_iter().next());
    match field(document) {
        Some(field) => drop(field.focus()),
        // What is typed on a form would be gone.
        None if first(document, "main form").is_some() => {}
        None => {
            Page::Rounds.go();
            wait(FRAMES, field);
        }
    }
}

/// Focuses what is found once it is there.
fn wait(frames: u32, field: fn(&Document) -> Option<HtmlElement>) {
    request_animation_frame(move || {
        let Some(document) = web_sys::window().and_then(|w| w.document()) else { return };
        match field(&document) {
            Some(field) => drop(field.focus()),
            None if frames > 0 => wait(frames - 1, field),
            None => {}
        }
    });
}

/// Along the list beside, where there is one, else along the page's.
fn step(document: &Document, on: bool) {
    let Some(list) = first(document, ".panes > .list").or_else(|| first(document, "main")) else { return };
    let rows = seen(&list, ROWS);
    let turn = |way: &str| seen(&list, &format!("[data-turn={way}]:not([disabled])")).into_iter().next();
    let (back, forth) = (turn("back"), turn("on"));
    let active = document.active_element();
    let here = rows
        .iter()
        .position(|row| active.as_ref().is_some_and(|active| active.is_same_node(Some(row)) || within(active, row)));
    // Nobody has walked yet: from the row whose record is shown.
    let here = here.or_else(|| rows.iter().position(|row| row.closest("[aria-current=true]").ok().flatten().is_some()));
    match walk(here, rows.len(), on, back.is_some(), forth.is_some()) {
        Walk::Row(at) => to(&rows[at]),
        Walk::TurnOn => turned(&list, forth, true),
        Walk::TurnBack => turned(&list, back, false),
        Walk::Stay => {}
    }
}

/// Whether a button of the row has the focus.
fn within(active: &Element, link: &HtmlElement) -> bool {
    let row = link.closest(".row").ok().flatten();
    row.is_some_and(|row| row.contains(Some(active)))
}

fn to(row: &HtmlElement) {
    let _ = row.focus();
}

fn turned(list: &HtmlElement, button: Option<HtmlElement>, on: bool) {
    if let Some(button) = button {
        button.click();
    }
    let list = list.clone();
    request_animation_frame(move || {
        let rows = seen(&list, ROWS);
        if let Some(row) = if on { rows.first() } else { rows.last() } {
            to(row);
        }
    });
}

thread_local! {
    static SHEET: Cell<Option<Box<dyn FnOnce()>>> = const { Cell::new(None) };
}

/// All keys, over the page; Escape or its button closes it.
fn sheet(document: &Document) {
    let Some(body) = document.body() else { return };
    let rows = Act::KEYS.map(|(key, act)| (key, nav::key(act)));
    let rows = rows.into_iter().chain([nav::ENTER]);
    let dialog = NodeRef::<leptos::html::Dialog>::new();
    let handle: UnmountHandle<_> = mount_to(body, move || {
        view! {
            <dialog node_ref=dialog class="card keys" aria-label=nav::KEYS on:close=move |_| gone()>
                <h2>{nav::KEYS}</h2>
                <dl class="facts">{rows.map(|(key, said)| view! { <dt><kbd>{key}</kbd></dt><dd>{said}</dd> }).collect_view()}</dl>
                <p class="aside">{nav::KEYS_HOW}</p>
                <form method="dialog" novalidate><button class="act main">{words::CLOSE}</button></form>
            </dialog>
        }
    });
    SHEET.set(Some(Box::new(move || drop(handle))));
    if let Some(dialog) = first(document, "dialog.keys").and_then(|dialog| dialog.dyn_into::<HtmlDialogElement>().ok())
    {
        let _ = dialog.show_modal();
    }
}

/// After the event has been heard: what is being called cannot be taken away.
fn gone() {
    let close = || {
        if let Some(close) = SHEET.take() {
            close();
        }
    };
    set_timeout(close, std::time::Duration::ZERO);
}
