//! Wishes and what is held for whom, put right, and those that are over.

use super::record::Line;
use crate::words::{animals, babies as said, dates};
use book::Book;
use book::records::{Hold, Wish};
use chrono::NaiveDate;
use trade::when::When;

pub const NOTED: &str = "Noted on";
pub const FOR_WHOM: &str = "For whom; nobody: kept back";
pub const CLOSED: &str = "Off the waiting list since";
pub const ENDED: &str = "Released, or gone, on";
pub const WISHES_BEFORE: &str = "Off the waiting list";
pub const HELD_BEFORE: &str = "Held before";

/// Which one the way to put it right is of.
pub fn correct_of(what: &str) -> String {
    format!("{}: {what}", animals::CORRECT)
}

fn on(when: Option<When>, today: NaiveDate) -> String {
    when.map(|when| dates::when(when, today)).unwrap_or_default()
}

/// Wishes that were closed: what, and when.
pub fn wishes<'a>(book: &Book, wishes: impl Iterator<Item = &'a Wish>, today: NaiveDate) -> Vec<Line> {
    let line = |wish: &Wish| {
        let species = wish.species.as_deref().map(|key| book.species_of(Some(key)).name.into_owned());
        let sex = wish.sex.map(|sex| animals::sex(sex).to_owned());
        let what = [species, sex, wish.what.clone()].into_iter().flatten().collect::<Vec<_>>().join(", ");
        (what, format!("· {}", on(wish.closed, today)), wish.id.thing())
    };
    wishes.filter(|wish| wish.closed.is_some()).map(line).collect()
}

/// What was held and is not any more: which animal, for whom by their mark, and until when.
pub fn holds<'a>(book: &Book, holds: impl Iterator<Item = &'a Hold>, today: NaiveDate) -> Vec<Line> {
    let line = |hold: &Hold| {
        let animal = hold.animal.as_ref().map(|id| book.animal_name(id)).unwrap_or_default();
        let mark = hold.contact.as_ref().map_or_else(|| said::KEPT_BACK.to_owned(), |id| book.contact_mark(id));
        (format!("{animal}: {mark}"), format!("· {}", on(hold.ended, today)), hold.id.thing())
    };
    holds.filter(|hold| hold.ended.is_some()).map(line).collect()
}
