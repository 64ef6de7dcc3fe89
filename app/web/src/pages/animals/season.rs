//! Her season on one line: what was seen from cooling to laying, and what is expected next. A list says the same.

use crate::clock;
use crate::prefs::Prefs;
use crate::route::Page;
use crate::words::{animals as words, follicles as said, pairings as pair_words, sires as sire_words, units};
use book::views::{Breeding, HerSeason, SeasonStep};
use chrono::NaiveDate;
use desk::axis::stand;
use leptos::prelude::*;

/// What the card of her season says.
pub struct SeasonCard {
    /// The pairing it belongs to.
    pairing: Option<String>,
    season: HerSeason,
    /// Since when no male was with her, a series of clutches, and whether she may go again.
    more: Vec<String>,
}

impl SeasonCard {
    pub fn new(breeding: &Breeding, prefs: &Prefs, today: NaiveDate) -> SeasonCard {
        let again = breeding.again.as_ref();
        let again = again.map(|again| pair_words::again(again, |mass| units::mass(mass, prefs), today));
        let series = (breeding.series.len() > 1).then(|| pair_words::series(&breeding.series, today));
        let no_male = breeding.no_male.as_ref().map(|since| sire_words::no_male(since, today));
        SeasonCard {
            pairing: breeding.pairing.as_ref().map(ToString::to_string),
            season: breeding.season.clone(),
            more: no_male.into_iter().chain(series).chain(again).collect(),
        }
    }
}

/// Her season so far and what is next, with the pairing it belongs to.
pub fn season(id: &str, card: SeasonCard, here: bool, prefs: &Prefs) -> AnyView {
    let today = clock::today();
    let SeasonCard { pairing, season, more } = card;
    let to = match pairing {
        Some(pairing) => Some((Page::Pairing(pairing), words::TO_PAIRING)),
        None => here.then(|| (Page::PairingNew(Some(id.to_owned())), pair_words::PAIR)),
    };
    let none = season.seen.is_empty() && season.ahead.is_empty() && more.is_empty();
    let seen =
        season.seen.iter().map(|step| said::seen(step, prefs, today)).map(|(what, day)| {
            view! { <li><span>{what}</span>" "<span class="quiet nowrap">{day}</span></li> }.into_any()
        });
    let seen = seen.collect_view();
    let ahead = season.ahead.iter().map(|step| said::ahead(step, today)).map(|(what, days, basis)| {
        view! { <li class="ahead"><span>{what}</span>" "<span class="nowrap">{days}</span><p class="aside">{basis}</p></li> }
            .into_any()
    });
    let ahead = ahead.collect_view();
    let legs: Vec<String> = season.legs.iter().map(said::leg).collect();
    view! {
        <div class="card">
            <p class="quiet">{words::SEASON}</p>
            {none.then(|| view! { <p>{words::NO_SEASON}</p> })}
            {line(&season, prefs, today)}
            <ol class="her-steps">{seen}{ahead}</ol>
            {more.into_iter().map(|line| view! { <p>{line}</p> }.into_any()).collect_view()}
            {(!legs.is_empty()).then(|| view! {
                <details>
                    <summary>{said::LEGS}</summary>
                    {legs.into_iter().map(|leg| view! { <p class="aside">{leg}</p> }.into_any()).collect_view()}
                </details>
            })}
            {to.map(|(page, said)| view! { <a class="reach" href=page.href()>{said}</a> })}
        </div>
    }
    .into_any()
}

const WIDE: i64 = 340;
/// Left free at both ends, for the roundings of what lies there.
const EDGE: i64 = 8;
const LINE: i64 = 12;
/// The first row of names, how far they lie apart, and how many there are.
const NAMES: i64 = 36;
const ROW: i64 = 15;
const ROWS: usize = 3;
/// A letter's room at the size they are drawn in, and what is between two names.
const LETTER: i64 = 8;
const BETWEEN: i64 = 6;

/// What was seen as dots, what lasted as a bar, what is expected as a window; nothing where there is only one moment.
fn line(season: &HerSeason, prefs: &Prefs, today: NaiveDate) -> Option<AnyView> {
    let first = season.seen.first()?.when.date();
    let ends = season.ahead.iter().map(|ahead| ahead.to);
    let lasting = season.seen.iter().filter_map(|seen| seen.until.map(|until| until.date()));
    let seen = season.seen.iter().map(|seen| seen.when.date());
    let ended = season.ahead.is_empty()
        && season.seen.last().is_some_and(|last| matches!(last.step, SeasonStep::Laid | SeasonStep::Found));
    let last = ends.chain(lasting).chain(seen).chain((!ended).then_some(today)).max()?;
    let span = (last - first).num_days();
    if span < 1 {
        return None;
    }
    let x = move |day: NaiveDate| EDGE + (WIDE - 2 * EDGE) * (day - first).num_days().clamp(0, span) / span;
    let windows = season.ahead.iter().map(|ahead| {
        let (from, to) = (x(ahead.from), x(ahead.to));
        view! { <rect class="likely" x=from - 1 y=LINE - 6 width=to - from + 2 height="12" /> }.into_any()
    });
    let windows = windows.collect_view();
    let ends = season.seen.iter().map(|seen| {
        let open = seen.step == SeasonStep::Cooling && seen.until.is_none();
        (x(seen.when.date()), seen.until.map(|until| x(until.date())).or(open.then(|| x(today))))
    });
    let bars = ends
        .clone()
        .filter_map(|(from, to)| Some(view! { <line class="lasting" x1=from x2=to? y1=LINE y2=LINE /> }.into_any()));
    let dots = ends.filter(|(_, to)| to.is_none());
    let dots = dots.map(|(at, _)| view! { <circle cx=at cy=LINE r="5" /> }.into_any());
    // What lasted lies under what came meanwhile.
    let marks = bars.chain(dots).collect_view();
    // The next is what one looks for, then the latest.
    let middle = |from: NaiveDate, to: NaiveDate| (x(from) + x(to)) / 2;
    let ahead =
        season.ahead.iter().filter_map(|ahead| Some((middle(ahead.from, ahead.to), said::mark_ahead(ahead.step)?)));
    let past = season.seen.iter().rev().filter_map(|seen| {
        let (from, to) = (seen.when.date(), seen.until.map_or(seen.when.date(), |until| until.date()));
        Some((middle(from, to), said::mark(seen.step, seen.finding.as_ref(), prefs)?))
    });
    let names: Vec<(i64, String)> = ahead.chain(past).collect();
    let wide = |name: &str| BETWEEN + LETTER * i64::try_from(name.chars().count()).unwrap_or(0);
    let room: Vec<(i64, i64)> = names.iter().map(|(at, name)| (*at, wide(name))).collect();
    let places = stand(&room, WIDE, ROWS);
    let rows = places.iter().flatten().map(|(_, row)| row + 1).max().unwrap_or(0);
    let tall = NAMES - 10 + ROW * i64::try_from(rows).unwrap_or(0);
    let names = names.into_iter().zip(places).filter_map(|((_, name), place)| {
        let (middle, row) = place?;
        let y = NAMES + ROW * i64::try_from(row).unwrap_or(0);
        Some(view! { <text x=middle y=y>{name}</text> }.into_any())
    });
    let names = names.collect_view();
    let now = (first <= today && today <= last).then(|| x(today));
    Some(
        view! {
            <svg class="her-line" viewBox=format!("0 0 {WIDE} {tall}") role="img" aria-label=said::line(season)>
                <line class="way" x1=EDGE x2=WIDE - EDGE y1=LINE y2=LINE />
                {windows}
                {marks}
                {now.map(|at| view! { <line class="today" x1=at x2=at y1="1" y2=LINE + 11 /> })}
                {names}
            </svg>
        }
        .into_any(),
    )
}
