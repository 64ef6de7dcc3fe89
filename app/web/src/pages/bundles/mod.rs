//! Bundles: records to and from other devices. Make one, open one, see who is known and what came in.

mod along;
mod health;
mod known;
mod make;
mod nag;
mod open;
mod sheets;

pub use nag::Nag;

use crate::clock;
use crate::route::Page;
use crate::store::barn;
use crate::ui::Head;
use crate::words::{bundles as words, light, settings, share};
use health::Health;
use known::{Devices, Imports};
use leptos::prelude::*;
use make::Make;
use open::Open;
use sheets::{Pictures, Sheets};

const DAY_MS: u64 = 24 * 60 * 60 * 1000;

/// How old the last bundle from here is, in whole days.
fn age_days(made_ms: u64) -> u64 {
    clock::wall().ms.saturating_sub(made_ms) / DAY_MS
}

#[component]
pub fn Bundles(
    /// A file was shared with the app and waits to be opened.
    shared: bool,
) -> impl IntoView {
    let barn = barn();
    let aside = Signal::derive(move || barn.exchange().made_ms.map(|ms| words::age(age_days(ms))).unwrap_or_default());
    view! {
        <div class="page">
            <Head title=words::TITLE.to_string() aside back=(Page::More, settings::MORE.to_owned()) />
            <p class="sub">{words::SAID}</p>
            <a class="row card" href=Page::Share.href()>
                <span class="text">
                    <span class="title">{share::TITLE}</span>
                    <span class="aside">{move || barn.step.get().unwrap_or_else(|| share::TITLE_SAID.to_owned())}</span>
                </span>
            </a>
            <a class="row card" href=Page::Light.href()>
                <span class="text">
                    <span class="title">{light::TITLE}</span>
                    <span class="aside">{light::TITLE_SAID}</span>
                </span>
            </a>
            // What was handed over comes first: there is something to decide.
            {shared.then(|| view! { <Open shared /> })}
            <Make />
            {(!shared).then(|| view! { <Open shared /> })}
            <Imports />
            <Health />
            <Devices />
            <Sheets />
            <Pictures />
            <Steps title=words::NEW_PHONE steps=&words::NEW_PHONE_STEPS />
            <Steps title=words::IPHONE steps=&words::IPHONE_STEPS />
        </div>
    }
}

/// Steps to take, behind their title.
#[component]
fn Steps(title: &'static str, steps: &'static [&'static str]) -> impl IntoView {
    view! {
        <details class="card">
            <summary>{title}</summary>
            <ol class="lines">{steps.iter().map(|step| view! { <li>{*step}</li> }).collect_view()}</ol>
        </details>
    }
}

/// How far a worker is, with a way to end it.
#[component]
fn Working(percent: RwSignal<Option<u32>>, cancel: Callback<()>) -> impl IntoView {
    move || {
        percent.get().map(|done| {
            view! {
                <div class="spread" role="status">
                    <progress max="100" value=done.to_string() aria-label=words::working(done)></progress>
                    <span>{words::working(done)}</span>
                    <button type="button" class="act small" on:click=move |_| cancel.run(())>{words::CANCEL}</button>
                </div>
            }
        })
    }
}
