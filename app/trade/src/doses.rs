//! When the doses of a treatment are due, which dose given counts for which, and which were missed: as ordered, whatever
//! was ordered.
//!
//! The rule, in plain words:
//!
//! - What was ordered is a row of doses: the first, then one every so many hours, none after the last day. Of an order in
//!   whole days (24, 48, 72 … hours) only the day of each counts.
//! - A dose becomes due a quarter of the interval before its time, of an order in days whole days of it, and stays so until
//!   the next becomes due.
//! - A dose given counts for the one that is due at that moment: before the first is due it counts for none, and after the
//!   last day for the last ordered or for none.
//! - If that one was seen to already, it counts for the next where that is nearer in time and still wanting; else it was
//!   left out and is given after all, or it was given, and this is one too many.
//! - One of which only the day is known counts for the first of that day that is still wanting, where there are several.
//! - Whoever ended the treatment changes nothing of that. From then on no dose is wanting; what was missed by then, was.
//!
//! Nothing here knows a medicine. A dose late by some hours counts for the time it was due, and does not shift those that
//! follow: the schedule is the veterinarian's. How early a dose may be to count is our choice, no source.

#[cfg(test)]
mod tests;

use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};
use std::collections::BTreeSet;

/// Doses ordered: the first, and then one every so many hours. Doses are counted from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Course {
    /// When the first is due; of a course that goes by days, the day alone counts.
    pub from: NaiveDateTime,
    /// 0: one dose, and no more. Whole days (24, 48, 72 …) go by the calendar.
    pub every_hours: u32,
    /// The last day on which a dose is due; `None`: until somebody says so.
    pub until: Option<NaiveDate>,
    /// Ended before that: from this day on no dose is wanting.
    pub ended: Option<NaiveDateTime>,
}

/// A dose given, or left out on purpose.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Noted {
    pub at: NaiveDateTime,
    /// Nobody said at which hour.
    pub day_only: bool,
    pub left_out: bool,
}

/// What a noted dose counts for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fills {
    /// The dose that was due.
    Dose(u32),
    /// None: this one had been given already.
    Twice(u32),
    /// None: left out, of one that somebody had seen to already or gave after all.
    Idle,
    /// None: the first was not due yet.
    Before,
    /// None: the last was over.
    After,
}

/// Which doses were seen to, and what each noted one counts for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Filled {
    /// In the order in which the doses were handed in.
    pub fills: Vec<Fills>,
    pub given: BTreeSet<u32>,
    pub left_out: BTreeSet<u32>,
}

impl Filled {
    pub fn seen_to(&self, n: u32) -> bool {
        self.given.contains(&n) || self.left_out.contains(&n)
    }
}

/// How a course stands at a moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Standing {
    /// The dose that is due by now, and since when.
    pub due: Option<NaiveDateTime>,
    /// The next one that is not due yet.
    pub next: Option<NaiveDateTime>,
    /// Doses whose time has gone by, that were neither given nor left out.
    pub missed: u32,
    /// No dose is to come.
    pub over: bool,
}

fn midnight(at: NaiveDateTime) -> NaiveDateTime {
    at.date().and_time(NaiveTime::MIN)
}

impl Course {
    /// Whether only the days of its doses count, not the hours.
    pub fn by_days(&self) -> bool {
        self.every_hours.is_multiple_of(24)
    }

    fn first(&self) -> NaiveDateTime {
        if self.by_days() { midnight(self.from) } else { self.from }
    }

    /// Whether its doses are due at the same times, each of them.
    pub fn same_times(&self, other: &Course) -> bool {
        (self.first(), self.every_hours) == (other.first(), other.every_hours)
    }

    /// When a dose is due; `None` where no such dose was ordered.
    pub fn dose(&self, n: u32) -> Option<NaiveDateTime> {
        if n > 0 && self.every_hours == 0 {
            return None;
        }
        let hours = i64::from(self.every_hours) * i64::from(n);
        let at = self.first().checked_add_signed(TimeDelta::try_hours(hours)?)?;
        self.until.is_none_or(|last| at.date() <= last).then_some(at)
    }

    /// How many were ordered in all; `None` where nobody said until when.
    pub fn of(&self) -> Option<u32> {
        let over = self.until?.succ_opt()?.and_time(NaiveTime::MIN);
        Some(if over <= self.first() { 0 } else { self.nth(over - TimeDelta::seconds(1)) + 1 })
    }

    /// The last dose whose time has come by then, ordered or not; the first where none has.
    fn nth(&self, at: NaiveDateTime) -> u32 {
        let hours = (at - self.first()).num_hours().max(0);
        u32::try_from(hours.checked_div(i64::from(self.every_hours)).unwrap_or(0)).unwrap_or(u32::MAX)
    }

    /// How long before its time a dose is due, and one given counts for it: a quarter of the interval, of a course by days
    /// whole days of it.
    fn early(&self) -> TimeDelta {
        let quarter = i64::from(self.every_hours) / 4;
        TimeDelta::hours(if self.by_days() { quarter / 24 * 24 } else { quarter })
    }

    /// The dose that is due at a moment, seen to or not; `Before` and `After` where there is none.
    fn due_at(&self, at: NaiveDateTime) -> Fills {
        let soon = at.checked_add_signed(self.early()).unwrap_or(at);
        if self.dose(0).is_none() {
            return Fills::After;
        }
        if soon < self.first() {
            return Fills::Before;
        }
        // Where no next was ordered, the last stays due until its interval has gone by.
        let ordered = [self.nth(soon), self.nth(at)].into_iter().find(|n| self.dose(*n).is_some());
        ordered.map_or(Fills::After, Fills::Dose)
    }

    /// Whether it is over, done or not: after its last day, and from the day on which it was ended.
    fn over(&self, now: NaiveDateTime) -> bool {
        let day = now.date();
        self.until.is_some_and(|last| day > last) || self.ended.is_some_and(|ended| day >= ended.date())
    }

    /// How many doses have gone by, seen to or not: those before the one that is due, as it was when the course was ended.
    fn gone_by(&self, now: NaiveDateTime) -> u32 {
        let now = self.ended.map_or(now, |ended| ended.min(now));
        match self.due_at(now) {
            Fills::Dose(_) | Fills::After if self.until.is_some_and(|last| now.date() > last) => self.of().unwrap_or(0),
            Fills::Dose(n) => n,
            Fills::Twice(_) | Fills::Idle | Fills::Before | Fills::After => 0,
        }
    }

    /// What a dose of which only the day is known counts for: the first one of that day that is still wanting.
    fn any_of_day(&self, day: NaiveDate, filled: &Filled) -> Option<u32> {
        let from = self.nth(day.and_time(NaiveTime::MIN));
        let times = (from..).map_while(|n| Some((n, self.dose(n)?.date())));
        let mut of_day = times.skip_while(|(_, at)| *at < day).take_while(|(_, at)| *at == day);
        of_day.find(|(n, _)| !filled.seen_to(*n)).map(|(n, _)| n)
    }

    /// What each noted dose counts for, in whatever order they are handed in.
    pub fn fill(&self, noted: &[Noted]) -> Filled {
        let mut filled = Filled { fills: vec![Fills::Idle; noted.len()], ..Filled::default() };
        let mut order: Vec<usize> = (0..noted.len()).collect();
        let by_day = |dose: &Noted| dose.day_only && !self.by_days();
        // Of one day, those whose hour is known come first; given before left out.
        crate::order::sort(&mut order, |i| (noted[*i].at.date(), by_day(&noted[*i]), noted[*i].at, noted[*i].left_out));
        for i in order {
            let dose = &noted[i];
            let any = if by_day(dose) { self.any_of_day(dose.at.date(), &filled) } else { None };
            let fills = any.map_or_else(|| self.due_at(dose.at), Fills::Dose);
            filled.fills[i] = match fills {
                Fills::Dose(n) => self.take(n, dose, &mut filled),
                none @ (Fills::Twice(_) | Fills::Idle | Fills::Before | Fills::After) => none,
            };
        }
        filled
    }

    /// One more for a dose that is due, or for the next.
    fn take(&self, n: u32, noted: &Noted, filled: &mut Filled) -> Fills {
        let at = if self.by_days() { midnight(noted.at) } else { noted.at };
        let nearer = |next: u32| {
            let (before, after) = (self.dose(n)?, self.dose(next)?);
            (after - at < at - before && !filled.seen_to(next)).then_some(next)
        };
        let free = if filled.seen_to(n) { n.checked_add(1).and_then(nearer) } else { Some(n) };
        let kept = if noted.left_out { &mut filled.left_out } else { &mut filled.given };
        match free {
            Some(free) => {
                kept.insert(free);
                Fills::Dose(free)
            }
            None if noted.left_out => Fills::Idle,
            None if filled.left_out.remove(&n) => {
                let left_out = filled.fills.iter_mut().find(|fills| **fills == Fills::Dose(n));
                left_out.into_iter().for_each(|fills| *fills = Fills::Idle);
                filled.given.insert(n);
                Fills::Dose(n)
            }
            None => Fills::Twice(n),
        }
    }

    /// How it stands, with what was seen to ([`Course::fill`]).
    pub fn standing(&self, filled: &Filled, now: NaiveDateTime) -> Standing {
        let only = self.every_hours == 0 && filled.seen_to(0);
        let over = self.over(now) || only;
        let due = match self.due_at(now) {
            Fills::Dose(n) if !over && !filled.seen_to(n) => self.dose(n),
            Fills::Dose(_) | Fills::Twice(_) | Fills::Idle | Fills::Before | Fills::After => None,
        };
        let next = self.to_come(filled, now).next().filter(|_| !over).map(|(_, at)| at);
        let gone_by = self.gone_by(now);
        let seen_to = filled.given.range(..gone_by).count() + filled.left_out.range(..gone_by).count();
        let missed = gone_by.saturating_sub(u32::try_from(seen_to).unwrap_or(u32::MAX));
        Standing { due, next, missed, over }
    }

    /// The doses that become due after a moment and are not seen to, and when, the soonest first; none once it was ended.
    pub fn to_come<'a>(
        &'a self,
        filled: &'a Filled,
        now: NaiveDateTime,
    ) -> impl Iterator<Item = (u32, NaiveDateTime)> + use<'a> {
        let from = match self.due_at(now) {
            Fills::Dose(n) => n.checked_add(1),
            Fills::Before => Some(0),
            Fills::Twice(_) | Fills::Idle | Fills::After => None,
        };
        let from = from.filter(|_| !self.over(now));
        let times = from.into_iter().flat_map(|from| from..).map_while(|n| Some((n, self.dose(n)?)));
        times.filter(|(n, _)| !filled.seen_to(*n))
    }

    /// When those were due that were missed, the latest first.
    pub fn missed<'a>(
        &'a self,
        filled: &'a Filled,
        now: NaiveDateTime,
    ) -> impl Iterator<Item = NaiveDateTime> + use<'a> {
        (0..self.gone_by(now)).rev().filter(|n| !filled.seen_to(*n)).filter_map(|n| self.dose(n))
    }
}
