//! The report and the barn book, in words.

use super::{number, range};
use crate::words::{count, dates};
use chrono::NaiveDate;
use trade::forecast::Count;

pub const STRIP_OF_ALL: &str = "When boxes are likely to hatch";
pub const HATCHED_BY_SHELF: &str = "Hatch rate by shelf";
pub const LAID: &str = "Laid";
pub const DAM_SIRE: &str = "Dam × sire";
pub const EGGS: &str = "Eggs";
pub const HATCHED: &str = "Hatched";
pub const FIRST_PIP: &str = "First pip";
pub const REST: &str = "Not hatched";
pub const YEAR: &str = "Year";
pub const NO_CLUTCH: &str = "No clutch was laid in this year.";

pub fn report_of(today: NaiveDate) -> String {
    format!("as of {}", dates::weekday(today, today))
}

pub fn eggs_laid(good: u32, dud: u32, slug: u32) -> String {
    let mut parts = vec![format!("{good} good")];
    if dud > 0 {
        parts.push(count(dud as usize, "bad egg", "bad eggs"));
    }
    if slug > 0 {
        parts.push(count(slug as usize, "slug", "slugs"));
    }
    parts.join(", ")
}

pub fn book_of(year: i32, clutches: usize) -> String {
    format!("{year}: {}", count(clutches, "clutch", "clutches"))
}

pub fn rest(still_in: u32, lost: u32) -> String {
    match (still_in, lost) {
        (0, 0) => String::new(),
        (0, lost) => format!("{lost} lost"),
        (still, 0) => format!("{still} still in"),
        (still, lost) => format!("{lost} lost, {still} still in"),
    }
}

/// `26 (18–32)`; a dash where nothing is to come.
pub fn cell(c: Count) -> String {
    if c.high == 0 && c.mean < 0.05 { "–".into() } else { format!("{} ({})", number(c.mean), range(c)) }
}
