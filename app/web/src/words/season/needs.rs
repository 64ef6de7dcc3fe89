//! What the season needs, in words.

use super::{percent, range};
use crate::words::{count, dates};
use book::views::NeedWhat;
use chrono::NaiveDate;
use trade::forecast::Count;

pub const TAKES: &str = "Boxes it takes";
pub const COMING: &str = "May come here";

pub fn have_of(what: &str) -> String {
    format!("{what}: how many there are")
}

pub fn save_of(what: &str) -> String {
    format!("Save: {what}")
}

pub const HAVE: &str = "There are";
pub const SAVED: &str = "Saved.";
pub const SHELVES: &str = "Shelves";
pub const NO_SHELVES: &str = "No shelf is in the records yet.";
pub const NO_PACE: &str =
    "Minutes of feeding are not known yet: log meals one after another, at least twenty within two months.";

pub fn need(what: &NeedWhat) -> String {
    match what {
        NeedWhat::Tubs => "Tubs for hatchlings".into(),
        NeedWhat::Slots => "Rack slots for hatchlings".into(),
        NeedWhat::YoungFeeders => "Feeders a week for hatchlings".into(),
        NeedWhat::Feeders(prey) if prey.is_empty() => "Other feeders a week".into(),
        NeedWhat::Feeders(prey) => format!("Feeders a week: {prey}"),
        NeedWhat::Minutes => "Minutes of feeding a week".into(),
    }
}

/// Where the need stands now and at its highest.
pub fn need_now(now: Count, most: Count, when: NaiveDate, today: NaiveDate) -> String {
    if most.high <= now.high {
        format!("Peak: {}, this week", range(now))
    } else {
        format!("{} this week; {} by the week of {}", range(now), range(most), dates::day(when, today))
    }
}

pub fn short(week: NaiveDate, chance: f64, have: u32, today: NaiveDate) -> String {
    format!("{have} run short in the week of {} ({} chance).", dates::day(week, today), percent(chance))
}

pub fn enough(have: u32) -> String {
    format!("{have} are enough, as far as can be seen.")
}

pub const SAY_HAVE: &str = "Say how many there are, and the week it runs short is shown.";

pub fn shelf(boxes: usize, have: Option<u32>) -> String {
    match have {
        Some(have) if boxes >= have as usize => format!("full: {} of {have}", count(boxes, "box", "boxes")),
        Some(have) => format!("{} of {have}", count(boxes, "box", "boxes")),
        None => count(boxes, "box", "boxes"),
    }
}

pub fn frees(between: Option<(NaiveDate, NaiveDate)>, today: NaiveDate) -> String {
    match between {
        Some((a, b)) => format!("free after {}", dates::range(a, b, today)),
        None => "no hatch window".into(),
    }
}

pub fn may_come(name: &str, chance: f64) -> String {
    format!("{name}: eggs with {}", percent(chance))
}

pub fn takes(shelf: &str) -> String {
    format!("{shelf}: boxes it takes")
}

pub fn pace(seconds: f64, meals: u32) -> String {
    format!("{seconds:.0} seconds a meal, the middle of {meals} logged one after another.")
}
