//! What to print labels of: by kind, those without one yet, those whose window has moved, or all.

use super::text;
use crate::clock;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::Head;
use crate::ui::forms::Choice;
use crate::words::{self, labels as said, names};
use book::records::Place;
use book::views::{has_label, lying_labels};
use book::words::PlaceWhat;
use book::{Book, Thing};
use labels::payload::Kind;
use leptos::prelude::*;
use std::collections::BTreeSet;

/// Rows shown at first; all of them can be chosen without being shown.
const SHOWN: usize = 60;

#[derive(Clone, Copy, PartialEq)]
enum Which {
    Without,
    Wrong,
    Every,
}

/// Which places: a barn has a few doors, some shelves, and tubs by the hundred.
#[derive(Clone, Copy, PartialEq)]
enum Places {
    Every,
    Rooms,
    Shelves,
    Tubs,
}

impl Places {
    fn has(self, place: &Place) -> bool {
        let of = match place.what {
            Some(PlaceWhat::Shelf) => Self::Shelves,
            Some(PlaceWhat::Tub | PlaceWhat::Slot) => Self::Tubs,
            Some(PlaceWhat::Room | PlaceWhat::Rack | PlaceWhat::Incubator) | None => Self::Rooms,
        };
        !place.closed && (self == Self::Every || self == of)
    }
}

/// A thing that can have a label, what it is called, and where it is.
type Row = (Thing, String, String);

fn rows(book: &Book, (kind, places): (Kind, Places), which: Which) -> Vec<Row> {
    let place = |thing: &Thing| book.place_of(thing).map(|p| names::place(book, &p.id)).unwrap_or_default();
    let all: Vec<Row> = match kind {
        Kind::EggBox if which == Which::Wrong => {
            let lying = lying_labels(book, clock::now());
            return lying
                .into_iter()
                .map(|l| (l.filling.thing(), l.numbers.join(" + "), names::path(&l.path)))
                .collect();
        }
        Kind::EggBox => {
            let boxes = book.open_boxes().into_iter().filter(|f| !book.eggs_in(&f.id).is_empty());
            boxes.map(|f| (f.id.thing(), names::filling(book, &f.id), place(&f.id.thing()))).collect()
        }
        Kind::Animal | Kind::Tub => {
            let animals = book.animals().into_iter().filter(|a| text::kind_of(book, &a.id.thing()) == Some(kind));
            animals.map(|a| (a.id.thing(), names::animal_long(book, &a.id), place(&a.id.thing()))).collect()
        }
        _ => {
            let of_kind = book.places().into_iter().filter(|p| places.has(p));
            of_kind.map(|p| (p.id.thing(), names::place(book, &p.id), String::new())).collect()
        }
    };
    all.into_iter().filter(|(thing, ..)| which == Which::Every || !has_label(book, thing)).collect()
}

#[component]
pub fn PrintLabels() -> impl IntoView {
    let barn = barn();
    let kind = RwSignal::new(Kind::EggBox);
    let places = RwSignal::new(Places::Every);
    let which = RwSignal::new(Which::Without);
    let more = RwSignal::new(false);
    let rows = Memo::new(move |_| barn.read(|book| rows(book, (kind.get(), places.get()), which.get())));
    let off = RwSignal::new(BTreeSet::<Thing>::new());
    Effect::new(move |_| {
        let _ = (kind.get(), places.get(), which.get());
        off.set(BTreeSet::new());
        more.set(false);
    });
    let chosen = move || {
        let off = off.get();
        rows.with(|rows| {
            rows.iter().map(|(thing, ..)| thing.clone()).filter(|thing| !off.contains(thing)).collect::<Vec<_>>()
        })
    };
    let count =
        move || off.with(|off| rows.with(|rows| rows.iter().filter(|(thing, ..)| !off.contains(thing)).count()));
    let kinds = vec![
        (Kind::EggBox, said::BOXES.to_string()),
        (Kind::Animal, said::ENCLOSURES.to_string()),
        (Kind::Tub, said::TUBS.to_string()),
        (Kind::Place, said::PLACES.to_string()),
    ];
    let which_places = move || {
        let options = vec![
            (Places::Every, said::ALL_PLACES.to_string()),
            (Places::Rooms, said::ROOMS.to_string()),
            (Places::Shelves, said::SHELVES.to_string()),
            (Places::Tubs, said::ALL_TUBS.to_string()),
        ];
        (kind.get() == Kind::Place).then(|| view! { <Choice label=said::WHICH_PLACES options value=places /> })
    };
    let ways = vec![
        (Which::Without, said::WITHOUT.to_string()),
        (Which::Wrong, said::WRONG.to_string()),
        (Which::Every, said::EVERY.to_string()),
    ];
    view! {
        <div class="page">
            <Head title=said::CHOOSE_TITLE.to_string() back=(Page::More, words::nav::MORE.to_string()) />
            <Choice label=said::OF_WHAT options=kinds value=kind />
            {which_places}
            <Choice label=said::WHICH options=ways value=which />
            {move || rows.with(|rows| rows.is_empty()).then(|| view! {
                <p class="card" role="status">{match which.get() {
                    Which::Without => said::NONE_WITHOUT,
                    Which::Wrong => said::NONE_WRONG,
                    Which::Every => said::NONE_AT_ALL,
                }}</p>
            })}
            {move || (!rows.with(Vec::is_empty)).then(|| view! {
                <div class="gap">
                    <button type="button" class="act small" on:click=move |_| off.set(BTreeSet::new())>{said::CHOOSE_ALL}</button>
                    <button type="button" class="act small" on:click=move |_| off.set(rows.with(|rows| rows.iter().map(|(t, ..)| t.clone()).collect()))>{said::CHOOSE_NONE}</button>
                </div>
            })}
            {move || rows.with(|rows| {
                let shown = if more.get() { rows.len() } else { SHOWN };
                rows.iter().take(shown).map(|(thing, name, place)| {
                    let (mine, set) = (thing.clone(), thing.clone());
                    view! {
                        <label class="row tick">
                            <input type="checkbox" prop:checked=move || off.with(|off| !off.contains(&mine))
                                on:change=move |ev| off.update(|off| { if event_target_checked(&ev) { off.remove(&set); } else { off.insert(set.clone()); } }) />
                            <span class="text"><span class="title">{name.clone()}</span><span class="aside">{place.clone()}</span></span>
                        </label>
                    }
                    .into_any()
                }).collect_view()
            })}
            {move || {
                let left = rows.with(Vec::len).saturating_sub(SHOWN);
                (left > 0 && !more.get()).then(|| view! { <button type="button" class="act" on:click=move |_| more.set(true)>{said::more_rows(left)}</button> })
            }}
            <div class="acts">
                <button type="button" class="act main" disabled=move || count() == 0 on:click=move |_| Page::labels_of(&chosen()).go()>
                    {move || said::print_chosen(count())}
                </button>
            </div>
        </div>
    }
}
