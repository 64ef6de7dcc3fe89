//! Eggs found, and a clutch pulled.

pub const TITLE: &str = "Pull a clutch";
pub const FOUND_TITLE: &str = "Eggs found";
pub const FOUND_NOW: &str = "Eggs found now";
pub const FOUND_UNKNOWN: &str = "Eggs found, dam unknown. The clutch can be pulled and boxed now or later.";
pub const FOUND_SAVED: &str = "Eggs found: saved.";
pub const DAM: &str = "Dam";
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
pub const LAID_ON: &str = "Laid on";
pub const LAID_FROM: &str = "From";
pub const LAID_TO: &str = "To";
pub const NO_DAY: &str = "Choose the day the eggs were laid.";
pub const GOOD: &str = "Good";
pub const DUD: &str = "Duds";
pub const SLUG: &str = "Slugs";
pub const KEEP_UP: &str =
    "Lift without turning and mark the top; the side that was up stays up. A stuck clump stays whole.";
pub const HANDS: &str = "Wash hands after: reptiles, eggs and medium can carry Salmonella.";
pub const BOX: &str = "Box";
pub const EGGS_IN_IT: &str = "Eggs in this box";
pub const SHELF: &str = "Shelf";
pub const NO_SHELF_YET: &str = "no shelf yet";
pub const MEDIUM: &str = "Medium";
pub const DRY: &str = "Dry medium";
pub const WATER: &str = "Water";
pub const MIX_UNKNOWN: &str = "Mix not weighed (premixed, by feel, or none)";
pub const CLOSED: &str = "Closed mass";
pub const CLOSED_HOW: &str = "Eggs in, lid on, on the scale. This becomes the fill-to mass.";
pub const ANOTHER_BOX: &str = "Another box for this clutch";
pub const MORE: &str = "More: number, species, clump, weights, note";
pub const NUMBER: &str = "Clutch number";
pub const SPECIES: &str = "Species";
pub const CLUMPS: &str = "Clumps";
pub const CLUMPS_HOW: &str = "Eggs stuck together, by letter: A-D, G H";
pub const GRAVID: &str = "Dam before laying";
pub const SPENT: &str = "Dam after laying";
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

pub fn bad_letter(word: &str) -> String {
    format!("“{word}” is not an egg's letter. Write letters like A-D for a run, or G H, with a comma between clumps.")
}

pub fn beyond(all: u32) -> String {
    format!("There are only {all} eggs: give letters of those.")
}

pub fn pulled(number: &str, boxes: usize) -> String {
    let number = if number.is_empty() { "Clutch" } else { number };
    match boxes {
        0 => format!("{number} saved, not boxed yet."),
        1 => format!("{number} saved in its box."),
        n => format!("{number} saved in {n} boxes."),
    }
}
