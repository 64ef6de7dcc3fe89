//! The frame around every page.

use super::{DESK, wide};
use crate::pages;
use crate::route::Page;
use crate::store::barn;
use crate::words::{self, nav};
use desk::page::Section;
use leptos::prelude::*;
use leptos::reactive::computed::ScopedFuture;
use leptos::task::spawn_local;

/// The bar at the bottom (phones) or the side; on a desk all sections, once their part is here.
#[component]
pub fn Bar(page: ReadSignal<Page>) -> impl IntoView {
    let desk = wide(DESK);
    move || {
        if !desk.get() {
            return bar(page);
        }
        let side = RwSignal::new_local(None::<AnyView>);
        spawn_local(ScopedFuture::new(async move {
            // Where it cannot be fetched, the bar does.
            if let Ok(all) = pages::side().await {
                let _ = side.try_set(Some(all));
            }
        }));
        let shown = move || {
            side.track();
            side.write_untracked().take().unwrap_or_else(|| bar(page))
        };
        shown.into_any()
    }
}

fn bar(page: ReadSignal<Page>) -> AnyView {
    let at = Memo::new(move |_| page.with(Page::section).map(Section::on_bar));
    let item = |section: Section| {
        let here = move || (at.get() == Some(section)).then_some("page");
        view! {
            <a href=section.page().href() aria-current=here class:scan=section == Section::Scan>{nav::section(section)}</a>
        }
    };
    view! { <nav class="bar" aria-label=nav::LABEL>{Section::BAR.map(item).collect_view()}</nav> }.into_any()
}

/// A page's title, with an aside, and the way back where there is one.
#[component]
pub fn Head(
    #[prop(into)] title: Signal<String>,
    #[prop(optional, into)] aside: Signal<String>,
    #[prop(optional)] back: Option<(Page, String)>,
) -> impl IntoView {
    Effect::new(move |_| {
        if let Some(document) = web_sys::window().and_then(|w| w.document()) {
            document.set_title(&words::title(&title.get()));
        }
    });
    view! {
        {back.map(|(to, said)| view! { <a class="back" href=to.href()>"‹ "{said}</a> })}
        <header class="head">
            <h1>{title}</h1>
            <span class="aside">{aside}</span>
        </header>
    }
}

/// What the last save said, with its undo.
#[component]
pub fn Said() -> impl IntoView {
    let barn = barn();
    view! {
        <div role="status" aria-live="polite">
            // Over the page, like what is said of the last save: nothing moves under a finger.
            {move || barn.working.get().then(|| view! { <div class="toast"><p>{words::WORKING}</p></div> })}
            {move || barn.toast.get().filter(|_| !barn.working.get()).map(|toast| view! {
                <div class="toast">
                    <p>{toast.text}</p>
                    {toast.undo.map(|reference| view! {
                        <button type="button" on:click=move |_| barn.undo(reference)>{words::UNDO}</button>
                    })}
                    <button type="button" on:click=move |_| barn.toast.set(None)>{words::CLOSE}</button>
                </div>
            })}
        </div>
    }
}

/// Asks once about what is unlikely, before it is saved.
#[component]
pub fn Asked() -> impl IntoView {
    let barn = barn();
    move || {
        barn.question.get().map(|question| {
        let go_on = question.go_on;
        let yes = move |_| {
            barn.question.set(None);
            if let Some(go_on) = go_on.take() {
                go_on();
            }
        };
        view! {
            <div class="asked" role="alertdialog" aria-label=words::SURE>
                <ul>{question.doubts.into_iter().map(|d| view! { <li>{d}</li> }).collect_view()}</ul>
                <div class="gap">
                    <button type="button" class="act main" on:click=move |_| barn.question.set(None)>{words::LOOK_AGAIN}</button>
                    <button type="button" class="act" on:click=yes>{words::SAVE_ALL_THE_SAME}</button>
                </div>
            </div>
        }
    })
    }
}

/// An empty page teaches the next act.
#[component]
pub fn Empty(#[prop(into)] text: String, #[prop(optional)] children: Option<Children>) -> impl IntoView {
    view! {
        <div class="empty">
            <p>{text}</p>
            {children.map(|children| children())}
        </div>
    }
}

/// A caution where it matters, once.
#[component]
pub fn Caution(#[prop(into)] text: String) -> impl IntoView {
    view! { <p class="caution">{text}</p> }
}
