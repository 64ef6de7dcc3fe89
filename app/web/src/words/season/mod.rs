//! The season ahead and the seasons behind, in words.

mod ahead;
mod back;
mod desk;
mod needs;
mod paper;

pub use ahead::*;
pub use back::*;
pub use desk::*;
pub use needs::*;
pub use paper::*;

use trade::forecast::{Count, Event};

pub const WEEKS: &str = "Weeks ahead";
pub const WEEKS_SAID: &str = "what is coming in each week, with its range; waiting list; what if";
pub const NEEDS: &str = "What it needs";
pub const NEEDS_SAID: &str = "tubs, feeders, shelves, time, and what runs short when";
pub const BACK: &str = "Look back";
pub const LOOKING: &str = "Looking through the clutches…";
pub const BACK_SAID: &str = "fertility, hatch rates, days, masses, losses";
pub const REPORT: &str = "Report of the season";
pub const REPORT_SAID: &str = "a few pages to print";
pub const BARN_BOOK: &str = "Barn book of the year";
pub const BARN_BOOK_SAID: &str = "every clutch of the year, to print";
pub const TITLE: &str = "Season";
pub const PRINT: &str = "Print";
pub const SAVE_SVG: &str = "Save as SVG";
pub const SAVE_PNG: &str = "Save as PNG";
pub const NOT_SAVED: &str = "The picture could not be saved here. Try the other kind, or another browser.";
pub const AS_TABLE: &str = "As a table";
pub const WEEK: &str = "Week";
pub const EXPECTED: &str = "Expected";
pub const LIKELY: &str = "Likely";
pub const CLUTCH: &str = "Clutch";

pub fn event(event: Event) -> &'static str {
    match event {
        Event::Pip => "Boxes pipping",
        Event::Out => "Babies out",
        Event::Shed => "First sheds",
        Event::Meal => "First meals",
    }
}

/// `26`, `2.1`: whole numbers where a tenth would be a pretence.
pub fn number(n: f64) -> String {
    if n >= 9.95 { format!("{n:.0}") } else { format!("{n:.1}") }
}

/// `26 expected, likely 18–33`.
pub fn expected(c: Count) -> String {
    format!("{} expected, likely {}", number(c.mean), range(c))
}

pub fn range(c: Count) -> String {
    if c.low == c.high { c.low.to_string() } else { format!("{}–{}", c.low, c.high) }
}

pub fn percent(share: f64) -> String {
    match share * 100.0 {
        p if p > 0.0 && p < 1.0 => "under 1\u{a0}%".into(),
        p if p > 99.0 && p < 100.0 => "over 99\u{a0}%".into(),
        p => format!("{p:.0}\u{a0}%"),
    }
}
