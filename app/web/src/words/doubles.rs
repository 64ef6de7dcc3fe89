//! What two devices made of one thing, and how to mend it.

use super::{count, window};
use book::views::Twin;
use chrono::NaiveDate;

pub const TITLE: &str = "Duplicates";
pub const NONE: &str = "Nothing is in the records twice or in two places.";
pub const EXPLAIN: &str = "Two devices recorded the same thing apart. Nothing is lost; say what is right.";
pub const SAME: &str = "Same clutch: join";
pub const JOINED: &str = "Joined. Both labels still work.";
pub const RENUMBER: &str = "Change its number";
pub const KEEP_EGGS: &str = "Keep only these eggs";
pub const KEPT_EGGS: &str = "The other eggs are taken back.";
pub const PART: &str = "Not the same clutch: split";
pub const PARTED: &str = "Split.";
pub const STANDS: &str = "It is here";
pub const STOOD: &str = "Saved; the other move is taken back.";

pub fn number(number: &str) -> String {
    format!("Clutch number {number} twice")
}

pub fn clutch(dam: &str) -> String {
    format!("{dam}: two clutches within a few days")
}

pub fn eggs(number: &str, counted: u32, in_book: u32) -> String {
    format!("{number}: {counted} eggs counted, {in_book} in the records. Both devices brought their own.")
}

pub fn code(code: &str) -> String {
    format!("Code {code} on more than one animal: change one of them.")
}

pub fn two_places(name: &str) -> String {
    format!("{name} was brought to two places at one time")
}

pub fn box_twice(name: &str) -> String {
    format!("Box {name} is in use in two places: empty it in one of them.")
}

/// `26-014 · Bel, laid 9 Jun, 8 eggs, by Wren`.
pub fn twin(twin: &Twin, by: &str, today: NaiveDate) -> String {
    let parts = [
        (!twin.dams.is_empty()).then(|| twin.dams.join(" or ")),
        twin.since.map(|since| window::since(since, today)),
        Some(if twin.eggs == 0 { "no eggs yet".into() } else { count(twin.eggs as usize, "egg", "eggs") }),
        (!by.is_empty()).then(|| format!("by {by}")),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}
