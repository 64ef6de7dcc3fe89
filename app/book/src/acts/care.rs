//! What a veterinarian ordered, noted and put right, and each dose of it.

use super::animals::{all_once, born_by, gone_doubts};
use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, draft, fresh, in_order, not_future, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Dose, Treatment};
use crate::views::course;
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use journal::Draft;
use trade::when::When;

/// An order longer than this is a slip of the keyboard: three years.
const MOST_DAYS: i64 = 3 * 366;
/// The longest time from dose to dose: a year.
const MOST_HOURS: u32 = 366 * 24;

/// All of a treatment that a form edits.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TreatmentCard {
    pub what: String,
    pub dose: String,
    pub by: String,
    /// The first dose; it may be to come.
    pub from: Option<When>,
    /// 0: one dose.
    pub every_hours: u32,
    /// The last day.
    pub until: Option<NaiveDate>,
    /// Ended before that.
    pub ended: Option<When>,
    pub note: String,
}

impl TreatmentCard {
    /// As it stands in the book.
    pub fn of(book: &Book, treatment: &TreatmentId) -> Option<TreatmentCard> {
        let t = book.treatment(treatment)?;
        let text = |text: &Option<String>| text.clone().unwrap_or_default();
        Some(TreatmentCard {
            what: text(&t.what),
            dose: text(&t.dose),
            by: text(&t.by),
            from: t.from,
            every_hours: t.every_hours.unwrap_or(0),
            until: t.until,
            ended: t.ended,
            note: text(&t.note),
        })
    }

    fn row(&self) -> Row<Treatment> {
        Row::new()
            .with(Treatment::what, &self.what)
            .with(Treatment::dose, &self.dose)
            .with(Treatment::by, &self.by)
            .with(Treatment::from, self.from)
            .with(Treatment::every_hours, (self.every_hours > 0).then_some(self.every_hours))
            .with(Treatment::until, self.until)
            .with(Treatment::ended, self.ended)
            .with(Treatment::note, &self.note)
    }

    fn check(&self, book: &Book, now: NaiveDateTime, animal: Option<&AnimalId>) -> Result<(), Refusal> {
        if self.what.trim().is_empty() {
            return Err(Refusal::Missing { what: "what was ordered" });
        }
        let Some(from) = self.from else { return Err(Refusal::Missing { what: "the day of the first dose" }) };
        if self.every_hours > MOST_HOURS {
            return Err(Refusal::Missing { what: "at most a year from dose to dose" });
        }
        if self.until.is_some_and(|until| until < from.earliest().date()) {
            return Err(Refusal::OutOfOrder { first: "the last day", then: "the first dose" });
        }
        let last = self.until.unwrap_or(from.date());
        let far = |days: i64| !(-MOST_DAYS..=MOST_DAYS).contains(&days);
        if far((last - from.date()).num_days()) || (from.date() - now.date()).num_days() > MOST_DAYS {
            return Err(Refusal::Missing { what: "days that are at most three years away" });
        }
        if let Some(ended) = self.ended {
            not_future("end", ended, now)?;
        }
        in_order(("the first dose", self.from), ("the end", self.ended))?;
        animal.map_or(Ok(()), |animal| born_by(book, animal, "the first dose", from))
    }
}

/// What a veterinarian ordered, for one animal or the same for several.
#[derive(Clone, Debug)]
pub struct TreatmentOrdered {
    pub animals: Vec<AnimalId>,
    pub card: TreatmentCard,
}

impl Act for TreatmentOrdered {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        all_once(book, &self.animals)?;
        let mut sets = Vec::with_capacity(self.animals.len());
        for animal in &self.animals {
            self.card.check(book, now, Some(animal))?;
            sets.push(self.card.row().with(Treatment::animal, animal).create(book, &fresh(book, mint)));
        }
        draft("TreatmentOrdered", sets)
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        gone_doubts(book, self.animals.iter(), self.card.from)
    }
}

/// Anything of a treatment corrected, or its end noted; only what differs is written.
#[derive(Clone, Debug)]
pub struct TreatmentEdited {
    pub treatment: TreatmentId,
    pub card: TreatmentCard,
}

impl Act for TreatmentEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let treatment = book.treatment(&self.treatment);
        let treatment = treatment.ok_or_else(|| Refusal::NoSuch { thing: self.treatment.thing() })?;
        self.card.check(book, now, treatment.animal.as_ref())?;
        let change = self.card.row().change(book, self.treatment.as_str());
        draft("TreatmentEdited", change.into_iter().collect())
    }
}

/// A dose given, or left out on purpose.
#[derive(Clone, Debug)]
pub struct DoseNoted {
    pub treatment: TreatmentId,
    pub when: When,
    pub left_out: bool,
    pub note: String,
}

impl Act for DoseNoted {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.treatment.clone())?;
        not_future("dose", self.when, now)?;
        let animal = book.treatment(&self.treatment).and_then(|treatment| treatment.animal.as_ref());
        animal.map_or(Ok(()), |animal| born_by(book, animal, "the dose", self.when))?;
        let row = Row::new()
            .with(Dose::treatment, &self.treatment)
            .with(Dose::when, self.when)
            .with(Dose::left_out, self.left_out)
            .with(Dose::note, &self.note);
        draft("DoseNoted", vec![row.observe()])
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let Some(treatment) = book.treatment(&self.treatment) else { return Vec::new() };
        let what = book.short_name(&self.treatment.thing());
        let mut doubts = gone_doubts(book, treatment.animal.iter(), Some(self.when));
        if course(treatment).and_then(|course| course.end).is_some_and(|end| self.when.earliest() >= end) {
            doubts.push(Doubt::DosedLate { what: what.clone() });
        }
        // Two people who each give the same dose: the second is asked.
        let given = book.doses(&self.treatment).filter(|dose| !dose.left_out).filter_map(|dose| dose.when);
        let half = TimeDelta::minutes(i64::from(treatment.every_hours.unwrap_or(0)) * 30);
        let once = treatment.every_hours.unwrap_or(0) == 0;
        let near = |at: &When| once || (self.when.middle() - at.middle()).abs() < half;
        let last = given.filter(near).max_by_key(|at| at.earliest()).filter(|_| !self.left_out);
        doubts.extend(last.map(|last| Doubt::DosedAlready { what, last }));
        doubts
    }
}
