//! Eggs left with their mother, in no box.

use super::{dates, units};
use crate::prefs::Prefs;
use book::views::BoxRow;
use chrono::NaiveDate;
use trade::units::Temp;
use trade::window::{Refusal, Stage, Window};

pub const TITLE: &str = "With the mother";
/// At pulling, and in the daybook.
pub const LEFT: &str = "Left with the mother";
pub const LEFT_TICK: &str = "Left with her, in no box";
pub const LEFT_HOW: &str = "The eggs stay where she is. Leave the counts at 0 if nobody unwrapped her: they can be counted later, or when they are taken over into a box.";
pub const CARE: &str = "Leave her in peace. She often refuses food while she lies round them, and is thin afterwards: weigh her, and feed her up (common practice, no source). If she stays weak, ask a reptile veterinarian.";
pub const WARMS: &str = "The window goes by the temperature where she lies. Some pythons warm their eggs above the air around them, so a probe under her tells more than one beside her (common practice, no source).";
pub const COUNT: &str = "Count them";
pub const TAKE: &str = "Take them into a box";
pub const COUNT_OR_TAKE: &str = "Count or take them";
pub const NOT_COUNTED: &str = "eggs not counted";
pub const NOT_COUNTED_LONG: &str =
    "Nobody has counted these eggs. Count those you see before noting what became of them.";
pub const NO_EGG_WAITS: &str = "No egg with her is at this stage.";
pub const READ: &str = "Read where she lies";
pub const READINGS: &str = "Readings taken there, to see or correct";
pub const NO_PLACE: &str = "nobody noted where";
pub const NO_NEST: &str =
    "It is not noted where she lies: without a temperature there is no hatch window. Say where, with Move.";
pub const SET: &str = "How it was noted";
pub const SET_HOW: &str = "Since when they lie with her, and what was noted then. Only what you change is saved.";
pub const SET_SAVED: &str = "Saved: how it was noted.";
pub const OVER: &str = "No egg is left with her: end it";
pub const OVER_NOW: &str = "No egg is left with her: saved.";
pub const IS_OVER: &str = "The eggs are no longer with her.";
pub const NOTHING_WEIGHED: &str = "These eggs lie with their mother: there is no water to check and nothing to weigh.";
pub const NO_LABEL: &str = "These eggs lie with their mother, in no box: there is no label to print.";

/// `26-014 saved, left with the mother.`
pub fn left(number: &str) -> String {
    let number = if number.is_empty() { "Clutch" } else { number };
    format!("{number} saved, left with the mother.")
}

/// `with Bel`.
pub fn with(row: &BoxRow) -> String {
    let names: Vec<&str> = row.nest.iter().flat_map(|nest| &nest.mothers).map(|(_, name)| name.as_str()).collect();
    if names.is_empty() { "with the mother".to_owned() } else { format!("with {}", names.join(" or ")) }
}

/// `6 eggs`, or that nobody counted them.
pub fn eggs(row: &BoxRow) -> String {
    match &row.nest {
        Some(nest) if !nest.counted => NOT_COUNTED.to_owned(),
        _ => super::count(row.counts.still_in as usize, "egg", "eggs"),
    }
}

/// Nothing was read or set where she lies.
pub fn as_kept((celsius, off): (f64, f64), prefs: &Prefs) -> String {
    let shown = |c: f64| Temp::from_celsius(c).map(|temp| units::temp(temp, prefs)).unwrap_or_default();
    format!(
        "Nothing was read or set where she lies: {} is taken, as this species is kept, most likely between {} and {}. The window is wide for that. One reading narrows it.",
        shown(celsius),
        shown(celsius - off),
        shown(celsius + off)
    )
}

/// What the stage asks for; nothing while it is early.
pub fn stage(w: &Window, today: NaiveDate) -> Option<String> {
    match w.stage {
        Stage::Before => None,
        Stage::Open => Some("Check every evening, without moving her.".into()),
        Stage::Passed => {
            Some("The window has passed without a pip. Check the lay date and the temperature where she lies.".into())
        }
        Stage::Hatching => Some(format!("The last is likely by {}.", dates::near(w.last.likely.1.date(), today))),
    }
}

pub fn no_window(why: Refusal) -> String {
    match why {
        Refusal::NoPlace => "No hatch window: nothing is known of the temperature where they lie.".to_owned(),
        other => super::window::no_window(other),
    }
}
