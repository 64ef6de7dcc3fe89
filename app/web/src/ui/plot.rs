//! A temperature over time: what was read as a line, what is assumed as dashes, what the species tolerates as a band,
//! power cuts as bars; under it the development of a box. Its table says the same.

use crate::prefs::Prefs;
use crate::words::{dates, heat as said, window as window_words};
use book::views::HeatPlot;
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use leptos::prelude::*;
use std::fmt::Write;

const WIDE: f64 = 360.0;
const LEFT: f64 = 38.0;
const TOP: f64 = 8.0;
const TALL: f64 = 130.0;
const GAP: f64 = 22.0;
const GROWN: f64 = 64.0;

/// Where things lie.
#[derive(Clone, Copy)]
struct Frame {
    from: NaiveDateTime,
    minutes: f64,
    low: f64,
    high: f64,
}

impl Frame {
    fn x(&self, t: NaiveDateTime) -> f64 {
        LEFT + (WIDE - LEFT - 4.0) * ((t - self.from).num_minutes() as f64 / self.minutes).clamp(0.0, 1.0)
    }

    fn y(&self, celsius: f64) -> f64 {
        TOP + TALL * (1.0 - ((celsius - self.low) / (self.high - self.low)).clamp(0.0, 1.0))
    }
}

/// The strokes as two paths: read, and assumed.
fn paths(plot: &HeatPlot, frame: Frame) -> (String, String) {
    let (mut read, mut assumed) = (String::new(), String::new());
    let mut last: Option<bool> = None;
    for stroke in &plot.strokes {
        let known = stroke.read && stroke.from < plot.now;
        let (a, b) = (frame.x(stroke.from), frame.x(stroke.to));
        let (low, high) = (frame.y(stroke.low), frame.y(stroke.high));
        let path = if known { &mut read } else { &mut assumed };
        let begin = if last == Some(known) { 'L' } else { 'M' };
        let middle = 0.5 * (a + b);
        // Up to the highest and down to the lowest within the stroke, so that a spike stays one.
        let _ = if known {
            write!(path, "{begin}{a:.1} {:.1}L{middle:.1} {high:.1}L{middle:.1} {low:.1}", 0.5 * (low + high))
        } else {
            write!(path, "{begin}{a:.1} {low:.1}L{b:.1} {high:.1}")
        };
        last = Some(known);
    }
    (read, assumed)
}

#[component]
pub fn Plot(plot: HeatPlot, prefs: Prefs) -> impl IntoView {
    let today = plot.now.date();
    let lows = plot.strokes.iter().map(|s| s.low);
    let highs = plot.strokes.iter().map(|s| s.high);
    let (band_low, band_high) = plot.tolerated.unwrap_or((40.0, 0.0));
    let frame = Frame {
        from: plot.from,
        minutes: (plot.to - plot.from).num_minutes().max(1) as f64,
        low: lows.fold(band_low, f64::min).floor() - 0.5,
        high: highs.fold(band_high, f64::max).ceil() + 0.5,
    };
    let (read, assumed) = paths(&plot, frame);
    let bottom = TOP + TALL;
    let grows = !plot.grown.is_empty();
    let tall = if grows { bottom + GAP + GROWN + 6.0 } else { bottom + GAP };
    let step = ((frame.high - frame.low) / 4.0).ceil().max(1.0);
    let first = (frame.low / step).ceil() * step;
    let lines = (0..6).map(|i| first + step * f64::from(i)).take_while(|c| *c <= frame.high).map(|c| {
        let y = frame.y(c);
        view! { <line class="rule" x1=LEFT x2=WIDE y1=y y2=y /><text x="0" y=y + 4.0>{said::degrees_short(c, &prefs)}</text> }
    });
    let band = plot.tolerated.map(|(low, high)| {
        view! { <rect class="kept" x=LEFT y=frame.y(high) width=WIDE - LEFT height=frame.y(low) - frame.y(high) /> }
    });
    let cuts = plot.incidents.iter().map(|(from, to, what)| {
        let width = (frame.x(*to) - frame.x(*from)).max(3.0);
        view! { <rect class="cut" x=frame.x(*from) y=TOP width=width height=TALL><title>{what.clone()}</title></rect> }
    });
    let moves = plot.moves.iter().map(|(at, to)| {
        let x = frame.x(*at);
        view! { <line class="moved" x1=x x2=x y1=TOP y2=bottom><title>{said::moved_to(to)}</title></line> }
    });
    let now = frame.x(plot.now);
    let marks = dates_along(&plot, frame, bottom, today);
    let under = grows.then(|| grown_view(&plot, frame, bottom + GAP));
    let gaps = plot.strokes.iter().any(|s| !s.read && s.from < plot.now);
    let label = said::plot_label(grows);
    view! {
        <svg class="plot" viewBox=format!("0 0 {WIDE} {tall}") role="img" aria-label=label>
            {band}
            {lines.collect_view()}
            {cuts.collect_view()}
            {moves.collect_view()}
            <path class="assumed" d=assumed />
            <path class="read" d=read />
            {marks}
            {under}
            // Not through the dates between the two.
            <line class="today" x1=now x2=now y1=TOP y2=bottom />
            {grows.then(|| view! { <line class="today" x1=now x2=now y1=bottom + GAP - 3.0 y2=tall - 2.0 /> })}
        </svg>
        <p class="aside">{said::legend(gaps, !plot.incidents.is_empty(), plot.tolerated.is_some(), plot.moves.len())}</p>
        <PlotTable plot prefs />
    }
}

fn dates_along(plot: &HeatPlot, frame: Frame, bottom: f64, today: NaiveDate) -> AnyView {
    let days = (plot.to - plot.from).num_days().max(1);
    let every = (days / 4).max(1);
    (0..=4)
        .map(|i| plot.from.date() + TimeDelta::days(1 + i * every))
        .filter(|day| frame.x(day.and_time(chrono::NaiveTime::MIN)) < WIDE - 40.0)
        .map(|day| {
            let x = frame.x(day.and_time(chrono::NaiveTime::MIN));
            view! { <text x=x y=bottom + 15.0>{dates::day(day, today)}</text> }
        })
        .collect_view()
        .into_any()
}

/// Development as a rising line, the window as a band.
fn grown_view(plot: &HeatPlot, frame: Frame, top: f64) -> AnyView {
    let y = |share: f64| top + GROWN * (1.0 - share);
    let mut line = String::new();
    for (i, (at, share)) in plot.grown.iter().enumerate() {
        let _ = write!(line, "{}{:.1} {:.1}", if i == 0 { 'M' } else { 'L' }, frame.x(*at), y(*share));
    }
    let window = plot.window.map(|w| {
        let bar = |(a, b): (NaiveDateTime, NaiveDateTime)| (frame.x(a), (frame.x(b) - frame.x(a)).max(2.0));
        let ((ox, ow), (lx, lw)) = (bar(w.outer), bar(w.likely));
        view! {
            <rect class="outer" x=ox y=top width=ow height=GROWN />
            <rect class="likely" x=lx y=top width=lw height=GROWN />
        }
    });
    view! {
        {window}
        <line class="rule" x1=LEFT x2=WIDE y1=y(1.0) y2=y(1.0) />
        <line class="rule" x1=LEFT x2=WIDE y1=y(0.0) y2=y(0.0) />
        <text x="0" y=y(1.0) + 5.0>"100 %"</text>
        <text x="0" y=y(0.0) + 3.0>"0 %"</text>
        <text x=LEFT + 5.0 y=y(1.0) + 15.0>{said::DEVELOPED}</text>
        <path class="grown" d=line />
    }
    .into_any()
}

#[component]
fn PlotTable(plot: HeatPlot, prefs: Prefs) -> impl IntoView {
    let open = RwSignal::new(false);
    let today = plot.now.date();
    let grows = !plot.grown.is_empty();
    let humid = plot.days.iter().any(|day| day.humidity.is_some());
    let rows = move || {
        open.get().then(|| {
            let days = plot.days.iter().rev().map(|day| {
                let spread = said::from_to(day.low, day.high, &prefs);
                let how = if day.read && day.day <= today { said::IS_READ } else { said::IS_ASSUMED };
                let damp = day.humidity.and_then(|(low, high)| said::humidity([low, high].into_iter()));
                let grown = day.grown.map(window_words::percent).unwrap_or_default();
                view! {
                    <tr><td class="nowrap">{dates::day(day.day, today)}</td><td class="nowrap">{spread}</td><td>{how}</td>
                    {humid.then(|| view! { <td class="nowrap">{damp}</td> })}
                    {grows.then(|| view! { <td>{grown}</td> })}</tr>
                }
            });
            let incidents = plot.incidents.iter().map(|(from, to, what)| {
                view! { <li>{what.clone()}" "<span class="aside">{said::span(*from, *to, today)}</span></li> }
            });
            view! {
                <ul>{incidents.collect_view()}</ul>
                <table class="table">
                    <thead><tr><th>{said::DAY}</th><th>{said::TEMPERATURE}</th><th>{said::HOW}</th>
                    {humid.then(|| view! { <th>{said::HUMIDITY}</th> })}
                    {grows.then(|| view! { <th>{said::DEVELOPED}</th> })}</tr></thead>
                    <tbody>{days.collect_view()}</tbody>
                </table>
            }
        })
    };
    view! {
        <button type="button" class="act small" aria-expanded=move || open.get().to_string()
            on:click=move |_| open.update(|o| *o = !*o)>{said::AS_TABLE}</button>
        {rows}
    }
}
