//! All boxes in use, in walking order, as rows or as the season's hatch strip; clutches found and not boxed first.

use super::window::burn;
use crate::clock;
use crate::route::{Page, PullFrom};
use crate::store::barn;
use crate::ui::{Empty, Head, Paged, Strip, StripRow, Taper};
use crate::words::{boxes as said, dates, names, window as window_words};
use book::views::{BoxRow, box_rows};
use leptos::prelude::*;

/// Rows in the page at most; the rest is a tap away.
const SHOWN: usize = 60;

#[component]
pub fn Boxes() -> impl IntoView {
    let barn = barn();
    let waiting = move || {
        let today = clock::today();
        barn.read(|book| {
            let found = book.clutches().into_iter().filter(|c| {
                book.eggs_of(&c.id).is_empty() && book.same_clutch(&c.id).first().is_some_and(|f| f.id == c.id)
            });
            let rows = found.map(|c| {
                let when = c.found.or(c.laid).map(|w| dates::when(w, today)).unwrap_or_default();
                (
                    c.id.to_string(),
                    book.clutch_number(&c.id),
                    said::found_line(&names::pair(&book::views::parents(book, &c.id)), &when),
                )
            });
            rows.take(SHOWN).collect::<Vec<_>>()
        })
    };
    let rows = Memo::new(move |_| barn.read(|book| box_rows(book, clock::now())));
    let some = Callback::new(move |(from, to): (usize, usize)| {
        let rows = rows.with(|rows| rows.get(from..to).map(<[BoxRow]>::to_vec).unwrap_or_default());
        rows.into_iter().map(|row| view! { <Row row /> }).collect_view().into_any()
    });
    view! {
        <div class="page with-acts">
            <Head title=said::TITLE.to_string() aside=Signal::derive(move || said::in_use(barn.read(|b| b.open_fillings().len()))) />
            {move || {
                let waiting = waiting();
                (!waiting.is_empty()).then(|| view! {
                    <h2>{said::NOT_BOXED}</h2>
                    {waiting.into_iter().map(|(id, number, line)| view! {
                        <div class="row linked">
                            <span class="text">
                                <a class="title link" href=Page::Clutch(id.clone()).href()>{number}</a>
                                <span>{line}</span>
                            </span>
                            <a class="act small" href=Page::Pull(PullFrom::Clutch(id)).href()>{said::BOX_IT}</a>
                        </div>
                    }).collect_view()}
                })
            }}
            {move || {
                if rows.with(Vec::is_empty) {
                    return view! { <Empty text=said::EMPTY><a class="act main" href=Page::Pull(PullFrom::Nothing).href()>{said::PULL}</a></Empty> }.into_any();
                }
                let strip = rows.with(|rows| strip(rows, SHOWN));
                view! {
                    <h2>{said::SEASON}</h2>
                    <section class="card"><Strip rows=strip today=clock::today() /></section>
                    <h2>{said::IN_USE}</h2>
                    <Paged total=Signal::derive(move || rows.with(Vec::len)) show=some />
                }.into_any()
            }}
            {move || barn.read(|b| !b.open_fillings().is_empty()).then(|| view! {
                <div class="acts"><a class="act main" href=Page::Pull(PullFrom::Nothing).href()>{said::PULL}</a></div>
            })}
        </div>
    }
}

#[component]
fn Row(row: BoxRow) -> impl IntoView {
    let now = clock::now();
    let taper = row.laid.map(|laid| burn(laid, row.window.as_ref().ok(), now));
    let window = match &row.window {
        Ok(w) => window_words::short(w, now.date()),
        Err(_) => window_words::NO_WINDOW.to_string(),
    };
    let place = if row.path.is_empty() { said::NO_PLACE.to_string() } else { names::path(&row.path) };
    view! {
        <div class="row linked">
            {taper.map(|burn| view! { <Taper burn height=64 /> })}
            <span class="text">
                <a class="title link" href=Page::Box(row.id.to_string()).href()>{said::row_title(&row.numbers, &row.species)}</a>
                <span>{said::row_line(row.day, row.counts.still_in, &window)}</span>
                <span class="aside">{names::pair(&row.parents)} " · " {place}</span>
            </span>
        </div>
    }
}

/// The boxes' windows, soonest first.
pub fn strip(rows: &[BoxRow], most: usize) -> Vec<StripRow> {
    let row = |row: &BoxRow| {
        let window = row.window.as_ref().ok()?;
        Some(StripRow {
            name: row.numbers.join(" + "),
            laid: row.laid?.date(),
            likely: (window.first.likely.0.date(), window.first.likely.1.date()),
            outer: (window.first.outer.0.date(), window.first.outer.1.date()),
            days: window.first.days(),
        })
    };
    let mut strip: Vec<StripRow> = rows.iter().filter_map(row).collect();
    strip.sort_by_key(|r| r.likely);
    strip.truncate(most);
    strip
}
