//! What Rounds has to know of a barn: kept from one look to the next, and asked at a moment.
//!
//! Always true: what is kept equals what would be gathered anew. A record that changes makes those animals and boxes be
//! gathered again that it tells of; what stands on temperatures and own hatches goes by the turn of [`crate::heat`].

use super::boxes::Boxed;
use super::grown::{self, Refusing};
use super::rest::Rest;
use super::{Due, DueAct, DueKind, Fact, young};
use crate::book::Book;
use crate::ids::*;
use crate::lay::Lays;
use crate::records::{Animal, Filling, Place};
use crate::views::babies::{Looking, Young};
use chrono::{NaiveDate, NaiveDateTime};
use std::cell::RefMut;
use std::collections::BTreeSet;

/// Of each animal and box what may make a row of it.
#[derive(Debug, Default)]
pub(crate) struct Round {
    /// By id, as the animals are: a phone downloads every map of every type.
    boxes: Vec<(FillingId, Boxed)>,
    animals: Vec<(AnimalId, Watched)>,
    lays: Lays,
    rest: Rest,
    /// The latest moment it was gathered for: good for this and later.
    at: Option<NaiveDateTime>,
    /// Of [`crate::heat`], when the boxes were gathered; `None` where nothing was summed up.
    turn: Option<u64>,
    stale: Stale,
}

/// A copy of a book gathers for itself.
impl Clone for Round {
    fn clone(&self) -> Round {
        Round::default()
    }
}

/// An animal of which nothing can be due is none of them.
#[derive(Debug)]
struct Watched {
    young: Option<Young>,
    may_lay: bool,
    refusing: Option<Refusing>,
}

/// What has to be gathered again.
#[derive(Debug, Default)]
struct Stale {
    /// Animals, fillings, and eggs for the filling each is in.
    things: BTreeSet<Thing>,
    all_animals: bool,
    lays: bool,
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
        let book = self.book;
        let due = self.add_nameless(kind, thing, act, since, fact)?;
        due.name = book.short_name(&due.thing);
        Some(due)
    }

    /// The same, for a caller who knows what the thing is called.
    pub(super) fn add_nameless(
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
        if let Some(place) = place_of(self.book, &due.thing) {
            due.path = self.book.path_names(&place.id);
            due.keeper = self.book.path(&place.id).iter().rev().find_map(|place| place.keeper.clone());
        }
        self.found.push(due);
        self.found.last_mut()
    }
}

impl Round {
    /// Told of every record that changes, as it was and as it is, with the ids it tells of.
    pub(crate) fn changed<'a>(&mut self, kind: Kind, id: &str, of: impl Iterator<Item = &'a str>) {
        if self.at.is_none() {
            return;
        }
        match kind {
            Kind::Animal | Kind::Filling => _ = self.stale.things.insert(Thing::new(kind, id)),
            Kind::AnimalEvent | Kind::Meal | Kind::Pairing | Kind::Hold => {
                self.stale.things.extend(of.map(|id| Thing::new(Kind::Animal, id)));
            }
            Kind::Candling | Kind::Water | Kind::TakenOut => {
                self.stale.things.extend(of.map(|id| Thing::new(Kind::Filling, id)));
            }
            Kind::Hatching => self.stale.things.extend(of.map(|id| Thing::new(Kind::Egg, id))),
            // Where young are fed, and how far back their meals are looked at.
            Kind::Place | Kind::Rules => self.stale.all_animals = true,
            _ => {}
        }
        self.rest.changed(kind);
        self.stale.lays |= matches!(
            kind,
            Kind::Animal | Kind::AnimalEvent | Kind::Pairing | Kind::LockSeen | Kind::Clutch | Kind::Species
        );
    }

    /// Told of everything that is or was somewhere else.
    pub(crate) fn moved(&mut self, thing: &Thing, places: [Option<&Where>; 2]) {
        if self.at.is_none() {
            return;
        }
        self.rest.moved(thing);
        if thing.kind == Kind::Animal {
            self.stale.things.insert(thing.clone());
        }
        for place in places.into_iter().flatten() {
            if let Where::Filling(filling) = place {
                self.stale.things.insert(filling.thing());
            }
        }
    }

    fn gather(&mut self, book: &Book, now: NaiveDateTime) {
        if self.at.is_none_or(|at| now < at) {
            *self = Round::default();
            self.stale.all_animals = true;
        }
        let stale = std::mem::take(&mut self.stale);
        if self.at.is_none() || self.turn.is_none() || self.turn != book.heat_turn() {
            let boxed = |filling: &Filling| Some((filling.id.clone(), Boxed::of(book, filling)?));
            self.boxes = book.fillings().filter_map(boxed).collect();
        } else {
            let fillings = stale.things.iter().filter_map(|thing| match (thing.kind, book.whereabouts(thing)) {
                (Kind::Filling, _) => Some(FillingId::from(thing.id.as_str())),
                (Kind::Egg, Some(Where::Filling(filling))) => Some(filling.clone()),
                _ => None,
            });
            for id in fillings {
                put(&mut self.boxes, &id, book.filling(&id).and_then(|filling| Boxed::of(book, filling)));
            }
        }
        self.turn = book.heat_turn();
        let looking = Looking::new(book);
        if stale.all_animals {
            let watched = |animal: &Animal| Some((animal.id.clone(), Watched::of(&looking, animal, now)?));
            self.animals = book.all_animals().filter_map(watched).collect();
        } else {
            for thing in stale.things.iter().filter(|thing| thing.kind == Kind::Animal) {
                let id = AnimalId::from(thing.id.as_str());
                let watched = book.animal(&id).and_then(|animal| Watched::of(&looking, animal, now));
                put(&mut self.animals, &id, watched);
            }
        }
        if stale.lays {
            self.lays = Lays::default();
        }
        self.at = Some(now);
    }

    /// Every row there is at a moment, not earlier than it was gathered for, but those told before.
    pub(in crate::views) fn rows(
        &mut self,
        book: &Book,
        now: NaiveDateTime,
        told: Option<&BTreeSet<SnoozeId>>,
    ) -> Vec<Due> {
        let mut dues = Dues { book, now, told, found: Vec::new() };
        self.boxes.iter().for_each(|(_, boxed)| boxed.dues(&mut dues));
        for (id, watched) in &self.animals {
            if let Some(animal) = book.animal(id).filter(|_| watched.may_lay || watched.refusing.is_some()) {
                if watched.may_lay {
                    grown::lay(animal, &mut self.lays, &mut dues);
                }
                watched.refusing.iter().for_each(|refusing| refusing.due(animal, &mut dues));
            }
        }
        young::dues(self.animals.iter().filter_map(|(_, watched)| watched.young.as_ref()), &mut dues);
        self.rest.dues(&mut dues);
        let mut found = dues.found;
        crate::order::sort(&mut found, |due| {
            (due.kind, way(book, place_of(book, &due.thing)), due.since, due.name.clone(), due.thing.clone())
        });
        found
    }
}

impl Watched {
    fn of(looking: &Looking<'_>, animal: &Animal, now: NaiveDateTime) -> Option<Watched> {
        if !animal.is_here() {
            return None;
        }
        let (book, id) = (looking.book, &animal.id);
        let young = young::young(looking, animal, now);
        let watched = Watched { young, may_lay: grown::may_lay(book, id), refusing: Refusing::of(book, id) };
        (watched.young.is_some() || watched.may_lay || watched.refusing.is_some()).then_some(watched)
    }
}

/// Puts what is known of one in its place, or takes it away.
fn put<I: Clone + Ord, T>(all: &mut Vec<(I, T)>, id: &I, new: Option<T>) {
    match (all.binary_search_by(|(known, _)| known.cmp(id)), new) {
        (Ok(at), Some(new)) => all[at].1 = new,
        (Ok(at), None) => drop(all.remove(at)),
        (Err(at), Some(new)) => all.insert(at, (id.clone(), new)),
        (Err(_), None) => {}
    }
}

impl Book {
    /// The round of this barn, good for `now` and later until a record changes.
    pub(in crate::views) fn round(&self, now: NaiveDateTime) -> RefMut<'_, Round> {
        let mut round = self.round.borrow_mut();
        round.gather(self, now);
        round
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
    let mut due = book.round(now).rows(book, now, None);
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
