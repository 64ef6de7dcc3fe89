//! Pipped, cut, out; and every other end of an egg's story.

use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, draft, in_order, not_future, real_mass};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Egg, Hatching};
use crate::words::{Fate, OpenedAs, Step};
use chrono::{NaiveDateTime, TimeDelta};
use journal::{Draft, DraftSet};
use std::collections::BTreeMap;
use trade::units::Mass;
use trade::when::When;

/// Slits seen in the shells.
#[derive(Clone, Debug)]
pub struct EggsPipped {
    pub eggs: Vec<EggId>,
    /// `None`: between the last look into the box and now.
    pub when: Option<When>,
}

/// Shells opened by hand: not a pip, and no measure of when the egg would have pipped.
#[derive(Clone, Debug)]
pub struct EggsCut {
    pub eggs: Vec<EggId>,
    pub when: When,
    pub opened: Option<OpenedAs>,
    pub why: String,
    /// What was seen in them.
    pub found: String,
}

/// Babies that walked out: the eggs hatched.
#[derive(Clone, Debug)]
pub struct EggsOut {
    pub eggs: Vec<EggId>,
    /// `None`: between the last look into the box and now.
    pub when: Option<When>,
    /// Of the hatchlings, where weighed.
    pub masses: BTreeMap<EggId, Mass>,
}

/// An egg's story ended otherwise: died, removed, sold…
#[derive(Clone, Debug)]
pub struct EggFate {
    pub eggs: Vec<EggId>,
    pub fate: Fate,
    pub when: When,
    pub why: String,
    /// Of the eggs when taken out, where weighed.
    pub masses: BTreeMap<EggId, Mass>,
}

/// Looks further apart than this say little about when it happened; the moment of the look says more.
const LOOKS_APART: TimeDelta = TimeDelta::days(3);

/// Between the last look into the egg's box and now.
pub(super) fn since_last_look(book: &Book, eggs: &[EggId], now: NaiveDateTime) -> When {
    let boxes = eggs.iter().filter_map(|egg| match book.whereabouts(&egg.thing()) {
        Some(Where::Filling(id)) => book.last_look(id, now),
        _ => None,
    });
    match boxes.max() {
        Some(last) if last < now && now - last <= LOOKS_APART => {
            let minute = |at| match When::time(at) {
                When::At(point) | When::Span(point, _) => point,
            };
            When::span(minute(last), minute(now))
        }
        _ => When::time(now),
    }
}

/// The eggs, each there, named once, still in, and laid by then.
fn still_in<'a>(book: &'a Book, eggs: &[EggId], what: &'static str, when: When) -> Result<Vec<&'a Egg>, Refusal> {
    if eggs.is_empty() {
        return Err(Refusal::NoEggs);
    }
    let mut found: Vec<&Egg> = Vec::with_capacity(eggs.len());
    for id in eggs {
        let egg = book.egg(id).ok_or_else(|| Refusal::NoSuch { thing: id.thing() })?;
        let letter = || egg.letter.clone().unwrap_or_default();
        if found.iter().any(|other| other.id == *id) {
            return Err(Refusal::Twice { what: format!("Egg {}", letter()) });
        }
        if egg.fate.is_some() {
            return Err(Refusal::EggGone { letter: letter() });
        }
        in_order(("laying", book.laid(egg)), (what, Some(when)))?;
        found.push(egg);
    }
    Ok(found)
}

/// Laid before it came to this.
pub(super) fn in_time(book: &Book, egg: &EggId, what: &'static str, when: When) -> Result<(), Refusal> {
    let laid = book.egg(egg).and_then(|egg| book.laid(egg));
    in_order(("laying", laid), (what, Some(when)))
}

/// That a baby walked out, after any pip.
pub(super) fn out_once(book: &Book, egg: &EggId, when: When) -> Result<Option<DraftSet>, Refusal> {
    let pipped = book.did(egg, Step::Pip).and_then(|pip| pip.when);
    in_order(("the pip", pipped), ("the hatching", Some(when)))?;
    Ok(book.did(egg, Step::Out).is_none().then(|| step(egg, Step::Out, when)))
}

fn step(egg: &EggId, step: Step, when: When) -> DraftSet {
    step_row(egg, step, when).observe()
}

fn step_row(egg: &EggId, step: Step, when: When) -> Row<Hatching> {
    Row::new().with(Hatching::egg, egg).with(Hatching::step, step).with(Hatching::when, when)
}

fn only_once(book: &Book, eggs: &[&Egg], which: Step) -> Result<(), Refusal> {
    match eggs.iter().find(|egg| book.did(&egg.id, which).is_some()) {
        Some(egg) => Err(Refusal::AlreadyDone { letter: egg.letter.clone().unwrap_or_default(), step: which }),
        None => Ok(()),
    }
}

/// Long before the window, at the moment it is said to have happened: a slip, or something to look at twice.
pub(super) fn early(book: &Book, eggs: &[EggId], when: Option<When>, now: NaiveDateTime) -> Vec<Doubt> {
    let at = when.map_or(now, |when| when.latest().min(now));
    let mut days: Vec<_> = eggs.iter().filter_map(|egg| book.early_before(egg, at)).collect();
    days.sort_unstable();
    days.into_iter().next().map(|likely_from| Doubt::Early { likely_from }).into_iter().collect()
}

impl Act for EggsPipped {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let when = self.when.unwrap_or_else(|| since_last_look(book, &self.eggs, now));
        not_future("pip", when, now)?;
        let eggs = still_in(book, &self.eggs, "the pip", when)?;
        only_once(book, &eggs, Step::Pip)?;
        draft("EggsPipped", eggs.iter().map(|egg| step(&egg.id, Step::Pip, when)).collect())
    }

    fn doubts(&self, book: &Book, now: NaiveDateTime) -> Vec<Doubt> {
        early(book, &self.eggs, self.when, now)
    }
}

impl Act for EggsCut {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        not_future("cut", self.when, now)?;
        let eggs = still_in(book, &self.eggs, "the cut", self.when)?;
        only_once(book, &eggs, Step::Cut)?;
        let row = |egg: &&Egg| {
            step_row(&egg.id, Step::Cut, self.when)
                .with(Hatching::opened, self.opened)
                .with(Hatching::why, &self.why)
                .with(Hatching::found, &self.found)
        };
        draft("EggsCut", eggs.iter().map(row).map(Row::observe).collect())
    }
}

/// An egg opened by hand, as it should have been noted.
#[derive(Clone, Debug, PartialEq)]
pub struct OpeningEdited {
    pub hatching: HatchingId,
    pub when: When,
    pub opened: Option<OpenedAs>,
    pub why: String,
    pub found: String,
}

impl OpeningEdited {
    /// As it stands in the book; without a date, of the day given. `None` for an egg that nobody opened.
    pub fn of(book: &Book, id: &HatchingId, otherwise: When) -> Option<OpeningEdited> {
        let opening = book.hatching(id).filter(|hatching| hatching.step == Some(Step::Cut))?;
        Some(OpeningEdited {
            hatching: id.clone(),
            when: opening.when.unwrap_or(otherwise),
            opened: opening.opened,
            why: opening.why.clone().unwrap_or_default(),
            found: opening.found.clone().unwrap_or_default(),
        })
    }
}

impl Act for OpeningEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let opening = book.hatching(&self.hatching).ok_or_else(|| Refusal::NoSuch { thing: self.hatching.thing() })?;
        not_future("opening", self.when, now)?;
        let laid = opening.egg.as_ref().and_then(|egg| book.egg(egg)).and_then(|egg| book.laid(egg));
        in_order(("laying", laid), ("the opening", Some(self.when)))?;
        let row = Row::new()
            .with(Hatching::when, self.when)
            .with(Hatching::opened, self.opened)
            .with(Hatching::why, &self.why)
            .with(Hatching::found, &self.found);
        draft("OpeningEdited", row.change(book, self.hatching.as_str()).into_iter().collect())
    }
}

impl Act for EggsOut {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let when = self.when.unwrap_or_else(|| since_last_look(book, &self.eggs, now));
        not_future("hatching", when, now)?;
        let eggs = still_in(book, &self.eggs, "the hatching", when)?;
        masses_fit(book, &self.masses, &self.eggs)?;
        let mut sets = Vec::new();
        for egg in &eggs {
            let pipped = book.did(&egg.id, Step::Pip).and_then(|pip| pip.when);
            in_order(("the pip", pipped), ("the hatching", Some(when)))?;
            sets.push(step(&egg.id, Step::Out, when));
        }
        for egg in eggs {
            sets.extend(fate_row(Fate::Hatched, end(when), "", self.masses.get(&egg.id)).change(book, egg.id.as_str()));
        }
        draft("EggsOut", sets)
    }

    fn doubts(&self, book: &Book, now: NaiveDateTime) -> Vec<Doubt> {
        early(book, &self.eggs, self.when, now)
    }
}

/// When somebody saw that it had happened: the later end.
pub(super) fn end(when: When) -> When {
    match when {
        When::At(point) | When::Span(_, point) => When::At(point),
    }
}

pub(super) fn fate_row(fate: Fate, when: When, why: &str, mass: Option<&Mass>) -> Row<Egg> {
    Row::new().with(Egg::fate, fate).with(Egg::fate_when, when).with(Egg::fate_why, why).with(Egg::fate_mass, mass)
}

fn masses_fit(book: &Book, masses: &BTreeMap<EggId, Mass>, eggs: &[EggId]) -> Result<(), Refusal> {
    for (id, mass) in masses {
        real_mass("A mass", *mass)?;
        if !eggs.contains(id) {
            let letter = book.egg(id).and_then(|egg| egg.letter.clone()).unwrap_or_default();
            return Err(Refusal::EggElsewhere { letter });
        }
    }
    Ok(())
}

impl Act for EggFate {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        not_future("fate", self.when, now)?;
        let eggs = still_in(book, &self.eggs, "its end", self.when)?;
        masses_fit(book, &self.masses, &self.eggs)?;
        let rows = eggs.into_iter().filter_map(|egg| {
            let row = fate_row(self.fate, self.when, &self.why, self.masses.get(&egg.id));
            row.change(book, egg.id.as_str())
        });
        draft("EggFate", rows.collect())
    }
}
