//! A thing on its way: the label scanned last, or one whose place is to be scanned next.
//!
//! Scan a tub or box, then a place: the place's page offers to bring it there. With *Scan the place* tapped before, the
//! place scanned takes it at once.

use crate::clock;
use crate::route::{Go, Page};
use crate::store::{Barn, barn};
use crate::words::carried as words;
use book::acts::Moved;
use book::{Kind, PlaceId, Thing, Where};
use chrono::{NaiveDateTime, TimeDelta};
use leptos::prelude::*;
use std::cell::RefCell;
use trade::when::When;

#[derive(Clone)]
struct Carried {
    thing: Thing,
    since: NaiveDateTime,
    /// The next place scanned takes it.
    at_once: bool,
}

/// Longer than a walk through the barn; after that the thing has long been put down.
const MINUTES: i64 = 15;

// Lives as long as the page: what was in the hand before a reload is asked again.
thread_local! {
    static CARRIED: RefCell<Option<Carried>> = const { RefCell::new(None) };
}

fn carry(thing: Thing, at_once: bool) {
    CARRIED.set(Some(Carried { thing, since: clock::now(), at_once }));
}

fn carried() -> Option<Carried> {
    CARRIED.with_borrow(|carried| {
        carried.clone().filter(|carried| clock::now() - carried.since < TimeDelta::minutes(MINUTES))
    })
}

/// The label of a thing was scanned.
pub fn scanned(page: &Page) {
    match page {
        Page::Animal(id) => carry(Thing::new(Kind::Animal, id.as_str()), false),
        Page::Box(id) => carry(Thing::new(Kind::Filling, id.as_str()), false),
        _ => {}
    }
}

/// A place was scanned: true when it took what was to be brought there.
pub fn taken_to(barn: Barn, page: &Page) -> bool {
    let Page::Place(place) = page else { return false };
    match carried().filter(|carried| carried.at_once) {
        Some(carried) => {
            bring(barn, carried.thing, PlaceId::from(place.as_str()));
            true
        }
        None => false,
    }
}

fn page_of(thing: &Thing) -> Page {
    Page::of(thing).unwrap_or(Page::Daybook)
}

fn bring(barn: Barn, thing: Thing, place: PlaceId) {
    let to = page_of(&thing);
    let (name, at) = barn.peek(|book| (book.short_name(&thing), crate::words::names::place(book, &place)));
    let act = Moved::to_place(vec![thing.clone()], place, When::time(clock::now()));
    barn.save(act, words::brought(&name, &at), move |_| {
        // In the hand until it is stored: whoever is asked may look again first.
        CARRIED.with_borrow_mut(|carried| _ = carried.take_if(|carried| carried.thing == thing));
        to.go();
    });
}

/// Goes to the scanner; the next place scanned takes the thing.
#[component]
pub fn ScanPlace(thing: Thing) -> impl IntoView {
    let go = move |_| {
        carry(thing.clone(), true);
        Page::Scan.go();
    };
    view! { <button type="button" class="act" on:click=go>{words::SCAN_PLACE}</button> }
}

/// On a place's page: bring here what was scanned last.
#[component]
pub fn BringHere(place: PlaceId) -> impl IntoView {
    let barn = barn();
    let carried = carried().filter(|carried| {
        barn.peek(|book| {
            book.has(&carried.thing) && book.whereabouts(&carried.thing) != Some(&Where::Place(place.clone()))
        })
    });
    carried.map(|carried| {
        let name = barn.peek(|book| book.short_name(&carried.thing));
        let bring = move |_| bring(barn, carried.thing.clone(), place.clone());
        view! { <button type="button" class="act main" on:click=bring>{words::bring(&name)}</button> }
    })
}
