//! Eggs found, and a clutch pulled.

pub const TITLE: &str = "Pull a clutch";
pub const FOUND_TITLE: &str = "Eggs found";
pub const FOUND_NOW: &str = "Eggs found now";
pub const FOUND_UNKNOWN: &str = "Eggs found, dam unknown. The clutch can be pulled and boxed now or later.";
pub const FOUND_SAVED: &str = "Eggs found: saved.";
pub const DAM: &str = "Dam";
pub const DAM_DUE: &str = "Chosen because her eggs are due. If these eggs are not hers, choose another.";
pub const OR_DAM: &str = "Or this dam";
pub const SIRE: &str = "Sire";
pub const OR_SIRE: &str = "Or this sire";
pub const ADD_DAM: &str = "Another possible dam";
pub const ADD_SIRE: &str = "Another possible sire";
pub const LAID: &str = "Laid";
pub const TODAY: &str = "Today";
pub const YESTERDAY: &str = "Yesterday";
pub const ANOTHER_DAY: &str = "A day";
pub const BETWEEN: &str = "Between two days";
pub const UNSEEN: &str = "Nobody saw it";
pub const UNSEEN_HINT: &str =
    "They count from the day they were found, and were laid before it. What candling shows then tells about when.";
pub const KEEP_UP: &str =
    "Lift without turning and mark the top; the side that was up stays up. A stuck clump stays whole.";
pub const HANDS: &str = "Wash hands after: reptiles, eggs and medium can carry Salmonella.";
pub const BOX: &str = "Box";
pub const SHELF: &str = "Shelf";
pub const NO_SHELF_YET: &str = "no shelf yet";
pub const MEDIUM: &str = "Medium";
pub const MIX_UNKNOWN: &str = "Mix not weighed (premixed, by feel, or none)";
pub const CLOSED_HOW: &str = "Eggs in, lid on, on the scale. This becomes the target weight.";
pub const ANOTHER_BOX: &str = "Another box for this clutch";
pub const MORE: &str = "More: number, species, clump, weights, note";
pub const NUMBER: &str = "Clutch number";
pub const SPECIES: &str = "Species";
pub const CLUMPS_HOW: &str = "Eggs stuck together, by letter: A-D, G H";
pub const BOX_LATER: &str = "Not boxed yet";
pub const SAVE_AND_LABEL: &str = "Save, then label";

pub fn found_under(dam: &str) -> String {
    format!("Eggs found under {dam}. The clutch can be pulled and boxed now or later.")
}

pub fn label_waits(code: &str) -> String {
    format!("The blank label {code} becomes this box's label.")
}

pub fn ratio(r: f64) -> String {
    format!("{r:.2} g water to 1 g dry")
}

pub fn box_number(n: usize) -> String {
    format!("Box {n}")
}

pub fn pulled(number: &str, boxes: usize) -> String {
    let number = if number.is_empty() { "Clutch" } else { number };
    match boxes {
        0 => format!("{number} saved, not boxed yet."),
        1 => format!("{number} saved in its box."),
        n => format!("{number} saved in {n} boxes."),
    }
}
