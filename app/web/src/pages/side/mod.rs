//! What a desk has beside its pages: all sections with what is in them, the search, and what keys do.

mod keys;

use super::rounds::Find;
use crate::clock;
use crate::route::{self, Page};
use crate::store::barn;
use crate::words::{nav, rounds as said};
use book::Book;
use book::views::{is_young, pairing_rows, walk};
use desk::page::Section;
pub use keys::pressed;
use leptos::prelude::*;
use std::time::Duration;

#[component]
pub fn Side() -> impl IntoView {
    let page = route::page();
    let barn = barn();
    // Counts wait for the page, whichever it is.
    request_animation_frame(move || set_timeout(move || barn.seen.set(true), Duration::ZERO));
    let at = Memo::new(move |_| page.with(Page::section));
    let scan = move || (at.get() == Some(Section::Scan)).then_some("page");
    let item = move |section: Section| {
        let here = move || (at.get() == Some(section)).then_some("page");
        view! { <a href=section.page().href() aria-current=here>{nav::section(section)}<Count section /></a> }
    };
    let groups = Section::GROUPS.map(|(group, sections)| {
        view! {
            <h2>{nav::group(group)}</h2>
            {sections.iter().map(|section| item(*section)).collect_view()}
        }
    });
    view! {
        <div class="side">
            <a class="act main" href=Section::Scan.page().href() aria-current=scan>{nav::SCAN}</a>
            // Another page has been found, or gone to: the search is over.
            {move || {
                page.track();
                view! { <Find shown=said::FIND_SHORT /> }
            }}
            <nav aria-label=nav::LABEL>{groups.collect_view()}</nav>
            <button type="button" class="side-keys" on:click=|_| pressed(desk::keys::Act::Keys)>{nav::KEYS}<kbd>"?"</kbd></button>
        </div>
    }
}

/// How many are in a section; nothing where that says nothing.
#[component]
fn Count(section: Section) -> impl IntoView {
    let barn = barn();
    let urgent = section == Section::Rounds;
    let n = Memo::new(move |_| {
        if urgent {
            barn.now();
        }
        barn.seen.get().then(|| barn.read(|book| count(book, section))).flatten()
    });
    move || n.get().map(|n| view! { " "<span class="n" class:urgent=(urgent && n != 0)>{n}</span> })
}

fn count(book: &Book, section: Section) -> Option<usize> {
    let now = clock::now();
    match section {
        Section::Rounds => Some(walk(book, now).0.len()),
        Section::Boxes => Some(book.open_boxes().len()),
        Section::Pairings => Some(pairing_rows(book, now).iter().filter(|row| row.ended.is_none()).count()),
        Section::Animals => Some(book.animals().len()),
        Section::Young => Some(book.animals().into_iter().filter(|animal| is_young(animal, now.date())).count()),
        Section::Wishes => Some(book.open_wishes().len()),
        Section::Places => Some(book.places().into_iter().filter(|place| !place.closed).count()),
        Section::Ahead | Section::Scan | Section::Season | Section::LookBack | Section::WhatIsWhere => None,
        Section::Daybook | Section::Species | Section::Traits | Section::Labels => None,
        Section::Care | Section::Cooling | Section::Bundles | Section::Settings | Section::More => None,
    }
}
