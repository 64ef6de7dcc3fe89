//! What a veterinarian ordered, typed in or put right. What is ordered is theirs: nothing is offered and nothing is likely.
//! Who is set apart, until when.

use super::kept::kept;
use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Units};
use book::AnimalId;
use book::Thing;
use book::acts::{QuarantineCard, QuarantineEdited, SetApart, TreatmentCard, TreatmentEdited, TreatmentOrdered};
use chrono::{NaiveDate, NaiveDateTime};
use trade::when::When;

/// Names of its fields.
pub const WHAT: &str = "What was ordered";
pub const FIRST: &str = "First dose on";
pub const UNTIL: &str = "Last day";
pub const ENDED: &str = "Ended on";

/// What the figure between two doses counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Every {
    Once,
    Hours,
    Days,
}

/// All that the page asks; the first dose comes from its date and time fields.
#[derive(Clone, Debug)]
pub struct TreatmentForm {
    /// As it stood when the page was opened.
    pub before: TreatmentCard,
    pub what: String,
    pub dose: String,
    pub by: String,
    pub every: Entry,
    pub unit: Every,
    /// Days, as date fields give them.
    pub until: String,
    pub ended: String,
    pub note: String,
}

impl TreatmentForm {
    /// A new one: once a day, as often as not, and nothing else said.
    pub fn blank() -> TreatmentForm {
        TreatmentForm::new(TreatmentCard { every_hours: 24, ..TreatmentCard::default() })
    }

    pub fn new(before: TreatmentCard) -> TreatmentForm {
        let (every, unit) = match before.every_hours {
            0 => (None, Every::Once),
            hours if hours.is_multiple_of(24) => (Some(hours / 24), Every::Days),
            hours => (Some(hours), Every::Hours),
        };
        TreatmentForm {
            what: before.what.clone(),
            dose: before.dose.clone(),
            by: before.by.clone(),
            every: Entry::new(Ask::count("A dose every", 1, 366), every.map(i64::from), Units::default()),
            unit,
            until: before.until.map(|day| day.to_string()).unwrap_or_default(),
            ended: crate::day::in_field(before.ended),
            note: before.note.clone(),
            before,
        }
    }

    fn take(&self, gather: &mut Gather, from: When, today: NaiveDate) -> TreatmentCard {
        let mut every = || u32::try_from(gather.need(&self.every)).unwrap_or(0);
        let every_hours = match self.unit {
            Every::Once => 0,
            Every::Hours => every(),
            Every::Days => every() * 24,
        };
        TreatmentCard {
            what: gather.need_text(WHAT, &self.what),
            dose: self.dose.clone(),
            by: self.by.clone(),
            from: Some(from),
            every_hours,
            until: gather.day(UNTIL, &self.until, None),
            ended: gather.dated(ENDED, &self.ended, self.before.ended, today),
            note: self.note.clone(),
        }
    }

    /// For these animals.
    ///
    /// # Errors
    /// What is wanting or cannot be read, each with its field's name.
    pub fn order(&self, animals: Vec<AnimalId>, from: When, today: NaiveDate) -> Result<TreatmentOrdered, Wrong> {
        let mut gather = Gather::new(Units::default());
        let card = self.take(&mut gather, from, today);
        gather.done(TreatmentOrdered { animals, card })
    }

    /// `now`: as it stands when *Save* is tapped.
    ///
    /// # Errors
    /// What is wanting or cannot be read, each with its field's name.
    pub fn edit(
        &self,
        treatment: book::TreatmentId,
        from: When,
        now: &TreatmentCard,
        today: NaiveDate,
    ) -> Result<TreatmentEdited, Wrong> {
        let mut gather = Gather::new(Units::default());
        let typed = self.take(&mut gather, from, today);
        let card =
            kept!(TreatmentCard { what, dose, by, from, every_hours, until, ended, note }: typed, self.before, now);
        gather.done(TreatmentEdited { treatment, card })
    }
}

/// Names of its fields.
pub const APART_SINCE: &str = "Set apart since";
pub const APART_UNTIL: &str = "Last day apart";

/// An animal or a place set apart; days as date fields give them.
#[derive(Clone, Debug, Default)]
pub struct ApartForm {
    /// As it stood when the page was opened.
    pub before: QuarantineCard,
    pub from: String,
    pub until: String,
    pub ended: String,
    pub why: String,
}

impl ApartForm {
    /// From today on.
    pub fn blank(today: NaiveDate) -> ApartForm {
        ApartForm { from: today.to_string(), ..ApartForm::default() }
    }

    pub fn new(before: QuarantineCard) -> ApartForm {
        ApartForm {
            from: crate::day::in_field(before.from),
            until: before.until.map(|day| day.to_string()).unwrap_or_default(),
            ended: crate::day::in_field(before.ended),
            why: before.why.clone(),
            before,
        }
    }

    fn take(&self, gather: &mut Gather, today: NaiveDate) -> QuarantineCard {
        if self.from.trim().is_empty() {
            // Says that a day is wanting.
            gather.need_day(APART_SINCE, &self.from, Some(today));
        }
        QuarantineCard {
            from: gather.dated(APART_SINCE, &self.from, self.before.from, today),
            until: gather.day(APART_UNTIL, &self.until, None),
            ended: gather.dated(ENDED, &self.ended, self.before.ended, today),
            why: self.why.clone(),
        }
    }

    /// For these animals or places.
    ///
    /// # Errors
    /// Days that are wanting, not finished or to come, each with its field's name.
    pub fn set_apart(&self, things: Vec<Thing>, today: NaiveDate) -> Result<SetApart, Wrong> {
        let mut gather = Gather::new(Units::default());
        let card = self.take(&mut gather, today);
        gather.done(SetApart { things, card })
    }

    /// `now`: as it stands when *Save* is tapped.
    ///
    /// # Errors
    /// Days that are wanting, not finished or to come, each with its field's name.
    pub fn edit(
        &self,
        quarantine: book::QuarantineId,
        now: &QuarantineCard,
        today: NaiveDate,
    ) -> Result<QuarantineEdited, Wrong> {
        let mut gather = Gather::new(Units::default());
        let typed = self.take(&mut gather, today);
        let card = kept!(QuarantineCard { from, until, ended, why }: typed, self.before, now);
        gather.done(QuarantineEdited { quarantine, card })
    }

    /// Let out: all as it is typed, and ended at this moment unless another day is typed.
    ///
    /// # Errors
    /// Days that are wanting, not finished or to come, each with its field's name.
    pub fn end(
        &self,
        quarantine: book::QuarantineId,
        now: &QuarantineCard,
        at: NaiveDateTime,
    ) -> Result<QuarantineEdited, Wrong> {
        let mut act = self.edit(quarantine, now, at.date())?;
        act.card.ended = act.card.ended.or(Some(When::time(at)));
        Ok(act)
    }
}
