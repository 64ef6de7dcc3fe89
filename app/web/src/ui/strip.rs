//! The hatch strip: one row a box, from lay to window, weeks across, today a line. Its table says the same.

use crate::words::{dates, strip as said, window};
use book::views::Since;
use chrono::{Datelike, NaiveDate, TimeDelta};
use leptos::prelude::*;

#[derive(Clone, Debug, PartialEq)]
pub struct StripRow {
    pub name: String,
    pub since: Since,
    pub likely: (NaiveDate, NaiveDate),
    pub outer: (NaiveDate, NaiveDate),
    /// Each day with the chance of its being the day of the first pip.
    pub days: Vec<(NaiveDate, f64)>,
}

const WIDE: f64 = 360.0;
const ROW: usize = 22;
const HEAD: usize = 20;
/// Weeks before today that are shown; what was laid earlier starts at the edge.
const BACK_DAYS: i64 = 28;

#[component]
pub fn Strip(rows: Vec<StripRow>, today: NaiveDate) -> impl IntoView {
    // Wide enough for two numbers where a box holds two clutches.
    let names = if rows.iter().any(|r| r.name.chars().count() > 9) { 100.0 } else { 64.0 };
    let first = today - TimeDelta::days(BACK_DAYS);
    let last = rows.iter().map(|r| r.outer.1).max().unwrap_or(today).max(today) + TimeDelta::days(3);
    let span = (last - first).num_days().max(1) as f64;
    let x = move |d: NaiveDate| names + (WIDE - names) * ((d - first).num_days() as f64 / span).clamp(0.0, 1.0);
    let every = (span / 7.0 / 5.0).ceil() as usize;
    let at = move |d: NaiveDate| decimal(x(d), 1);
    let tall = HEAD + ROW * rows.len() + 4;
    let weeks: Vec<_> = first
        .iter_days()
        .take_while(|d| *d <= last)
        .filter(|d| d.weekday() == chrono::Weekday::Mon)
        .enumerate()
        .map(|(i, d)| {
            // As many dates as fit without touching, none at the very edge.
            let label = (i % every == 0 && x(d) < WIDE - 44.0)
                .then(|| view! { <text x=decimal(x(d) + 2.0, 1) y="12">{dates::axis(d)}</text> });
            view! { <line class="week" x1=at(d) x2=at(d) y1=HEAD y2=tall /> {label} }
        })
        .collect();
    let bars: Vec<_> =
        rows.iter()
            .enumerate()
            .map(|(i, r)| {
                let mid = HEAD + ROW * i + ROW / 2;
                let next = |d: NaiveDate| d.succ_opt().unwrap_or(d);
                let most = r.days.iter().map(|d| d.1).fold(1e-9, f64::max);
                // The darker a day, the likelier; none so faint that it is not seen.
                let shades: Vec<_> = r.days.iter().filter(|d| d.1 > 0.0).map(|&(day, chance)| {
                let opacity = decimal(0.12 + 0.88 * chance / most, 2);
                let wide = decimal((x(next(day)) - x(day)).max(0.5), 1);
                view! { <rect class="likely" x=at(day) y=mid - 6 width=wide height="12" fill-opacity=opacity /> }
            }).collect();
                view! {
                    <text class="name" x="0" y=mid + 4>{r.name.clone()}</text>
                    <line class="life" x1=at(r.since.when.date()) x2=at(r.outer.0) y1=mid y2=mid />
                    {shades}
                }
            })
            .collect();
    view! {
        <svg class="strip" viewBox=format!("0 0 {} {tall}", decimal(WIDE, 0)) role="img" aria-label=said::LABEL>
            {weeks}
            {bars}
            <line class="today" x1=at(today) x2=at(today) y1=HEAD - 4 y2=tall />
        </svg>
        <details>
            <summary>{said::AS_TABLE}</summary>
            <table class="table">
                <thead><tr><th>{said::BOX}</th><th>{said::LAID}</th><th>{said::LIKELY}</th></tr></thead>
                <tbody>
                    {rows.into_iter().map(|r| view! {
                        <tr><td>{r.name}</td><td>{window::since_cell(r.since, today)}</td><td class="nowrap">{dates::range(r.likely.0, r.likely.1, today)}</td></tr>
                    }).collect_view()}
                </tbody>
            </table>
        </details>
    }
}

/// A number with so many figures after the point, for a drawing; below 10¹⁵.
///
/// The standard library's own printing of fractions is exact to the last of a thousand figures, and would be 5 kB of the
/// first download.
pub(super) fn decimal(value: f64, figures: u32) -> String {
    let one = 10_u64.pow(figures);
    let parts = (value.abs() * one as f64).round() as u64;
    let minus = if value < 0.0 && parts > 0 { "-" } else { "" };
    match figures {
        0 => format!("{minus}{parts}"),
        _ => format!("{minus}{}.{:0wide$}", parts / one, parts % one, wide = figures as usize),
    }
}

#[cfg(test)]
mod tests {
    use super::decimal;

    #[test]
    fn halves_go_away_from_nought() {
        let shown = [(8.25, 1), (-8.25, 1), (0.04, 1), (-0.04, 1), (99.96, 1), (1486.0, 0), (52.416, 2), (0.05, 2)];
        let shown = shown.map(|(value, figures)| decimal(value, figures));
        assert_eq!(shown, ["8.3", "-8.3", "0.0", "0.0", "100.0", "1486", "52.42", "0.05"]);
    }
}
