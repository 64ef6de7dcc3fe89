//! What Rounds has to know of a barn: derived from its records without a moment, box by box and animal by animal
//! ([`crate::memo`]), and then asked at a moment.

use super::boxes::OfBox;
use super::grown::{self, Refusing};
use super::{Due, DueAct, DueKind, Fact, care, cleaning, cooling, rest, young};
use crate::book::Book;
use crate::ids::*;
use crate::memo::Question;
use crate::records::{Animal, Place, Turn};
use crate::views::babies::Young;
use chrono::{NaiveDate, NaiveDateTime};
use std::collections::BTreeSet;
use std::rc::Rc;

/// The boxes and animals that may make a row, by id.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Gathered;

struct Round {
    boxes: Vec<Rc<<OfBox as Question>::Answer>>,
    animals: Vec<(AnimalId, Rc<<OfAnimal as Question>::Answer>)>,
}

impl Question for Gathered {
    type Answer = Round;

    fn answer(&self, book: &Book, _: Option<&Rc<Round>>) -> Rc<Round> {
        let boxes = book.fillings().map(|filling| book.derived(&OfBox(filling.id.clone())));
        let animals = book.all_animals().map(|animal| (animal.id.clone(), book.derived(&OfAnimal(animal.id.clone()))));
        Rc::new(Round {
            boxes: boxes.filter(|boxed| boxed.is_some()).collect(),
            animals: animals.filter(|(_, watched)| watched.is_some()).collect(),
        })
    }
}

/// What may make a row of an animal; none where nothing can be due of it.
#[derive(Clone, PartialEq, Eq, Hash)]
struct OfAnimal(AnimalId);

struct Watched {
    young: Option<Young>,
    may_lay: bool,
    refusing: Option<Refusing>,
}

impl Question for OfAnimal {
    type Answer = Option<Watched>;

    fn answer(&self, book: &Book, _: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        let animal = book.animal(&self.0).filter(|animal| animal.is_here());
        Rc::new(animal.and_then(|animal| Watched::of(book, animal)))
    }
}

impl Watched {
    fn of(book: &Book, animal: &Animal) -> Option<Watched> {
        let (young, may_lay) = (young::young(book, animal), grown::may_lay(book, &animal.id));
        let refusing = Refusing::of(book, &animal.id);
        (young.is_some() || may_lay || refusing.is_some()).then_some(Watched { young, may_lay, refusing })
    }
}

/// Somebody looks ahead, at a moment of another day.
#[derive(Clone, Copy)]
pub(in crate::views) struct Ahead<'a> {
    /// The moment at which they look.
    pub(in crate::views) looked: NaiveDateTime,
    /// Rows that were told before and are not wanted again.
    pub(in crate::views) told: &'a BTreeSet<SnoozeId>,
}

/// Rows as they are found.
pub(super) struct Dues<'a> {
    pub(super) book: &'a Book,
    /// The moment that is asked about.
    pub(super) now: NaiveDateTime,
    ahead: Option<Ahead<'a>>,
    found: Vec<Due>,
}

impl Dues<'_> {
    /// The moment at which somebody looks: what has not been done by then is not yet left undone.
    pub(super) fn looked(&self) -> NaiveDateTime {
        self.ahead.map_or(self.now, |ahead| ahead.looked)
    }

    /// The day somebody looks ahead to, if that is what they do.
    pub(super) fn ahead(&self) -> Option<NaiveDate> {
        self.ahead.map(|_| self.now.date())
    }

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
            apart: false,
            since,
            fact,
            act,
            window: None,
            counts: None,
            thing,
        };
        // Looking ahead, each dose of a treatment is told of on its own day, and only there.
        let told = |ahead: Ahead<'_>| kind != DueKind::Dose && ahead.told.contains(&due.row());
        if self.ahead.is_some_and(told) {
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

/// Every row there is at a moment; of one to come, but those told before.
pub(in crate::views) fn rows(book: &Book, now: NaiveDateTime, ahead: Option<Ahead<'_>>) -> Vec<Due> {
    let round = book.derived(&Gathered);
    let mut dues = Dues { book, now, ahead, found: Vec::new() };
    round.boxes.iter().filter_map(|boxed| boxed.as_ref().as_ref()).for_each(|boxed| boxed.dues(&mut dues));
    let watched = || round.animals.iter().filter_map(|(id, watched)| Some((id, watched.as_ref().as_ref()?)));
    for (id, watched) in watched().filter(|(_, watched)| watched.may_lay || watched.refusing.is_some()) {
        let Some(animal) = book.animal(id) else { continue };
        if watched.may_lay {
            grown::lay(animal, &mut dues);
        }
        watched.refusing.iter().for_each(|refusing| refusing.due(animal, &mut dues));
    }
    young::dues(watched().filter_map(|(_, watched)| watched.young.as_ref()), &mut dues);
    rest::dues(&mut dues);
    care::dues(&mut dues);
    cooling::dues(&mut dues);
    cleaning::dues(&mut dues);
    let mut found = dues.found;
    let apart = book.derived(&care::Apart);
    if !apart.is_empty() {
        for due in &mut found {
            let thing = on_whom(book, &due.thing).unwrap_or_else(|| due.thing.clone());
            due.apart = apart.iter().any(|outer| book.is_within(&thing, outer));
        }
    }
    crate::order::sort(&mut found, |due| {
        (due.kind, due.apart, way(book, place_of(book, &due.thing)), due.since, due.name.clone(), due.thing.clone())
    });
    found
}

/// What is done to an animal is done where it is; what sets a place apart, there.
fn on_whom(book: &Book, thing: &Thing) -> Option<Thing> {
    book.about(thing).filter(|_| matches!(thing.kind, Kind::Treatment | Kind::Quarantine | Kind::Cooling))
}

fn place_of<'a>(book: &'a Book, thing: &Thing) -> Option<&'a Place> {
    let of = on_whom(book, thing);
    let of = of.as_ref().unwrap_or(thing);
    if of.kind == Kind::Place { book.place(&of.id.as_str().into()) } else { book.place_of(of) }
}

/// The turn of a place on the way through the barn, as [`Book::places`] has it: from the room down to the tub, then
/// those whose way in is broken, then what is in no place.
fn way<'a>(book: &'a Book, place: Option<&'a Place>) -> (u8, Vec<Turn<'a>>) {
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
    let mut due = rows(book, now, None);
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
