//! Follicles: what was felt or seen by ultrasound.

use super::animals::{born_by, gone_doubts};
use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, draft, not_future, there};
use crate::book::Book;
use crate::ids::AnimalId;
use crate::records::AnimalEvent;
use crate::words::{AnimalEventWhat, LookedAs, Side};
use chrono::NaiveDateTime;
use journal::Draft;
use trade::when::When;

/// A female felt for follicles, or seen by ultrasound.
#[derive(Clone, Debug, PartialEq)]
pub struct FolliclesNoted {
    pub animal: AnimalId,
    pub when: When,
    pub looked: Option<LookedAs>,
    /// `None`: both, or nobody said.
    pub side: Option<Side>,
    /// Across the largest, in micrometres.
    pub follicle_um: Option<i64>,
    /// 0: none were there.
    pub follicles: Option<u32>,
    pub note: String,
}

impl Act for FolliclesNoted {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.animal.clone())?;
        not_future("finding", self.when, now)?;
        born_by(book, &self.animal, "the finding", self.when)?;
        sane_finding(self.follicle_um, self.follicles)?;
        let event = Row::new()
            .with(AnimalEvent::animal, &self.animal)
            .with(AnimalEvent::what, AnimalEventWhat::Follicles)
            .with(AnimalEvent::when, self.when)
            .with(AnimalEvent::looked, self.looked)
            .with(AnimalEvent::side, self.side)
            .with(AnimalEvent::follicle_um, self.follicle_um)
            .with(AnimalEvent::follicles, self.follicles)
            .with(AnimalEvent::note, &self.note)
            .observe();
        draft("FolliclesNoted", vec![event])
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        gone_doubts(book, std::iter::once(&self.animal), Some(self.when))
    }
}

/// The sizes a follicle may have, in micrometres, and the most there may be (our choice, far beyond any snake's).
pub const FOLLICLE_UM: (i64, i64) = (1_000, 150_000);
pub const MOST_FOLLICLES: u32 = 200;

/// A size some follicle may have, and none where there is none.
pub(super) fn sane_finding(um: Option<i64>, count: Option<u32>) -> Result<(), Refusal> {
    if um.is_some_and(|um| um < FOLLICLE_UM.0 || um > FOLLICLE_UM.1) {
        return Err(Refusal::Missing { what: "a follicle between 1 and 150 mm" });
    }
    if count.is_some_and(|count| count > MOST_FOLLICLES) {
        return Err(Refusal::Missing { what: "a number of follicles up to 200" });
    }
    match (um, count) {
        (Some(_), Some(0)) => Err(Refusal::Missing { what: "either a size or that there were none" }),
        _ => Ok(()),
    }
}
