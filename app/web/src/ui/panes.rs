//! A list beside the records it leads to, where the screen has room for two.

use leptos::prelude::*;
use std::cell::Cell;
use web_sys::HtmlElement;

/// From this many pixels on there are two panes; the style sheets say the same.
pub const PANES: f64 = 900.0;
/// From this many on it is a desk: all sections at the side, the season on one screen.
pub const DESK: f64 = 1100.0;

/// Whether the screen is at least so wide, followed as it is turned or resized.
pub fn wide(least: f64) -> Signal<bool> {
    let now = move || {
        let width = web_sys::window().and_then(|window| window.inner_width().ok()).and_then(|width| width.as_f64());
        width.is_some_and(|width| width >= least)
    };
    let wide = RwSignal::new(now());
    let turned = window_event_listener(leptos::ev::resize, move |_| {
        if wide.get_untracked() != now() {
            wide.set(now());
        }
    });
    on_cleanup(move || turned.remove());
    wide.into()
}

thread_local! {
    /// How far down the list beside was, whichever list it is: the other one begins at its chosen row.
    static DOWN: Cell<(&'static str, i32)> = const { Cell::new(("", 0)) };
}

/// The list itself, with a heading that leads to its own page. It comes to where it was, and to the row of the record
/// that is shown, where that is out of sight.
#[component]
pub fn Pane(
    name: &'static str,
    href: String,
    #[prop(into)] aside: Signal<String>,
    children: Children,
) -> impl IntoView {
    let pane = NodeRef::<leptos::html::Div>::new();
    let scrolled = move |_| {
        if let Some(pane) = pane.get_untracked() {
            DOWN.set((name, pane.scroll_top()));
        }
    };
    pane.on_load(move |pane| {
        let down = DOWN.get();
        request_animation_frame(move || {
            if down.0 == name {
                pane.set_scroll_top(down.1);
            }
            show_chosen(&pane);
        });
    });
    view! {
        <div class="list" node_ref=pane on:scroll=scrolled>
            <div class="page">
                <p class="pane-head"><a class="second" href=href>{name}</a><span class="aside">{aside}</span></p>
                {children()}
            </div>
        </div>
    }
}

fn show_chosen(pane: &HtmlElement) {
    let Some(row) = pane.query_selector(".row[aria-current=true]").ok().flatten() else { return };
    let (seen, row_is) = (pane.get_bounding_client_rect(), row.get_bounding_client_rect());
    // Half of it is enough: the list is not moved for a row that was chosen at its edge.
    let middle = (row_is.top() + row_is.bottom()) / 2.0;
    if middle >= seen.top() && middle <= seen.bottom() {
        return;
    }
    // To its middle, by the list alone: a browser asked to show the row would scroll the page too.
    let off = row_is.top() - seen.top() - (seen.height() - row_is.height()) / 2.0;
    pane.set_scroll_top(pane.scroll_top() + off as i32);
}
