//! The barn sheet: what is where, on paper.

use crate::clock;
use crate::prefs::{Prefs, prefs};
use crate::route::Page;
use crate::store::barn;
use crate::ui::{Head, Turns, foot, print, shared};
use crate::words::{self, boxes as box_words, dates, mother, names, units, whereis as said};
use book::Book;
use book::views::{BoxRow, WallPart, WallSpot, wall};
use desk::lists::narrow;
use leptos::prelude::*;

/// Rows that come with the page, and that a piece has at least.
const FIRST_ROWS: usize = 60;
const ROWS: usize = 240;

#[component]
pub fn BarnSheet() -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let now = clock::now();
    foot(&words::foot(said::PAPER, &said::as_of(now)));
    let parts = shared(move || {
        let of = |book: &Book| wall(book, now).into_iter().map(|part| Part::of(book, part, &prefs.get())).collect();
        barn.read(|book| -> Vec<Part> { of(book) })
    });
    let nothing = Memo::new(move |_| parts.with(|parts| parts.iter().all(|part| part.rows.is_empty())));
    let narrow = Memo::new(move |_| parts.with(|parts| narrow(parts.iter().flat_map(Part::lengths))));
    // A barn's whole sheet is thousands of lines: what fills the screen comes with the page, the rest piece by piece.
    let turns = Turns::here();
    let waits = turns.waits();
    let piece = move |(from, to): (usize, usize)| {
        move || {
            parts.with(|parts| {
                let some = parts.get(from..to.min(parts.len())).unwrap_or_default();
                some.iter().map(part_view).collect_view().into_any()
            })
        }
    };
    let mut pieces = parts.with_untracked(|parts| pieces(parts)).into_iter().map(piece);
    let first = pieces.next();
    let below = pieces.map(|piece| turns.piece(piece)).collect_view();
    view! {
        <div class="page report">
            <Head title=said::PAPER.to_string() aside=said::as_of(now) back=(Page::WhereIs, said::TITLE.to_owned()) />
            <div class="gap no-print">
                <p>{said::PAPER_SAID}</p>
                <button type="button" class="act main" disabled=waits on:click=|_| print()>{said::PRINT}</button>
            </div>
            {move || nothing.get().then(|| view! { <p class="card">{said::NOTHING}</p> })}
            <div class="wall" class:narrow=narrow hidden=nothing>{first}{below}</div>
            {turns.said(said::REST_FOLLOWS)}
        </div>
    }
}

/// From which part to which each piece goes. What comes into the barn meanwhile is in the last.
fn pieces(parts: &[Part]) -> Vec<(usize, usize)> {
    let (mut pieces, mut from, mut rows) = (Vec::new(), 0, 0);
    for (at, part) in parts.iter().enumerate() {
        rows += part.rows.len();
        if rows >= if pieces.is_empty() { FIRST_ROWS } else { ROWS } {
            pieces.push((from, at + 1));
            (from, rows) = (at + 1, 0);
        }
    }
    pieces.push((from, usize::MAX));
    pieces
}

/// A room, rack or incubator as the sheet says it.
struct Part {
    title: String,
    /// What all animals in it are, said once.
    species: Option<String>,
    /// Each place, and what stands there, a line each.
    rows: Vec<(String, Vec<String>)>,
    free: Option<String>,
}

impl Part {
    fn of(book: &Book, part: WallPart, prefs: &Prefs) -> Self {
        let nowhere = part.spots.iter().all(|spot| spot.name.is_empty()) && part.free.is_empty();
        let species = one_species(book, &part);
        let title = match (nowhere, part.path.is_empty()) {
            (true, _) => said::NOWHERE.to_owned(),
            (false, true) => said::IN_NO_OTHER.to_owned(),
            (false, false) => part.path.join(" · "),
        };
        let named = if species.is_some() { names::animal_coded } else { names::animal_long };
        let row = |spot: WallSpot| {
            let boxes = spot.boxes.iter().map(|row| box_line(row, prefs));
            let held = boxes.chain(spot.animals.iter().map(|id| named(book, id))).collect();
            (spot.name, held)
        };
        Self {
            title,
            species: species.map(|key| names::species(book, &key)),
            rows: part.spots.into_iter().map(row).collect(),
            free: (!part.free.is_empty()).then(|| said::all_free(&part.free)),
        }
    }

    /// Letters of each line.
    fn lengths(&self) -> impl Iterator<Item = usize> {
        let of_row = |(name, held): &(String, Vec<String>)| {
            let before = name.chars().count() + 1;
            held.iter().map(|line| before + line.chars().count()).collect::<Vec<_>>()
        };
        self.rows.iter().flat_map(of_row).chain(self.free.iter().map(|free| free.chars().count()))
    }
}

/// The species of all animals in a part, where it is one and they are several.
fn one_species(book: &Book, part: &WallPart) -> Option<String> {
    let mut all = part.spots.iter().flat_map(|spot| &spot.animals).map(|id| book.animal(id)?.species.clone());
    let first = all.next()??;
    let mut others = all.peekable();
    (others.peek().is_some() && others.all(|other| other.as_ref() == Some(&first))).then_some(first)
}

fn part_view(part: &Part) -> AnyView {
    let rows: Vec<AnyView> = part
        .rows
        .iter()
        .map(|(name, held)| {
            let lines: Vec<AnyView> = held.iter().map(|line| view! { <p>{line.clone()}</p> }.into_any()).collect();
            view! { <tr><td class="nowrap"><b>{name.clone()}</b></td><td>{lines}</td></tr> }.into_any()
        })
        .collect();
    view! {
        <section>
            <h2>{part.title.clone()}{part.species.clone().map(|species| view! { " " <span class="aside">{species}</span> })}</h2>
            {(!rows.is_empty()).then(|| view! {
                <table class="table">
                    <thead><tr><th>{said::AT}</th><th>{said::WHAT}</th></tr></thead>
                    <tbody>{rows}</tbody>
                </table>
            })}
            {part.free.clone().map(|free| view! { <p>{free}</p> })}
        </section>
    }
    .into_any()
}

fn box_line(row: &BoxRow, prefs: &Prefs) -> String {
    let title = box_words::row_title(&row.numbers, &row.species);
    let title = if row.nest.is_some() { format!("{title} {}", mother::with(row)) } else { title };
    let look = row.window.as_ref().ok().map(|window| dates::weekday(window.unlooked.likely.0.date(), clock::today()));
    let fill = row.fill_to.map(|mass| units::mass(mass, prefs));
    said::on_paper(&title, mother::eggs(row), look, fill)
}
