//! Setting boxes, their water, and emptying them.

use super::moves::{can_hold, clumps_split, nests_left, not_a_shelf, row as move_row, weighed_across};
use super::row::Row;
use super::{
    Act, Doubt, MOST_MG, Mint, Refusal, draft, id_or_fresh, in_order, not_future, real_mass, real_mass_if, there,
};
use crate::book::Book;
use crate::ids::*;
use crate::records::{self, Egg, Filling, WaterCheck};
use crate::words::{Fate, Mix};
use chrono::NaiveDateTime;
use journal::{Draft, DraftSet};
use trade::units::Mass;
use trade::when::When;

/// How one box is set.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BoxSetup {
    /// From a scanned blank label.
    pub filling: Option<FillingId>,
    /// The physical box, where the barn tells its boxes apart.
    pub container: Option<BoxId>,
    /// A shelf of an incubator.
    pub shelf: Option<PlaceId>,
    /// A medium's key, or its name.
    pub medium: String,
    /// Left out, it follows from the masses: by mass when both are given, else unknown.
    pub mix: Option<Mix>,
    pub dry: Option<Mass>,
    pub water: Option<Mass>,
    /// Weighed closed, eggs in and lid on.
    pub closed: Option<Mass>,
    pub note: String,
    /// In [`super::ClutchPulled`] only: which of the eggs laid go in, counted from 0 in the order good, dud, slug.
    /// `None`: all good and dud eggs that no other box names.
    pub eggs: Option<Vec<usize>>,
}

/// A filling about to be created.
pub(super) struct Setting {
    pub(super) id: FillingId,
    pub(super) sets: Vec<DraftSet>,
}

impl BoxSetup {
    pub(super) fn check(&self, book: &Book) -> Result<(), Refusal> {
        real_mass_if("Dry medium", self.dry)?;
        real_mass_if("Water", self.water)?;
        real_mass_if("A box weight, lid on,", self.closed)?;
        if let Some(shelf) = &self.shelf {
            can_hold(book, &Where::Place(shelf.clone()))?;
        }
        if let Some(id) = &self.container {
            let container = book.container(id).ok_or_else(|| Refusal::NoSuch { thing: id.thing() })?;
            if book.fillings_of_box(id).any(|filling| filling.to.is_none() && !book.eggs_in(&filling.id).is_empty()) {
                return Err(Refusal::BoxInUse { name: container.name.clone().unwrap_or_default() });
            }
        }
        // The box cannot weigh less closed than what went into it.
        let inside = self.dry.unwrap_or_default() + self.water.unwrap_or_default();
        match self.closed {
            Some(closed) if closed < inside => Err(Refusal::LighterThanFilled { closed, inside }),
            _ => Ok(()),
        }
    }

    pub(super) fn row(&self) -> Row<Filling> {
        Row::new()
            .with(Filling::container, self.container.as_ref())
            .with(Filling::medium, &self.medium)
            .with(Filling::mix, self.mix)
            .with(Filling::dry, self.dry)
            .with(Filling::water, self.water)
            .with(Filling::closed, self.closed)
            .with(Filling::note, &self.note)
    }

    pub(super) fn set(&self, book: &Book, from: When, mint: &mut Mint<'_>) -> Result<Setting, Refusal> {
        let (id, used) = id_or_fresh(book, Kind::Filling, self.filling.as_ref().map(FillingId::as_str), mint)?;
        let mix = self.mix.or(match (self.dry, self.water) {
            (Some(_), Some(_)) => Some(Mix::Mass),
            _ => Some(Mix::Unknown),
        });
        let row = BoxSetup { mix, ..self.clone() }.row().with(Filling::from, from);
        let mut sets = vec![row.create(book, &id)];
        sets.extend(used);
        let id = FillingId::new(id);
        if let Some(shelf) = &self.shelf {
            sets.push(move_row(&[id.thing()], &Where::Place(shelf.clone()), from));
        }
        Ok(Setting { id, sets })
    }

    pub(super) fn doubts(&self, book: &Book, eggs: usize) -> Vec<Doubt> {
        let mut doubts: Vec<Doubt> =
            self.shelf.iter().filter_map(|shelf| not_a_shelf(book, &Where::Place(shelf.clone()))).collect();
        // An egg of these species weighs 3 to 150 g (common practice); beyond twice that a digit slipped.
        if let Some(closed) = self.closed {
            let inside = self.dry.unwrap_or_default() + self.water.unwrap_or_default();
            let most = inside + Mass(i64::try_from(eggs).unwrap_or(0).saturating_mul(300_000)) + Mass(5_000_000);
            if closed > most {
                doubts.push(Doubt::MassFar { what: "The closed box", now: closed, before: most });
            }
        }
        doubts
    }
}

/// A box set with eggs that are already in the book: more boxes for a clutch, or eggs of two clutches in one.
#[derive(Clone, Debug)]
pub struct BoxSet {
    pub eggs: Vec<EggId>,
    pub setup: BoxSetup,
    pub when: When,
    /// When they come out of another box: what they weigh together.
    pub mass: Option<Mass>,
}

impl Act for BoxSet {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        if self.eggs.is_empty() {
            return Err(Refusal::NoEggs);
        }
        not_future("setting", self.when, now)?;
        real_mass_if("A mass", self.mass)?;
        self.setup.check(book)?;
        for (i, id) in self.eggs.iter().enumerate() {
            let egg = book.egg(id).ok_or_else(|| Refusal::NoSuch { thing: id.thing() })?;
            let letter = || egg.letter.clone().unwrap_or_default();
            if self.eggs[..i].contains(id) {
                return Err(Refusal::Twice { what: format!("Egg {}", letter()) });
            }
            if egg.fate.is_some() {
                return Err(Refusal::EggGone { letter: letter() });
            }
            in_order(("laying", book.laid(egg)), ("setting the box", Some(self.when)))?;
        }
        let Setting { id, mut sets } = self.setup.set(book, self.when, mint)?;
        let (never, moved): (Vec<&EggId>, Vec<&EggId>) = self.eggs.iter().partition(|egg| {
            book.moves(&egg.thing()).next().is_none() && book.egg(egg).is_some_and(|e| e.filling.is_none())
        });
        for egg in never {
            sets.extend(Row::new().with(Egg::filling, &id).change(book, egg.as_str()));
        }
        if !moved.is_empty() {
            let things: Vec<Thing> = moved.iter().map(|egg| egg.thing()).collect();
            sets.push(move_row(&things, &Where::Filling(id), self.when));
            // The new box is weighed closed with the eggs in it, so only the old one's fill-to changes.
            let eggs: Vec<EggId> = moved.into_iter().cloned().collect();
            sets.extend(weighed_across(book, &eggs, &Where::Unknown, self.when, self.mass));
            sets.extend(nests_left(book, &eggs, self.when));
        }
        draft("BoxSet", sets)
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let mut doubts = self.setup.doubts(book, self.eggs.len());
        doubts.extend(clumps_split(book, &self.eggs));
        doubts
    }
}

/// A box weighed closed, and water added or not.
#[derive(Clone, Debug)]
pub struct WaterChecked {
    pub filling: FillingId,
    pub when: When,
    /// Closed, before anything was added.
    pub mass: Mass,
    pub added: Option<Mass>,
    pub note: String,
}

impl Act for WaterChecked {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        boxed(book, &self.filling)?;
        open(book, &self.filling, "the water check", self.when, now)?;
        real_mass("A box weight, lid on,", self.mass)?;
        if let Some(added) = self.added.filter(|&added| added != Mass::ZERO) {
            real_mass("Water added", added)?;
        }
        let row = water(&self.filling, self.when, self.mass, &self.note)
            .with(WaterCheck::added, self.added.filter(|&added| added != Mass::ZERO));
        draft("WaterChecked", vec![row.observe()])
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let Some(fill_to) = book.fill_to(&self.filling) else { return Vec::new() };
        let mut doubts = Vec::new();
        // A box that lost a fifth of all it weighs, or gained a twentieth, was misread or is another box.
        let low = fill_to.mass.0 / 5 * 4;
        let high = fill_to.mass.0 / 20 * 21;
        if self.mass.0 < low || self.mass.0 > high {
            doubts.push(Doubt::MassFar { what: "The closed box", now: self.mass, before: fill_to.mass });
        }
        let after = self.mass + self.added.unwrap_or_default();
        if doubts.is_empty() && after.0 > high {
            doubts.push(Doubt::MassFar { what: "The box with the water added", now: after, before: fill_to.mass });
        }
        doubts
    }
}

fn water(filling: &FillingId, when: When, mass: Mass, note: &str) -> Row<WaterCheck> {
    Row::new()
        .with(WaterCheck::filling, filling)
        .with(WaterCheck::when, when)
        .with(WaterCheck::mass, mass)
        .with(WaterCheck::note, note)
}

/// A new lid or box, or the first weighing ever: this closed mass is what to fill to from here on.
#[derive(Clone, Debug)]
pub struct BaselineReset {
    pub filling: FillingId,
    pub when: When,
    pub mass: Mass,
    pub note: String,
}

impl Act for BaselineReset {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        boxed(book, &self.filling)?;
        open(book, &self.filling, "the new box weight", self.when, now)?;
        real_mass("A box weight, lid on,", self.mass)?;
        let row = water(&self.filling, self.when, self.mass, &self.note).with(WaterCheck::baseline, true);
        draft("BaselineReset", vec![row.observe()])
    }
}

/// Anything but water and eggs taken out of a box, or (negative) put in.
#[derive(Clone, Debug)]
pub struct TakenOut {
    pub filling: FillingId,
    pub when: When,
    /// Not 0; negative when put in.
    pub mass: Mass,
    pub what: String,
}

impl Act for TakenOut {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        boxed(book, &self.filling)?;
        open(book, &self.filling, "taking something out", self.when, now)?;
        if self.mass == Mass::ZERO || self.mass.0.unsigned_abs() >= MOST_MG.unsigned_abs() {
            return Err(Refusal::BadMass { what: "What was taken out", mass: self.mass });
        }
        let row = Row::new()
            .with(records::TakenOut::filling, &self.filling)
            .with(records::TakenOut::when, self.when)
            .with(records::TakenOut::mass, self.mass)
            .with(records::TakenOut::what, &self.what);
        draft("TakenOut", vec![row.observe()])
    }
}

/// The box is done with: its label is retired, and the physical box free again. Eggs still in it are of unknown fate
/// unless told otherwise first.
#[derive(Clone, Debug)]
pub struct BoxEmptied {
    pub filling: FillingId,
    pub when: When,
}

impl Act for BoxEmptied {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        open(book, &self.filling, "emptying", self.when, now)?;
        let emptied = Row::new().with(Filling::to, self.when);
        let mut sets: Vec<DraftSet> = emptied.change(book, self.filling.as_str()).into_iter().collect();
        for egg in book.eggs_in(&self.filling) {
            let fate = Row::new().with(Egg::fate, Fate::Unknown).with(Egg::fate_when, self.when);
            sets.extend(fate.change(book, egg.id.as_str()));
        }
        draft("BoxEmptied", sets)
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let left = book.eggs_in(&self.filling);
        if left.is_empty() {
            return Vec::new();
        }
        vec![Doubt::EggsLeft { count: u32::try_from(left.len()).unwrap_or(u32::MAX) }]
    }
}

/// What is weighed is a box.
fn boxed(book: &Book, id: &FillingId) -> Result<(), Refusal> {
    if book.is_nest(id) { Err(Refusal::NoBox) } else { Ok(()) }
}

/// The box is there, in use, and was set by then.
pub(super) fn open(
    book: &Book,
    id: &FillingId,
    what: &'static str,
    when: When,
    now: NaiveDateTime,
) -> Result<(), Refusal> {
    there(book, id.clone())?;
    let filling = book.filling(id).ok_or_else(|| Refusal::NoSuch { thing: id.thing() })?;
    if filling.to.is_some() {
        return Err(Refusal::BoxClosed);
    }
    not_future(what, when, now)?;
    in_order(("setting the box", filling.from), (what, Some(when)))
}
