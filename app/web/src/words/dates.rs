//! Dates as a keeper says them: `Tue 9 Jun`, `in 3 days`; never an ambiguous numeral.

use chrono::{Datelike, NaiveDate, NaiveDateTime, Timelike};
use trade::when::{Point, When};

const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const WEEKDAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];

/// `9 Jun`, with the year when it is not this one.
pub fn day(d: NaiveDate, today: NaiveDate) -> String {
    // Not by chrono's patterns: reading those would be a part of every first download.
    let month = MONTHS[d.month0() as usize];
    match d.year() == today.year() {
        true => format!("{} {month}", d.day()),
        false => format!("{} {month} {}", d.day(), d.year()),
    }
}

/// `9 Jun 2026`: on paper that is read in other years.
pub fn full(d: NaiveDate) -> String {
    format!("{} {} {}", d.day(), MONTHS[d.month0() as usize], d.year())
}

/// The same of a [`When`]: `9 Jun 2026`, `between 1 May and 9 Jun 2026`; of a whole year `2019`.
pub fn full_when(w: When) -> String {
    let When::Span(..) = w else { return full(w.date()) };
    let (from, to) = w.days();
    let new_year = |d: NaiveDate| d.ordinal0() == 0;
    let whole_year = new_year(from) && from.year() == to.year() && to.succ_opt().is_some_and(new_year);
    if whole_year { from.year().to_string() } else { between(from, to, full(to)) }
}

/// `between 7 and 9 Jun`: month and year once, where they are the same. `last`: the second day in words.
fn between(from: NaiveDate, to: NaiveDate, last: String) -> String {
    let first = match (from.year() == to.year(), from.month() == to.month()) {
        (true, true) => from.day().to_string(),
        (true, false) => axis(from),
        (false, _) => full(from),
    };
    format!("between {first} and {last}")
}

/// `9 Jun`, under a chart, where the list beside it has the year.
pub fn axis(d: NaiveDate) -> String {
    day(d, d)
}

/// `Tue 9 Jun`.
pub fn weekday(d: NaiveDate, today: NaiveDate) -> String {
    format!("{} {}", WEEKDAYS[d.weekday().num_days_from_monday() as usize], day(d, today))
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

/// `06:40`.
pub fn time(t: NaiveDateTime) -> String {
    format!("{:02}:{:02}", t.hour(), t.minute())
}

/// `today 06:40`, `Sun 7 Jun`.
pub fn moment(t: NaiveDateTime, today: NaiveDate) -> String {
    format!("{} {}", near(t.date(), today), time(t))
}

/// A [`When`] in words: `Tue 9 Jun`, `today 06:40`, `between 7 and 9 Jun`.
pub fn when(w: When, today: NaiveDate) -> String {
    let point = |p: Point| match p {
        Point::Day(d) => near(d, today),
        Point::Time(t) => moment(t, today),
    };
    match w {
        When::At(p) => point(p),
        When::Span(Point::Day(a), Point::Day(b)) => between(a, b, day(b, today)),
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_two_days_share_is_said_once() {
        let read = |text: &str| text.parse::<NaiveDate>().expect("a date");
        let today = read("2026-06-15");
        for (from, to, said, on_paper) in [
            ("2026-06-07", "2026-06-09", "between 7 and 9 Jun", "between 7 and 9 Jun 2026"),
            ("2026-05-28", "2026-06-03", "between 28 May and 3 Jun", "between 28 May and 3 Jun 2026"),
            ("2018-07-12", "2018-08-22", "between 12 Jul and 22 Aug 2018", "between 12 Jul and 22 Aug 2018"),
            ("2025-06-30", "2026-06-02", "between 30 Jun 2025 and 2 Jun", "between 30 Jun 2025 and 2 Jun 2026"),
        ] {
            let span = When::Span(Point::Day(read(from)), Point::Day(read(to)));
            assert_eq!(when(span, today), said);
            assert_eq!(full_when(span), on_paper);
        }
        assert_eq!(full_when(When::Span(Point::Day(read("2019-01-01")), Point::Day(read("2019-12-31")))), "2019");
    }
}
