//! The season's report: a few pages of paper.

use super::back::{compared, losses_card, middle};
use crate::clock;
use crate::prefs::{Prefs, prefs};
use crate::route::Page;
use crate::store::barn;
use crate::ui::charts::{WeekBar, week_bars};
use crate::ui::{Head, Strip, StripRow, Turns, foot, print, shared};
use crate::words::{self, dates, season as said};
use book::Book;
use book::views::{
    By, Drawn, Gathered, LookBack, Needs, Of, Scope, Season, WhatIf, gather, losses, needs, weighed_wishes,
};
use chrono::{NaiveDate, TimeDelta};
use leptos::prelude::*;
use trade::forecast::Event;

/// Boxes on the strip: a page holds so many.
const STRIP_ROWS: usize = 34;

#[component]
pub fn Report() -> impl IntoView {
    let (barn, prefs) = (barn(), StoredValue::new(prefs().get_untracked()));
    let (now, today) = (clock::now(), clock::today());
    // Paper is of one moment: what it says does not change while it is looked at.
    let drawn = shared(move || {
        barn.peek(|book| {
            let gathered = gather(book, now, &WhatIf::default());
            let season = gathered.draw(&Scope::All);
            (gathered, season)
        })
    });
    let back = shared(move || barn.peek(|book| LookBack::of(book, now)));
    let of_drawn = move |show: fn(&Book, &Gathered, &Season, NaiveDate) -> AnyView| {
        move || drawn.with(|drawn| barn.peek(|book| show(book, &drawn.0, &drawn.1, today)))
    };
    let figures = move || back.with(|back| prefs.with_value(|prefs| figures(back, prefs)));
    let hatched = move || {
        let hatched = back.with(|back| back.behind(Of::Hatched, By::Shelf));
        let compared = |prefs: &Prefs| barn.peek(|book| compared(book, &hatched, Of::Hatched, By::Shelf, prefs));
        let compared = prefs.with_value(compared);
        view! { <section class="by-shelf"><h2>{said::HATCHED_BY_SHELF}</h2>{compared}</section> }.into_any()
    };
    let lost = move || {
        barn.peek(|book| {
            let (lost, ended) = losses(book);
            losses_card(book, lost, ended)
        })
    };
    let turns = Turns::here();
    let waits = turns.waits();
    foot(&words::foot(said::REPORT, &dates::full(today)));
    view! {
        <div class="page report">
            <Head title=said::REPORT.to_string() aside=said::report_of(today) back=(Page::Season, said::TITLE.to_string()) />
            <div class="gap no-print"><button type="button" class="act main" disabled=waits on:click=|_| print()>{said::PRINT}</button></div>
            {turns.piece(of_drawn(weeks))}
            {turns.piece(of_drawn(strip_and_pairs))}
            {turns.piece(of_drawn(wishes_and_needs))}
            {turns.piece(figures)}
            {turns.piece(hatched)}
            {turns.piece(lost)}
            {turns.said(said::COUNTING)}
        </div>
    }
}

fn weeks(_: &Book, _: &Gathered, season: &Season, today: NaiveDate) -> AnyView {
    let laid = &season.laid;
    let whole = said::whole(laid.season.whole(Event::Out), laid.by.len(), laid.season.mostly(Event::Out, None));
    view! {
        <p>{whole}</p>
        <section class="keep">
            <h2>{said::event(Event::Out)}</h2>
            {chart("report-weeks", laid)}
            <p class="aside">{said::RANGE}</p>
        </section>
        {weeks_table(laid, today)}
    }
    .into_any()
}

fn strip_and_pairs(_: &Book, gathered: &Gathered, season: &Season, today: NaiveDate) -> AnyView {
    let pairs: Vec<AnyView> = season
        .paired
        .by
        .iter()
        .enumerate()
        .map(|(i, source)| {
            let line = said::pair(source.chance, season.paired.season.of_group(i));
            view! { <li><b>{source.name.clone()}</b>": "{line}</li> }.into_any()
        })
        .collect();
    view! {
        <section class="keep"><h2>{said::STRIP_OF_ALL}</h2>{strip(gathered, today)}</section>
        {(!pairs.is_empty()).then(|| view! { <section class="keep"><h2>{said::PAIRED}</h2><p class="aside">{said::PAIRED_SAID}</p><ul class="lines">{pairs}</ul></section> })}
    }
    .into_any()
}

fn wishes_and_needs(book: &Book, gathered: &Gathered, season: &Season, today: NaiveDate) -> AnyView {
    let both = gathered.both_beside(season, &Scope::All);
    let wishes: Vec<AnyView> = weighed_wishes(book, &both)
        .iter()
        .map(|w| view! { <li><b>{said::wish_title(w)}</b>": "{said::wish(w)}</li> }.into_any())
        .collect();
    view! {
        {(!wishes.is_empty()).then(|| view! { <section class="keep"><h2>{said::WISHES}</h2><ul class="lines">{wishes}</ul></section> })}
        <section class="keep"><h2>{said::NEEDS}</h2>{need_lines(&needs(book, gathered, &both), gathered.monday(), today)}</section>
    }
    .into_any()
}

fn figures(back: &LookBack, prefs: &Prefs) -> AnyView {
    let figures: Vec<AnyView> = Of::ALL
        .into_iter()
        .filter_map(|of| {
            let found = back.behind(of, By::Species);
            let all = found.all?;
            let (at, ends) = middle(all);
            let line = format!("{} ({})", said::value(of, at, prefs), said::interval(of, ends, prefs));
            Some(view! { <tr><td>{said::of(of)}</td><td class="nowrap">{line}</td><td>{said::behind_n(of, all, found.unjudged, &said::whose(found.whose))}</td></tr> }.into_any())
        })
        .collect();
    view! {
        <section class="keep">
            <h2>{said::BACK}</h2>
            <table class="table">
                <thead><tr><th>{said::NAME}</th><th>{said::FIGURE}</th><th>{said::OF_HOW_MANY}</th></tr></thead>
                <tbody>{figures}</tbody>
            </table>
        </section>
    }
    .into_any()
}

fn last_week(drawn: &Drawn) -> usize {
    let worth = |week: &usize| Event::ALL.iter().any(|&event| drawn.season.week(event, *week).mean >= 0.05);
    (0..drawn.season.weeks).rev().find(worth).unwrap_or(0)
}

fn chart(id: &'static str, drawn: &Drawn) -> AnyView {
    let last = (0..drawn.season.weeks).rev().find(|&week| drawn.season.week(Event::Out, week).mean >= 0.05);
    let bars = (0..=last.unwrap_or(0))
        .map(|week| {
            let count = drawn.season.week(Event::Out, week);
            let label = dates::axis(drawn.season.week_from(week));
            WeekBar { label, mean: count.mean, low: count.low.into(), high: count.high.into(), was: None }
        })
        .collect();
    week_bars(id, said::chart_label(Event::Out, said::ALL_LAID), bars)
}

fn weeks_table(drawn: &Drawn, today: NaiveDate) -> AnyView {
    let rows: Vec<AnyView> = (0..=last_week(drawn))
        .map(|week| {
            let cells: Vec<AnyView> = Event::ALL
                .into_iter()
                .map(|event| {
                    let count = drawn.season.week(event, week);
                    view! { <td class="nowrap">{said::cell(count)}</td> }.into_any()
                })
                .collect();
            view! { <tr><td class="nowrap">{dates::day(drawn.season.week_from(week), today)}</td>{cells}</tr> }
                .into_any()
        })
        .collect();
    let heads: Vec<AnyView> =
        Event::ALL.into_iter().map(|event| view! { <th>{said::event(event)}</th> }.into_any()).collect();
    view! {
        <div class="wide" tabindex="0" role="region" aria-label=said::WEEKS>
        <table class="table weeks-table">
            <thead><tr><th>{said::WEEK}</th>{heads}</tr></thead>
            <tbody>{rows}</tbody>
        </table>
        </div>
    }
    .into_any()
}

fn strip(gathered: &Gathered, today: NaiveDate) -> AnyView {
    let rows: Vec<StripRow> = gathered
        .strip(&Scope::All)
        .into_iter()
        .take(STRIP_ROWS)
        .map(|row| StripRow {
            name: row.name,
            since: row.since,
            likely: (row.first.likely.0.date(), row.first.likely.1.date()),
            outer: (row.first.outer.0.date(), row.first.outer.1.date()),
            days: row.days,
        })
        .collect();
    view! { <Strip rows today /> }.into_any()
}

fn need_lines(found: &Needs, monday: NaiveDate, today: NaiveDate) -> AnyView {
    let lines: Vec<AnyView> = found
        .rows
        .iter()
        .filter_map(|row| {
            let first = row.weeks.first()?;
            let most = row.weeks.iter().map(|week| week.needed.high).max()?;
            let at = row.weeks.iter().position(|week| week.needed.high == most)?;
            let week_of = |week: usize| monday + TimeDelta::days(7 * week as i64);
            let now = said::need_now(first.needed, row.weeks[at].needed, week_of(at), today);
            let short = row
                .have
                .zip(row.short)
                .map(|(have, week)| said::short(week_of(week), row.weeks[week].short.unwrap_or(0.0), have, today));
            Some(view! { <li><b>{said::need(&row.what)}</b>": "{now}". "{short}</li> }.into_any())
        })
        .collect();
    view! { <ul class="lines">{lines}</ul> }.into_any()
}
