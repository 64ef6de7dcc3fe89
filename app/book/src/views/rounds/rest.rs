//! What clutches, places and the records themselves ask for.

use super::boxes::about;
use super::round::Dues;
use super::{DueAct, DueKind, Fact};
use crate::book::Book;
use crate::ids::*;
use crate::memo::{Question, same_or};
use crate::order::set_of;
use crate::records::*;
use crate::views::babies::places_under;
use crate::views::doubled::count_doubled;
use crate::words::PlaceWhat;
use chrono::TimeDelta;
use std::collections::BTreeSet;
use std::rc::Rc;
use trade::units::Temp;
use trade::when::When;

/// Clutches with an egg that is in no box, or without eggs: few of all there ever were.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Unboxed;

impl Question for Unboxed {
    type Answer = BTreeSet<ClutchId>;

    fn answer(&self, book: &Book, before: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        let eggs = book.loose_eggs().filter(|egg| egg.fate.is_none()).filter_map(|egg| egg.clutch.as_ref());
        let empty = book.all_clutches().map(|clutch| &clutch.id);
        let empty = empty.filter(|id| !book.has_eggs(id) && book.nest(id).is_none());
        same_or(before, set_of(eggs.chain(empty).cloned()))
    }
}

/// Incubators and shelves in use.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Heated;

impl Question for Heated {
    type Answer = Vec<PlaceId>;

    fn answer(&self, book: &Book, before: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        let warm = |what| matches!(what, Some(PlaceWhat::Incubator | PlaceWhat::Shelf));
        let heated = book.all_places().filter(|place| !place.closed && warm(place.what));
        same_or(before, heated.map(|place| place.id.clone()).collect())
    }
}

/// How many things were recorded twice.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Doubles;

impl Question for Doubles {
    type Answer = u32;

    fn answer(&self, book: &Book, before: Option<&Rc<u32>>) -> Rc<u32> {
        same_or(before, u32::try_from(count_doubled(book)).unwrap_or(u32::MAX))
    }
}

pub(super) fn dues(dues: &mut Dues<'_>) {
    let book = dues.book;
    clutches(&book.derived(&Unboxed), dues);
    places(&book.derived(&Heated), dues);
    records(dues);
    doubles(*book.derived(&Doubles), dues);
}

/// Eggs found that are in no box, one row a clutch.
fn clutches(unboxed: &BTreeSet<ClutchId>, dues: &mut Dues<'_>) {
    let book = dues.book;
    let mut done: BTreeSet<&ClutchId> = BTreeSet::new();
    for clutch in unboxed {
        let joined = book.same_clutch(clutch);
        if joined.first().is_some_and(|first| !done.insert(&first.id)) {
            continue;
        }
        let eggs: Vec<_> = joined.iter().flat_map(|clutch| book.eggs_of(&clutch.id)).collect();
        let unboxed = eggs.iter().filter(|egg| egg.fate.is_none() && !is_boxed(book, egg)).count();
        let newest = joined.into_iter().max_by_key(|clutch| book.clutch_order(clutch));
        if let Some(clutch) = newest.filter(|_| eggs.is_empty() || unboxed > 0) {
            let eggs = (!eggs.is_empty()).then(|| u32::try_from(unboxed).unwrap_or(u32::MAX));
            let found = clutch.found.or(clutch.laid);
            let fact = Fact::ToBox { found, eggs };
            let since = found.map(When::earliest);
            if let Some(due) = dues.add(DueKind::ToBox, clutch.id.thing(), DueAct::Pull, since, fact) {
                due.about = about(book, clutch);
            }
        }
    }
}

fn is_boxed(book: &Book, egg: &Egg) -> bool {
    matches!(book.whereabouts(&egg.id.thing()), Some(Where::Filling(_)))
}

/// A reading this far off its set temperature is a fault (common practice, no source): 1.5 °C.
const OFF_CC: i32 = 150;
/// A reading older than this says nothing of now (our choice, no source).
const READING_HOURS: i64 = 36;

/// Temperatures off what is set, or beyond what the eggs under that thermometer tolerate.
fn places(heated: &[PlaceId], dues: &mut Dues<'_>) {
    let (book, now) = (dues.book, dues.now);
    for place in heated.iter().filter_map(|id| book.place(id)) {
        let last = book.last_readings(&place.id, 1).pop();
        let Some(last) = last.filter(|last| now - last.when.middle() < TimeDelta::hours(READING_HOURS)) else {
            continue;
        };
        let (set, offset) = (book.set_temp(&place.id), book.offset(&place.id));
        let temp = Temp(last.temp.0.saturating_add(offset.0));
        let off = set.is_some_and(|set| temp.0.saturating_sub(set.0).abs() > OFF_CC);
        let beyond = tolerated(book, &place.id).filter(|(low, high)| temp < *low || temp > *high);
        if off || beyond.is_some() {
            let fact = Fact::Temperature { read: last.temp, set, tolerated: beyond, at: Some(last.when) };
            dues.add(DueKind::Temperature, place.id.thing(), DueAct::Reading, Some(last.when.middle()), fact);
        }
    }
}

/// What all eggs whose temperature is read at a place tolerate: the highest of their lower ends, the lowest of their upper.
fn tolerated(book: &Book, thermometer: &PlaceId) -> Option<(Temp, Temp)> {
    let under = places_under(book, thermometer).into_iter().filter(|place| book.thermometer(&place.id) == *thermometer);
    let boxes = under.flat_map(|place| book.things_at(&place.id)).filter(|thing| thing.kind == Kind::Filling);
    let eggs = boxes.flat_map(|thing| book.eggs_in(&thing.id.as_str().into()));
    let clutches = set_of(eggs.filter_map(|egg| egg.clutch.as_ref()));
    let spans = clutches.into_iter().filter_map(|id| Some(book.clutch_profile(book.clutch(id)?).tolerated));
    let span = spans.reduce(|(low, high), other| (low.max(other.0), high.min(other.1)))?;
    Some((Temp::from_celsius(span.0)?, Temp::from_celsius(span.1)?))
}

/// Clashes, and acts that are not here.
fn records(dues: &mut Dues<'_>) {
    let book = dues.book;
    for (thing, fields) in book.clashes() {
        dues.add(DueKind::Clash, thing, DueAct::Settle, None, Fact::Clash { fields });
    }
    let missing = book.missing_acts();
    if missing > 0 {
        let thing = Thing::new(Kind::Person, "");
        // No thing of the barn's own is missing: the row has no name and no place.
        dues.add_nameless(DueKind::MissingActs, thing, DueAct::Bundles, None, Fact::MissingActs { count: missing });
    }
}

/// What was recorded twice: a row without a name and a place, since no one thing is meant.
fn doubles(count: u32, dues: &mut Dues<'_>) {
    if count > 0 {
        let thing = Thing::new(Kind::Clutch, "");
        dues.add_nameless(DueKind::Doubled, thing, DueAct::Mend, None, Fact::Doubled { count });
    }
}
