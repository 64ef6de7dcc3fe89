//! What the season asks for, against what there is: tubs, slots, feeders, places on shelves, time.

use super::{Drawn, Gathered, days_between};
use crate::book::Book;
use crate::ids::*;
use crate::lower::lower;
use crate::records::*;
use crate::words::*;
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use std::collections::{BTreeMap, BTreeSet};
use trade::forecast::Event;
use trade::forecast::needs::{Need, WeekNeed, runs_short};
use trade::when::When;

/// What is needed.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum NeedWhat {
    /// Tubs for young, and rack slots for them where the barn keeps slots.
    Tubs,
    Slots,
    /// Feeders a week: for young, and for the others by prey and size as last offered.
    YoungFeeders,
    Feeders(String),
    /// Minutes of feeding a week, at the keepers' own pace.
    Minutes,
}

impl NeedWhat {
    /// What a supply is kept under.
    pub fn key(&self) -> String {
        match self {
            NeedWhat::Tubs => "tub".into(),
            NeedWhat::Slots => "slot".into(),
            NeedWhat::YoungFeeders => "feeder:young".into(),
            NeedWhat::Feeders(prey) => format!("feeder:{prey}"),
            NeedWhat::Minutes => "minutes".into(),
        }
    }
}

/// One kind of need over the weeks.
#[derive(Clone, Debug, PartialEq)]
pub struct NeedRow {
    pub what: NeedWhat,
    pub weeks: Vec<WeekNeed>,
    /// What there is: as the keeper said, else as the barn's places tell.
    pub have: Option<u32>,
    /// The first week that may run short.
    pub short: Option<usize>,
}

/// When a place on a shelf becomes free.
#[derive(Clone, Debug, PartialEq)]
pub struct Frees {
    pub filling: FillingId,
    pub name: String,
    /// Between these days, four times of five; `None` without a window.
    pub between: Option<(NaiveDate, NaiveDate)>,
}

/// A shelf's room for boxes.
#[derive(Clone, Debug, PartialEq)]
pub struct ShelfRow {
    pub place: PlaceId,
    pub name: String,
    /// How many boxes it takes, where the keeper said.
    pub have: Option<u32>,
    /// The boxes on it, the first to become free first.
    pub boxes: Vec<Frees>,
    /// Pairs whose eggs would come here, with the chance that they lay.
    pub coming: Vec<(String, f64)>,
}

/// How fast the keepers log meals.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pace {
    pub seconds: f64,
    /// Meals it was told from.
    pub meals: u32,
}

/// All needs.
#[derive(Clone, Debug, PartialEq)]
pub struct Needs {
    pub rows: Vec<NeedRow>,
    pub shelves: Vec<ShelfRow>,
    pub pace: Option<Pace>,
}

/// Young count as young for a year (common practice).
const YOUNG_DAYS: i64 = 365;
/// Meals further back say little of the present pace.
const LOOK_BACK_DAYS: i64 = 60;
/// Young are offered a meal a week until the keeper's own records say otherwise (common practice).
const YOUNG_MEALS_A_WEEK: f64 = 1.0;
/// Fewer meals typed one after another tell no pace.
const PACE_MEALS: u32 = 20;

/// What the whole barn needs.
pub fn needs(book: &Book, gathered: &Gathered, both: &Drawn) -> Needs {
    let now = gathered.now;
    let young = young(book, now);
    let fed = fed_now(book, now, &young);
    let pace = pace(book, now);
    let said = |what: &NeedWhat| book.supply(&what.key()).and_then(|supply| supply.have);
    let mut rows = Vec::new();
    let mut add = |what: NeedWhat, of: Event, each: f64, base: f64, counted: Option<u32>| {
        let have = said(&what).or(counted);
        let weeks = Need { of, each, base }.weeks(&both.season, have);
        rows.push(NeedRow { short: runs_short(&weeks), what, weeks, have });
    };
    let places = |what: PlaceWhat| room_for_young(book, what, &young);
    let to_house = young.len() as f64 + unrecorded(book, now);
    add(NeedWhat::Tubs, Event::Out, 1.0, to_house, places(PlaceWhat::Tub));
    if let Some(slots) = places(PlaceWhat::Slot) {
        add(NeedWhat::Slots, Event::Out, 1.0, to_house, Some(slots));
    }
    let meals = fed.young_a_week;
    add(NeedWhat::YoungFeeders, Event::Shed, meals, fed.young as f64 * meals, None);
    for (prey, a_week) in &fed.others {
        add(NeedWhat::Feeders(prey.clone()), Event::Shed, 0.0, *a_week, None);
    }
    if let Some(pace) = pace {
        let minutes = pace.seconds / 60.0;
        let base = (fed.young as f64 * meals + fed.others.values().sum::<f64>()) * minutes;
        add(NeedWhat::Minutes, Event::Shed, meals * minutes, base, None);
    }
    Needs { rows, shelves: shelves(book, gathered), pace }
}

/// Young animals in the barn.
fn young(book: &Book, now: NaiveDateTime) -> BTreeSet<&AnimalId> {
    let fresh = |born: When| now - born.middle() < TimeDelta::days(YOUNG_DAYS);
    let young = book.animals().into_iter().filter(|a| !a.from_eggs.is_empty() && a.born.is_some_and(fresh));
    young.map(|animal| &animal.id).collect()
}

/// Babies out that have no record of their own yet.
fn unrecorded(book: &Book, now: NaiveDateTime) -> f64 {
    let recent = book.clutches().into_iter().flat_map(|clutch| book.eggs_of(&clutch.id)).filter(|egg| {
        egg.fate == Some(Fate::Hatched)
            && egg.fate_when.is_some_and(|when| now - when.latest() < TimeDelta::days(30))
            && book.young_of(&egg.id).next().is_none()
    });
    recent.count() as f64
}

/// Places of a kind that no grown animal is in. `None` when the barn has none of the kind.
fn room_for_young(book: &Book, what: PlaceWhat, young: &BTreeSet<&AnimalId>) -> Option<u32> {
    let places: Vec<&Place> = book.places().into_iter().filter(|p| p.what == Some(what) && !p.closed).collect();
    let grown = |place: &&&Place| {
        let things = book.things_at(&place.id);
        things.iter().any(|t| t.kind == Kind::Animal && !young.contains(&AnimalId::from(t.id.as_str())))
    };
    (!places.is_empty()).then(|| places.len() as u32 - places.iter().filter(grown).count() as u32)
}

struct Fed {
    /// young that have shed, and what each is offered a week
    young: usize,
    young_a_week: f64,
    /// feeders a week by prey and size
    others: BTreeMap<String, f64>,
}

fn fed_now(book: &Book, now: NaiveDateTime, young: &BTreeSet<&AnimalId>) -> Fed {
    let mut fed = Fed { young: 0, young_a_week: YOUNG_MEALS_A_WEEK, others: BTreeMap::new() };
    let mut paces = Vec::new();
    for animal in book.animals() {
        let recent: Vec<(NaiveDateTime, &Meal)> = book
            .meals(&animal.id)
            .filter_map(|meal| Some((meal.offered?.middle(), meal)))
            .take_while(|(at, _)| now - *at < TimeDelta::days(LOOK_BACK_DAYS))
            .collect();
        let a_week = match (recent.first(), recent.last()) {
            (Some((last, _)), Some((first, _))) if recent.len() > 1 => {
                7.0 * (recent.len() - 1) as f64 / days_between(*first, *last).max(1.0)
            }
            _ => 0.0,
        };
        if young.contains(&animal.id) {
            fed.young += usize::from(super::learned::first_shed(book, &animal.id).is_some() || !recent.is_empty());
            paces.extend((a_week > 0.0).then_some(a_week));
        } else if let (true, Some((_, meal))) = (a_week > 0.0, recent.first()) {
            let texts = [meal.size.as_deref(), meal.prey.as_deref()];
            let prey =
                texts.into_iter().flatten().map(str::trim).filter(|t| !t.is_empty()).collect::<Vec<_>>().join(" ");
            *fed.others.entry(lower(&prey)).or_default() += a_week;
        }
    }
    if !paces.is_empty() {
        fed.young_a_week = paces.iter().sum::<f64>() / paces.len() as f64;
    }
    fed
}

/// The middle of the gaps between meals that one person logged one after another. `None` while they are few, or all
/// were logged at one stroke.
fn pace(book: &Book, now: NaiveDateTime) -> Option<Pace> {
    let mut at: BTreeSet<(String, u64)> = BTreeSet::new();
    for animal in book.animals() {
        let recent = book
            .meals(&animal.id)
            .take_while(|meal| meal.offered.is_some_and(|when| now - when.middle() < TimeDelta::days(LOOK_BACK_DAYS)));
        at.extend(recent.filter_map(|meal| book.written(&meal.id.thing())).map(|w| (w.by, w.at_ms)));
    }
    let all: Vec<&(String, u64)> = at.iter().collect();
    let mut gaps: Vec<u64> = all.windows(2).filter(|w| w[0].0 == w[1].0).map(|w| w[1].1 - w[0].1).collect();
    // A longer gap is a pause, not a meal.
    gaps.retain(|ms| (1_000..300_000).contains(ms));
    gaps.sort_unstable();
    let meals = gaps.len() as u32;
    (meals >= PACE_MEALS).then(|| Pace { seconds: gaps[gaps.len() / 2] as f64 / 1000.0, meals })
}

fn shelves(book: &Book, gathered: &Gathered) -> Vec<ShelfRow> {
    let rows = book.shelves().into_iter().map(|shelf| {
        let fillings = book.things_at(&shelf.id).into_iter().filter(|thing| thing.kind == Kind::Filling);
        let mut boxes: Vec<Frees> = fillings
            .map(|thing| {
                let filling = FillingId::from(thing.id.as_str());
                let window = book.window_of(&book.eggs_in(&filling), gathered.now).ok();
                let between = window.map(|w| (w.last.likely.0.date(), w.last.likely.1.date()));
                Frees { name: book.short_name(&thing), filling, between }
            })
            .collect();
        boxes.sort_by_key(|frees| (frees.between.is_none(), frees.between, frees.name.clone()));
        let here = gathered.paired.iter().filter(|(_, group)| group.of.shelf == shelf.id.as_str());
        ShelfRow {
            place: shelf.id.clone(),
            name: book.short_name(&shelf.id.thing()),
            have: book.supply(&shelf_key(&shelf.id)).and_then(|supply| supply.have),
            boxes,
            coming: here.map(|(source, group)| (source.name.clone(), group.laid)).collect(),
        }
    });
    rows.collect()
}

/// What the number of boxes a shelf takes is kept under.
pub fn shelf_key(shelf: &PlaceId) -> String {
    format!("shelf:{shelf}")
}
