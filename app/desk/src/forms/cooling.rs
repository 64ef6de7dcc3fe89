//! Animals cooled for some weeks: planned for several at once, begun, ended and put right.

use super::kept::kept;
use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Units};
use book::acts::{CoolingCard, CoolingEdited, CoolingSet};
use book::{AnimalId, CoolingId};
use chrono::NaiveDate;
use trade::cooling::{FAST_DAYS, LIKELY};
use trade::when::When;

/// Names of its fields.
pub const FROM: &str = "First cool day";
pub const UNTIL: &str = "Last cool day";
const TEMP: &str = "Target temperature";
pub const FAST: &str = "Days without food before";
pub const BEGAN: &str = "Began on";
pub const ENDED: &str = "Ended on";
pub const NOTE: &str = "Note";

/// All that the page asks; days as date fields give them.
#[derive(Clone, Debug)]
pub struct CoolingForm {
    /// As it stood when the page was opened: of several, what is the same for all.
    pub before: CoolingCard,
    /// Names of the fields that are not the same for all.
    pub differ: Vec<&'static str>,
    pub from: String,
    pub until: String,
    pub temp: Entry,
    pub fast: Entry,
    pub began: String,
    pub ended: String,
    pub note: String,
}

impl CoolingForm {
    /// From today on, after the usual days without food.
    pub fn blank(today: NaiveDate, units: Units) -> CoolingForm {
        let before = CoolingCard { fast_days: Some(FAST_DAYS), ..CoolingCard::default() };
        CoolingForm { from: today.to_string(), ..CoolingForm::new(before, units) }
    }

    /// Of several: what is not the same for all begins empty, and left so it stays as each has it. The first day is shown as
    /// the first of them has it, since those of one plan have it in common.
    pub fn of_several(cards: &[CoolingCard], units: Units) -> CoolingForm {
        let mut differ = Vec::new();
        let before = CoolingCard {
            from: cards.first().and_then(|card| card.from),
            until: common(cards, &mut differ, UNTIL, |card| card.until),
            temp: common(cards, &mut differ, TEMP, |card| card.temp),
            fast_days: common(cards, &mut differ, FAST, |card| card.fast_days),
            began: common(cards, &mut differ, BEGAN, |card| card.began),
            ended: common(cards, &mut differ, ENDED, |card| card.ended),
            note: common(cards, &mut differ, NOTE, |card| card.note.clone()),
        };
        CoolingForm { differ, ..CoolingForm::new(before, units) }
    }

    pub fn new(before: CoolingCard, units: Units) -> CoolingForm {
        let temp = Ask::temp(TEMP).likely(LIKELY.0.0.into(), LIKELY.1.0.into());
        let fast = Ask::count(FAST, 0, 92);
        CoolingForm {
            from: crate::day::in_field(before.from),
            until: before.until.map(|day| day.to_string()).unwrap_or_default(),
            temp: Entry::of_temp(temp, before.temp, units),
            fast: Entry::new(fast, before.fast_days.map(i64::from), units),
            began: crate::day::in_field(before.began),
            ended: crate::day::in_field(before.ended),
            note: before.note.clone(),
            differ: Vec::new(),
            before,
        }
    }

    fn take(&self, gather: &mut Gather, today: NaiveDate) -> CoolingCard {
        // The first day may be to come.
        let from = match self.before.from {
            Some(before) if before.date().to_string() == self.from => Some(before),
            _ => gather.need_day(FROM, &self.from, None).map(When::day),
        };
        CoolingCard {
            from,
            until: gather.day(UNTIL, &self.until, None),
            temp: gather.temp(&self.temp),
            fast_days: gather.take(&self.fast).and_then(|days| u32::try_from(days).ok()),
            began: gather.dated(BEGAN, &self.began, self.before.began, today),
            ended: gather.dated(ENDED, &self.ended, self.before.ended, today),
            note: self.note.clone(),
        }
    }

    /// What its note comes to: where each has one of its own, what is typed is put after it.
    fn note_of(&self, now: &CoolingCard) -> String {
        let typed = self.note.trim();
        if !self.differ.contains(&NOTE) || typed.is_empty() || now.note.is_empty() {
            return self.note.clone();
        }
        format!("{}; {typed}", now.note)
    }

    /// For these animals.
    ///
    /// # Errors
    /// What is wanting or cannot be read, each with its field's name.
    pub fn set(&self, animals: Vec<AnimalId>, today: NaiveDate, units: Units) -> Result<CoolingSet, Wrong> {
        let mut gather = Gather::new(units);
        let card = self.take(&mut gather, today);
        gather.done(CoolingSet { animals, card })
    }

    /// The same put right for several; what nobody touched stays as each has it. `now`: as they stand when *Save* is tapped.
    ///
    /// # Errors
    /// What is wanting or cannot be read, each with its field's name.
    pub fn edit(
        &self,
        now: &[(CoolingId, CoolingCard)],
        today: NaiveDate,
        units: Units,
    ) -> Result<CoolingEdited, Wrong> {
        let mut gather = Gather::new(units);
        let typed = self.take(&mut gather, today);
        let card = |now: &CoolingCard| {
            let typed = CoolingCard { note: self.note_of(now), ..typed.clone() };
            kept!(CoolingCard { from, until, temp, fast_days, began, ended, note }: typed, self.before, now)
        };
        gather.done(CoolingEdited { cards: now.iter().map(|(id, now)| (id.clone(), card(now))).collect() })
    }
}

/// What all have; where they differ, nothing, and the field's name is noted.
fn common<T: PartialEq + Default>(
    cards: &[CoolingCard],
    differ: &mut Vec<&'static str>,
    name: &'static str,
    of: impl Fn(&CoolingCard) -> T,
) -> T {
    let mut all = cards.iter().map(of);
    let first = all.next().unwrap_or_default();
    if all.all(|other| other == first) {
        return first;
    }
    differ.push(name);
    T::default()
}

/// Begun now, where it had not.
pub fn begun(now: Vec<(CoolingId, CoolingCard)>, at: When) -> CoolingEdited {
    let begin = |(id, card): (CoolingId, CoolingCard)| (id, CoolingCard { began: card.began.or(Some(at)), ..card });
    CoolingEdited { cards: now.into_iter().map(begin).collect() }
}

/// Ended now, where it had not; what had not begun is called off.
pub fn ended(now: Vec<(CoolingId, CoolingCard)>, at: When) -> CoolingEdited {
    let end = |(id, card): (CoolingId, CoolingCard)| (id, CoolingCard { ended: card.ended.or(Some(at)), ..card });
    CoolingEdited { cards: now.into_iter().map(end).collect() }
}
