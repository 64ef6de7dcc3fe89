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

/// One box as the strip draws it: `26-08 a · CRN, Hazel × Rusk: laid 12 Oct, …`.
pub fn lane(name: &str, whose: &str, when: &str) -> String {
    match whose {
        "" => format!("{name}: {when}"),
        _ => format!("{name} · {whose}: {when}"),
    }
}

/// When it was laid, when it hatches, and where it stands.
pub fn lane_when(laid: &str, day: &str, likely: &str, place: &str) -> String {
    format!("{laid}, {day}; first pip likely {likely}; {place}")
}
