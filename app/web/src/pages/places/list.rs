//! All places in walking order: shelves with their temperatures, how many boxes, which are free.

use crate::prefs::{Prefs, prefs};
use crate::route::Page;
use crate::store::barn;
use crate::ui::{Caution, Empty, Head};
use crate::words::{places as words, units};
use book::records::Place;
use book::words::PlaceWhat;
use book::{Book, Kind, PlaceId, Thing};
use leptos::prelude::*;
use std::collections::BTreeSet;

/// Shelves shown under one incubator.
const SHELVES: usize = 40;
/// Places shown in one room.
const IN_ROOM: usize = 80;

/// One place with the shelves that stand under it in the list.
struct Item {
    id: PlaceId,
    name: String,
    said: String,
    shelves: Vec<(PlaceId, String, String, bool)>,
    left: usize,
}

struct Group {
    /// The room, if it is in one.
    room: Option<(PlaceId, String)>,
    items: Vec<Item>,
}

#[component]
pub fn Places() -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let aside = Signal::derive(move || {
        barn.read(|book| {
            let shelves = book.shelves();
            let boxes: usize = shelves.iter().map(|shelf| boxes_at(book, &shelf.id)).sum();
            let free = shelves.iter().filter(|shelf| boxes_at(book, &shelf.id) == 0).count();
            if shelves.is_empty() { String::new() } else { words::totals(boxes, free) }
        })
    });
    move || {
        let (groups, closed) = barn.read(|book| groups(book, &prefs.get()));
        let empty = groups.is_empty() && closed.is_empty();
        view! {
            <div class="page with-acts">
                <Head title=words::TITLE.to_string() aside back=(Page::More, crate::words::settings::MORE.to_owned()) />
                {empty.then(|| view! {
                    <Empty text=words::EMPTY><a class="act main" href=Page::PlaceNew.href()>{words::ADD_INCUBATOR}</a></Empty>
                })}
                {groups.into_iter().map(|group| view! {
                    {group.room.map(|(id, name)| view! {
                        <h2><a class="reach" href=Page::Place(id.to_string()).href()>{name}</a></h2>
                    })}
                    {group.items.into_iter().map(|item| view! { <ItemView item /> }).collect_view()}
                }).collect_view()}
                {(!closed.is_empty()).then(|| view! {
                    <details>
                        <summary>{words::CLOSED}</summary>
                        {closed.into_iter().map(|(id, name)| view! {
                            <a class="row" href=Page::Place(id.to_string()).href()><span class="text">{name}</span></a>
                        }).collect_view()}
                    </details>
                })}
                <Caution text=words::CAUTION />
                {(!empty).then(|| view! {
                    <div class="acts"><a class="act main" href=Page::PlaceNew.href()>{words::ADD}</a></div>
                })}
            </div>
        }
    }
}

#[component]
fn ItemView(item: Item) -> impl IntoView {
    view! {
        <a class="row" href=Page::Place(item.id.to_string()).href()>
            <span class="text"><span class="title">{item.name}</span><span class="aside">{item.said}</span></span>
        </a>
        <ul class="shelves">{item.shelves.into_iter().map(|(id, name, said, free)| view! {
            <li><a class="row" href=Page::Place(id.to_string()).href()>
                <span class="text">{name}</span>
                <span class="nowrap" class:quiet=free>{said}</span>
            </a></li>
        }).collect_view()}</ul>
        {(item.left > 0).then(|| view! { <p class="quiet inset">{words::more_inside(item.left)}</p> })}
    }
}

pub(super) fn boxes_at(book: &Book, place: &PlaceId) -> usize {
    let is_box = |thing: &&Thing| thing.kind == Kind::Filling && !book.is_nest(&thing.id.as_str().into());
    book.things_at(place).iter().filter(is_box).count()
}

pub fn animals_at(book: &Book, place: &PlaceId) -> usize {
    book.things_at(place).iter().filter(|thing| thing.kind == Kind::Animal).count()
}

/// `28.0 °C · 3 boxes`, `free`.
pub(super) fn held(book: &Book, place: &Place, prefs: &Prefs) -> (String, bool) {
    let incubates = matches!(place.what, Some(PlaceWhat::Shelf | PlaceWhat::Incubator));
    let n = if incubates { boxes_at(book, &place.id) } else { animals_at(book, &place.id) };
    let held = if incubates { words::boxes(n) } else { words::animals(n) };
    match book.set_temp(&place.id).filter(|_| incubates) {
        Some(temp) => (format!("{} · {held}", units::temp(temp, prefs)), n == 0),
        None => (held, n == 0),
    }
}

/// What is inside, by kind: `20 tubs, 3 free`. A place that holds nothing of its own says what stands there.
pub(super) fn inside(book: &Book, place: &Place, prefs: &Prefs) -> String {
    let open: Vec<&Place> = book.places_in(Some(&place.id)).into_iter().filter(|inner| !inner.closed).collect();
    let mut said = Vec::new();
    for &what in PlaceWhat::ALL {
        let of: Vec<&&Place> = open.iter().filter(|inner| inner.what == Some(what)).collect();
        let free = of.iter().filter(|inner| is_free(book, &inner.id)).count();
        if !of.is_empty() {
            said.push(words::inside(of.len(), what, free));
        }
    }
    if said.is_empty() { held(book, place, prefs).0 } else { said.join(" · ") }
}

/// Nothing stands there and nothing is in it.
fn is_free(book: &Book, place: &PlaceId) -> bool {
    book.things_at(place).is_empty() && book.places_in(Some(place)).is_empty()
}

fn item(book: &Book, place: &Place, prefs: &Prefs, listed: &mut BTreeSet<PlaceId>) -> Item {
    listed.insert(place.id.clone());
    let inner = book.places_in(Some(&place.id));
    listed.extend(inner.iter().map(|inner| inner.id.clone()));
    let shelves: Vec<&Place> =
        inner.into_iter().filter(|inner| inner.what == Some(PlaceWhat::Shelf) && !inner.closed).collect();
    let left = shelves.len().saturating_sub(SHELVES);
    let shelves = shelves.into_iter().take(SHELVES).map(|shelf| {
        let (said, free) = held(book, shelf, prefs);
        (shelf.id.clone(), words::called(shelf), said, free)
    });
    let shelves: Vec<_> = shelves.collect();
    Item { id: place.id.clone(), name: words::called(place), said: inside(book, place, prefs), shelves, left }
}

/// Rooms with what is in them, then what is in no room; and what is no longer in use.
fn groups(book: &Book, prefs: &Prefs) -> (Vec<Group>, Vec<(PlaceId, String)>) {
    let mut listed = BTreeSet::new();
    let (mut rooms, mut loose) = (Vec::new(), Vec::new());
    let closed: Vec<(PlaceId, String)> = book
        .places()
        .into_iter()
        .filter(|p| p.closed)
        .map(|p| (p.id.clone(), words::path(&book.path(&p.id))))
        .collect();
    listed.extend(closed.iter().map(|(id, _)| id.clone()));
    for place in book.places_in(None).into_iter().filter(|place| !place.closed) {
        if place.what == Some(PlaceWhat::Room) {
            listed.insert(place.id.clone());
            let inner = book.places_in(Some(&place.id)).into_iter().filter(|inner| !inner.closed).take(IN_ROOM);
            let items = inner.map(|inner| item(book, inner, prefs, &mut listed)).collect();
            rooms.push(Group { room: Some((place.id.clone(), words::called(place))), items });
        } else {
            loose.push(item(book, place, prefs, &mut listed));
        }
    }
    // Deeper than shelves and tubs, or in a place that is not known here: listed all the same.
    for place in book.places() {
        if !listed.contains(&place.id) && !reached(book, place, &listed) && loose.len() < IN_ROOM {
            loose.push(item(book, place, prefs, &mut listed));
        }
    }
    let loose = (!loose.is_empty()).then_some(Group { room: None, items: loose });
    // Rooms have headings, so what is in none comes before them.
    (loose.into_iter().chain(rooms).collect(), closed)
}

/// Whether one comes to it through a place that is listed.
fn reached(book: &Book, place: &Place, listed: &BTreeSet<PlaceId>) -> bool {
    book.path(&place.id).iter().any(|outer| outer.id != place.id && listed.contains(&outer.id))
}
