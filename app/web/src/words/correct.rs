//! An observation put right.

pub const TITLE: &str = "Correct";
pub const BACK: &str = "Back";
pub const GONE: &str = "This entry is not on this device, or it was taken back. The daybook shows what was done.";
pub const WHAT: &str = "What it was";
pub const HAPPENED: &str = "Happened on";
pub const AT: &str = "At, if known";

/// `Until, if it is over: at, if known`, for who hears it.
pub fn at_of(label: &str) -> String {
    format!("{label}: at, if known")
}

pub const FROM: &str = "From when on";
pub const SOURCE: &str = "Which thermometer";
pub const OUTCOME: &str = "What came of it";
pub const SAVED: &str = "Corrected.";
pub const TAKE_BACK: &str = "It did not happen: take it back";
pub const TAKEN_BACK: &str = "Taken back.";

/// When it was typed is another thing than when it happened.
pub fn typed(day: &str, by: &str) -> String {
    let by = if by.is_empty() { String::new() } else { format!(" by {by}") };
    format!("Typed {day}{by}.")
}
