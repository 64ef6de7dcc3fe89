//! Her weights as a line over time, with the figures in a table behind a button.

use crate::prefs::Prefs;
use crate::words::{animals as words, dates, units};
use chrono::{NaiveDate, NaiveDateTime};
use leptos::prelude::*;
use trade::units::Mass;

const WIDE: f64 = 340.0;
const TALL: f64 = 96.0;
const EDGE: f64 = 6.0;
/// Weights drawn, the newest of them.
const MOST: usize = 120;

/// Oldest first.
#[component]
pub fn Weights(weights: Vec<(NaiveDateTime, Mass)>, today: NaiveDate, prefs: Prefs) -> impl IntoView {
    let skip = weights.len().saturating_sub(MOST);
    let weights: Vec<(NaiveDateTime, Mass)> = weights.into_iter().skip(skip).collect();
    let (Some(first), Some(last)) = (weights.first().map(|w| w.0), weights.last().map(|w| w.0)) else {
        return ().into_any();
    };
    let span = ((last - first).num_minutes() as f64).max(1.0);
    let low = weights.iter().map(|w| w.1).min().unwrap_or(Mass::ZERO);
    let high = weights.iter().map(|w| w.1).max().unwrap_or(Mass::ZERO);
    let height = ((high - low).0 as f64).max(1.0);
    let spot = |(at, mass): &(NaiveDateTime, Mass)| {
        let x = EDGE + (WIDE - 2.0 * EDGE) * ((*at - first).num_minutes() as f64 / span);
        let y = TALL - EDGE - (TALL - 2.0 * EDGE) * ((*mass - low).0 as f64 / height);
        (x, y)
    };
    let line: Vec<String> = weights.iter().map(spot).map(|(x, y)| format!("{x:.1},{y:.1}")).collect();
    let dots = weights
        .iter()
        .map(spot)
        .map(|(x, y)| view! { <circle cx=format!("{x:.1}") cy=format!("{y:.1}") r="3" /> }.into_any());
    let dots = dots.collect_view();
    let said = words::weights_from_to(
        &units::mass(low, &prefs),
        &units::mass(high, &prefs),
        &dates::range(first.date(), last.date(), today),
    );
    view! {
        <svg class="weights" viewBox=format!("0 0 {WIDE} {TALL}") role="img" aria-label=said.clone()>
            <polyline points=line.join(" ") />
            {dots}
        </svg>
        <p class="aside">{said}</p>
        <details>
            <summary>{words::WEIGHTS_TABLE}</summary>
            <table class="table">
                <thead><tr><th scope="col">{words::DAY}</th><th scope="col">{words::WEIGHT}</th></tr></thead>
                <tbody>{weights.iter().rev().map(|(at, mass)| view! {
                    <tr><td>{dates::day(at.date(), today)}</td><td>{units::mass(*mass, &prefs)}</td></tr>
                }.into_any()).collect_view()}</tbody>
            </table>
        </details>
    }
    .into_any()
}
