//! All treatments, and all that is set apart: what goes on, then what is over; how often
//! tubs are cleaned.

use super::Given;
use super::clean::Rules;
use crate::clock;
use crate::route::Page;
use crate::store::barn;
use crate::ui::{Caution, Empty, Head, Paged};
use crate::words::{care as words, cleaning as cleaning_words, nav};
use book::Thing;
use book::views::{QuarantineRow, TreatmentRow, quarantine_rows, treatment_rows};
use leptos::prelude::*;

#[component]
pub fn Care() -> impl IntoView {
    let barn = barn();
    let rows = Memo::new(move |_| {
        let now = barn.now();
        barn.read(|book| treatment_rows(book, now))
    });
    let show = Callback::new(move |(from, to): (usize, usize)| {
        let rows = rows.with(|rows| rows.get(from..to).map(<[TreatmentRow]>::to_vec).unwrap_or_default());
        rows.into_iter().map(row).collect_view().into_any()
    });
    let apart = Memo::new(move |_| barn.read(|book| quarantine_rows(book, clock::now())));
    let show_apart = Callback::new(move |(from, to): (usize, usize)| {
        let rows = apart.with(|rows| rows.get(from..to).map(<[QuarantineRow]>::to_vec).unwrap_or_default());
        rows.into_iter().map(apart_row).collect_view().into_any()
    });
    view! {
        <div class="page">
            <Head title=words::TITLE.to_string() back=(Page::More, nav::MORE.to_owned()) />
            <h2>{words::TREATMENTS}</h2>
            {move || if rows.with(Vec::is_empty) {
                view! { <Empty text=words::EMPTY><a class="act main" href=Page::Animals.href()>{words::TO_ANIMALS}</a></Empty> }.into_any()
            } else {
                view! { <Paged name="treatments" total=Signal::derive(move || rows.with(Vec::len)) show /> }.into_any()
            }}
            <p class="aside inset">{words::HOW}</p>
            <Caution text=words::CAUTION />
            <h2>{words::APART}</h2>
            {move || apart.with(Vec::is_empty).then(|| view! { <p class="quiet inset">{words::NOBODY_APART}</p> })}
            <Paged name="apart" total=Signal::derive(move || apart.with(Vec::len)) show=show_apart />
            <p class="aside inset">{words::APART_HOW}</p>
            <h2>{cleaning_words::TITLE}</h2>
            <Rules />
        </div>
    }
}

fn row(row: TreatmentRow) -> AnyView {
    let name = if row.name.is_empty() { words::NO_ANIMAL.to_owned() } else { row.name.clone() };
    let due = row.standing.due.is_some();
    view! {
        <div class="row linked" class:urgent=due>
            <span class="text">
                <a class="title link" href=Page::Treatment(row.id.to_string()).href()>{name.clone()}</a>
                <span>{words::what(&row.what, row.dose.as_deref())}</span>
                <span class="aside" class:warn=row.astray()>{words::stands(&row, clock::today())}</span>
            </span>
            {due.then(|| view! { <Given treatment=row.id.clone() name /> })}
        </div>
    }
    .into_any()
}

fn apart_row(row: QuarantineRow) -> AnyView {
    view! {
        <a class="row" class:urgent=row.due href=Page::Quarantine(row.quarantine.id.to_string()).href()>
            <span class="text">
                <span class="title">{row.name.clone()}</span>
                <span class="aside">{words::apart_line(&row, clock::today())}</span>
            </span>
        </a>
    }
    .into_any()
}

/// On the animal's own page, which names the animal.
pub fn treatment_line(row: TreatmentRow) -> AnyView {
    view! {
        <a class="row" href=Page::Treatment(row.id.to_string()).href()>
            <span class="text">
                <span class="title">{words::what(&row.what, row.dose.as_deref())}</span>
                <span class="aside" class:warn=row.astray()>{words::stands(&row, clock::today())}</span>
            </span>
        </a>
    }
    .into_any()
}

/// On the page of an animal or a place that is set apart, or is in what is.
#[component]
pub fn ApartBanner(of: Thing) -> impl IntoView {
    let barn = barn();
    let found = Memo::new(move |_| {
        barn.read(|book| book.apart(&of).map(|quarantine| (quarantine.id.to_string(), quarantine.until)))
    });
    move || {
        found.get().map(|(id, until)| {
            let said = words::in_quarantine(until, clock::today());
            view! { <div class="banner"><p><a class="reach" href=Page::Quarantine(id).href()>{said}</a></p></div> }
        })
    }
}
