//! Days and times, as date fields give them.

use crate::entry::{Gather, Wrong};
use crate::measure::Units;
use crate::say;
use chrono::{Datelike, NaiveDate, NaiveDateTime, NaiveTime};
use trade::when::{Point, When, YEARS};

/// What a page hands over for a date field that somebody began to fill in: a browser itself tells nothing of it.
pub const UNFINISHED: &str = "unfinished";

/// A day as it is put into its field.
pub fn in_field(when: Option<When>) -> String {
    when.map(|when| when.date().to_string()).unwrap_or_default()
}

impl Gather {
    /// A day to `latest`, if there is an end; `None` when empty.
    pub fn day(&mut self, name: &str, typed: &str, latest: Option<NaiveDate>) -> Option<NaiveDate> {
        let typed = typed.trim();
        if typed.is_empty() {
            return None;
        }
        let Ok(day) = typed.parse::<NaiveDate>() else {
            self.note(name, say::unfinished_day(name));
            return None;
        };
        // A year typed with two figures is one of the first century to a browser.
        if !YEARS.contains(&day.year()) {
            self.note(name, say::no_such_year(name, day.year()));
            return None;
        }
        if latest.is_some_and(|latest| day > latest) {
            self.note(name, say::day_to_come(name));
        }
        Some(day)
    }

    /// A day that must be there.
    pub fn need_day(&mut self, name: &str, typed: &str, latest: Option<NaiveDate>) -> Option<NaiveDate> {
        if typed.trim().is_empty() {
            self.note(name, say::no_day(name));
        }
        self.day(name, typed, latest)
    }

    /// As [`Gather::dated`]; what stood there may be another day, but is not taken away.
    pub fn dated_still(&mut self, name: &str, typed: &str, before: Option<When>, today: NaiveDate) -> Option<When> {
        if before.is_some() && typed.trim().is_empty() {
            self.note(name, say::no_day(name));
        }
        self.dated(name, typed, before, today)
    }

    /// As it stands when untouched, so that a span or a time is not flattened to a day.
    pub fn dated(&mut self, name: &str, typed: &str, before: Option<When>, today: NaiveDate) -> Option<When> {
        match before {
            Some(before) if before.date().to_string() == typed => Some(before),
            _ => self.day(name, typed, Some(today)).map(When::day),
        }
    }
}

/// A day that is over or today.
///
/// # Errors
/// None, one that is not finished, one to come.
pub fn seen_on(name: &str, typed: &str, today: NaiveDate) -> Result<When, Wrong> {
    let mut gather = Gather::new(Units::default());
    let day = gather.need_day(name, typed, Some(today));
    gather.done(When::day(day.unwrap_or(today)))
}

/// A day and, where it is known, the time of it, both as fields give them.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    pub day: String,
    /// `06:40`
    pub time: String,
}

impl Moment {
    /// As it stands; today where nothing does.
    pub fn new(when: Option<When>, today: NaiveDate) -> Moment {
        let point = when.map(|when| match when {
            When::At(point) => point,
            When::Span(..) => Point::Day(when.date()),
        });
        let time = match point {
            Some(Point::Time(at)) => at.format("%H:%M").to_string(),
            _ => String::new(),
        };
        Moment { day: point.map_or(today, Point::date).to_string(), time }
    }

    /// Of something that is noted as it happens: nothing is typed until somebody says that it was at another time.
    pub fn at_tap() -> Moment {
        Moment { day: String::new(), time: String::new() }
    }

    /// The moment of the tap where nothing is typed; a time without a day is of today.
    ///
    /// # Errors
    /// What is not finished, or a day to come, at the field of that name.
    pub fn get_at_tap(&self, names: (&str, &str), now: NaiveDateTime) -> Result<When, Wrong> {
        if self.day.trim().is_empty() && self.time.trim().is_empty() {
            return Ok(When::time(now));
        }
        let day = if self.day.trim().is_empty() { now.date().to_string() } else { self.day.clone() };
        Moment { day, time: self.time.clone() }.get(names, None, now.date())
    }

    /// `before` when untouched, so that a span is not flattened to a day, nor a time to its minute.
    ///
    /// # Errors
    /// What is wanting or not finished, at the field of that name.
    pub fn get(&self, names: (&str, &str), before: Option<When>, today: NaiveDate) -> Result<When, Wrong> {
        self.get_by(names, before, today, Some(today))
    }

    /// As [`Moment::get`], of something that may be to come, up to `latest` if there is an end.
    ///
    /// # Errors
    /// What is wanting or not finished, at the field of that name.
    pub fn get_by(
        &self,
        names: (&str, &str),
        before: Option<When>,
        today: NaiveDate,
        latest: Option<NaiveDate>,
    ) -> Result<When, Wrong> {
        if let Some(before) = before.filter(|before| Moment::new(Some(*before), today) == *self) {
            return Ok(before);
        }
        let mut gather = Gather::new(Units::default());
        let day = gather.need_day(names.0, &self.day, latest).unwrap_or(today);
        let typed = self.time.trim();
        let time = NaiveTime::parse_from_str(typed, "%H:%M").or_else(|_| NaiveTime::parse_from_str(typed, "%H:%M:%S"));
        if time.is_err() && !typed.is_empty() {
            gather.note(names.1, say::unfinished_time(names.1));
        }
        gather.done(time.map_or(When::day(day), |time| When::time(NaiveDateTime::new(day, time))))
    }
}
