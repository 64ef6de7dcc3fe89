//! Tubs cleaned, one or a whole rack at once; a cleaning put right; after how many days they are cleaned again.

use super::animals::{born_by, gone_doubts};
use super::pairs::known_species;
use super::raise::just_before;
use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, draft, not_future, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Cleaning, CleaningRule};
use chrono::NaiveDateTime;
use journal::Draft;
use trade::when::When;

/// Tubs cleaned at once. Each is a record of its own, so that one of them can be taken back by itself.
#[derive(Clone, Debug)]
pub struct TubsCleaned {
    /// As [`crate::views::tub_of`] names them.
    pub of: Vec<Thing>,
    pub when: When,
    /// Only what was soiled.
    pub spot: bool,
    pub note: String,
}

impl Act for TubsCleaned {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        if self.of.is_empty() {
            return Err(Refusal::Missing { what: "a tub" });
        }
        not_future("cleaning", self.when, now)?;
        let mut sets = Vec::with_capacity(self.of.len());
        for (i, of) in self.of.iter().enumerate() {
            there(book, of.clone())?;
            if !matches!(of.kind, Kind::Animal | Kind::Place) {
                return Err(Refusal::Missing { what: "a tub" });
            }
            if self.of[..i].contains(of) {
                return Err(Refusal::Twice { what: book.short_name(of) });
            }
            born(book, Some(of), self.when)?;
            let row = Row::new().with(Cleaning::of, of).with(Cleaning::when, self.when).with(Cleaning::spot, self.spot);
            sets.push(row.with(Cleaning::note, &self.note).observe());
        }
        draft("TubsCleaned", sets)
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let animals: Vec<AnimalId> = self.of.iter().filter_map(as_animal).collect();
        let mut doubts = gone_doubts(book, animals.iter(), Some(self.when));
        // A spot cleaned in the morning says nothing against the whole in the evening, nor the other way round.
        let lately = |of: &&Thing| {
            let mut alike = book.cleanings(of).filter(|cleaning| cleaning.spot == self.spot);
            alike.find_map(|cleaning| cleaning.when).is_some_and(|last| just_before(last, self.when))
        };
        let count = self.of.iter().filter(lately).count();
        doubts.extend((count > 0).then_some(Doubt::CleanedAlready { count }));
        doubts
    }
}

fn as_animal(of: &Thing) -> Option<AnimalId> {
    (of.kind == Kind::Animal).then(|| AnimalId::new(of.id.as_str()))
}

/// Of an animal: not before its birth.
fn born(book: &Book, of: Option<&Thing>, when: When) -> Result<(), Refusal> {
    of.and_then(as_animal).map_or(Ok(()), |animal| born_by(book, &animal, "the cleaning", when))
}

/// A cleaning as it should have been noted.
#[derive(Clone, Debug, PartialEq)]
pub struct CleaningEdited {
    pub cleaning: CleaningId,
    pub when: When,
    pub spot: bool,
    pub note: String,
}

impl CleaningEdited {
    /// As it stands in the book; without a date, of the day given.
    pub fn of(book: &Book, cleaning: &CleaningId, otherwise: When) -> Option<CleaningEdited> {
        book.cleaning(cleaning).map(|stands| CleaningEdited {
            cleaning: cleaning.clone(),
            when: stands.when.unwrap_or(otherwise),
            spot: stands.spot,
            note: stands.note.clone().unwrap_or_default(),
        })
    }
}

impl Act for CleaningEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let stands = book.cleaning(&self.cleaning).ok_or_else(|| Refusal::NoSuch { thing: self.cleaning.thing() })?;
        not_future("cleaning", self.when, now)?;
        born(book, stands.of.as_ref(), self.when)?;
        let row =
            Row::new().with(Cleaning::when, self.when).with(Cleaning::spot, self.spot).with(Cleaning::note, &self.note);
        draft("CleaningEdited", row.change(book, self.cleaning.as_str()).into_iter().collect())
    }
}

/// After how many days tubs are cleaned again.
#[derive(Clone, Debug, PartialEq)]
pub struct CleaningRuleSet {
    /// A species record's id or a shipped profile's key; `None`: for all that have no rule of their own.
    pub species: Option<String>,
    /// `None`: no rule.
    pub days: Option<u32>,
}

/// What was noted longer ago may stand aside after a start ([`crate::snapshot::LIVE_DAYS`]).
const MOST_DAYS: u32 = 365;

impl Act for CleaningRuleSet {
    fn draft(&self, book: &Book, _now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        self.species.as_ref().map_or(Ok(()), |species| known_species(book, species))?;
        if self.days.is_some_and(|days| !(1..=MOST_DAYS).contains(&days)) {
            return Err(Refusal::Missing { what: "1 to 365 days between cleanings" });
        }
        let id = CleaningRule::id_of(self.species.as_deref());
        let row = Row::new().with(CleaningRule::species, self.species.as_ref()).with(CleaningRule::days, self.days);
        // A rule that asks nothing is none, as long as there was none.
        let stands = book.cleaning_rule(&id).is_some();
        let change = row.change(book, id.as_str()).filter(|_| stands || self.days.is_some());
        draft("CleaningRuleSet", change.into_iter().collect())
    }
}
