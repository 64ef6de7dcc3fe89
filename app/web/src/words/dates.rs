//! Dates as a keeper says them: `Tue 9 Jun`, `in 3 days`; never an ambiguous numeral.

use chrono::{Datelike, NaiveDate, NaiveDateTime};
use trade::when::{Point, When};

/// `9 Jun`, with the year when it is not this one.
pub fn day(d: NaiveDate, today: NaiveDate) -> String {
    let year = if d.year() == today.year() { String::new() } else { format!(" {}", d.year()) };
    format!("{}{year}", d.format("%-d %b"))
}

/// `9 Jun`, under a chart, where the list beside it has the year.
pub fn axis(d: NaiveDate) -> String {
    day(d, d)
}

/// `Tue 9 Jun`.
pub fn weekday(d: NaiveDate, today: NaiveDate) -> String {
    format!("{} {}", d.format("%a"), day(d, today))
}

/// `today`, `yesterday`, `Tue 9 Jun`.
pub fn near(d: NaiveDate, today: NaiveDate) -> String {
    match (d - today).num_days() {
        0 => "today".into(),
        -1 => "yesterday".into(),
        1 => "tomorrow".into(),
        _ => weekday(d, today),
    }
}

/// `in 3 days`, `today`, `2 days ago`.
pub fn away(d: NaiveDate, today: NaiveDate) -> String {
    match (d - today).num_days() {
        0 => "today".into(),
        1 => "tomorrow".into(),
        -1 => "yesterday".into(),
        n if n > 0 => format!("in {n} days"),
        n => format!("{} days ago", -n),
    }
}

/// `6–10 Jun`, `28 May–3 Jun`: one line, never broken.
pub fn range(a: NaiveDate, b: NaiveDate, today: NaiveDate) -> String {
    if a == b {
        day(a, today)
    } else if (a.year(), a.month()) == (b.year(), b.month()) {
        format!("{}–{}", a.day(), day(b, today))
    } else {
        format!("{}–{}", day(a, today), day(b, today))
    }
}

/// `today 06:40`, `Sun 7 Jun`.
pub fn moment(t: NaiveDateTime, today: NaiveDate) -> String {
    format!("{} {}", near(t.date(), today), t.format("%H:%M"))
}

/// A [`When`] in words: `Tue 9 Jun`, `today 06:40`, `between 7 and 9 Jun`.
pub fn when(w: When, today: NaiveDate) -> String {
    let point = |p: Point| match p {
        Point::Day(d) => near(d, today),
        Point::Time(t) => moment(t, today),
    };
    match w {
        When::At(p) => point(p),
        When::Span(Point::Day(a), Point::Day(b)) => format!("between {} and {}", day(a, today), day(b, today)),
        When::Span(a, b) => format!("between {} and {}", point(a), point(b)),
    }
}

/// `13 Apr`, `13 Apr ±1 d`.
pub fn laid(w: When, today: NaiveDate) -> String {
    match w.plus_minus_days() {
        0 => day(w.date(), today),
        n => format!("{} ±{n} d", day(w.date(), today)),
    }
}
