//! The year's barn book: every clutch of a year, for the shelf above the desk.

use crate::clock;
use crate::route::Page;
use crate::store::barn;
use crate::ui::{Head, foot, print};
use crate::words::{self, dates, season as said, window};
use book::Book;
use book::records::Clutch;
use book::views::{Since, parents, sum_of};
use chrono::{Datelike, NaiveDate};
use leptos::prelude::*;

#[component]
pub fn BarnBook() -> impl IntoView {
    let barn = barn();
    let years = barn.peek(years);
    let year = RwSignal::new(years.first().copied().unwrap_or_else(|| clock::today().year()));
    let chips: Vec<AnyView> = years
        .into_iter()
        .map(|y| {
            view! {
                <button type="button" class="chip" aria-pressed=move || (year.get() == y).to_string()
                    on:click=move |_| year.set(y)>{y.to_string()}</button>
            }
            .into_any()
        })
        .collect();
    let paper = move || barn.read(|book| paper(book, year.get()));
    foot(&words::foot(said::BARN_BOOK, &dates::full(clock::today())));
    view! {
        <div class="page report">
            <Head title=said::BARN_BOOK.to_string() back=(Page::Season, said::TITLE.to_string()) />
            <div class="gap no-print">
                <div class="chips" role="group" aria-label=said::YEAR>{chips}</div>
                <button type="button" class="act main" on:click=|_| print()>{said::PRINT}</button>
            </div>
            {paper}
        </div>
    }
}

/// Clutches as first recorded, those joined to another left to it.
fn clutches(book: &Book) -> Vec<(Since, &Clutch)> {
    let first = |clutch: &&Clutch| book.same_clutch(&clutch.id).first().is_some_and(|first| first.id == clutch.id);
    book.clutches().into_iter().filter(first).filter_map(|c| Some((Since::of_clutch(book, &c.id)?, c))).collect()
}

/// Newest first.
fn years(book: &Book) -> Vec<i32> {
    let mut years: Vec<i32> = clutches(book).into_iter().map(|(since, _)| since.when.date().year()).collect();
    years.sort_unstable_by(|a, b| b.cmp(a));
    years.dedup();
    years
}

fn paper(book: &Book, year: i32) -> AnyView {
    let today = clock::today();
    let mut all: Vec<(Since, &Clutch)> =
        clutches(book).into_iter().filter(|(since, _)| since.when.date().year() == year).collect();
    all.sort_by_key(|(since, clutch)| (since.when.date(), book.clutch_number(&clutch.id)));
    if all.is_empty() {
        return view! { <p class="card quiet">{said::NO_CLUTCH}</p> }.into_any();
    }
    let rows: Vec<AnyView> = all.iter().map(|(since, clutch)| row(book, *since, clutch, today)).collect();
    view! {
        <h2>{said::book_of(year, all.len())}</h2>
        <div class="wide" tabindex="0" role="region" aria-label=said::book_of(year, all.len())>
        <table class="table book-table">
            <thead><tr>
                <th>{said::CLUTCH}</th><th>{said::DAM_SIRE}</th><th>{said::LAID}</th><th>{said::EGGS}</th>
                <th>{said::FIRST_PIP}</th><th>{said::HATCHED}</th><th>{said::REST}</th>
            </tr></thead>
            <tbody>{rows}</tbody>
        </table>
        </div>
    }
    .into_any()
}

fn row(book: &Book, since: Since, clutch: &Clutch, today: NaiveDate) -> AnyView {
    let sum = sum_of(book, &clutch.id);
    let names = parents(book, &clutch.id);
    let side = |names: &[String]| if names.is_empty() { "?".to_owned() } else { names.join(" / ") };
    let eggs = clutch.counts().map(|c| said::eggs_laid(c.good, c.dud, c.slug)).unwrap_or_default();
    let pip = book.first_pip(&clutch.id).map(|when| {
        let day = dates::day(when.date(), today);
        match since.laid() {
            Some(laid) => format!("{day}, {} d", (when.date() - laid.date()).num_days()),
            None => day,
        }
    });
    let lost = sum.total() - sum.hatched - sum.still_in;
    let species = book.clutch_profile(clutch).name.into_owned();
    view! {
        <tr>
            <td><b>{book.clutch_number(&clutch.id)}</b><br /><span class="aside">{species}</span></td>
            <td>{side(&names.dam_names())}" × "{side(&names.sire_names())}</td>
            <td class="nowrap">{window::since_cell(since, today)}</td>
            <td>{eggs}</td>
            <td>{pip}</td>
            <td>{sum.hatched.to_string()}</td>
            <td>{said::rest(sum.still_in, lost)}</td>
        </tr>
    }
    .into_any()
}
