//! What comes before the eggs, from the barn's own seasons: ovulation after follicles, the shed after ovulation.

use crate::book::Book;
use crate::ids::AnimalId;
use crate::memo::{Question, same_or};
use crate::records::AnimalEvent;
use crate::words::AnimalEventWhat;
use chrono::{NaiveDateTime, TimeDelta};
use std::collections::BTreeMap;
use std::rc::Rc;
use trade::lay::{LayModel, LayWindow, Sign, alike};
use trade::when::When;

/// Follicles seen longer ago than this are of another season (our choice, no source).
const FOLLICLE_DAYS: i64 = 200;

/// What is expected of a female before her eggs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ahead {
    pub what: Awaited,
    /// What it is reckoned from, and the size of her largest follicle then, in micrometres.
    pub seen: When,
    pub um: Option<i64>,
    pub window: LayWindow,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Awaited {
    /// After follicles.
    Ovulation,
    /// After ovulation.
    PreLayShed,
}

/// An interval of a season, in the order they come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Leg {
    /// From the look that found the largest follicle.
    FolliclesToOvulation,
    OvulationToShed,
    OvulationToEggs,
    ShedToEggs,
}

/// How long a leg took a female in her seasons, and the barn's others of her species.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnLeg {
    pub leg: Leg,
    /// Days, oldest first.
    pub hers: Vec<i64>,
    pub others: Vec<i64>,
}

/// A season of a female in which one was seen after the other.
#[derive(Clone, Debug, PartialEq)]
struct Way {
    dam: AnimalId,
    /// What it began with; of follicles every look with a size, in micrometres. Oldest first.
    from: Vec<(i64, When)>,
    then: When,
}

impl Way {
    /// The look with the largest follicle, the first of several.
    fn largest(&self) -> Option<When> {
        let most = self.from.iter().map(|(um, _)| *um).max()?;
        self.from.iter().find(|(um, _)| *um == most).map(|(_, when)| *when)
    }
}

#[derive(Clone, Debug, Default, PartialEq)]
struct Ways {
    ovulations: Vec<Way>,
    sheds: Vec<Way>,
}

/// By the species a record holds, each by when it ended: the same order on every device.
#[derive(Clone, PartialEq, Eq, Hash)]
struct WaysBefore;

impl Question for WaysBefore {
    type Answer = BTreeMap<String, Ways>;

    fn answer(&self, book: &Book, before: Option<&Rc<Self::Answer>>) -> Rc<Self::Answer> {
        let mut all: BTreeMap<String, Ways> = BTreeMap::new();
        for animal in book.animals().into_iter().filter(|animal| book.lay_events(&animal.id).next().is_some()) {
            let ways = all.entry(book.dam_species(&animal.id)).or_default();
            ways.ovulations.extend(firsts(book, &animal.id, AnimalEventWhat::Ovulation, follicles_before));
            ways.sheds.extend(firsts(book, &animal.id, AnimalEventWhat::PreLayShed, ovulation_before));
        }
        for ways in all.values_mut() {
            for ways in [&mut ways.ovulations, &mut ways.sheds] {
                crate::order::sort(ways, |way| (way.then.latest(), way.dam.clone()));
            }
        }
        same_or(before, all)
    }
}

/// What came before each of a kind, where something did. Noted twice of one season, the first counts.
fn firsts(
    book: &Book,
    dam: &AnimalId,
    what: AnimalEventWhat,
    before: fn(&Book, &AnimalId, When) -> Vec<(i64, When)>,
) -> Vec<Way> {
    let seen = book.lay_events(dam).filter(|event| event.what == Some(what)).filter_map(|event| event.when);
    let mut seen: Vec<When> = seen.collect();
    seen.reverse();
    let mut ways: Vec<Way> = Vec::new();
    for then in seen {
        let from = before(book, dam, then);
        if !from.is_empty() && ways.last().is_none_or(|last| last.from != from) {
            ways.push(Way { dam: dam.clone(), from, then });
        }
    }
    ways
}

fn ovulation_before(book: &Book, dam: &AnimalId, shed: When) -> Vec<(i64, When)> {
    let (after, at) = (book.laid_before(dam, shed.earliest()), shed.earliest());
    let seen = book.sign_of(dam, Sign::Ovulation, after, at, &book.dam_species(dam));
    seen.map(|when| (0, when)).into_iter().collect()
}

/// Looks with a size before a moment, since her clutch before, oldest first.
fn follicles_before(book: &Book, dam: &AnimalId, then: When) -> Vec<(i64, When)> {
    let mut found: Vec<(i64, When)> =
        findings(book, dam, then.earliest()).filter_map(|(event, when)| Some((event.follicle_um?, when))).collect();
    found.reverse();
    found
}

/// Looks for follicles before a moment and since her clutch before, newest first.
fn findings<'a>(
    book: &'a Book,
    dam: &AnimalId,
    until: NaiveDateTime,
) -> impl Iterator<Item = (&'a AnimalEvent, When)> + use<'a> {
    let laid = book.laid_before(dam, until);
    let hers = book.lay_events(dam).filter(|event| event.what == Some(AnimalEventWhat::Follicles));
    hers.filter_map(|event| Some((event, event.when?))).filter(move |(_, when)| {
        let fresh = when.earliest() <= until && until - when.latest() < TimeDelta::days(FOLLICLE_DAYS);
        fresh && laid.is_none_or(|laid| when.earliest() >= laid.latest())
    })
}

impl Book {
    /// What is expected of a female before her eggs; `None` when nothing is, or its days have passed.
    pub fn before_eggs(&self, dam: &AnimalId, now: NaiveDateTime) -> Option<Ahead> {
        let species = self.dam_species(dam);
        let all = self.derived(&WaysBefore);
        let ways = all.get(&species);
        let (what, (um, seen), model) = match self.lay_sign(dam, now) {
            Some((Sign::PreLayShed, _)) => return None,
            Some((Sign::Ovulation, seen)) => {
                let key = Some(&*species).filter(|species| !species.is_empty());
                let mut model = LayModel::to_shed(&self.species_of(key))?;
                for way in ways.into_iter().flat_map(|ways| &ways.sheds) {
                    if let Some((_, ovulated)) = way.from.last() {
                        model.learn(*ovulated, way.then);
                    }
                }
                (Awaited::PreLayShed, (None, seen), model)
            }
            Some((Sign::Lock | Sign::Laid, _)) | None => {
                let told = |event: &AnimalEvent| event.follicle_um.is_some() || event.follicles == Some(0);
                let (event, seen) = findings(self, dam, now).find(|(event, _)| told(event))?;
                let um = event.follicle_um?;
                let mut model = LayModel::to_ovulation();
                for way in ways.into_iter().flat_map(|ways| &ways.ovulations) {
                    // Of one season one look counts, or who is looked at weekly would teach the most.
                    let like = way.from.iter().filter(|(size, _)| alike(*size, um));
                    if let Some((_, looked)) = like.min_by_key(|(size, _)| (size - um).abs()) {
                        model.learn(*looked, way.then);
                    }
                }
                (Awaited::Ovulation, (Some(um), seen), Some(model).filter(LayModel::is_enough)?)
            }
        };
        let window = model.window(seen, now);
        window.overdue(now).is_none().then_some(Ahead { what, seen, um, window })
    }

    /// How long each leg took in a female's own seasons and in those of the barn's others; those nobody saw left out.
    pub fn own_legs(&self, dam: &AnimalId) -> Vec<OwnLeg> {
        let species = self.dam_species(dam);
        let (all, eggs) = (self.derived(&WaysBefore), self.derived(&super::Intervals));
        let ways = || all.get(&species).into_iter();
        let mut found: Vec<(Leg, &AnimalId, When, When)> = Vec::new();
        let of = |way: &Way| way.largest().map(|from| (from, way.then));
        for way in ways().flat_map(|ways| &ways.ovulations) {
            found.extend(of(way).map(|(from, then)| (Leg::FolliclesToOvulation, &way.dam, from, then)));
        }
        for way in ways().flat_map(|ways| &ways.sheds) {
            found.extend(of(way).map(|(from, then)| (Leg::OvulationToShed, &way.dam, from, then)));
        }
        for own in eggs.get(&species).into_iter().flatten() {
            let leg = match own.sign {
                Sign::Ovulation => Leg::OvulationToEggs,
                Sign::PreLayShed => Leg::ShedToEggs,
                Sign::Lock | Sign::Laid => continue,
            };
            found.push((leg, &own.dam, own.seen, own.laid));
        }
        let mut legs: BTreeMap<Leg, OwnLeg> = BTreeMap::new();
        for (leg, of, from, then) in found {
            let days = (then.date() - from.date()).num_days();
            let own = legs.entry(leg).or_insert(OwnLeg { leg, hers: Vec::new(), others: Vec::new() });
            if of == dam { own.hers.push(days) } else { own.others.push(days) }
        }
        legs.into_values().collect()
    }
}
