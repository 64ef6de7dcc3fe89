//! The season on one screen, in words.

pub const LANES: &str = "When the boxes hatch";
pub const LANES_HOW: &str = "Line: laid to the window. Warm band: likely days of the first pip, darkest where likeliest. Arrow keys walk the rows.";
pub const BARS_HOW: &str = "Point at a week, or go along with the arrow keys, for its numbers.";
pub const COUNTING: &str = "Counting the weeks…";
pub const HATCHLINGS: &str = "Hatchlings a week";
pub const NEED: &str = "Need";
pub const THIS_WEEK: &str = "this week";
pub const PEAK: &str = "peak";
pub const HAVE_SHORT: &str = "have";
pub const SHORT_FROM: &str = "short from";
pub const SHORT_NOW: &str = "now";
pub const NEVER: &str = "–";
pub const NOT_SAID: &str = "not said";
pub const SAY_WHAT_THERE_IS: &str = "Week by week, and what there is";

/// One box as the strip draws it.
pub fn lane(of: &[String], laid: &str, day: Option<&str>, likely: &str, place: &str) -> String {
    let of: Vec<&str> = of.iter().map(String::as_str).filter(|part| !part.is_empty()).collect();
    let day = day.map(|day| format!(", {day}")).unwrap_or_default();
    format!("{}: laid {laid}{day}; first pip likely {likely}; {place}", of.join(" · "))
}
