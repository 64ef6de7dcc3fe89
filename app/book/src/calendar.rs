//! A calendar file (RFC 5545) for the phone's own calendar: whole days, kept small.
//!
//! Guarantees: an entry keeps its identifier and its number rises, so that importing anew updates instead of
//! doubling; lines end in CRLF and are folded at 75 octets between characters; text is escaped.
//! Absent by design: alarms, time zones (whole days have none), and reading calendars.

use chrono::{NaiveDate, NaiveDateTime, TimeDelta};

/// One entry.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// Unique and the same for ever: a thing's own key with the barn's id.
    pub uid: String,
    pub from: NaiveDate,
    /// The last day, included.
    pub to: NaiveDate,
    pub title: String,
    pub about: String,
}

/// The file. `stamp` is the moment of giving it out, UTC; a later one replaces an earlier one.
pub fn write(name: &str, events: &[Event], stamp: NaiveDateTime) -> String {
    let mut out = String::new();
    line(&mut out, "BEGIN:VCALENDAR");
    line(&mut out, "VERSION:2.0");
    line(&mut out, "PRODID:-//Candlemark//Candlemark//EN");
    line(&mut out, "CALSCALE:GREGORIAN");
    line(&mut out, "METHOD:PUBLISH");
    // Not of the RFC's first edition; calendars that do not know it pass it over.
    line(&mut out, &format!("NAME:{}", escaped(name)));
    let minutes = stamp.and_utc().timestamp() / 60 - FIRST_MINUTE;
    for event in events {
        let after = event.to.max(event.from).checked_add_signed(TimeDelta::days(1)).unwrap_or(event.to);
        line(&mut out, "BEGIN:VEVENT");
        line(&mut out, &format!("UID:{}", escaped(&event.uid)));
        line(&mut out, &format!("DTSTAMP:{}", stamp.format("%Y%m%dT%H%M%SZ")));
        line(&mut out, &format!("SEQUENCE:{}", minutes.clamp(0, i64::from(i32::MAX))));
        line(&mut out, &format!("DTSTART;VALUE=DATE:{}", event.from.format("%Y%m%d")));
        line(&mut out, &format!("DTEND;VALUE=DATE:{}", after.format("%Y%m%d")));
        line(&mut out, &format!("SUMMARY:{}", escaped(&event.title)));
        if !event.about.is_empty() {
            line(&mut out, &format!("DESCRIPTION:{}", escaped(&event.about)));
        }
        line(&mut out, "TRANSP:TRANSPARENT");
        line(&mut out, "END:VEVENT");
    }
    line(&mut out, "END:VCALENDAR");
    out
}

/// Minutes from 1970 to 2020: sequence numbers stay small for some thousand years.
const FIRST_MINUTE: i64 = 26_297_280;

/// RFC 5545, 3.3.11.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\\' | ';' | ',' => out.extend(['\\', c]),
            '\n' => out.push_str("\\n"),
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

/// RFC 5545, 3.1: at most 75 octets, what follows begins with a space, which counts.
fn line(out: &mut String, content: &str) {
    let mut room = 75;
    for c in content.chars() {
        if c.len_utf8() > room {
            out.push_str("\r\n ");
            room = 74;
        }
        out.push(c);
        room -= c.len_utf8();
    }
    out.push_str("\r\n");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_minute_of_2020_is_the_first() {
        let first = NaiveDate::from_ymd_opt(2020, 1, 1).and_then(|d| d.and_hms_opt(0, 0, 0)).expect("a moment");
        assert_eq!(first.and_utc().timestamp() / 60, FIRST_MINUTE);
    }

    #[test]
    fn lines_fold_between_characters_and_text_is_escaped() {
        for (text, expected) in [
            ("plain".to_owned(), "plain\r\n".to_owned()),
            ("a".repeat(75), format!("{}\r\n", "a".repeat(75))),
            ("a".repeat(76), format!("{}\r\n a\r\n", "a".repeat(75))),
            ("é".repeat(38), format!("{}\r\n é\r\n", "é".repeat(37))),
            ("a".repeat(150), format!("{}\r\n {}\r\n a\r\n", "a".repeat(75), "a".repeat(74))),
        ] {
            let mut out = String::new();
            line(&mut out, &text);
            assert_eq!(out, expected);
            assert!(out.split("\r\n").all(|line| line.len() <= 75), "{out}");
        }
        assert_eq!(escaped("a,b;c\\d\ne\r\u{7}"), "a\\,b\\;c\\\\d\\ne");
    }
}
