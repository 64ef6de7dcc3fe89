//! What two phones made of one thing, once they have met: shown with a way to mend, never refused.

use super::breeding::first_of;
use super::since::Since;
use super::sum::sum_of;
use crate::acts::{SAME_CLUTCH_DAYS, far_apart};
use crate::book::Book;
use crate::ids::*;
use crate::index::Link;
use crate::records::*;
use trade::when::When;

/// A clutch that may be another record of one.
#[derive(Clone, Debug, PartialEq)]
pub struct Twin {
    pub id: ClutchId,
    pub number: String,
    pub dams: Vec<String>,
    pub since: Option<Since>,
    /// Eggs in the book.
    pub eggs: u32,
    /// Who wrote it first, by name.
    pub by: String,
}

/// One thing twice, or one thing in two places.
#[derive(Clone, Debug, PartialEq)]
pub enum Doubled {
    /// Clutches with one number, not joined.
    Number { number: String, clutches: Vec<Twin> },
    /// Clutches of one dam laid so near each other that they are most likely one.
    Clutch { dam: String, clutches: Vec<Twin> },
    /// Records joined as one clutch that each brought their own eggs: they are counted twice.
    Eggs { number: String, counted: u32, in_book: u32, clutches: Vec<Twin> },
    /// Animals with one code.
    Code { code: String, animals: Vec<(AnimalId, String)> },
    /// Two devices brought a box to two places at one time; it is shown at the second.
    TwoPlaces { thing: Thing, name: String, moves: Vec<(MoveId, PlaceId, Option<When>)> },
    /// One physical box that two fillings are in.
    BoxTwice { container: BoxId, name: String, fillings: Vec<FillingId> },
}

/// What is doubled, before anything of it is said: Rounds only counts it.
enum Found<'a> {
    Number(Vec<&'a Clutch>),
    Near(&'a AnimalId, [&'a Clutch; 2]),
    /// The clutch they were joined to, and those of them that have eggs.
    Eggs {
        first: &'a Clutch,
        clutches: Vec<&'a Clutch>,
        counted: u32,
        in_book: u32,
    },
    Code(Vec<&'a Animal>),
    TwoPlaces(Thing, Vec<(MoveId, PlaceId, Option<When>)>),
    BoxTwice(&'a BoxId, Vec<FillingId>),
}

/// How much is doubled.
pub(crate) fn count_doubled(book: &Book) -> usize {
    found(book).len()
}

/// Everything doubled, clutches first.
pub fn doubled(book: &Book) -> Vec<Doubled> {
    found(book).into_iter().map(|found| told(book, found)).collect()
}

fn found(book: &Book) -> Vec<Found<'_>> {
    let mut found = Vec::new();
    let mut told: Vec<&ClutchId> = Vec::new();
    for group in book.doubled_numbers() {
        told.extend(group.iter().map(|clutch| &clutch.id));
        found.push(Found::Number(group));
    }
    near_clutches(book, &told, &mut found);
    eggs_twice(book, &mut found);
    codes(book, &mut found);
    two_places(book, &mut found);
    boxes_twice(book, &mut found);
    found
}

fn told(book: &Book, found: Found<'_>) -> Doubled {
    let twins = |clutches: &[&Clutch]| clutches.iter().map(|clutch| twin(book, clutch)).collect();
    let number = |clutches: &[&Clutch]| clutches.first().map(|first| book.clutch_number(&first.id)).unwrap_or_default();
    match found {
        Found::Number(clutches) => Doubled::Number { number: number(&clutches), clutches: twins(&clutches) },
        Found::Near(dam, clutches) => Doubled::Clutch { dam: book.animal_name(dam), clutches: twins(&clutches) },
        Found::Eggs { first, clutches, counted, in_book } => {
            Doubled::Eggs { number: number(&[first]), counted, in_book, clutches: twins(&clutches) }
        }
        Found::Code(animals) => {
            let code = animals.first().and_then(|animal| animal.code.clone()).unwrap_or_default();
            let animals = animals.iter().map(|animal| (animal.id.clone(), book.animal_name(&animal.id))).collect();
            Doubled::Code { code, animals }
        }
        Found::TwoPlaces(thing, moves) => Doubled::TwoPlaces { name: book.short_name(&thing), thing, moves },
        Found::BoxTwice(container, fillings) => {
            let name = book.short_name(&container.thing());
            Doubled::BoxTwice { container: container.clone(), name, fillings }
        }
    }
}

fn twin(book: &Book, clutch: &Clutch) -> Twin {
    Twin {
        id: clutch.id.clone(),
        number: book.clutch_number(&clutch.id),
        dams: book.animal_names(&clutch.dams),
        since: Since::of_clutch(book, &clutch.id),
        eggs: u32::try_from(book.eggs_of(&clutch.id).len()).unwrap_or(u32::MAX),
        by: book.written(&clutch.id.thing()).map(|written| written.by).unwrap_or_default(),
    }
}

fn near_clutches<'a>(book: &'a Book, told: &[&ClutchId], found: &mut Vec<Found<'a>>) {
    let mut of_one: Vec<&Clutch> = Vec::new();
    for clutch in book.all_clutches() {
        if clutch.dams.len() == 1 && first_of(book, clutch) == clutch.id {
            of_one.push(clutch);
        }
    }
    // A list in order, and no map: each map is compiled for its own types, and all of this is in the first download.
    crate::order::sort(&mut of_one, |clutch| clutch.dams.first());
    for clutches in of_one.chunk_by(|a, b| a.dams == b.dams) {
        let mut clutches = clutches.to_vec();
        let Some(dam) = clutches.first().and_then(|clutch| clutch.dams.first()) else { continue };
        // Most have one; only those of one dam are put in order.
        if clutches.len() > 1 {
            crate::order::sort(&mut clutches, |clutch| book.clutch_order(clutch));
        }
        for pair in clutches.windows(2) {
            let [a, b] = pair else { continue };
            let (Some(first), Some(then)) = (book.clutch_laid(&a.id), book.clutch_laid(&b.id)) else { continue };
            let near = (then.date() - first.date()).num_days().abs() < SAME_CLUTCH_DAYS && !far_apart(first, then);
            if near && !(told.contains(&&a.id) && told.contains(&&b.id)) {
                found.push(Found::Near(dam, [a, b]));
            }
        }
    }
}

fn eggs_twice<'a>(book: &'a Book, found: &mut Vec<Found<'a>>) {
    if !book.ix.any(Link::Same) {
        return;
    }
    for clutch in book.clutches() {
        let joined = book.same_clutch(&clutch.id);
        let with_eggs: Vec<&Clutch> =
            joined.iter().copied().filter(|clutch| !book.eggs_of(&clutch.id).is_empty()).collect();
        if joined.first().is_some_and(|first| first.id == clutch.id) && with_eggs.len() > 1 {
            let sum = sum_of(book, &clutch.id);
            if let Some(counted) = sum.counted.filter(|counted| *counted < sum.in_book) {
                found.push(Found::Eggs { first: clutch, clutches: with_eggs, counted, in_book: sum.in_book });
            }
        }
    }
}

fn codes<'a>(book: &'a Book, found: &mut Vec<Found<'a>>) {
    let mut keys: Vec<&str> = book.ix.doubled(Link::Code).collect();
    crate::order::sort(&mut keys, |key| *key);
    found.extend(keys.into_iter().map(|key| Found::Code(book.animals_coded(key).collect())));
}

/// Only what is in use and whose two newest moves are of one time, by two devices.
fn two_places<'a>(book: &'a Book, found: &mut Vec<Found<'a>>) {
    let moved = book.ix.doubled(Link::Moves).filter_map(|key| key.parse::<Thing>().ok());
    let is_in_use = |thing: &Thing| matches!(thing.kind, Kind::Filling | Kind::Animal) && book.is_live(thing);
    let mut moved: Vec<Thing> = moved.filter(is_in_use).collect();
    crate::order::sort(&mut moved, |thing| (thing.kind != Kind::Filling, thing.id.clone()));
    for thing in moved {
        let mut newest = book.moves(&thing);
        let (Some(last), Some(before)) = (newest.next(), newest.next()) else { continue };
        let (Some(Where::Place(a)), Some(Where::Place(b))) = (&last.to, &before.to) else { continue };
        let by = |mv: &Move| book.written(&mv.id.thing()).map(|written| written.reference.dev);
        if a != b && last.when.is_some() && last.when == before.when && by(last) != by(before) {
            let moves = vec![(last.id.clone(), a.clone(), last.when), (before.id.clone(), b.clone(), before.when)];
            found.push(Found::TwoPlaces(thing, moves));
        }
    }
}

fn boxes_twice<'a>(book: &'a Book, found: &mut Vec<Found<'a>>) {
    let mut open: Vec<&Filling> = Vec::new();
    for filling in book.open_fillings() {
        if filling.container.is_some() {
            open.push(filling);
        }
    }
    crate::order::sort(&mut open, |filling| filling.container.as_ref());
    for fillings in open.chunk_by(|a, b| a.container == b.container) {
        let Some(container) = fillings.first().and_then(|filling| filling.container.as_ref()) else { continue };
        // Two clutches set in one box are two fillings only where they stand in two places.
        let mut places = fillings.iter().map(|filling| book.whereabouts(&filling.id.thing()));
        let first = places.next();
        if places.any(|place| Some(place) != first) {
            let fillings = fillings.iter().map(|filling| filling.id.clone()).collect();
            found.push(Found::BoxTwice(container, fillings));
        }
    }
}
