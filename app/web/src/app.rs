//! The frame of the app: opens the records, shows the page the address asks for, the bar and the last save.

use crate::pages;
use crate::prefs;
use crate::recent;
use crate::route::{self, Page};
use crate::store::{Barn, State};
use crate::trail;
use crate::ui::{Asked, Bar, PANES, Said, wide};
use crate::words;
use chrono::NaiveDate;
use leptos::either::Either;
use leptos::prelude::*;
use std::mem::discriminant;
use wasm_bindgen::JsCast;

#[component]
pub fn App() -> impl IntoView {
    let prefs = prefs::provide();
    let barn = Barn::provide(prefs.get_untracked().demo);
    let page = route::follow();
    Effect::new(move |_| page.with(recent::opened));
    Effect::new(move |last: Option<Page>| {
        let page = page.get();
        if last.is_some_and(|last| last != page) {
            barn.turned_page();
        }
        page
    });
    let there = Memo::new(move |_| page.with(|page| barn.is_there_for(page)));
    let opening = || view! { <div class="page"><p class="quiet">{words::OPENING}</p></div> }.into_any();
    // What a page is about may be undone while it stands, or come back: then it says so, or shows it again.
    let about = Memo::new(move |_| page.with(Page::about).is_none_or(|thing| barn.read(|book| book.has(&thing))));
    // A page that only lay open over midnight is made anew: much on it says how long ago. What somebody has touched may be
    // half done, and stands.
    let touched = StoredValue::new(false);
    let morning = RwSignal::new(());
    Effect::new(move |last: Option<NaiveDate>| {
        let today = barn.today();
        if last.is_some_and(|last| last != today) && !touched.get_value() {
            morning.set(());
        }
        today
    });
    let last = StoredValue::new((discriminant(&Page::Rounds), false));
    let shown = move || {
        morning.track();
        touched.set_value(false);
        // Read, not only followed: a memo that nobody read knows of nothing that changes.
        about.get();
        let kind = page.with(discriminant);
        let (before, even) = last.get_value();
        // Another page is made anew in the browser too. What two pages have alike would be kept otherwise, with the cursor
        // in it, a fold left open or a file chosen. From one record to the next the list beside it keeps its place.
        let even = even != (kind != before);
        last.set_value((kind, even));
        let shown = if there.get() { pages::show(page.get()) } else { opening() };
        if even { Either::Left(shown) } else { Either::Right(shown) }
    };
    // It stays as it is from one record to the next: only where another list belongs is it made anew.
    let roomy = wide(PANES);
    let beside = Memo::new(move |_| page.with(Page::beside).filter(|_| roomy.get() && there.get()));
    let list = move || {
        morning.track();
        beside.get().map(pages::beside)
    };
    view! {
        <button type="button" class="act skip" on:click=|_| trail::to_heading()>{words::SKIP}</button>
        // What is touched on the page is not what was asked about any more.
        <main
            id="page"
            on:click:capture=move |ev| if is_control(&ev) {
                touched.set_value(true);
                barn.withdraw();
            }
            on:input:capture=move |_| {
                touched.set_value(true);
                barn.withdraw();
            }
        >
            <Notices />
            {move || match barn.state.get() {
                State::Opening => opening(),
                State::Broken(trouble) => view! {
                    <div class="page">
                        <div class="banner bad" role="alert"><p>{words::trouble::opening(&trouble)}</p>
                            <button type="button" class="act" on:click=|_| reload()>{words::RELOAD}</button>
                            <a class="act" href=words::trouble::RESCUE_HREF>{words::trouble::RESCUE}</a>
                        </div>
                    </div>
                }.into_any(),
                State::Blocked => view! {
                    <div class="page"><div class="banner" role="alert"><p>{words::BLOCKED}</p></div></div>
                }.into_any(),
                State::Open => view! {
                    <pages::scan::KeyReader>
                        <div class="panes">{list}{shown}</div>
                    </pages::scan::KeyReader>
                }.into_any(),
            }}
        </main>
        <Said />
        <Asked />
        <Bar page />
    }
}

/// Whether a click met something that acts, not bare ground.
fn is_control(ev: &web_sys::MouseEvent) -> bool {
    let met = ev.target().and_then(|target| target.dyn_into::<web_sys::Element>().ok());
    met.and_then(|met| met.closest("a, button, input, select, textarea, label, summary, [role=button]").ok().flatten())
        .is_some()
}

pub fn reload() {
    if let Some(window) = web_sys::window() {
        let _ = window.location().reload();
    }
}

/// A new version waits; the copy for offline use failed; another tab has the records; the demonstration is open.
#[component]
fn Notices() -> impl IntoView {
    let barn = crate::store::barn();
    let root = || web_sys::window().and_then(|w| w.document()).and_then(|d| d.document_element());
    let said = move |name: &str| root().and_then(|r| r.get_attribute(name)).unwrap_or_default();
    let (update, set_update) = signal(said("data-update") == "ready");
    let (offline, set_offline) = signal(said("data-offline"));
    let heard = window_event_listener_untyped("candlemark:update-ready", move |_| set_update.set(true));
    let heard_offline =
        window_event_listener_untyped("candlemark:offline", move |_| set_offline.set(said("data-offline")));
    on_cleanup(move || {
        heard.remove();
        heard_offline.remove();
    });
    let take = |_| {
        if let (Some(window), Ok(event)) = (web_sys::window(), web_sys::Event::new("candlemark:update-take")) {
            let _ = window.dispatch_event(&event);
        }
    };
    view! {
        <div class="notices">
            {move || update.get().then(|| view! {
                <div class="banner" role="status"><p>{words::NEW_VERSION}</p>
                    <button type="button" class="act small" on:click=take>{words::TAKE_NEW_VERSION}</button>
                </div>
            })}
            {move || (offline.get() == "failed").then(|| view! {
                <div class="banner bad" role="status"><p>{words::OFFLINE_FAILED}</p></div>
            })}
            {move || barn.let_go.get().map(|why| view! {
                <div class="banner" role="alert"><p>{words::trouble::taken(&why)}</p>
                    <button type="button" class="act" on:click=|_| reload()>{words::RELOAD}</button>
                </div>
            })}
            {barn.demo.then(|| view! {
                <div class="banner slim"><p>{words::DEMO_BANNER}</p>
                    <button type="button" class="act small" on:click=|_| pages::settings::leave_demo()>{words::DEMO_LEAVE}</button>
                </div>
            })}
        </div>
    }
}

/// A page nobody made.
#[component]
pub fn Lost() -> impl IntoView {
    view! {
        <div class="page">
            <crate::ui::Empty text=words::LOST>
                <a class="act main" href=Page::Rounds.href()>{words::TO_ROUNDS}</a>
            </crate::ui::Empty>
        </div>
    }
}
