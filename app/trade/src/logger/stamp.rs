//! Dates and times as loggers write them.

use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};

/// The order of a date's parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    YearFirst,
    DayFirst,
    MonthFirst,
}

/// A date's parts before it is known which is which. The year is known by its four digits, or is the last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Parts {
    pub year: i32,
    pub a: u32,
    pub b: u32,
    /// `None`: by the order of the file
    pub order: Option<Order>,
    /// divided by dots: written day first (common practice)
    pub dots: bool,
}

const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

/// The parts of the text before a clock.
pub(super) fn parts(date: &str) -> Option<Parts> {
    let date = date.trim().trim_end_matches(',');
    let dots = date.contains('.');
    let words: Vec<&str> = date.split(['-', '/', '.', ' ', ',']).filter(|w| !w.is_empty()).collect();
    // A weekday before the date says nothing new.
    let words: Vec<&str> = match words.as_slice() {
        [day, rest @ ..] if rest.len() == 3 && day.chars().all(char::is_alphabetic) && month(day).is_none() => {
            rest.to_vec()
        }
        all => all.to_vec(),
    };
    let &[x, y, z] = words.as_slice() else {
        let digits = words.first().filter(|_| words.len() == 1).filter(|w| w.len() == 8)?;
        let n: u32 = digits.parse().ok()?;
        let year = i32::try_from(n / 10_000).ok()?;
        return Some(Parts { year, a: n / 100 % 100, b: n % 100, order: Some(Order::YearFirst), dots });
    };
    let small = |w: &str| w.parse::<u32>().ok().filter(|n| w.len() <= 2 && (1..=31).contains(n));
    let year = |w: &str| match (w.len(), w.parse::<i32>().ok()?) {
        (4, y) => Some(y),
        (2, y) => Some(2000 + y),
        _ => None,
    };
    if x.len() == 4 {
        let a = small(y).or_else(|| month(y))?;
        return Some(Parts { year: year(x)?, a, b: small(z)?, order: Some(Order::YearFirst), dots });
    }
    if let Some(m) = month(y) {
        return Some(Parts { year: year(z)?, a: small(x)?, b: m, order: Some(Order::DayFirst), dots });
    }
    if let Some(m) = month(x) {
        return Some(Parts { year: year(z)?, a: m, b: small(y)?, order: Some(Order::MonthFirst), dots });
    }
    Some(Parts { year: year(z)?, a: small(x)?, b: small(y)?, order: None, dots })
}

fn month(word: &str) -> Option<u32> {
    let lower = word.to_lowercase();
    let at = MONTHS.iter().position(|m| lower.starts_with(m))?;
    u32::try_from(at + 1).ok()
}

impl Parts {
    pub(super) fn date(self, order: Order) -> Option<NaiveDate> {
        let (m, d) = match self.order.unwrap_or(order) {
            Order::YearFirst | Order::MonthFirst => (self.a, self.b),
            Order::DayFirst => (self.b, self.a),
        };
        // Years a logger's clock starts at before it is set are no dates.
        NaiveDate::from_ymd_opt(self.year, m, d).filter(|_| (2000..=2200).contains(&self.year))
    }
}

/// Where a text's clock begins: behind a `T`, or at the last blank before the first `:`.
fn split(stamp: &str) -> (&str, &str) {
    let colon = stamp.find(':').unwrap_or(stamp.len());
    let head = stamp.get(..colon).unwrap_or(stamp);
    match head.rfind(['T', 't', ' ', '\u{a0}']) {
        Some(at) if colon < stamp.len() => {
            let (date, clock) = stamp.split_at(at);
            (date, clock.trim_start_matches(['T', 't', ' ', '\u{a0}']))
        }
        _ if colon < stamp.len() => ("", stamp),
        _ => (stamp, ""),
    }
}

/// A time of day, and minutes east of UTC where they are told.
pub(super) fn clock(text: &str) -> Option<(NaiveTime, Option<i32>)> {
    let lower = text.trim().to_lowercase().replace('.', ":");
    let half = [("am", 0), ("a:m:", 0), ("a:m", 0), ("pm", 12), ("p:m:", 12), ("p:m", 12)];
    let half = half.iter().find_map(|(word, add)| lower.strip_suffix(word).map(|rest| (rest.trim().to_owned(), *add)));
    let (body, add) = half.map_or((lower, None), |(body, add)| (body, Some(add)));
    let (body, zone) = match body.strip_suffix('z') {
        Some(body) => (body.to_owned(), Some(0)),
        None => match body.rfind(['+', '-']) {
            Some(at) => {
                let (body, zone) = body.split_at(at);
                (body.to_owned(), Some(zone_minutes(zone)?))
            }
            None => (body, None),
        },
    };
    let mut parts = body.trim().split(':').map(|p| p.parse::<u32>().ok());
    let (hour, minute) = (parts.next()??, parts.next()??);
    let second = parts.next().map_or(Some(0), |s| s)?;
    let hour = match add {
        Some(add) if (1..=12).contains(&hour) => hour % 12 + add,
        Some(_) => return None,
        None => hour,
    };
    Some((NaiveTime::from_hms_opt(hour, minute, second.min(59))?, zone))
}

fn zone_minutes(text: &str) -> Option<i32> {
    let sign = if text.starts_with('-') { -1 } else { 1 };
    let digits: String = text.chars().filter(char::is_ascii_digit).collect();
    let (h, m) = match digits.len() {
        2 => (digits.parse::<i32>().ok()?, 0),
        4 => (digits[..2].parse::<i32>().ok()?, digits[2..].parse::<i32>().ok()?),
        _ => return None,
    };
    (h <= 14 && m < 60).then_some(sign * (h * 60 + m))
}

/// Seconds or milliseconds since 1970, UTC.
fn since_1970(text: &str) -> Option<NaiveDateTime> {
    let n: i64 = text.split('.').next()?.parse().ok()?;
    let seconds = match text.len() {
        _ if (1_000_000_000..5_000_000_000).contains(&n) => n,
        _ if (1_000_000_000_000..5_000_000_000_000).contains(&n) => n / 1000,
        _ => return None,
    };
    chrono::DateTime::from_timestamp(seconds, 0).map(|t| t.naive_utc())
}

/// The moment a row tells, in the barn's own time. `clock_cell`: the clock where it has a column of its own.
pub(super) fn read(date_cell: &str, clock_cell: Option<&str>, order: Order, zone_min: i32) -> Option<NaiveDateTime> {
    if let Some(utc) = since_1970(date_cell.trim()) {
        return utc.checked_add_signed(TimeDelta::minutes(i64::from(zone_min)));
    }
    let (date, inner) = split(date_cell.trim());
    let date = parts(date)?.date(order)?;
    let (time, zone) = match clock_cell {
        Some(cell) => clock(cell)?,
        None => clock(inner)?,
    };
    let at = date.and_time(time);
    match zone {
        Some(told) => at.checked_add_signed(TimeDelta::minutes(i64::from(zone_min - told))),
        None => Some(at),
    }
}

/// The date's parts of a cell that holds a date, with or without a clock; whether a clock is in it.
pub(super) fn looks_like(cell: &str) -> Option<(Option<Parts>, bool)> {
    let cell = cell.trim();
    if since_1970(cell).is_some() {
        return Some((None, true));
    }
    let (date, inner) = split(cell);
    let parts = parts(date)?;
    if inner.is_empty() {
        return Some((Some(parts), false));
    }
    clock(inner).map(|_| (Some(parts), true))
}
