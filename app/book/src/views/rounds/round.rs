//! What Rounds has to know of a barn: derived from its records without a moment, box by box and animal by animal
//! ([`crate::memo`]), and then asked at a moment.

use super::boxes::OfBox;
use super::grown::{self, Refusing};
use super::{Due, DueAct, DueKind, Fact, care, cleaning, cooling, rest, young};
use crate::book::Book;
use crate::ids::*;
use crate::index::Fnv;
use crate::memo::{Question, same_or};
use crate::records::{Animal, Place, Turn};
use crate::views::babies::Young;
use chrono::{NaiveDate, NaiveDateTime};
use std::collections::BTreeSet;
use std::hash::Hasher;
use std::rc::Rc;

/// The boxes and animals that may make a row, by id.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Gathered;

struct Round {
    boxes: Rc<<Boxes as Question>::Answer>,
    bunches: Vec<Rc<Vec<Watched>>>,
}

impl Question for Gathered {
    type Answer = Round;

    fn answer(&self, book: &Book, _: Option<&Rc<Round>>) -> Rc<Round> {
        let bunches = (0..BUNCHES).map(|bunch| book.derived(&Bunch(bunch))).filter(|bunch| !bunch.is_empty());
        Rc::new(Round { boxes: book.derived(&Boxes), bunches: bunches.collect() })
    }
}

/// The boxes that may make a row.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Boxes;

impl Question for Boxes {
    type Answer = Vec<Rc<<OfBox as Question>::Answer>>;

    fn answer(&self, book: &Book, _: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        let boxes = book.fillings().map(|filling| book.derived(&OfBox(filling.id.clone())));
        Rc::new(boxes.filter(|boxed| boxed.is_some()).collect())
    }
}

/// Animals are looked at in so many bunches, chosen by their ids: one that changes has its bunch looked at again, not
/// all of a barn's thousands.
const BUNCHES: u8 = 255;

/// The ids of all animals, by bunch.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Bunched;

impl Question for Bunched {
    type Answer = Vec<Vec<AnimalId>>;

    fn answer(&self, book: &Book, _: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        let mut bunches = vec![Vec::new(); usize::from(BUNCHES)];
        for animal in book.all_animals() {
            let mut hash = Fnv::default();
            hash.write(animal.id.as_str().as_bytes());
            if let Some(bunch) = bunches.get_mut((hash.finish() % u64::from(BUNCHES)) as usize) {
                bunch.push(animal.id.clone());
            }
        }
        Rc::new(bunches)
    }
}

/// The ids of one bunch.
#[derive(Clone, PartialEq, Eq, Hash)]
struct InBunch(u8);

impl Question for InBunch {
    type Answer = Vec<AnimalId>;

    fn answer(&self, book: &Book, before: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        same_or(before, book.derived(&Bunched).get(usize::from(self.0)).cloned().unwrap_or_default())
    }
}

/// What may make a row of the animals of one bunch.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Bunch(u8);

struct Watched {
    id: AnimalId,
    young: Option<Young>,
    may_lay: bool,
    refusing: Option<Refusing>,
}

impl Question for Bunch {
    type Answer = Vec<Watched>;

    fn answer(&self, book: &Book, _: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        let ids = book.derived(&InBunch(self.0));
        let here = ids.iter().filter_map(|id| book.animal(id)).filter(|animal| animal.is_here());
        Rc::new(here.filter_map(|animal| Watched::of(book, animal)).collect())
    }
}

impl Watched {
    /// None where nothing can be due of it.
    fn of(book: &Book, animal: &Animal) -> Option<Watched> {
        let (young, may_lay) = (young::young(book, animal), grown::may_lay(book, &animal.id));
        let refusing = Refusing::of(book, &animal.id);
        let any = young.is_some() || may_lay || refusing.is_some();
        any.then(|| Watched { id: animal.id.clone(), young, may_lay, refusing })
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
    let watched = || round.bunches.iter().flat_map(|bunch| bunch.iter());
    for watched in watched().filter(|watched| watched.may_lay || watched.refusing.is_some()) {
        let Some(animal) = book.animal(&watched.id) else { continue };
        if watched.may_lay {
            grown::lay(animal, &mut dues);
        }
        watched.refusing.iter().for_each(|refusing| refusing.due(animal, &mut dues));
    }
    young::dues(watched().filter_map(|watched| watched.young.as_ref()), &mut dues);
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
