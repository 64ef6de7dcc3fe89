//! The weeks ahead: what is coming, which clutches make it, pairs apart, wishes, and what if.

use super::what_if::{Change, WhatIfForm};
use crate::clock;
use crate::route::Page;
use crate::store::barn;
use crate::ui::charts::{WeekBar, told_bars};
use crate::ui::picture::save_buttons;
use crate::ui::{Empty, Head, Strip, StripRow, Turns, shared};
use crate::words::{dates, season as said};
use book::Thing;
use book::views::{Choices, Drawn, Gathered, Scope, Season, WeighedWish, WhatIf, gather, weighed_wishes};
use chrono::NaiveDate;
use leptos::prelude::*;
use std::borrow::Cow;
use std::sync::Arc;
use trade::forecast::{Count, Event};

/// Whole seasons of the present choice: as things stand, and as they would.
struct Shown {
    season: Season,
    plain: Option<Plain>,
    wishes: Vec<WeighedWish>,
}

/// What a what-if is held against.
struct Plain {
    season: Season,
    /// Babies in all, before and so.
    whole: (Count, Count),
    moved: Vec<String>,
    strip: Vec<StripRow>,
}

#[component]
pub fn Weeks() -> impl IntoView {
    let barn = barn();
    let scope = RwSignal::new(Scope::All);
    let event = RwSignal::new(Event::Out);
    let change = RwSignal::new(Change::default());
    let turns = Turns::here();
    // As things stand: what is held against a what-if, of the same moment, and what can be chosen.
    let plain = shared(move || {
        let now = clock::now();
        (now, barn.read(|book| gather(book, now, &WhatIf::default())))
    });
    let body = move || {
        let (scope, what_if) = (scope.get(), change.with(|c| c.what_if.clone()));
        let plain = plain.get();
        let (now, before) = &*plain;
        let shown = barn.read(|book| {
            let changed = (!what_if.is_empty()).then(|| gather(book, *now, &what_if));
            let gathered = changed.as_ref().unwrap_or(before);
            let season = gathered.draw(&scope);
            // Drawing takes time: what nobody wishes for is not drawn.
            let wishes = if book.open_wishes().is_empty() {
                Vec::new()
            } else {
                let same = changed.is_none() && scope == Scope::All;
                let both =
                    if same { before.both_beside(&season, &scope) } else { Cow::Owned(before.both(&Scope::All)) };
                weighed_wishes(book, &both)
            };
            let plain = changed.as_ref().map(|changed| {
                let of = |gathered: &Gathered, season: &Season| {
                    gathered.both_beside(season, &scope).season.whole(Event::Out)
                };
                let was = before.draw(&scope);
                Plain {
                    whole: (of(before, &was), of(changed, &season)),
                    season: was,
                    moved: moved(before, changed, &scope),
                    strip: strip(changed, &scope),
                }
            });
            Shown { season, plain, wishes }
        });
        drawn(Arc::new(shown), event)
    };
    // Made once: what is chosen stands.
    let choose = move || {
        let (choices, pairs) = untrack(|| {
            let plain = plain.get();
            (barn.peek(|book| plain.1.choices(book)), plain.1.pairings())
        });
        let chips = Event::ALL.map(|which| {
            view! {
                <button type="button" class="chip" aria-pressed=move || (event.get() == which).to_string()
                    on:click=move |_| event.set(which)>{said::event(which)}</button>
            }
        });
        view! {
            {scope_select(choices, scope)}
            <div class="chips">{chips.collect_view()}</div>
            <WhatIfForm change pairs />
        }
        .into_any()
    };
    view! {
        <div class="page">
            <Head title=said::WEEKS.to_string() back=(Page::Season, said::TITLE.to_string()) />
            {turns.piece(choose)}
            {turns.piece(body)}
            {turns.said(said::COUNTING)}
        </div>
    }
}

fn scope_select(choices: Choices, scope: RwSignal<Scope>) -> AnyView {
    let scopes: Vec<(&'static str, Vec<(String, Scope)>)> = vec![
        (said::BY_SPECIES, choices.species.into_iter().map(|(key, name)| (name, Scope::Species(key))).collect()),
        (said::BY_ROOM, choices.rooms.into_iter().map(|(id, name)| (name, Scope::Room(id))).collect()),
        (said::BY_PAIR, choices.parents.into_iter().map(|pair| (pair.clone(), Scope::Parents(pair))).collect()),
    ];
    let flat: Vec<Scope> = scopes.iter().flat_map(|(_, list)| list.iter().map(|(_, scope)| scope.clone())).collect();
    let chosen = move |ev: leptos::ev::Event| {
        let at = event_target_value(&ev).parse::<usize>().ok();
        scope.set(at.and_then(|at| flat.get(at).cloned()).unwrap_or_default());
    };
    let mut at = 0;
    let groups: Vec<AnyView> = scopes
        .into_iter()
        .map(|(title, list)| {
            let options: Vec<AnyView> = list
                .into_iter()
                .map(|(name, _)| {
                    at += 1;
                    view! { <option value=(at - 1).to_string()>{name}</option> }.into_any()
                })
                .collect();
            view! { <optgroup label=title>{options}</optgroup> }.into_any()
        })
        .collect();
    view! {
        <label class="field">
            <span>{said::SCOPE}</span>
            <select on:change=chosen><option value="">{said::ALL}</option>{groups}</select>
        </label>
    }
    .into_any()
}

fn drawn(shown: Arc<Shown>, event: RwSignal<Event>) -> AnyView {
    let today = clock::today();
    if shown.season.laid.by.is_empty() && shown.season.paired.by.is_empty() {
        return view! { <Empty text=said::NOTHING><a class="act main" href=Page::Boxes.href()>{crate::words::boxes::TITLE}</a></Empty>{wishes(&shown.wishes)} }
            .into_any();
    }
    let left: Vec<AnyView> = shown
        .season
        .left
        .iter()
        .map(|(source, why)| {
            let why = crate::words::window::no_window(why.clone());
            view! { <li><a class="reach" href=href(&source.of)>{source.name.clone()}</a><p class="aside">{why}</p></li> }
                .into_any()
        })
        .collect();
    let changed = shown.plain.as_ref().map(|plain| {
        let lines = if plain.moved.is_empty() {
            view! { <p class="quiet">{said::NOTHING_MOVED}</p> }.into_any()
        } else {
            view! { <ul class="lines">{plain.moved.iter().map(|line| view! { <li>{line.clone()}</li> }).collect_view()}</ul> }
                .into_any()
        };
        let (was, is) = plain.whole;
        view! {
            <section class="card warned" data-what-if="on">
                <h3>{said::MOVED}</h3>
                <p>{said::whole_changed(was, is)}</p>
                {lines}
                <h3>{said::STRIP}</h3>
                <Strip rows=plain.strip.clone() today />
            </section>
        }
        .into_any()
    });
    let (a, b) = (shown.clone(), shown.clone());
    let laid = move || {
        let plain = a.plain.as_ref().map(|plain| &plain.season.laid);
        part("weeks-laid", &a.season.laid, plain, event.get(), said::ALL_LAID, today)
    };
    let paired = move || {
        let plain = b.plain.as_ref().map(|plain| &plain.season.paired);
        part("weeks-paired", &b.season.paired, plain, event.get(), said::ALL_PAIRED, today)
    };
    let all = &shown.season.laid;
    let whole = said::whole(all.season.whole(Event::Out), all.by.len(), all.season.mostly(Event::Out, None));
    let pairs = &shown.season.paired;
    let pair_lines: Vec<AnyView> = pairs
        .by
        .iter()
        .enumerate()
        .map(|(i, source)| {
            let chance = source.chance;
            let line = said::pair(chance, pairs.season.of_group(i));
            view! { <li><a class="reach" href=href(&source.of)>{source.name.clone()}</a><p class="aside">{line}</p></li> }.into_any()
        })
        .collect();
    view! {
        {changed}
        <p class="aside inset">{whole}</p>
        {laid}
        {(!pair_lines.is_empty()).then(|| view! {
            <h2>{said::PAIRED}</h2>
            <p class="aside inset">{said::PAIRED_SAID}</p>
            {paired}
            <section class="card"><ul class="lines">{pair_lines}</ul></section>
        })}
        {(!left.is_empty()).then(|| view! {
            <h2>{said::LEFT_OUT}</h2><section class="card"><ul class="lines">{left}</ul></section>
        })}
        {wishes(&shown.wishes)}
    }
    .into_any()
}

/// Chart, and the list that says the same and opens to what makes a week.
fn part(
    id: &'static str,
    drawn: &Drawn,
    plain: Option<&Drawn>,
    event: Event,
    whose: &'static str,
    today: NaiveDate,
) -> AnyView {
    let Some((bars, told)) = to_last(drawn, plain, event, today) else {
        return view! { <p class="card quiet">{said::none_of(event)}</p> }.into_any();
    };
    let rows: Vec<AnyView> = (0..bars.len())
        .filter(|&week| worth(drawn, event, week))
        .map(|week| week_row(drawn, event, week, today))
        .collect();
    view! {
        <section class="card">
            {told_bars(id, said::chart_label(event, whose), bars, told, said::BARS_HOW)}
            <p class="aside">{said::RANGE}</p>
            {save_buttons(id, id)}
        </section>
        <section class="weeks">{rows}</section>
    }
    .into_any()
}

fn worth(drawn: &Drawn, event: Event, week: usize) -> bool {
    drawn.season.week(event, week).mean >= 0.05
}

/// The weeks up to the last worth showing, each as a bar and as what it says; `None` when there is none.
pub(super) fn to_last(
    drawn: &Drawn,
    plain: Option<&Drawn>,
    event: Event,
    today: NaiveDate,
) -> Option<(Vec<WeekBar>, Vec<String>)> {
    let season = &drawn.season;
    let shown = |week: &usize| worth(drawn, event, *week) || plain.is_some_and(|plain| worth(plain, event, *week));
    let last = (0..season.weeks).rev().find(shown)?;
    let bar = |week: usize| {
        let count = season.week(event, week);
        let bar = WeekBar {
            label: dates::axis(season.week_from(week)),
            mean: count.mean,
            low: f64::from(count.low),
            high: f64::from(count.high),
            was: plain.map(|plain| plain.season.week(event, week).mean),
        };
        (bar, format!("{}: {}", said::week_of(season.week_from(week), today), said::expected(count)))
    };
    Some((0..=last).map(bar).unzip())
}

fn week_row(drawn: &Drawn, event: Event, week: usize, today: NaiveDate) -> AnyView {
    let count = drawn.season.week(event, week);
    let mostly = said::mostly(drawn.season.mostly(event, Some(week)));
    let makers: Vec<AnyView> = drawn
        .season
        .makers(event, week)
        .into_iter()
        .filter_map(|maker| {
            let source = drawn.by.get(maker.group)?;
            let about = if source.parents.is_empty() || source.parents == source.name {
                source.species_name.clone()
            } else {
                format!("{} · {}", source.parents, source.species_name)
            };
            Some(
                view! {
                    <li>
                        <a class="reach" href=href(&source.of)>{source.name.clone()}</a>
                        <p class="aside">{about}</p>
                        <p>{said::maker(maker.mean, maker.some)}</p>
                    </li>
                }
                .into_any(),
            )
        })
        .collect();
    view! {
        <details class="card week">
            <summary><span class="title">{said::week_of(drawn.season.week_from(week), today)}</span><span>{said::expected(count)}</span></summary>
            <p class="aside">{mostly}</p>
            <ul class="lines">{makers}</ul>
        </details>
    }
    .into_any()
}

fn wishes(wishes: &[WeighedWish]) -> Option<AnyView> {
    let lines: Vec<AnyView> = wishes
        .iter()
        .map(|w| {
            let from = w.likely.map(|_| said::wish_from(w.from.len()));
            view! { <li><p class="title">{said::wish_title(w)}</p><p>{said::wish(w)}</p><p class="aside">{from}</p></li> }
                .into_any()
        })
        .collect();
    let shown = || {
        view! {
            <h2>{said::WISHES}</h2>
            <section class="card"><ul class="lines">{lines}</ul>
                <a class="reach" href=Page::Wishes.href()>{crate::words::settings::WISHES}</a>
            </section>
        }
        .into_any()
    };
    (!wishes.is_empty()).then(shown)
}

pub(super) fn href(of: &Thing) -> String {
    Page::of(of).unwrap_or(Page::Season).href()
}

/// Clutches whose likely days move by a day or more.
fn moved(before: &Gathered, after: &Gathered, scope: &Scope) -> Vec<String> {
    let today = clock::today();
    let was = before.strip(scope);
    let rows = after.strip(scope).into_iter().filter_map(|row| {
        let old = was.iter().find(|old| old.name == row.name && old.since == row.since)?;
        let far = (old.first.median - row.first.median).num_hours().abs() >= 24;
        let days = |range: (chrono::NaiveDateTime, chrono::NaiveDateTime)| (range.0.date(), range.1.date());
        far.then(|| said::moved(&row.name, days(old.first.likely), days(row.first.likely), today))
    });
    rows.collect()
}

fn strip(gathered: &Gathered, scope: &Scope) -> Vec<StripRow> {
    let rows = gathered.strip(scope).into_iter().map(|row| StripRow {
        name: row.name,
        since: row.since,
        likely: (row.first.likely.0.date(), row.first.likely.1.date()),
        outer: (row.first.outer.0.date(), row.first.outer.1.date()),
        days: row.days,
    });
    rows.collect()
}
