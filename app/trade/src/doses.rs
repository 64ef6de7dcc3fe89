//! When the doses of a treatment are due, which were given and which were missed: as ordered, whatever was ordered.
//!
//! Nothing here knows a medicine. A dose late by some hours counts for the time it was due, and does not shift those that
//! follow: the schedule is the veterinarian's. How early a dose may be to count is our choice, no source.

use chrono::{NaiveDateTime, NaiveTime, TimeDelta};
use std::collections::BTreeSet;

/// Doses ordered: the first, and then one every so many hours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Course {
    /// When the first is due; of a course that goes by days, the day alone counts.
    pub from: NaiveDateTime,
    /// 0: one dose, and no more. Whole days (24, 48, 72 …) go by the calendar.
    pub every_hours: u32,
    /// No dose is due from then on; `None`: until somebody says so.
    pub end: Option<NaiveDateTime>,
}

/// How a course stands at a moment. Doses are counted from 0.
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

impl Course {
    fn by_days(&self) -> bool {
        self.every_hours.is_multiple_of(24)
    }

    fn first(&self) -> NaiveDateTime {
        if self.by_days() { self.from.date().and_time(NaiveTime::MIN) } else { self.from }
    }

    /// When a dose is due, counted from 0; `None` where there is no such dose.
    pub fn dose(&self, n: u32) -> Option<NaiveDateTime> {
        if n > 0 && self.every_hours == 0 {
            return None;
        }
        let hours = i64::from(self.every_hours) * i64::from(n);
        let at = self.first().checked_add_signed(TimeDelta::hours(hours))?;
        self.end.is_none_or(|end| at < end).then_some(at)
    }

    /// How many there are in all; `None` where nobody said until when.
    pub fn of(&self) -> Option<u32> {
        let last = self.end? - TimeDelta::seconds(1);
        Some(if last < self.first() { 0 } else { self.nth(last) + 1 })
    }

    /// The last dose whose time has come at a moment not before the first.
    fn nth(&self, at: NaiveDateTime) -> u32 {
        let hours = (at - self.first()).num_hours();
        u32::try_from(hours.checked_div(i64::from(self.every_hours)).unwrap_or(0)).unwrap_or(u32::MAX)
    }

    /// How long before its time a dose is shown, and counts: a quarter of the interval, of a course by days whole days of it.
    fn early(&self) -> TimeDelta {
        let quarter = i64::from(self.every_hours) / 4;
        TimeDelta::hours(if self.by_days() { quarter / 24 * 24 } else { quarter })
    }

    /// The dose that one given at this moment is taken for.
    fn near(&self, at: NaiveDateTime) -> u32 {
        let at = self.end.map_or(at, |end| at.min(end - TimeDelta::seconds(1))) + self.early();
        self.nth(at.max(self.first())).min(self.of().map_or(u32::MAX, |of| of.saturating_sub(1)))
    }

    /// Whether the first dose's time has come or is near.
    fn begun(&self, now: NaiveDateTime) -> bool {
        now + self.early() >= self.first() && self.of() != Some(0)
    }

    fn over(&self, now: NaiveDateTime) -> bool {
        self.end.is_some_and(|end| now >= end)
    }

    /// How many doses have gone by, seen to or not.
    fn passed(&self, now: NaiveDateTime) -> u32 {
        if self.begun(now) { self.near(now) + u32::from(self.over(now)) } else { 0 }
    }

    /// Which doses were seen to, given or left out. One given when that of its time is done already counts for the next
    /// where that is the nearer; else it is one too many.
    pub fn done(&self, given: impl IntoIterator<Item = NaiveDateTime>) -> BTreeSet<u32> {
        let mut given: Vec<NaiveDateTime> = given.into_iter().collect();
        crate::order::sort(&mut given, |at| *at);
        let mut done = BTreeSet::new();
        for at in given {
            let near = self.near(at);
            let at = if self.by_days() { at.date().and_time(NaiveTime::MIN) } else { at };
            if !done.insert(near)
                && let (Some(before), Some(next)) = (self.dose(near), self.dose(near + 1))
                && next - at < at - before
            {
                done.insert(near + 1);
            }
        }
        done
    }

    /// How it stands, with what was seen to ([`Course::done`]).
    pub fn standing(&self, done: &BTreeSet<u32>, now: NaiveDateTime) -> Standing {
        let (begun, over, near, passed) = (self.begun(now), self.over(now), self.near(now), self.passed(now));
        let due = self.dose(near).filter(|_| begun && !over && !done.contains(&near));
        let seen_to = u32::try_from(done.range(..passed).count()).unwrap_or(u32::MAX);
        let next = (near..).take(3).skip(usize::from(begun)).find(|n| !done.contains(n));
        let next = next.filter(|_| !over).and_then(|n| self.dose(n));
        let only = self.every_hours == 0 && done.contains(&0);
        Standing { due, next, missed: passed.saturating_sub(seen_to), over: over || only }
    }

    /// When those were due that were missed, the latest first.
    pub fn missed<'a>(
        &'a self,
        done: &'a BTreeSet<u32>,
        now: NaiveDateTime,
    ) -> impl Iterator<Item = NaiveDateTime> + use<'a> {
        (0..self.passed(now)).rev().filter(|n| !done.contains(n)).filter_map(|n| self.dose(n))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> NaiveDateTime {
        text.parse().expect(text)
    }

    fn course(from: &str, every_hours: u32, end: Option<&str>) -> Course {
        Course { from: at(from), every_hours, end: end.map(at) }
    }

    /// What is due (day and hour), the next, and how many were missed.
    fn stands(course: &Course, given: &[&str], now: &str) -> (Option<String>, Option<String>, u32) {
        let said = |when: Option<NaiveDateTime>| when.map(|when| when.format("%dT%H").to_string());
        let standing = course.standing(&course.done(given.iter().map(|given| at(given))), at(now));
        (said(standing.due), said(standing.next), standing.missed)
    }

    fn want(due: &str, next: &str, missed: u32) -> (Option<String>, Option<String>, u32) {
        let some = |text: &str| (!text.is_empty()).then(|| text.to_owned());
        (some(due), some(next), missed)
    }

    #[test]
    fn once_a_day_goes_by_the_calendar() {
        // Ordered at noon: due all of each day, whatever the hour it is given at.
        let daily = course("2026-06-01T12:00:00", 24, Some("2026-06-11T00:00:00"));
        assert_eq!(daily.of(), Some(10));
        for (given, now, expected) in [
            (&[][..], "2026-06-01T07:00:00", want("01T00", "02T00", 0)),
            (&["2026-06-01T21:00:00"], "2026-06-01T21:01:00", want("", "02T00", 0)),
            (&["2026-06-01T21:00:00"], "2026-06-02T06:00:00", want("02T00", "03T00", 0)),
            (&["2026-06-01T21:00:00"], "2026-06-04T06:00:00", want("04T00", "05T00", 2)),
            (&["2026-06-01T21:00:00", "2026-06-04T23:00:00"], "2026-06-05T06:00:00", want("05T00", "06T00", 2)),
            // Over: none is due, and those that were not given stay missed.
            (&["2026-06-01T21:00:00"], "2026-06-11T06:00:00", want("", "", 9)),
        ] {
            assert_eq!(stands(&daily, given, now), expected, "{given:?} at {now}");
        }
    }

    #[test]
    fn every_third_day_bears_a_day_late_and_stays_as_ordered() {
        let third = course("2026-06-01T08:00:00", 72, None);
        assert_eq!(third.of(), None);
        let late = ["2026-06-01T08:00:00", "2026-06-05T09:00:00"];
        assert_eq!(stands(&third, &late, "2026-06-05T10:00:00"), want("", "07T00", 0));
        assert_eq!(stands(&third, &late, "2026-06-07T10:00:00"), want("07T00", "10T00", 0));
        // A day early, when the one before was given: it counts for the next.
        let early = ["2026-06-01T08:00:00", "2026-06-03T09:00:00"];
        assert_eq!(stands(&third, &early, "2026-06-04T10:00:00"), want("", "07T00", 0));
    }

    #[test]
    fn twice_a_day_goes_by_the_clock() {
        let twice = course("2026-06-01T08:00:00", 12, Some("2026-06-06T00:00:00"));
        assert_eq!(twice.of(), Some(10));
        assert_eq!(stands(&twice, &[], "2026-06-01T04:00:00"), want("", "01T08", 0));
        // Shown three hours before.
        assert_eq!(stands(&twice, &[], "2026-06-01T05:00:00"), want("01T08", "01T20", 0));
        let morning = ["2026-06-01T09:30:00"];
        assert_eq!(stands(&twice, &morning, "2026-06-01T16:00:00"), want("", "01T20", 0));
        assert_eq!(stands(&twice, &morning, "2026-06-01T19:00:00"), want("01T20", "02T08", 0));
        // What was forgotten all day is missed once the evening's is near, and is not given on top of it.
        assert_eq!(stands(&twice, &[], "2026-06-01T16:59:00"), want("01T08", "01T20", 0));
        assert_eq!(stands(&twice, &[], "2026-06-01T17:00:00"), want("01T20", "02T08", 1));
        assert_eq!(stands(&twice, &["2026-06-01T19:55:00"], "2026-06-01T20:00:00"), want("", "02T08", 1));
    }

    #[test]
    fn one_dose_and_no_more_waits_until_it_is_seen_to() {
        let once = course("2026-06-01T08:00:00", 0, None);
        assert_eq!(stands(&once, &[], "2026-05-31T20:00:00"), want("", "01T00", 0));
        assert_eq!(stands(&once, &[], "2026-06-09T20:00:00"), want("01T00", "", 0));
        let done = once.done([at("2026-06-02T08:00:00")]);
        let standing = once.standing(&done, at("2026-06-09T20:00:00"));
        assert_eq!((standing.due, standing.missed, standing.over), (None, 0, true));
    }

    #[test]
    fn what_was_missed_is_listed_latest_first_and_counted_alike() {
        let daily = course("2026-06-01T12:00:00", 24, Some("2026-06-11T00:00:00"));
        // Twice on one day is one too many, not the next day's.
        let done = daily.done(["2026-06-02T08:00:00", "2026-06-02T20:00:00"].map(at));
        assert_eq!(done.iter().copied().collect::<Vec<_>>(), [1]);
        for day in 1..=14 {
            let now = at(&format!("2026-06-{day:02}T09:00:00"));
            let listed: Vec<_> = daily.missed(&done, now).collect();
            assert_eq!(listed.len(), daily.standing(&done, now).missed as usize, "{now}");
            assert!(listed.is_sorted_by(|a, b| a > b));
        }
        // An order that ends before it begins holds no dose.
        let none = course("2026-06-05T12:00:00", 12, Some("2026-06-05T00:00:00"));
        assert_eq!((none.of(), stands(&none, &[], "2026-06-05T12:00:00")), (Some(0), want("", "", 0)));
    }
}
