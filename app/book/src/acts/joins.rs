//! Two records of one thing, made on two phones: joined, parted again, or one of them taken back.

use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, all_there, draft, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::Clutch;
use chrono::NaiveDateTime;
use journal::{Draft, DraftSet};
use trade::when::When;

/// Two records of one clutch, made on two phones, joined. Both labels live on.
#[derive(Clone, Debug)]
pub struct ClutchesJoined {
    pub clutch: ClutchId,
    pub same_as: ClutchId,
}

impl Act for ClutchesJoined {
    fn draft(&self, book: &Book, _now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.clutch.clone())?;
        there(book, self.same_as.clone())?;
        if self.clutch == self.same_as {
            return Err(Refusal::InItself { name: book.short_name(&self.clutch.thing()) });
        }
        if book.same_clutch(&self.clutch).iter().any(|other| other.id == self.same_as) {
            return Err(Refusal::NothingChanged);
        }
        let change = Row::new().with(Clutch::same_as, &self.same_as).change(book, self.clutch.as_str());
        draft("ClutchesJoined", change.into_iter().collect())
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let (Some(one), Some(other)) = (book.clutch(&self.clutch), book.clutch(&self.same_as)) else {
            return Vec::new();
        };
        let mut doubts = Vec::new();
        let apart =
            |a: &[AnimalId], b: &[AnimalId]| !a.is_empty() && !b.is_empty() && !a.iter().any(|id| b.contains(id));
        if apart(&one.dams, &other.dams) {
            doubts.push(Doubt::NotAlike { what: "dams" });
        }
        if let (Some(a), Some(b)) = (book.clutch_laid(&one.id), book.clutch_laid(&other.id))
            && far_apart(a, b)
        {
            doubts.push(Doubt::NotAlike { what: "lay dates" });
        }
        doubts
    }
}

/// Whether two lay dates are too far apart for one clutch: more than two days after all that is unsure of them.
pub(crate) fn far_apart(a: When, b: When) -> bool {
    let gap = (a.earliest() - b.latest()).max(b.earliest() - a.latest());
    gap > chrono::TimeDelta::days(2)
}

/// Joined by mistake: the records of a clutch are clutches of their own again.
#[derive(Clone, Debug)]
pub struct ClutchesParted {
    pub clutch: ClutchId,
}

impl Act for ClutchesParted {
    fn draft(&self, book: &Book, _now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.clutch.clone())?;
        let part = |id: &ClutchId| Row::new().with(Clutch::same_as, None::<ClutchId>).change(book, id.as_str());
        let mut sets: Vec<DraftSet> = part(&self.clutch).into_iter().collect();
        for other in book.same_clutch(&self.clutch) {
            if other.id != self.clutch && other.same_as.as_ref() == Some(&self.clutch) {
                sets.extend(part(&other.id));
            }
        }
        draft("ClutchesParted", sets)
    }
}

/// Several records taken back whole, as one act: the eggs that two phones each made of one clutch. Undo brings them
/// back.
#[derive(Clone, Debug)]
pub struct RecordsWithdrawn {
    pub things: Vec<Thing>,
}

impl Act for RecordsWithdrawn {
    fn draft(&self, book: &Book, _now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        all_there(book, &self.things)?;
        let sets = self.things.iter().map(|thing| book.journal().withdraw(thing.kind.word(), &thing.id));
        draft("RecordsWithdrawn", sets.collect())
    }
}
