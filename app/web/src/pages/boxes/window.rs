//! A hatch window in words and as a taper.

use crate::clock;
use crate::prefs::prefs;
use crate::route::Page;
use crate::ui::{Burn, Taper};
use crate::words::{boxes as box_words, dates, heat as heat_words, mother, window as said};
use book::views::ClutchPart;
use chrono::{Datelike, NaiveDateTime, TimeDelta};
use leptos::prelude::*;
use trade::when::When;
use trade::window::{Stage, Window};

/// Against how many days a taper burns when no window can be given.
const NO_WINDOW_DAYS: f64 = 62.0;

/// How far a taper has burnt.
pub fn burn(laid: When, window: Option<&Window>, now: NaiveDateTime) -> Burn {
    let since = |t: NaiveDateTime| (t - laid.middle()).num_hours() as f64 / 24.0;
    match window {
        Some(w) => {
            let likely = (since(w.first.likely.0), since(w.first.likely.1));
            Burn::of_days(since(now), Some(likely), since(w.first.outer.1.max(w.last.likely.1)))
        }
        None => Burn::of_days(since(now), None, NO_WINDOW_DAYS),
    }
}

/// The large card on a box's page, one for each clutch in it.
#[component]
pub fn WindowCard(
    part: ClutchPart,
    named: bool,
    /// With their mother, in no box.
    nest: bool,
) -> impl IntoView {
    let prefs = prefs();
    let now = clock::now();
    let today = now.date();
    let (laid, since) = (part.laid?, part.since?);
    let window = part.window;
    let hours = part.species.pip_out_h;
    let figures = Page::Species(part.species.key.to_string()).href();
    let taper = burn(since.when, window.as_ref().ok(), now);
    let percent = window.as_ref().ok().map(|w| said::developed(w.developed));
    let told = part.told.as_ref().map(|told| said::told(told, today));
    // Under the picture too: beside it there is no room for a sentence on a phone.
    let why = window.clone().ok().map(|w| {
        view! {
            <div class="why">
                <p class="aside">{move || said::why(&w, &prefs.get())}</p>
                <p class="aside"><a class="reach" href=figures>{said::FIGURES}</a></p>
            </div>
        }
    });
    let words = match window {
        Ok(w) => {
            // From the first pip on there is a second, short clock: until the babies walk out.
            let out = (w.stage == Stage::Hatching).then(|| {
                let after = |t: NaiveDateTime, hours: f64| t + TimeDelta::minutes((hours * 60.0) as i64);
                let (from, to) = (after(w.first.median, hours.0), after(w.last.median.max(w.first.median), hours.1));
                view! { <p>{heat_words::out_by(hours, from, to, today)}</p> }
            });
            // Where one has pipped nobody has to be told when to look.
            let head = if w.stage == Stage::Hatching {
                view! { <p class="big">{said::HATCHING}</p> }.into_any()
            } else {
                let look = dates::near(w.look_from(), today);
                view! { <p class="big">{said::LOOK_FROM} " " <span class="nowrap">{look}</span></p> }.into_any()
            };
            let (likely, outer) = (w.first.likely, w.first.outer);
            // Two dates of a year to come are wider than a phone.
            let this_year = outer.0.date().year() == today.year();
            view! {
                {head}
                <p class:nowrap=this_year>{said::likely(likely.0.date(), likely.1.date(), today)}</p>
                <p class="aside" class:nowrap=this_year>{said::outer(outer.0.date(), outer.1.date(), today)}</p>
                {if nest { mother::stage(&w, today) } else { said::stage(&w, today) }.map(|s| view! { <p class="warn">{s}</p> })}
                {out}
            }
            .into_any()
        }
        Err(why) => view! { <p>{if nest { mother::no_window(why) } else { said::no_window(why) }}</p> }.into_any(),
    };
    Some(view! {
        <section class="card window-card">
            <Taper burn=taper height=190 />
            <div class="stack">
                {named.then(|| view! { <h3>{part.number}</h3> })}
                <p><span class="huge">{box_words::day(since, now)}</span> " " <span class="aside">{percent}</span></p>
                {words}
                <p class="aside">{said::laid(&dates::laid(laid, today), part.laid_is_found)}</p>
            </div>
            {told.map(|told| view! { <p class="why aside">{told}</p> })}
            {why}
        </section>
    })
}
