//! A label that is not in these records.

use labels::payload::Kind;

pub const TITLE: &str = "Label";
pub const NOT_A_LABEL: &str =
    "This link is not a label's link. Scan the label again, or type the code under the square.";
pub const TO_SCAN: &str = "Scan or type the code";
pub const BLANK: &str = "A blank label. Stick it on a box, and it becomes that box's label.";
pub const START_CLUTCH: &str = "Pull a clutch into this box";
pub const NOT_HERE: &str = "This label is not on this device. It may be another barn's, or made on another phone.";
pub const LABEL_SAYS: &str = "What the label says, as of when it was printed";
pub const NOTHING_ELSE: &str = "Only its code.";
pub const GET_THE_REST: &str =
    "For the rest, open this label on the device that printed it, or ask for a bundle of its records.";
pub const HOME_SCREEN: &str = "On an iPhone the app on the home screen keeps its own records, apart from this browser tab. If yours are there, open the app and scan inside it.";
pub const SPECIES: &str = "Species";
pub const LAID: &str = "Laid";
pub const EGGS: &str = "Eggs";
pub const LOOK_FROM: &str = "Look from";
pub const WINDOW: &str = "Window";
pub const FILL_TO: &str = "Fill to";

pub fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::EggBox => "Egg box",
        Kind::Animal => "Enclosure",
        Kind::Tub => "Baby tub",
        Kind::Place => "Place",
        Kind::Blank => "Blank label",
    }
}

pub fn no_such_code(code: &str) -> String {
    format!("{code} is a valid code, but nothing here has it. It may be on another phone.")
}
