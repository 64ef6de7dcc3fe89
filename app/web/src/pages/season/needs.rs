//! What the season needs, against what there is, and the week it runs short.

use crate::clock;
use crate::route::Page;
use crate::store::{Barn, barn};
use crate::ui::forms::{Cell, Faults};
use crate::ui::{Head, Lasting, Turns};
use crate::words::{self, dates, season as said};
use book::views::{NeedRow, Needs, Scope, ShelfRow, WhatIf, gather, needs, shelf_key};
use chrono::{NaiveDate, TimeDelta};
use desk::forms::counts;
use desk::{Entry, Units};
use leptos::prelude::*;
use std::collections::BTreeMap;
use trade::forecast::needs::WeekNeed;

#[component]
pub fn NeedsPage() -> impl IntoView {
    let barn = barn();
    let (fields, turns) = (Fields::here(), Turns::here());
    let body = move || {
        let now = clock::now();
        let (found, monday) = barn.read(|book| {
            let gathered = gather(book, now, &WhatIf::default());
            (needs(book, &gathered, &gathered.both(&Scope::All)), gathered.monday())
        });
        shown(found, monday, barn, fields)
    };
    view! {
        <div class="page">
            <Head title=said::NEEDS.to_string() back=(Page::Season, said::TITLE.to_string()) />
            {turns.piece(body)}
            {turns.said(said::COUNTING)}
        </div>
    }
}

fn shown(found: Needs, monday: NaiveDate, barn: Barn, fields: Fields) -> AnyView {
    let today = clock::today();
    let pace = found.pace.map_or_else(|| said::NO_PACE.to_owned(), |pace| said::pace(pace.seconds, pace.meals));
    let rows: Vec<AnyView> = found.rows.into_iter().map(|row| need_row(row, monday, today, barn, fields)).collect();
    let shelves: Vec<AnyView> = found.shelves.into_iter().map(|row| shelf_row(row, today, barn, fields)).collect();
    view! {
        {rows}
        <p class="aside inset">{pace}</p>
        <h2>{said::SHELVES}</h2>
        {if shelves.is_empty() {
            view! { <p class="card quiet">{said::NO_SHELVES}</p> }.into_any()
        } else {
            shelves.into_any()
        }}
    }
    .into_any()
}

fn need_row(row: NeedRow, monday: NaiveDate, today: NaiveDate, barn: Barn, fields: Fields) -> AnyView {
    let week_of = |week: usize| monday + TimeDelta::days(7 * week as i64);
    let Some(first) = row.weeks.first() else { return ().into_any() };
    let most = row.weeks.iter().map(|week| week.needed.high).max().unwrap_or(0);
    let at = row.weeks.iter().position(|week| week.needed.high == most).unwrap_or(0);
    let now = said::need_now(first.needed, row.weeks[at].needed, week_of(at), today);
    let title = said::need(&row.what);
    let short = match (row.have, row.short) {
        (None, _) => view! { <p class="aside">{said::SAY_HAVE}</p> }.into_any(),
        (Some(have), None) => view! { <p>{said::enough(have)}</p> }.into_any(),
        (Some(have), Some(week)) => {
            let chance = row.weeks[week].short.unwrap_or(0.0);
            view! { <p class="warn">{said::short(week_of(week), chance, have, today)}</p> }.into_any()
        }
    };
    let table = weeks_table(&row.weeks, monday, today);
    view! {
        <section class="card">
            <h3>{title.clone()}</h3>
            <p>{now}</p>
            {short}
            {have_field(said::HAVE.to_owned(), title, row.what.key(), row.have, barn, fields)}
            {table}
        </section>
    }
    .into_any()
}

fn weeks_table(weeks: &[WeekNeed], monday: NaiveDate, today: NaiveDate) -> AnyView {
    let lines: Vec<AnyView> = weeks
        .iter()
        .enumerate()
        .map(|(i, week)| {
            let day = dates::day(monday + TimeDelta::days(7 * i as i64), today);
            view! {
                <tr><td>{day}</td><td>{said::number(week.needed.mean)}</td><td class="nowrap">{said::range(week.needed)}</td></tr>
            }
            .into_any()
        })
        .collect();
    view! {
        <details>
            <summary>{said::AS_TABLE}</summary>
            <table class="table">
                <thead><tr><th>{said::WEEK}</th><th>{said::EXPECTED}</th><th>{said::LIKELY}</th></tr></thead>
                <tbody>{lines}</tbody>
            </table>
        </details>
    }
    .into_any()
}

/// What stands in the page's fields, by what it is of: the rows are drawn anew with every act, and what is half typed in
/// another row stays.
#[derive(Clone, Copy)]
struct Fields {
    all: StoredValue<BTreeMap<String, (RwSignal<Entry>, Faults)>>,
    lasting: Lasting,
}

impl Fields {
    fn here() -> Self {
        Self { all: StoredValue::default(), lasting: Lasting::here() }
    }

    fn of(self, what: &str, fresh: impl Fn() -> Entry) -> (RwSignal<Entry>, Faults) {
        let made = || (RwSignal::new(fresh()), Faults::new());
        match self.all.with_value(|all| all.get(what).copied()) {
            Some(field) => {
                field.0.update(|entry| entry.offer(fresh().stands(), Units::default()));
                field
            }
            None => {
                let field = self.lasting.make(made).unwrap_or_else(made);
                self.all.update_value(|all| {
                    all.insert(what.to_owned(), field);
                });
                field
            }
        }
    }
}

/// How many there are, typed and saved.
fn have_field(label: String, of: String, what: String, have: Option<u32>, barn: Barn, fields: Fields) -> AnyView {
    let (entry, faults) = fields.of(&what, || counts::have(&label, &of, have));
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let built = entry.with_untracked(|entry| counts::supply(what.clone(), entry));
        let Some(act) = faults.pass(built) else { return };
        barn.save(act, said::SAVED, |_| ());
    };
    view! {
        <form class="reading no-print" novalidate on:submit=save>
            <label class="field"><span>{label}</span>
                <Cell entry label=said::have_of(&of) faults />
            </label>
            <button type="submit" class="act" aria-label=said::save_of(&of)>{words::SAVE}</button>
        </form>
    }
    .into_any()
}

fn shelf_row(row: ShelfRow, today: NaiveDate, barn: Barn, fields: Fields) -> AnyView {
    let boxes: Vec<AnyView> = row
        .boxes
        .iter()
        .map(|frees| {
            let href = Page::Box(frees.filling.to_string()).href();
            view! { <li><a class="reach" href=href>{frees.name.clone()}</a><p class="aside">{said::frees(frees.between, today)}</p></li> }
                .into_any()
        })
        .collect();
    let coming: Vec<AnyView> =
        row.coming.iter().map(|(name, chance)| view! { <li>{said::may_come(name, *chance)}</li> }.into_any()).collect();
    let full = said::shelf(row.boxes.len(), row.have);
    view! {
        <details class="card week">
            <summary><span class="title">{row.name.clone()}</span><span>{full}</span></summary>
            {have_field(said::TAKES.to_owned(), said::takes(&row.name), shelf_key(&row.place), row.have, barn, fields)}
            <ul class="lines">{boxes}</ul>
            {(!coming.is_empty()).then(|| view! { <h3>{said::COMING}</h3><ul class="lines">{coming}</ul> })}
        </details>
    }
    .into_any()
}
