//! Three small charts: weeks as bars with whiskers, figures with their intervals, points on a curve. Each is one picture
//! with a label; what it says stands in words or a table beside it.

use desk::axis::ticks;
use desk::keys::along;
use leptos::prelude::*;
use std::fmt::Write;

const WIDE: f64 = 360.0;
/// Room for a day's name, as `28 Sep`.
const NAME_WIDE: f64 = 40.0;
/// Letters of a name that a line has room for.
const NAME_LETTERS: usize = 52;

/// A bar of a week: expected, and the range it lies in four times of five; `was` as it would be otherwise.
#[derive(Clone, Debug, PartialEq)]
pub struct WeekBar {
    pub label: String,
    pub mean: f64,
    pub low: f64,
    pub high: f64,
    pub was: Option<f64>,
}

/// Weeks as bars with whiskers.
pub fn week_bars(id: &'static str, label: String, bars: Vec<WeekBar>) -> AnyView {
    let (left, top, tall) = (28.0, 8.0, 140.0);
    let most = bars.iter().map(|b| b.high.max(b.mean).max(b.was.unwrap_or(0.0))).fold(1.0, f64::max);
    let step = nice_step(most / 4.0);
    let top_value = (most / step).ceil() * step;
    let y = move |v: f64| top + tall * (1.0 - v / top_value);
    let width = (WIDE - left) / bars.len().max(1) as f64;
    let lines: Vec<AnyView> = (0..=(top_value / step).round() as u32)
        .map(|i| {
            let v = step * f64::from(i);
            view! {
                <line class="rule" x1=left x2=WIDE y1=y(v) y2=y(v) />
                <text class="end" x=left - 5.0 y=y(v) + 4.0>{format!("{v:.0}")}</text>
            }
            .into_any()
        })
        .collect();
    let every = (bars.len() as f64 / 6.0).ceil().max(1.0) as usize;
    let marks: Vec<AnyView> = bars
        .iter()
        .enumerate()
        .map(|(i, bar)| {
            let x = left + width * i as f64;
            let middle = x + width / 2.0;
            let wide = (width * 0.62).min(26.0);
            let whisker = format!(
                "M{middle:.1} {:.1}V{:.1}M{:.1} {:.1}h{:.1}M{:.1} {:.1}h{:.1}",
                y(bar.low),
                y(bar.high),
                middle - 4.0,
                y(bar.low),
                8.0,
                middle - 4.0,
                y(bar.high),
                8.0
            );
            // A name begins under its bar; one that would run off the picture is left out.
            let name = (i % every == 0 && x < WIDE - NAME_WIDE).then(|| view! { <text x=x y=top + tall + 16.0>{bar.label.clone()}</text> });
            let was = bar.was.map(|was| {
                let d = format!("M{:.1} {:.1}h{:.1}", middle - wide / 2.0 - 2.0, y(was), wide + 4.0);
                view! { <path class="was" d=d /> }
            });
            view! {
                <rect class="mean" x=middle - wide / 2.0 y=y(bar.mean) width=wide height=(y(0.0) - y(bar.mean)).max(0.0) />
                <path class="whisker" d=whisker />
                {was}
                {name}
            }
            .into_any()
        })
        .collect();
    view! {
        <svg class="chart" id=id viewBox=format!("0 0 {WIDE} {}", top + tall + 24.0) role="img" aria-label=label>
            {lines}
            {marks}
        </svg>
    }
    .into_any()
}

/// The same, where a finger, a pointer or the arrow keys come to a bar and what it says is told below: `said` of each.
pub fn told_bars(id: &'static str, label: String, bars: Vec<WeekBar>, said: Vec<String>, how: &'static str) -> AnyView {
    let at = RwSignal::new(None::<usize>);
    let n = said.len();
    let (left, top, tall) = (28.0, 8.0, 140.0);
    let width = (WIDE - left) / n.max(1) as f64;
    let marked = move || {
        let x = left + width * at.get()? as f64;
        Some(view! { <rect class="at" x=x y=top width=width height=tall /> })
    };
    let spots = (0..n).map(|i| {
        let come = move || at.set(Some(i));
        view! { <rect class="spot" x=left + width * i as f64 y="0" width=width height=top + tall + 24.0 on:pointerenter=move |_| come() on:click=move |_| come() /> }
    });
    let key = move |ev: leptos::ev::KeyboardEvent| {
        if let Some(next) = along(&ev.key(), at.get_untracked(), n) {
            ev.prevent_default();
            at.set(Some(next));
        }
    };
    let tall_all = top + tall + 24.0;
    view! {
        <div class="told" tabindex="0" role="group" aria-label=how on:keydown=key>
            {week_bars(id, label, bars)}
            <svg class="spots-over" viewBox=format!("0 0 {WIDE} {tall_all}") aria-hidden="true">{marked}{spots.collect_view()}</svg>
        </div>
        <p class="readout" role="status">{move || at.get().and_then(|at| said.get(at).cloned()).unwrap_or_else(|| how.to_owned())}</p>
    }
    .into_any()
}

/// A figure with its interval; no interval where too little stands behind it.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    pub name: String,
    pub at: f64,
    pub ends: Option<(f64, f64)>,
}

/// Figures with their intervals, one under the other. `all` is drawn through them.
pub fn spans(id: &'static str, label: String, rows: Vec<Span>, all: Option<f64>, shown: fn(f64) -> String) -> AnyView {
    // A name has a line of its own: of a place that stands in others both ends tell it apart.
    let (row_tall, head) = (36.0, 20.0);
    let values = || rows.iter().flat_map(|r| [r.at, r.ends.map_or(r.at, |e| e.0), r.ends.map_or(r.at, |e| e.1)]);
    let (low, high) = (values().fold(f64::INFINITY, f64::min), values().fold(f64::NEG_INFINITY, f64::max));
    let (low, high) = if high - low > 1e-9 { (low, high) } else { (low - 1.0, high + 1.0) };
    let x = move |v: f64| 20.0 + (WIDE - 40.0) * (v - low) / (high - low);
    let tall = head + row_tall * rows.len() as f64 + 4.0;
    let mut last = String::new();
    let mut marks = Vec::new();
    for v in ticks(low, high, 4, 0.0) {
        let said = shown(v);
        // Rounded for the eye, two neighbours may come to one.
        if said != last {
            marks.push(view! {
                <line class="rule" x1=x(v) x2=x(v) y1=head - 4.0 y2=tall />
                <text class="middle" x=x(v) y="12">{said.clone()}</text>
            });
            last = said;
        }
    }
    let through = all.map(|v| view! { <line class="all" x1=x(v) x2=x(v) y1=head - 4.0 y2=tall /> });
    let drawn: Vec<AnyView> = rows
        .iter()
        .enumerate()
        .map(|(i, row)| {
            let y = head + row_tall * (i as f64 + 0.75);
            let line = row.ends.map(|(a, b)| {
                format!("M{:.1} {y:.1}H{:.1}M{:.1} {:.1}v8M{:.1} {:.1}v8", x(a), x(b), x(a), y - 4.0, x(b), y - 4.0)
            });
            view! {
                <text class="name" x="0" y=y - 12.0>{short(&row.name)}</text>
                {line.map(|d| view! { <path class="whisker" d=d /> })}
                <circle class="dot" cx=x(row.at) cy=y r="4" />
            }
            .into_any()
        })
        .collect();
    view! {
        <svg class="chart" id=id viewBox=format!("0 0 {WIDE} {tall}") role="img" aria-label=label>
            {marks.collect_view()}
            {through}
            {drawn}
        </svg>
    }
    .into_any()
}

/// Points against a curve, both (x, y).
pub fn points(
    id: &'static str,
    label: String,
    curve: Vec<(f64, f64)>,
    points: Vec<(f64, f64)>,
    shown: (fn(f64) -> String, fn(f64) -> String),
) -> AnyView {
    let (left, top, tall) = (36.0, 8.0, 150.0);
    // The curve is shown where there are points, with a little on either side.
    let xs = || points.iter().map(|p| p.0);
    let (x0, x1) = (xs().fold(f64::INFINITY, f64::min) - 1.5, xs().fold(f64::NEG_INFINITY, f64::max) + 1.5);
    let near: Vec<(f64, f64)> = curve.into_iter().filter(|p| (x0..=x1).contains(&p.0)).collect();
    let ys = || points.iter().chain(&near).map(|p| p.1);
    let (y0, y1) = (ys().fold(f64::INFINITY, f64::min) - 1.0, ys().fold(f64::NEG_INFINITY, f64::max) + 1.0);
    let x = move |v: f64| left + (WIDE - left - 6.0) * (v - x0) / (x1 - x0);
    let y = move |v: f64| top + tall * (1.0 - (v - y0) / (y1 - y0));
    let mut d = String::new();
    for (i, p) in near.iter().enumerate() {
        // Writing to a string cannot fail.
        let _ = write!(d, "{}{:.1} {:.1}", if i == 0 { 'M' } else { 'L' }, x(p.0), y(p.1));
    }
    let step = nice_step((y1 - y0) / 4.0);
    let lines: Vec<AnyView> = (0..8)
        .map(|i| (y0 / step).ceil() * step + step * f64::from(i))
        .take_while(|v| *v <= y1)
        .map(|v| {
            view! {
                <line class="rule" x1=left x2=WIDE y1=y(v) y2=y(v) />
                <text class="end" x=left - 5.0 y=y(v) + 4.0>{(shown.1)(v)}</text>
            }
            .into_any()
        })
        .collect();
    let across: Vec<AnyView> = (0..4)
        .map(|i| x0.ceil() + ((x1 - x0) / 4.0).round().max(1.0) * f64::from(i))
        .take_while(|v| *v < x1 - 0.4)
        .map(|v| view! { <text x=x(v) y=top + tall + 16.0>{(shown.0)(v)}</text> }.into_any())
        .collect();
    let dots: Vec<AnyView> =
        points.into_iter().map(|p| view! { <circle class="dot" cx=x(p.0) cy=y(p.1) r="4.5" /> }.into_any()).collect();
    view! {
        <svg class="chart" id=id viewBox=format!("0 0 {WIDE} {}", top + tall + 24.0) role="img" aria-label=label>
            {lines}
            {across}
            <path class="curve" d=d />
            {dots}
        </svg>
    }
    .into_any()
}

/// 1, 2 or 5 times a power of ten, at least 1.
fn nice_step(about: f64) -> f64 {
    let power = 10f64.powf(about.max(1.0).log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|m| m * power).find(|s| *s >= about).unwrap_or(power * 10.0)
}

/// Of a place that stands in others the end tells it apart, of all else the beginning.
fn short(name: &str) -> String {
    let long = name.chars().count();
    match long {
        0..=NAME_LETTERS => name.to_owned(),
        _ if name.contains(" · ") => ['…'].into_iter().chain(name.chars().skip(long - NAME_LETTERS)).collect(),
        _ => name.chars().take(NAME_LETTERS - 1).chain(['…']).collect(),
    }
}
