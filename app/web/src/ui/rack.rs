//! A rack done in one tap: who is left out is said before it, or put right after.

use super::day::{Seen, WhenFold};
use super::{Head, Paged};
use crate::route::Page;
use crate::words::babies::{LEAVE_OUT, leave_out_of};
use leptos::prelude::*;

/// One of a rack, with what can be tapped at it.
pub fn rack_row(title: String, facts: String, tap: Option<AnyView>) -> AnyView {
    view! {
        <div class="row"><span class="text"><span class="title">{title}</span><span class="aside">{facts}</span></span>{tap}</div>
    }
    .into_any()
}

/// Before it: leaves one out, and takes it in again.
pub fn leave_out(id: String, name: &str, out: RwSignal<Vec<String>>) -> AnyView {
    let toggled = id.clone();
    let toggle = move |_| {
        out.update(|out| match out.iter().position(|other| *other == toggled) {
            Some(at) => drop(out.remove(at)),
            None => out.push(toggled.clone()),
        })
    };
    let pressed = move || out.with(|out| out.contains(&id)).to_string();
    view! { <button type="button" class="chip" aria-pressed=pressed aria-label=leave_out_of(name) on:click=toggle>{LEAVE_OUT}</button> }
        .into_any()
}

/// After it: one tap takes one out, another takes it in again.
pub fn taken_out(out: bool, said: &'static str, label: String, tap: impl Fn() + 'static) -> AnyView {
    view! { <button type="button" class="chip" aria-pressed=out.to_string() aria-label=label on:click=move |_| tap()>{said}</button> }
        .into_any()
}

/// On the page of the place: all of it at once, or first a look at each.
pub fn all_here(all: String, tap: impl Fn() + 'static, look: &'static str, page: &Page) -> AnyView {
    view! {
        <div class="gap">
            <button type="button" class="act" on:click=move |_| tap()>{all}</button>
            <a class="act small" href=page.href()>{look}</a>
        </div>
    }
    .into_any()
}

/// All of a rack. `done`: it was, lately, and now some may be taken out again; until then `children` ask what is done.
#[component]
pub fn RackPage(
    title: String,
    back: (Page, String),
    #[prop(into)] card: Signal<String>,
    #[prop(into)] done: Signal<bool>,
    seen: Seen,
    /// The list's.
    name: &'static str,
    #[prop(into)] total: Signal<usize>,
    show: Callback<(usize, usize), AnyView>,
    how: &'static str,
    /// What the button says, and does.
    #[prop(into)]
    all: Signal<String>,
    tap: Callback<()>,
    #[prop(optional)] below: Option<AnyView>,
    children: ChildrenFn,
) -> impl IntoView {
    view! {
        <div class="page with-acts">
            <Head title back />
            {move || if done.get() {
                view! { <p class="card" role="status">{card.get()}</p> }.into_any()
            } else {
                view! { <p class="card">{card.get()}</p> }.into_any()
            }}
            {move || (!done.get()).then(|| children())}
            <WhenFold seen />
            <Paged name total show />
            <p class="aside">{how}</p>
            {below}
            <div class="acts">
                <button type="button" class="act" class:main=move || !done.get() on:click=move |_| tap.run(())>{all}</button>
            </div>
        </div>
    }
}
