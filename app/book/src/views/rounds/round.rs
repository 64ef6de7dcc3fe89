//! The whole barn gathered for Rounds, and asked at a moment.

use super::boxes::Boxed;
use super::grown::Grown;
use super::young::Raised;
use super::{Due, DueAct, DueKind, Fact, rest};
use crate::book::Book;
use crate::ids::*;
use crate::records::Place;
use chrono::{NaiveDate, NaiveDateTime};
use std::collections::BTreeSet;

/// What Rounds has to know of a barn.
pub(in crate::views) struct Round<'a> {
    book: &'a Book,
    boxes: Vec<Boxed<'a>>,
    grown: Grown<'a>,
    young: Raised<'a>,
}

/// Rows as they are found.
pub(super) struct Dues<'a> {
    pub(super) book: &'a Book,
    pub(super) now: NaiveDateTime,
    /// Rows that were told before and are not wanted again.
    told: Option<&'a BTreeSet<SnoozeId>>,
    found: Vec<Due>,
}

impl Dues<'_> {
    /// One more row, for the caller to finish; none when it was told before.
    pub(super) fn add(
        &mut self,
        kind: DueKind,
        thing: Thing,
        act: DueAct,
        since: Option<NaiveDateTime>,
        fact: Fact,
    ) -> Option<&mut Due> {
        let mut due = Due {
            kind,
            name: String::new(),
            about: String::new(),
            path: Vec::new(),
            keeper: None,
            since,
            fact,
            act,
            window: None,
            day: None,
            thing,
        };
        if self.told.is_some_and(|told| told.contains(&due.row())) {
            return None;
        }
        due.name = self.book.short_name(&due.thing);
        if let Some(place) = place_of(self.book, &due.thing) {
            due.path = self.book.path_names(&place.id);
            due.keeper = self.book.path(&place.id).iter().rev().find_map(|place| place.keeper.clone());
        }
        self.found.push(due);
        self.found.last_mut()
    }
}

impl<'a> Round<'a> {
    /// Good for `now` and later, until a record changes.
    pub(in crate::views) fn of(book: &'a Book, now: NaiveDateTime) -> Round<'a> {
        Round {
            book,
            boxes: book.fillings().filter_map(|filling| Boxed::of(book, filling)).collect(),
            grown: Grown::of(book),
            young: Raised::of(book, now),
        }
    }

    /// Every row there is at a moment but those told before.
    pub(in crate::views) fn at(&mut self, now: NaiveDateTime, told: Option<&BTreeSet<SnoozeId>>) -> Vec<Due> {
        let book = self.book;
        let mut dues = Dues { book, now, told, found: Vec::new() };
        self.boxes.iter().for_each(|boxed| boxed.dues(&mut dues));
        self.grown.dues(&mut dues);
        rest::clutches(&mut dues);
        self.young.dues(&mut dues);
        rest::places(&mut dues);
        rest::records(&mut dues);
        let mut found = dues.found;
        crate::order::sort(&mut found, |due| {
            (due.kind, way(book, place_of(book, &due.thing)), due.since, due.name.clone(), due.thing.clone())
        });
        found
    }
}

fn place_of<'a>(book: &'a Book, thing: &Thing) -> Option<&'a Place> {
    match thing.kind {
        Kind::Place => book.place(&thing.id.as_str().into()),
        _ => book.place_of(thing),
    }
}

/// The turn of a place on the way through the barn, as [`Book::places`] has it: from the room down to the tub, then
/// those whose way in is broken, then what is in no place.
fn way<'a>(book: &'a Book, place: Option<&'a Place>) -> (u8, Vec<(bool, i64, Option<&'a str>, &'a PlaceId)>) {
    let Some(place) = place else { return (2, Vec::new()) };
    let path = book.path(&place.id);
    if path.first().is_some_and(|outer| outer.within.is_none()) {
        (0, path.into_iter().map(Place::among).collect())
    } else {
        (1, vec![(false, 0, None, &place.id)])
    }
}

/// Everything that wants looking at, but for what was put off.
pub fn rounds(book: &Book, now: NaiveDateTime) -> Vec<Due> {
    walk(book, now).0
}

/// Rounds, and what was put off and is due all the same, with the day on which it is shown again.
pub fn walk(book: &Book, now: NaiveDateTime) -> (Vec<Due>, Vec<(Due, NaiveDate)>) {
    let mut due = Round::of(book, now).at(now, None);
    let mut later = Vec::new();
    if book.snoozes_after(now.date()) {
        for one in std::mem::take(&mut due) {
            let until = book.snoozed(&one.row()).filter(|until| one.kind.can_wait() && *until > now.date());
            match until {
                Some(until) => later.push((one, until)),
                None => due.push(one),
            }
        }
    }
    (due, later)
}
