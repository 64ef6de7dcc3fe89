//! A list that holds a few dozen rows in the page, however long it is.

use crate::trail;
use crate::words;
use desk::lists::{ROWS, begin, shown};
use leptos::prelude::*;

/// Some of many rows, and the way to those before and after. `show` is asked for the rows from–to; the first shown are
/// those that were shown when this step was left, else those around row `at`. `name` tells the list from others of its
/// page, and what is listed now from what was with another filter.
#[component]
pub fn Paged(
    #[prop(into)] name: String,
    #[prop(into)] total: Signal<usize>,
    #[prop(into)] show: Callback<(usize, usize), AnyView>,
    #[prop(optional)] at: usize,
) -> impl IntoView {
    let from = RwSignal::new(trail::turned_to(&name).unwrap_or_else(|| begin(at)));
    let name = StoredValue::new(name);
    let top = NodeRef::<leptos::html::Div>::new();
    // To where this list begins: there may be another above it.
    let turn = move |to: usize| {
        from.set(to);
        name.with_value(|name| trail::turned(name, to));
        if let Some(top) = top.get_untracked() {
            top.scroll_into_view();
        }
    };
    let rows = move || {
        let total = total.get();
        let (start, end) = shown(from.get(), total);
        let step = |to: usize, said: &'static str, can: bool, way: &'static str| {
            view! { <button type="button" class="act small" data-turn=way disabled=!can on:click=move |_| turn(to)>{said}</button> }
        };
        view! {
            {show.run((start, end))}
            {(total > ROWS).then(|| view! {
                <div class="gap" role="group" aria-label=words::ROWS>
                    {step(start.saturating_sub(ROWS), words::ROWS_BEFORE, start > 0, "back")}
                    <span class="aside">{words::rows(start + 1, end, total)}</span>
                    {step(end, words::ROWS_AFTER, end < total, "on")}
                </div>
            })}
        }
        .into_any()
    };
    view! { <div class="list-top" node_ref=top></div> {rows} }
}
