//! Past windows: how many held, and each clutch against what was foretold.

use crate::clock;
use crate::prefs::Prefs;
use crate::route::Page;
use crate::words::{dates, heat as said};
use book::{OwnHatches, PastClutch};
use chrono::NaiveDateTime;
use leptos::prelude::*;
use trade::learn::Fell;

const WIDE: f64 = 360.0;
const LEFT: f64 = 66.0;
const ROW: f64 = 18.0;
/// Rows drawn; the newest of more.
const DRAWN: usize = 30;

#[component]
pub fn Past(own: OwnHatches, prefs: Prefs) -> impl IntoView {
    if own.clutches.is_empty() {
        return view! { <p class="card quiet">{said::NO_OWN}</p> }.into_any();
    }
    let scored: Vec<&PastClutch> = own.clutches.iter().filter(|c| c.fell.is_some()).collect();
    let inside = scored.iter().filter(|c| c.fell == Some(Fell::Likely)).count();
    let outer = scored.iter().filter(|c| matches!(c.fell, Some(Fell::Early | Fell::Likely | Fell::Late))).count();
    let of = scored.len();
    let plot = (of > 0).then(|| plot(&scored));
    let odd = odd(&own, &prefs);
    let today = clock::today();
    let rows = own.clutches.iter().rev().map(|clutch| {
        let foretold = clutch.foretold.map(|r| dates::range(r.likely.0.date(), r.likely.1.date(), today));
        let seen = clutch.pip.map_or_else(|| said::WAS_CUT.to_owned(), |pip| dates::day(pip.date(), today));
        let verdict = match (&clutch.lesson, clutch.fell) {
            (Err(why), _) => why.to_string(),
            (Ok(_), Some(fell)) => said::fell(fell).to_owned(),
            (Ok(_), None) => String::new(),
        };
        view! {
            <tr><td>{clutch.number.clone()}</td><td class="nowrap">{foretold.unwrap_or_default()}</td><td>{seen}<br/><span class="aside">{verdict}</span></td></tr>
        }
    });
    view! {
        {odd}
        <section class="card stack">
            {(of > 0).then(|| view! { <p>{said::score(inside, outer, of)}</p><p class="aside">{said::SCORED_AS}</p> })}
            {plot}
            <details>
                <summary>{said::AS_TABLE}</summary>
                <table class="table">
                    <thead><tr><th>{said::CLUTCH}</th><th>{said::FORETOLD}</th><th>{said::SEEN}</th></tr></thead>
                    <tbody>{rows.collect_view()}</tbody>
                </table>
            </details>
        </section>
    }
    .into_any()
}

/// What does not fit the others, each a tap away.
fn odd(own: &OwnHatches, prefs: &Prefs) -> Option<AnyView> {
    let clutches = own.clutches.iter().filter_map(|clutch| {
        let words = said::odd_clutch(&clutch.number, clutch.doubt?.off_days);
        Some(view! { <li><a href=Page::Clutch(clutch.clutch.to_string()).href()>{words}</a></li> }.into_any())
    });
    let shelves =
        own.astray.iter().map(|(name, off)| view! { <li>{said::odd_shelf(name, *off, prefs)}</li> }.into_any());
    let lines: Vec<AnyView> = clutches.chain(shelves).collect();
    (!lines.is_empty()).then(|| {
        view! {
            <section class="card stack">
                <h3>{said::ODD}</h3>
                <ul>{lines}</ul>
                <p class="aside">{said::ODD_HINT}</p>
            </section>
        }
        .into_any()
    })
}

/// One row a clutch: its window with the foretold day in the middle, and the dot of what was seen.
fn plot(scored: &[&PastClutch]) -> AnyView {
    let newest = &scored[scored.len().saturating_sub(DRAWN)..];
    let off = |range: &trade::window::Range, t: NaiveDateTime| (t - range.median).num_minutes() as f64 / 1440.0;
    let reach = newest.iter().filter_map(|c| {
        let range = c.foretold.as_ref()?;
        let seen = off(range, c.pip?.middle()).abs();
        Some(seen.max(off(range, range.outer.0).abs()).max(off(range, range.outer.1)))
    });
    let most = reach.fold(3.0, f64::max).ceil();
    let x = move |days: f64| LEFT + (WIDE - LEFT) * (days + most) / (2.0 * most);
    let tall = ROW * newest.len() as f64 + 22.0;
    let rows = newest.iter().enumerate().filter_map(|(i, clutch)| {
        let range = clutch.foretold.as_ref()?;
        let y = 4.0 + ROW * (i as f64 + 0.5);
        let at = |t| x(off(range, t));
        let seen = at(clutch.pip?.middle());
        Some(view! {
            <text class="name" x="0" y=y + 4.0>{clutch.number.clone()}</text>
            <line class="life" x1=at(range.outer.0) x2=at(range.outer.1) y1=y y2=y />
            <rect class="likely" x=at(range.likely.0) width=(at(range.likely.1) - at(range.likely.0)).max(2.0) y=y - 5.0 height="10" rx="3" />
            <circle class="seen" cx=seen cy=y r="4.5" />
        })
    });
    let middle = x(0.0);
    view! {
        <svg class="strip" viewBox=format!("0 0 {WIDE} {tall}") role="img" aria-label=said::SCORE_LABEL>
            <line class="week" x1=middle x2=middle y1="0" y2=tall - 18.0 />
            {rows.collect_view()}
            <text x=x(-most) y=tall - 4.0>{said::off(-most)}</text>
            <text class="end" x=WIDE y=tall - 4.0>{said::off(most)}</text>
        </svg>
    }
    .into_any()
}
