//! A record with its list beside it, where the screen has room for two.

use leptos::prelude::*;

/// From this many pixels on there are two panes; the style sheets say the same.
const WIDE: f64 = 900.0;

/// Whether the screen has room for two panes, followed as it is turned or resized.
pub fn wide() -> Signal<bool> {
    let now = || {
        let width = web_sys::window().and_then(|window| window.inner_width().ok()).and_then(|width| width.as_f64());
        width.is_some_and(|width| width >= WIDE)
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

/// A record's page. A phone has no room for `list`, so it is not made there.
#[component]
pub fn Beside(#[prop(into)] list: ViewFn, children: Children) -> impl IntoView {
    let wide = wide();
    view! {
        <div class="panes at-record">
            {move || wide.get().then(|| view! { <div class="list"><div class="page">{list.run()}</div></div> })}
            {children()}
        </div>
    }
}
