//! A swap of two animals found late.

pub const EXPLAIN: &str = "Two animals sat in each other's tubs, unnoticed. From that day on, what was noted of the one changes over to the other: weights, meals, sheds, moves, notes. What happened earlier stays.";
pub const OTHER: &str = "Swapped with";
pub const CHOOSE: &str = "choose";
pub const NOW: &str = "Now";
pub const BACK: &str = "each is back in its own tub";
pub const STAY: &str = "they stay where they are";
pub const NO_OTHER: &str = "Choose the other animal first.";
pub const SAVED: &str = "Put right.";

pub fn title(name: &str) -> String {
    format!("{name}: swapped")
}
