//! What is where.

use super::dates;
use chrono::{NaiveDate, NaiveDateTime};

pub const TITLE: &str = "What is where";
pub const FREE_ONLY: &str = "Free ones only";
pub const FREE: &str = "free";
pub const NONE: &str = "No tub or shelf to show. Add a rack or an incubator, or show all of them.";
pub const ELSEWHERE: &str = "In no rack";

pub fn free(n: usize) -> String {
    format!("{n} free")
}

pub fn and_more(name: &str, more: usize) -> String {
    format!("{name} +{more}")
}

pub const ON_PAPER: &str = "On paper";
pub const PAPER: &str = "Barn sheet";
pub const PRINT: &str = "Print";
pub const REST_FOLLOWS: &str = "The rest follows…";
pub const PAPER_SAID: &str = "What stands where, for when phones are flat. Print it again when much has moved.";
pub const NOWHERE: &str = "In no known place";
pub const IN_NO_OTHER: &str = "In no other place";
pub const AT: &str = "Place";
pub const WHAT: &str = "What stands there";
pub const NOTHING: &str = "Nothing to put on paper yet: no box is in use and no animal is in the barn.";

/// `as of Tue 9 Jun 2026, 21:40`, so that nobody believes an old sheet.
pub fn as_of(now: NaiveDateTime) -> String {
    format!("as of {}, {}", dates::weekday(now.date(), NaiveDate::MIN), dates::time(now))
}

pub fn all_free(names: &[String]) -> String {
    format!("Free: {}", names.join(", "))
}

/// What a box's line says after its number: species, eggs, when to look, what to fill it to.
pub fn on_paper(title: &str, eggs: String, look_from: Option<String>, fill_to: Option<String>) -> String {
    let look = look_from.map(|day| format!("look from {day}"));
    // A figure and its unit are not parted at a line's end.
    let fill = fill_to.map(|mass| format!("fill to {}", mass.replace(' ', "\u{a0}")));
    let parts = [Some(title.to_owned()), Some(eggs), look, fill];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}
