//! Walking with the camera open.

use crate::route::Walking;

pub const TITLE: &str = "Walk with the camera open";
pub const HOW: &str = "Scan, tap what you see, scan the next.";
pub const NOT_HERE: &str = "This label is not on this device. It was skipped.";
pub const NOT_A_BOX: &str = "Not an egg box. Scan the label of a box.";
pub const NOT_AN_ANIMAL: &str = "No animal to feed here. Scan a tub's or an enclosure's label.";
pub const EMPTY: &str = "This box has no eggs in it now.";
pub const CANNOT_MOVE: &str = "This can't be moved. Scan a box or an animal, then where it goes.";
pub const SCAN_FIRST: &str = "Hold a label before the camera.";
pub const SCAN_NEXT: &str = "Scan the next one.";
pub const ALL_VEINS: &str = "Veins in all";
pub const ALL_UNSURE: &str = "All unsure";
pub const AS_LAST_TIME: &str = "All as last time";
pub const OPEN: &str = "Open it";
pub const ATE: &str = "Ate";
pub const REFUSED: &str = "Refused";
pub const MOVE_HOW: &str = "Scan a shelf and then everything that goes there, or first the boxes and then the shelf.";
pub const LET_GO: &str = "Another shelf";
pub const PUT_BACK: &str = "Clear these";
pub const STOCK_TAKING: &str = "Stock taken";
pub const STOCK_HOW: &str = "Scan every box. A shelf's label narrows it to what should stand there.";
pub const EVERYWHERE: &str = "Everywhere";
pub const ALL_SEEN: &str = "Every box was seen.";
pub const BEGIN_AGAIN: &str = "Begin again";
pub const WRITE_DOWN: &str = "Write it down";
pub const MOVE_HERE: &str = "It is here now";

pub fn what(what: Walking) -> (&'static str, &'static str) {
    match what {
        Walking::Water => ("Water", "Weigh, type, next"),
        Walking::Candle => ("Candle", "One tap where nothing has changed"),
        Walking::Meals => ("Meals", "Ate or refused, tub by tub"),
        Walking::Move => ("Move", "Boxes and animals to where you scan"),
        Walking::Stock => ("Take stock", "Which boxes were not seen"),
    }
}

pub fn done(n: usize) -> String {
    format!("{n} done")
}

pub fn fine(name: &str) -> String {
    format!("{name}: all as last time.")
}

pub fn veins(name: &str) -> String {
    format!("{name}: veins in all.")
}

pub fn unsure(name: &str) -> String {
    format!("{name}: all unsure, but for those candled before.")
}

pub fn meal(name: &str, ate: bool) -> String {
    format!("{name}: {}.", if ate { "ate" } else { "refused" })
}

pub fn moved(names: &str, place: &str) -> String {
    format!("{names} to {place}.")
}

pub fn to(place: &str) -> String {
    format!("To {place}: scan what goes there.")
}

pub fn held(names: &str) -> String {
    format!("{names}: now scan where to.")
}

pub fn named(name: &str, told: &str) -> String {
    format!("{name}: {told}")
}

pub fn seen(seen: usize, of: usize) -> String {
    format!("{seen} of {of} boxes seen")
}

pub fn not_seen(n: usize) -> String {
    format!("{} not seen", super::count(n, "box was", "boxes were"))
}

/// As written down: how many boxes were seen and how many not.
pub fn taken(seen: usize, missing: usize) -> String {
    format!("Stock taken: {} seen, {missing} not", super::count(seen, "box", "boxes"))
}

/// The stock-taking before: when, by whom, and what was not seen.
pub fn taken_last(when: &str, by: &str, missing: &str) -> String {
    let by = if by.is_empty() { String::new() } else { format!(" by {by}") };
    let missing = if missing.is_empty() { "every box was seen".to_owned() } else { format!("not seen: {missing}") };
    format!("Last taken {when}{by}; {missing}.")
}

pub fn seen_one(name: &str) -> String {
    format!("{name}: seen.")
}

pub fn elsewhere(name: &str, place: &str) -> String {
    format!("{name} is recorded at {place}.")
}

pub fn last(told: &str) -> String {
    format!("Last: {told}")
}
