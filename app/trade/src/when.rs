//! *When it happened*: a day, a time, or a span. Never when it was typed.
//!
//! Written as ISO 8601 text, which is what the records hold:
//! `2026-06-09` (a day), `2026-06-09T21:40` (local wall time to the minute), and `from/to` (a span whose
//! ends are either of these; a day at the end means "to the end of that day").
//! Times are the barn's own wall clock, without an offset: a barn does not travel, and a keeper reads
//! "21:40" as the clock on the wall said it. The zone of the *typing* device is in the journal's `wall`.

use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta, Timelike};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// One end of a [`When`]: a whole day, or a minute of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Point {
    Day(NaiveDate),
    Time(NaiveDateTime),
}

/// When something happened. `Span` always has its first end not after its last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub enum When {
    At(Point),
    Span(Point, Point),
}

/// Why a text is not a [`When`]; the message says what would be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadWhen(pub String);

impl fmt::Display for BadWhen {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "“{}” is not a day (2026-06-09), a time (2026-06-09T21:40) or a span of them (from/to)", self.0)
    }
}

impl std::error::Error for BadWhen {}

impl Point {
    /// The earliest moment this can mean.
    pub fn earliest(self) -> NaiveDateTime {
        match self {
            Self::Day(d) => d.and_time(NaiveTime::MIN),
            Self::Time(t) => t,
        }
    }

    /// The latest moment this can mean (a day ends at the next midnight).
    pub fn latest(self) -> NaiveDateTime {
        match self {
            Self::Day(d) => d.succ_opt().unwrap_or(d).and_time(NaiveTime::MIN),
            Self::Time(t) => t,
        }
    }

    /// The day it falls on.
    pub fn date(self) -> NaiveDate {
        match self {
            Self::Day(d) => d,
            Self::Time(t) => t.date(),
        }
    }
}

impl When {
    /// A whole day.
    pub fn day(d: NaiveDate) -> Self {
        Self::At(Point::Day(d))
    }

    /// A minute (seconds are dropped).
    pub fn time(t: NaiveDateTime) -> Self {
        let minute = TimeDelta::seconds(t.and_utc().timestamp().rem_euclid(60));
        Self::At(Point::Time(t - minute))
    }

    /// Between two points, put in order.
    pub fn span(a: Point, b: Point) -> Self {
        if a == b {
            Self::At(a)
        } else if a.earliest() <= b.earliest() {
            Self::Span(a, b)
        } else {
            Self::Span(b, a)
        }
    }

    /// The day span `mid ± days`.
    pub fn about(mid: NaiveDate, days: u32) -> Self {
        let by = TimeDelta::days(i64::from(days));
        match (mid.checked_sub_signed(by), mid.checked_add_signed(by)) {
            (Some(a), Some(b)) => Self::span(Point::Day(a), Point::Day(b)),
            _ => Self::day(mid),
        }
    }

    /// The earliest moment this can mean.
    pub fn earliest(self) -> NaiveDateTime {
        match self {
            Self::At(p) | Self::Span(p, _) => p.earliest(),
        }
    }

    /// The latest moment this can mean; of a day, the first one of the next ([`When::days`] has the day).
    pub fn latest(self) -> NaiveDateTime {
        match self {
            Self::At(p) | Self::Span(_, p) => p.latest(),
        }
    }

    /// The first and the last day it can mean.
    pub fn days(self) -> (NaiveDate, NaiveDate) {
        match self {
            Self::At(p) => (p.date(), p.date()),
            Self::Span(from, to) => (from.date(), to.date()),
        }
    }

    /// The middle of what it can mean: the one moment to reckon from.
    pub fn middle(self) -> NaiveDateTime {
        self.earliest() + (self.latest() - self.earliest()) / 2
    }

    /// The day of the middle: what a label prints.
    pub fn date(self) -> NaiveDate {
        match self {
            Self::At(p) => p.date(),
            Self::Span(..) => self.middle().date(),
        }
    }

    /// How far the truth may lie from the middle, in whole days, rounded up; 0 for a day or a time.
    pub fn plus_minus_days(self) -> u32 {
        match self {
            Self::At(_) => 0,
            Self::Span(a, b) => u32::try_from((b.date() - a.date()).num_days()).unwrap_or(0).div_ceil(2),
        }
    }
}

impl fmt::Display for Point {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Day(d) => write!(f, "{d}"),
            Self::Time(t) => write!(f, "{}T{:02}:{:02}", t.date(), t.hour(), t.minute()),
        }
    }
}

/// Years that a day may have. Four digits only: what falls outside is a typing slip, and would not sort as text.
pub const YEARS: std::ops::RangeInclusive<i32> = 1900..=2200;

impl FromStr for Point {
    type Err = BadWhen;
    fn from_str(s: &str) -> Result<Self, BadWhen> {
        let bad = || BadWhen(s.chars().take(60).collect());
        let point = read(s).ok_or_else(bad)?;
        if YEARS.contains(&chrono::Datelike::year(&point.date())) { Ok(point) } else { Err(bad()) }
    }
}

/// `2026-06-09` or `2026-06-09T21:40`, nothing else. By hand: these are read by the ten thousand when records open,
/// and chrono's reader of any format is several kB of a phone's download.
fn read(text: &str) -> Option<Point> {
    let number = |from: usize, to: usize| {
        let digits = text.get(from..to).filter(|digits| digits.bytes().all(|byte| byte.is_ascii_digit()))?;
        digits.parse::<u32>().ok()
    };
    let day = NaiveDate::from_ymd_opt(i32::try_from(number(0, 4)?).ok()?, number(5, 7)?, number(8, 10)?)?;
    let mark = |at: usize, mark: u8| text.as_bytes().get(at) == Some(&mark);
    match text.len() {
        _ if !mark(4, b'-') || !mark(7, b'-') => None,
        10 => Some(Point::Day(day)),
        16 if mark(10, b'T') && mark(13, b':') => day.and_hms_opt(number(11, 13)?, number(14, 16)?, 0).map(Point::Time),
        _ => None,
    }
}

impl fmt::Display for When {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::At(p) => write!(f, "{p}"),
            Self::Span(a, b) => write!(f, "{a}/{b}"),
        }
    }
}

impl FromStr for When {
    type Err = BadWhen;
    fn from_str(s: &str) -> Result<Self, BadWhen> {
        match s.split_once('/') {
            None => Ok(Self::At(s.parse()?)),
            Some((a, b)) => Ok(Self::span(a.parse()?, b.parse()?)),
        }
    }
}

impl TryFrom<String> for When {
    type Error = BadWhen;
    fn try_from(s: String) -> Result<Self, BadWhen> {
        s.parse()
    }
}

impl From<When> for String {
    fn from(w: When) -> Self {
        w.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn when(s: &str) -> When {
        s.parse().expect("a fixture")
    }

    #[test]
    fn text_round_trips() {
        for s in ["2026-06-09", "2026-06-09T21:40", "2026-06-07/2026-06-09", "2026-06-07T18:00/2026-06-09T08:00"] {
            assert_eq!(when(s).to_string(), s);
        }
    }

    #[test]
    fn nonsense_is_refused_with_what_would_do() {
        for s in ["", "yesterday", "2026-13-01", "09/06/2026", "2026-06-09T25:00", "12026-06-09", "0026-06-09"] {
            let told = s.parse::<When>().expect_err(s).to_string();
            assert!(told.contains("2026-06-09"), "{told}");
        }
    }

    #[test]
    fn its_last_day_is_not_the_one_after() {
        for (text, first, last) in [
            ("2026-06-09", "2026-06-09", "2026-06-09"),
            ("2026-06-09T21:40", "2026-06-09", "2026-06-09"),
            ("2026-06-07/2026-06-09", "2026-06-07", "2026-06-09"),
            ("2026-06-07T18:00/2026-06-09T08:00", "2026-06-07", "2026-06-09"),
        ] {
            let (a, b) = when(text).days();
            assert_eq!((a.to_string().as_str(), b.to_string().as_str()), (first, last), "{text}");
        }
    }

    #[test]
    fn a_span_is_ordered_and_has_a_middle() {
        let span = when("2026-06-09/2026-06-07");
        assert_eq!(span.to_string(), "2026-06-07/2026-06-09");
        assert_eq!(span.date(), when("2026-06-08").date());
        assert_eq!(span.plus_minus_days(), 1);
        assert_eq!(when("2026-06-07/2026-06-08").plus_minus_days(), 1);
        assert_eq!(when("2026-06-07").plus_minus_days(), 0);
        assert_eq!(When::about(when("2026-06-08").date(), 1), span);
    }
}
