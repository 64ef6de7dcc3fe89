//! Candling, and looking which boxes are there.

use super::boxes::open;
use super::row::Row;
use super::{Act, Mint, Refusal, all_there, draft, not_future, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Candling, StockTaking};
use crate::words::Seen;
use chrono::NaiveDateTime;
use journal::Draft;
use std::collections::BTreeMap;
use trade::when::When;

/// A light through the shells of one box. Eggs not named are as [`Book::untouched`] has it: as last time, and those never
/// looked at before unsure.
#[derive(Clone, Debug)]
pub struct BoxCandled {
    pub filling: FillingId,
    pub when: When,
    /// Only the eggs that changed.
    pub changes: BTreeMap<EggId, Seen>,
    pub note: String,
}

impl Act for BoxCandled {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        open(book, &self.filling, "the candling", self.when, now)?;
        let eggs = book.eggs_in(&self.filling);
        if eggs.is_empty() {
            return Err(Refusal::EmptyBox);
        }
        for id in self.changes.keys() {
            let egg = book.egg(id).ok_or_else(|| Refusal::NoSuch { thing: id.thing() })?;
            if !eggs.iter().any(|inside| inside.id == *id) {
                let letter = egg.letter.clone().unwrap_or_default();
                return Err(match egg.fate {
                    Some(_) => Refusal::EggGone { letter },
                    None => Refusal::EggElsewhere { letter },
                });
            }
        }
        let mut seen = self.changes.clone();
        for (egg, last) in book.untouched(&self.filling) {
            seen.entry(egg).or_insert(last);
        }
        if seen.is_empty() {
            return Err(Refusal::Missing { what: "what the light showed, at least of one egg" });
        }
        let row = Row::new()
            .with(Candling::filling, &self.filling)
            .with(Candling::when, self.when)
            .with(Candling::seen, &seen)
            .with(Candling::note, &self.note);
        draft("BoxCandled", vec![row.observe()])
    }
}

/// A walk that looked which boxes are there.
#[derive(Clone, Debug)]
pub struct StockTaken {
    /// The place walked; `None`: the whole barn.
    pub place: Option<PlaceId>,
    pub when: When,
    pub seen: Vec<FillingId>,
    pub missing: Vec<FillingId>,
}

impl Act for StockTaken {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        not_future("stock-taking", self.when, now)?;
        self.place.iter().try_for_each(|place| there(book, place.clone()))?;
        if self.seen.is_empty() {
            return Err(Refusal::Missing { what: "at least one box that was seen" });
        }
        all_there(book, &self.seen)?;
        all_there(book, &self.missing)?;
        let both = self.seen.iter().chain(&self.missing).enumerate();
        for (i, id) in both {
            if self.seen[..i.min(self.seen.len())].contains(id) {
                return Err(Refusal::Twice { what: book.short_name(&id.thing()) });
            }
        }
        let row = Row::new()
            .with(StockTaking::place, self.place.as_ref())
            .with(StockTaking::when, self.when)
            .with(StockTaking::seen, &self.seen)
            .with(StockTaking::missing, &self.missing);
        draft("StockTaken", vec![row.observe()])
    }
}
