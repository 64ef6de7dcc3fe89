//! The frame around every page.

use crate::route::Page;
use crate::store::barn;
use crate::words::{self, nav};
use leptos::prelude::*;

/// The bar at the bottom (phones) or the side (wide screens).
#[component]
pub fn Bar(page: ReadSignal<Page>) -> impl IntoView {
    let item = move |to: Page, said: &'static str, here: fn(&Page) -> bool| {
        view! {
            <a href=to.href() aria-current=move || page.with(here).then_some("page") class:scan=to == Page::Scan>{said}</a>
        }
    };
    view! {
        <nav class="bar" aria-label=nav::LABEL>
            {item(Page::Rounds, nav::ROUNDS, |p| *p == Page::Rounds)}
            {item(Page::Boxes, nav::BOXES, |p| matches!(p, Page::Boxes | Page::Box(_) | Page::Clutch(_)))}
            {item(Page::Scan, nav::SCAN, |p| matches!(p, Page::Scan | Page::Walks | Page::Walk(_) | Page::FromLabel(_)))}
            {item(Page::Animals, nav::ANIMALS, |p| matches!(p, Page::Animals | Page::Animal(_) | Page::Many | Page::Pairings | Page::Pairing(_)))}
            {item(Page::More, nav::MORE, |p| matches!(p, Page::More | Page::Settings | Page::Daybook | Page::Bundles | Page::BundleShared | Page::Sheet | Page::Places | Page::WhereIs | Page::BarnSheet | Page::Place(_) | Page::Season | Page::SeasonPart(_) | Page::SpeciesAll | Page::Species(_)))}
        </nav>
    }
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
                    <button type="button" class="act" on:click=move |_| barn.question.set(None)>{words::LOOK_AGAIN}</button>
                    <button type="button" class="act main" on:click=yes>{words::SAVE_ALL_THE_SAME}</button>
                </div>
            </div>
        }
    })
    }
}

/// An empty page teaches the next act.
#[component]
pub fn Empty(#[prop(into)] text: String, children: Children) -> impl IntoView {
    view! {
        <div class="empty">
            <p>{text}</p>
            {children()}
        </div>
    }
}

/// A caution where it matters, once.
#[component]
pub fn Caution(#[prop(into)] text: String) -> impl IntoView {
    view! { <p class="caution">{text}</p> }
}
