//! By light: entries from one screen to another device's camera, and the other way round. What arrives is a bundle, and comes in
//! as one.

mod awake;
mod codes;
mod look;
mod steps;

use crate::prefs::{Theme, prefs};
use crate::route::Page;
use crate::ui::{Arrived, Head};
use crate::words::{bundles, light as words};
use awake::Awake;
use codes::{Moving, Resting};
use leptos::prelude::*;
use look::Look;
use steps::{Offer, Step, Walk};

#[component]
pub fn Light() -> impl IntoView {
    let walk = Walk::new();
    on_cleanup(move || walk.stop());
    let night =
        move || prefs().with(|prefs| prefs.theme == Theme::Night).then(|| view! { <p class="warn">{words::NIGHT}</p> });
    let shown = move || match walk.step.get() {
        Step::Start => view! {
            <section class="card stack">
                <p>{words::SAID}</p>
                <p class="aside">{words::STAYS}</p>
                {night}
                <button type="button" class="act main" on:click=move |_| walk.ask(None)>{words::ASK}</button>
                <button type="button" class="act" on:click=move |_| walk.look()>{words::LOOK}</button>
            </section>
            <details class="card">
                <summary>{words::HOW}</summary>
                <ol class="lines">{words::STEPS.map(|step| view! { <li>{step}</li> })}</ol>
            </details>
        }
        .into_any(),
        Step::Ask { code, said } => view! {
            <section class="card stack">
                <p>{said}</p>
                <Resting code />
                <button type="button" class="act main" on:click=move |_| walk.look()>{words::NOW_LOOK}</button>
                <p class="aside">{words::BRIGHT}</p>
                <Awake />
            </section>
        }
        .into_any(),
        Step::Look => view! { <Look walk /><Awake /> }.into_any(),
        Step::Working(said) => view! { <p class="card" role="status">{said}</p> }.into_any(),
        Step::Offer(offer) => view! { <Offered walk offer night /> }.into_any(),
        Step::Give(offer) => view! {
            <section class="card stack">
                <p>{words::GIVING}</p>
                <Moving walk offer=offer.clone() />
                <button type="button" class="act main" on:click=move |_| walk.given(&offer)>
                    {if offer.gap.get > 0 { words::FULL_THEN_LOOK } else { words::FULL }}
                </button>
                <Paces walk />
                <p class="aside">{words::BRIGHT}</p>
                <Awake />
            </section>
        }
        .into_any(),
        Step::Arrived { found, stamp } => {
            let heads = found.looked.heads.clone();
            let taken = Callback::new(move |()| walk.learn(heads.clone(), stamp));
            let left = Callback::new(move |()| walk.begin(Some(words::LEFT.to_owned())));
            view! { <section class="card stack"><Arrived found taken left /></section> }.into_any()
        }
        Step::Level(said) => view! {
            <section class="card stack">
                <p role="status">{said}</p>
                <p class="aside">{words::LEVEL_HOW}</p>
                <a class="act" href=Page::Bundles.href()>{bundles::TITLE}</a>
            </section>
        }
        .into_any(),
    };
    let started = move || !matches!(walk.step.get(), Step::Start);
    view! {
        <div class="page light">
            <Head title=words::TITLE.to_string() back=(Page::Bundles, bundles::TITLE.to_owned()) />
            {move || walk.failed.get().map(|said| view! { <p class="warn card" role="alert">{said}</p> })}
            {shown}
            {move || started().then(|| view! {
                <button type="button" class="act" on:click=move |_| walk.begin(None)>{words::AGAIN}</button>
            })}
        </div>
    }
}

/// What would pass, before anything lights up.
#[component]
fn Offered<N: IntoView + 'static>(walk: Walk, offer: Offer, night: impl Fn() -> N + Send + 'static) -> impl IntoView {
    let (gap, bytes) = (offer.gap, offer.content.len());
    let said = move || {
        let pace = walk.pace.get();
        words::offer(gap, pace.codes(bytes), pace.seconds(bytes))
    };
    view! {
        <section class="card stack">
            <p role="status">{said}</p>
            {night}
            <button type="button" class="act main" on:click=move |_| walk.give(&offer)>{words::GIVE}</button>
            <Paces walk />
        </section>
    }
}

/// How fine the codes are.
#[component]
fn Paces(walk: Walk) -> impl IntoView {
    view! {
        <div class="gap chips" role="group" aria-label=words::SIZE data-now="">
            {light::Pace::ALL.map(|pace| view! {
                <button type="button" class="chip" aria-pressed=move || (walk.pace.get() == pace).to_string()
                    on:click=move |_| walk.pace.set(pace)>{words::pace(pace)}</button>
            })}
        </div>
        <p class="aside">{words::SIZE_SAID}</p>
    }
}
