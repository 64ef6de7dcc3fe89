//! The season on one screen: when the boxes hatch, what comes in each week, and what it needs, side by side.

use super::weeks::to_last;
use crate::clock;
use crate::pages::boxes::lanes;
use crate::route::Page;
use crate::store::barn;
use crate::ui::charts::told_bars;
use crate::ui::{StripRow, Turns, shared};
use crate::words::{boxes as box_words, dates, heat as heat_words, names, season as said, window as window_words};
use book::views::{BoxRow, NeedRow, Needs, Scope, Season, WhatIf, box_rows, gather, needs};
use chrono::{Datelike, NaiveDate, TimeDelta, Weekday};
use desk::keys::along;
use leptos::prelude::*;
use trade::forecast::Event;
use wasm_bindgen::JsCast;

/// Boxes drawn; a barn with more looks at the soonest.
const MOST: usize = 120;
/// Days before today that are shown; what was laid earlier starts at the edge.
const BACK_DAYS: i64 = 56;
/// Dates on the axis, some.
const DATES: i64 = 4;

#[component]
pub fn SeasonDesk() -> impl IntoView {
    // The strip is there at once; the weeks are drawn many times over, and follow.
    let (barn, turns) = (barn(), Turns::here());
    let drawn = shared(move || {
        barn.read(|book| {
            let gathered = gather(book, clock::now(), &WhatIf::default());
            let season = gathered.draw(&Scope::All);
            (gathered, season)
        })
    });
    let weeks = move || {
        let weeks = weeks(&drawn.get().1, clock::today());
        view! { <section class="card"><h2>{said::HATCHLINGS}</h2>{weeks}</section> }.into_any()
    };
    let needed = move || {
        let drawn = drawn.get();
        let (gathered, season) = &*drawn;
        let needs = barn.read(|book| needs(book, gathered, &gathered.both_beside(season, &Scope::All)));
        let table = table(needs, gathered.monday(), clock::today());
        view! { <section class="card"><h2>{said::NEEDS}</h2>{table}</section> }.into_any()
    };
    view! {
        <div class="season-grid">
            <Lanes />
            <div class="season-side">{turns.piece(weeks)}{turns.piece(needed)}{turns.said(said::COUNTING)}</div>
        </div>
    }
}

/// Where days lie between the first and the last that are shown, in hundredths of the width.
#[derive(Clone, Copy)]
struct Days {
    first: NaiveDate,
    last: NaiveDate,
}

impl Days {
    fn of(lanes: &[(StripRow, &BoxRow)], today: NaiveDate) -> Self {
        let first = lanes
            .iter()
            .map(|(lane, _)| lane.since.when.date())
            .min()
            .unwrap_or(today)
            .max(today - TimeDelta::days(BACK_DAYS));
        let last = lanes.iter().map(|(lane, _)| lane.outer.1).max().unwrap_or(today).max(today);
        Self { first: first - TimeDelta::days(2), last: last + TimeDelta::days(4) }
    }

    fn x(self, day: NaiveDate) -> f64 {
        let all = (self.last - self.first).num_days().max(1) as f64;
        100.0 * ((day - self.first).num_days() as f64 / all).clamp(0.0, 1.0)
    }

    fn mondays(self) -> Vec<NaiveDate> {
        let every = ((self.last - self.first).num_weeks() / DATES + 1) as usize;
        let mondays =
            self.first.iter_days().take_while(|day| *day <= self.last).filter(|day| day.weekday() == Weekday::Mon);
        mondays.step_by(every).collect()
    }
}

#[component]
fn Lanes() -> impl IntoView {
    let barn = barn();
    let at = RwSignal::new(None::<usize>);
    let list = NodeRef::<leptos::html::Ol>::new();
    let body = move || {
        let (now, today) = (clock::now(), clock::today());
        let rows = barn.read(|book| box_rows(book, now));
        let lanes = lanes(&rows, MOST);
        if lanes.is_empty() {
            return view! { <p class="quiet">{heat_words::NO_STRIP}</p> }.into_any();
        }
        let days = Days::of(&lanes, today);
        let mondays = days.mondays();
        let told: Vec<Told> = lanes.iter().map(|(lane, row)| Told::of(lane, row, today)).collect();
        let marks = mondays.iter().filter(|day| days.x(**day) < 94.0).map(|day| {
            view! { <span style:left=format!("{:.1}%", days.x(*day))>{dates::axis(*day)}</span> }
        });
        let n = lanes.len();
        let key = move |ev: leptos::ev::KeyboardEvent| {
            let Some(next) = along(&ev.key(), at.get_untracked(), n) else { return };
            ev.prevent_default();
            let lane = list.get_untracked().and_then(|list| list.children().item(next as u32)?.first_element_child());
            if let Some(lane) = lane.and_then(|lane| lane.dyn_into::<web_sys::HtmlElement>().ok()) {
                let _ = lane.focus();
            }
        };
        let shown = lanes.iter().zip(&told).enumerate().map(|(i, ((lane, row), told))| {
            let come = move || at.set(Some(i));
            let reached = move || if at.get().unwrap_or(0) == i { "0" } else { "-1" };
            view! {
                <li><a class="lane" class:here=move || at.get() == Some(i) href=Page::Box(row.id.to_string()).href() tabindex=reached
                    on:focus=move |_| come() on:pointerenter=move |_| come()>
                    <b>{lane.name.clone()}</b>
                    <span>{told.whose.clone()}</span>
                    {bar(lane, days, &mondays, today)}
                    <span class="unseen">{told.when.clone()}</span>
                </a></li>
            }
        });
        let shown = shown.collect_view();
        let lines: Vec<String> =
            lanes.iter().zip(told).map(|((lane, _), told)| said::lane(&lane.name, &told.whose, &told.when)).collect();
        let line = move || at.get().and_then(|at| lines.get(at).cloned()).unwrap_or_else(|| said::LANES_HOW.to_owned());
        view! {
            <ol class="lanes" node_ref=list on:keydown=key>
                {shown}
                <li class="axis" aria-hidden="true"><div class="lane"><b></b><span></span><div class="dates">{marks.collect_view()}</div></div></li>
            </ol>
            <p class="readout" role="status">{line}</p>
        }
        .into_any()
    };
    view! { <section class="card season-strip"><h2>{said::LANES}</h2>{body}</section> }
}

/// A box in words: what stands beside its bar, and what the bar draws.
struct Told {
    /// `CRN, Hazel × Rusk`.
    whose: String,
    /// `laid 12 Oct, day 40; first pip likely 9–14 Dec; Incubator A, shelf 2`.
    when: String,
}

impl Told {
    fn of(lane: &StripRow, row: &BoxRow, today: NaiveDate) -> Self {
        let mut whose = row.species.clone();
        whose.push(names::pair(&row.parents));
        whose.retain(|part| !part.is_empty());
        let place = if row.path.is_empty() { box_words::NO_PLACE.to_owned() } else { names::path(&row.path) };
        let now = clock::now();
        let likely = dates::range(lane.likely.0, lane.likely.1, today);
        // A lane is of a box whose days count from something.
        let (laid, day) = row
            .since
            .map_or_else(Default::default, |since| (window_words::since(since, today), box_words::on_day(since, now)));
        let when = said::lane_when(&laid, &day, &likely, &place);
        Self { whose: whose.join(", "), when }
    }
}

/// From laying to the window: it has the width that the screen leaves it.
fn bar(lane: &StripRow, days: Days, mondays: &[NaiveDate], today: NaiveDate) -> AnyView {
    let x = |day: NaiveDate| format!("{:.2}", days.x(day));
    let most = lane.days.iter().map(|d| d.1).fold(1e-9, f64::max);
    let next = |day: NaiveDate| day.succ_opt().unwrap_or(day);
    let shades = lane.days.iter().filter(|day| day.1 > 0.0).map(|&(day, chance)| {
        let wide = format!("{:.2}", (days.x(next(day)) - days.x(day)).max(0.2));
        view! { <rect class="likely" x=x(day) y="5" width=wide height="14" fill-opacity=format!("{:.2}", 0.12 + 0.88 * chance / most) /> }
    });
    let weeks = mondays.iter().map(|day| view! { <line class="week" x1=x(*day) x2=x(*day) y1="0" y2="24" /> });
    view! {
        <svg class="strip" viewBox="0 0 100 24" preserveAspectRatio="none" aria-hidden="true">
            {weeks.collect_view()}
            <line class="life" x1=x(lane.since.when.date()) x2=x(lane.outer.0) y1="12" y2="12" />
            {shades.collect_view()}
            <line class="today" x1=x(today) x2=x(today) y1="0" y2="24" />
        </svg>
    }
    .into_any()
}

fn weeks(season: &Season, today: NaiveDate) -> AnyView {
    let laid = &season.laid;
    let Some((bars, told)) = to_last(laid, None, Event::Out, today) else {
        return view! { <p class="quiet">{said::none_of(Event::Out)}</p> }.into_any();
    };
    let whole = said::whole(laid.season.whole(Event::Out), laid.by.len(), laid.season.mostly(Event::Out, None));
    view! {
        <p class="aside">{whole}</p>
        {told_bars("season-weeks", said::chart_label(Event::Out, said::ALL_LAID), bars, told, said::BARS_HOW)}
    }
    .into_any()
}

fn table(found: Needs, monday: NaiveDate, today: NaiveDate) -> AnyView {
    let week_of = |week: usize| dates::day(monday + TimeDelta::days(7 * week as i64), today);
    let line = |row: NeedRow| {
        let first = row.weeks.first()?.needed;
        let peak = row.weeks.iter().map(|week| week.needed).max_by_key(|needed| needed.high)?;
        let short = match (row.have, row.short) {
            (None, _) => said::NOT_SAID.to_owned(),
            (Some(_), None) => said::NEVER.to_owned(),
            (Some(_), Some(0)) => said::SHORT_NOW.to_owned(),
            (Some(_), Some(week)) => week_of(week),
        };
        let warn = row.short.is_some();
        let have = row.have.map_or_else(|| said::NEVER.to_owned(), |have| have.to_string());
        Some(view! {
            <tr><th scope="row">{said::need(&row.what)}</th><td>{said::range(first)}</td><td>{said::range(peak)}</td><td>{have}</td>
                <td class:warn=warn>{short}</td></tr>
        })
    };
    view! {
        <table class="table needs">
            <thead><tr><th>{said::NEED}</th><th>{said::THIS_WEEK}</th><th>{said::PEAK}</th><th>{said::HAVE_SHORT}</th><th>{said::SHORT_FROM}</th></tr></thead>
            <tbody>{found.rows.into_iter().filter_map(line).collect_view()}</tbody>
        </table>
        <a class="reach" href=Page::SeasonPart(crate::route::SeasonPart::Needs).href()>{said::SAY_WHAT_THERE_IS}</a>
    }
    .into_any()
}
