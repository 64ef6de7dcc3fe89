//! The barn sheet: what is where, on paper.

use crate::clock;
use crate::prefs::{Prefs, prefs};
use crate::route::Page;
use crate::store::barn;
use crate::ui::{Head, print};
use crate::words::{boxes as box_words, dates, mother, names, units, whereis as said};
use book::Book;
use book::views::{BoxRow, WallPart, WallSpot, wall};
use leptos::prelude::*;

#[component]
pub fn BarnSheet() -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let now = clock::now();
    let paper = move || {
        barn.read(|book| {
            let parts = wall(book, now);
            if parts.iter().all(|part| part.spots.is_empty()) {
                return view! { <p class="card">{said::NOTHING}</p> }.into_any();
            }
            parts.into_iter().map(|part| part_view(book, part, &prefs.get())).collect_view().into_any()
        })
    };
    view! {
        <div class="page report">
            <Head title=said::PAPER.to_string() aside=said::as_of(now) back=(Page::WhereIs, said::TITLE.to_owned()) />
            <div class="gap no-print">
                <p>{said::PAPER_SAID}</p>
                <button type="button" class="act main" on:click=|_| print()>{said::PRINT}</button>
            </div>
            {paper}
        </div>
    }
}

fn part_view(book: &Book, part: WallPart, prefs: &Prefs) -> AnyView {
    let nowhere = part.spots.iter().all(|spot| spot.name.is_empty()) && part.free.is_empty();
    let title = match (nowhere, part.path.is_empty()) {
        (true, _) => said::NOWHERE.to_owned(),
        (false, true) => said::IN_NO_OTHER.to_owned(),
        (false, false) => part.path.join(" · "),
    };
    let rows: Vec<AnyView> = part
        .spots
        .iter()
        .map(|spot| {
            let lines: Vec<AnyView> =
                held(book, spot, prefs).into_iter().map(|line| view! { <p>{line}</p> }.into_any()).collect();
            view! { <tr><td class="nowrap"><b>{spot.name.clone()}</b></td><td>{lines}</td></tr> }.into_any()
        })
        .collect();
    view! {
        <section>
            <h2>{title}</h2>
            {(!rows.is_empty()).then(|| view! {
                <table class="table">
                    <thead><tr><th>{said::AT}</th><th>{said::WHAT}</th></tr></thead>
                    <tbody>{rows}</tbody>
                </table>
            })}
            {(!part.free.is_empty()).then(|| view! { <p>{said::all_free(&part.free)}</p> })}
        </section>
    }
    .into_any()
}

fn held(book: &Book, spot: &WallSpot, prefs: &Prefs) -> Vec<String> {
    let boxes = spot.boxes.iter().map(|row| box_line(row, prefs));
    boxes.chain(spot.animals.iter().map(|id| names::animal_long(book, id))).collect()
}

fn box_line(row: &BoxRow, prefs: &Prefs) -> String {
    let title = box_words::row_title(&row.numbers, &row.species);
    let title = if row.nest.is_some() { format!("{title} {}", mother::with(row)) } else { title };
    let look = row.window.as_ref().ok().map(|window| dates::weekday(window.unlooked.likely.0.date(), clock::today()));
    let fill = row.fill_to.map(|mass| units::mass(mass, prefs));
    said::on_paper(&title, mother::eggs(row), look, fill)
}
