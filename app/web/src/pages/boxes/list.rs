//! All boxes in use, in walking order, as rows or as the season's hatch strip; clutches found and not boxed first.

use super::window::burn;
use crate::clock;
use crate::route::{self, Page, PullFrom};
use crate::store::barn;
use crate::ui::signs::act_link;
use crate::ui::{Empty, Head, PANES, Paged, Pane, Strip, StripRow, Taper, wide};
use crate::words::{boxes as said, dates, mother, names, window as window_words};
use book::views::{BoxRow, box_rows};
use book::{ClutchId, FillingId};
use desk::lists::{not_boxed, told_apart};
use leptos::prelude::*;

/// Windows drawn at most; the soonest.
const SHOWN: usize = 60;

#[component]
pub fn Boxes() -> impl IntoView {
    let barn = barn();
    let wide = wide(PANES);
    let aside = Signal::derive(move || said::in_use(barn.read(|book| book.open_boxes().len())));
    view! {
        <div class="page with-acts">
            <Head title=said::TITLE.to_string() aside />
            <Waiting />
            <Season />
            // Where there is room, the list stands beside.
            {move || (!wide.get()).then(|| view! { <List /> })}
            {move || barn.read(|book| !book.open_fillings().is_empty()).then(|| view! {
                <div class="acts">{act_link(&Page::Pull(PullFrom::Nothing), "act main", said::PULL)}</div>
            })}
        </div>
    }
}

/// The list as it stands beside a box.
#[component]
pub fn ListBeside() -> impl IntoView {
    let barn = barn();
    let aside = Signal::derive(move || said::in_use(barn.read(|book| book.open_boxes().len())));
    view! { <Pane name=said::TITLE href=Page::Boxes.href() aside><List /></Pane> }
}

/// Clutches found and not boxed.
#[component]
fn Waiting() -> impl IntoView {
    let barn = barn();
    let waiting = Memo::new(move |_| barn.read(not_boxed));
    let show = Callback::new(move |(from, to): (usize, usize)| {
        let ids = waiting.with(|ids| ids.get(from..to).map(<[ClutchId]>::to_vec).unwrap_or_default());
        let today = clock::today();
        let row = |id: ClutchId| {
            let (number, line) = barn.read(|book| {
                let clutch = book.clutch(&id);
                let when = clutch.and_then(|c| c.found.or(c.laid)).map(|w| dates::when(w, today)).unwrap_or_default();
                (book.clutch_number(&id), said::found_line(&names::pair(&book::views::parents(book, &id)), &when))
            });
            view! {
                <div class="row linked">
                    <span class="text">
                        <a class="title link" href=Page::Clutch(id.to_string()).href()>{number}</a>
                        <span>{line}</span>
                    </span>
                    <a class="act small" href=Page::Pull(PullFrom::Clutch(id.to_string())).href()>{said::BOX_IT}</a>
                </div>
            }
        };
        ids.into_iter().map(row).collect_view().into_any()
    });
    move || {
        (!waiting.with(Vec::is_empty)).then(|| {
            view! {
                <h2>{said::NOT_BOXED}</h2>
                <Paged name="waiting" total=Signal::derive(move || waiting.with(Vec::len)) show />
            }
        })
    }
}

/// The season's hatch strip, if there is a box with a window.
#[component]
fn Season() -> impl IntoView {
    let barn = barn();
    move || {
        let rows = barn.read(|book| strip(&box_rows(book, clock::now()), SHOWN));
        (!rows.is_empty()).then(|| {
            view! {
                <h2>{said::SEASON}</h2>
                <section class="card"><Strip rows today=clock::today() /></section>
            }
        })
    }
}

/// The boxes in use; the one whose page stands beside them is marked.
#[component]
fn List() -> impl IntoView {
    let barn = barn();
    let all = Memo::new(move |_| barn.read(|book| box_rows(book, clock::now())));
    let of = |nests: bool| {
        move |rows: &Vec<BoxRow>| rows.iter().filter(|row| row.nest.is_some() == nests).cloned().collect::<Vec<_>>()
    };
    let rows = Memo::new(move |_| all.with(of(false)));
    let nests = Memo::new(move |_| all.with(of(true)));
    let page = route::page();
    let chosen = Memo::new(move |_| {
        page.with(|page| match page {
            Page::Box(id) => Some(FillingId::from(id.as_str())),
            _ => None,
        })
    });
    let shown = move |rows: Memo<Vec<BoxRow>>| {
        Callback::new(move |(from, to): (usize, usize)| {
            let rows = rows.with(|rows| rows.get(from..to).map(<[BoxRow]>::to_vec).unwrap_or_default());
            rows.into_iter()
                .map(|row| {
                    let id = row.id.clone();
                    let here = Signal::derive(move || chosen.with(|chosen| chosen.as_ref() == Some(&id)));
                    view! { <Row row here /> }
                })
                .collect_view()
                .into_any()
        })
    };
    let (some, of_nests) = (shown(rows), shown(nests));
    move || {
        if all.with(Vec::is_empty) {
            return view! { <Empty text=said::EMPTY>{act_link(&Page::Pull(PullFrom::Nothing), "act main", said::PULL)}</Empty> }.into_any();
        }
        let chosen = chosen.get_untracked();
        let at = rows.with(|rows| rows.iter().position(|row| Some(&row.id) == chosen.as_ref()));
        view! {
            {(!rows.with(Vec::is_empty)).then(|| view! {
                <h2>{said::IN_USE}</h2>
                <Paged name="boxes" total=Signal::derive(move || rows.with(Vec::len)) show=some at=at.unwrap_or(0) />
            })}
            {(!nests.with(Vec::is_empty)).then(|| view! {
                <h2>{mother::TITLE}</h2>
                <Paged name="nests" total=Signal::derive(move || nests.with(Vec::len)) show=of_nests />
            })}
        }
        .into_any()
    }
}

#[component]
fn Row(row: BoxRow, here: Signal<bool>) -> impl IntoView {
    let now = clock::now();
    let taper = row.since.map(|since| burn(since.when, row.window.as_ref().ok(), now));
    let window = match &row.window {
        Ok(w) => window_words::short(w, now.date()),
        Err(_) => window_words::NO_WINDOW.to_string(),
    };
    let nowhere = if row.nest.is_some() { mother::NO_PLACE } else { said::NO_PLACE };
    let place = if row.path.is_empty() { nowhere.to_string() } else { names::path(&row.path) };
    view! {
        <div class="row linked" aria-current=move || here.get().then_some("true")>
            {taper.map(|burn| view! { <Taper burn height=64 /> })}
            <span class="text">
                <a class="title link" href=Page::Box(row.id.to_string()).href()>{said::row_title(&row.numbers, &row.species)}</a>
                <span>{said::row_line(&row, now, &window)}</span>
                <span class="aside">{names::pair(&row.parents)} " · " {place}</span>
            </span>
        </div>
    }
}

/// The boxes' windows, soonest first.
pub fn strip(rows: &[BoxRow], most: usize) -> Vec<StripRow> {
    lanes(rows, most).into_iter().map(|(strip, _)| strip).collect()
}

/// The same, each beside its box. Boxes of one clutch are told apart by a letter.
pub fn lanes(rows: &[BoxRow], most: usize) -> Vec<(StripRow, &BoxRow)> {
    let lane = |row: &'_ BoxRow| {
        let window = row.window.as_ref().ok()?;
        Some(StripRow {
            name: row.numbers.join(" + "),
            since: row.since?,
            likely: (window.first.likely.0.date(), window.first.likely.1.date()),
            outer: (window.first.outer.0.date(), window.first.outer.1.date()),
            days: window.first.days(),
        })
    };
    let mut lanes: Vec<(StripRow, &BoxRow)> = rows.iter().filter_map(|row| Some((lane(row)?, row))).collect();
    lanes.sort_by_key(|(lane, _)| lane.likely);
    lanes.truncate(most);
    let mut names: Vec<String> = lanes.iter().map(|(lane, _)| lane.name.clone()).collect();
    told_apart(&mut names);
    for ((lane, _), name) in lanes.iter_mut().zip(names) {
        lane.name = name;
    }
    lanes
}
