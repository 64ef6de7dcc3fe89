//! Places: rooms, racks, incubators and their shelves.

use crate::words::count;
use book::records::Place;
use book::words::PlaceWhat;

pub const TITLE: &str = "Places";
pub const EMPTY: &str = "No places yet. Add an incubator with its shelves: boxes stand on them, and a shelf's temperature gives the hatch window.";
pub const ADD: &str = "Add a place";
pub const ADD_INCUBATOR: &str = "Add an incubator";
pub const CAUTION: &str = "Heat and water near mains: every incubator needs a thermostat with a cut-out, and a second thermometer to check it by.";
pub const CLOSED: &str = "No longer in use";
pub const NAMELESS: &str = "without a name";
pub const NO_SUCH: &str =
    "This place is not on this device. Open a bundle from the device that has it, or look in the list.";
pub const TO_LIST: &str = "All places";

pub const SET: &str = "Set to";
pub const NOT_SET: &str = "no temperature set";
pub const READ: &str = "Last read";
pub const NOT_READ: &str = "not read yet";
pub const SAVE_READING: &str = "Save reading";
pub const HUMIDITY: &str = "Humidity too";
/// The help sentence of the field.
pub const HUMIDITY_HOW: &str =
    "Relative humidity, 0 to 100 %. It is kept beside the temperature, and nothing is worked out from it.";
pub const SAVED_READING: &str = "Reading saved.";
pub const SAVED: &str = "Saved.";
pub const INCIDENTS: &str = "Incidents";
pub const INCIDENT_NOTE: &str = "Note an incident";
pub const INCIDENT_OFFERS: [&str; 3] = ["power cut", "thermostat failed", "door stood open"];
pub const INCIDENT_FROM: &str = "From";
pub const INCIDENT_TO: &str = "Until, if it is over";
pub const INCIDENT_MORE: &str = "Note";
pub const INCIDENT_SAVED: &str = "Incident saved.";
/// `Fri 3 Jul, 06:40 to 09:10`; one that goes on has no end.
pub fn incident_lasted(from: &str, to: Option<&str>) -> String {
    to.map_or_else(|| format!("{from}, not over yet"), |to| format!("{from} to {to}"))
}

pub const READINGS: &str = "Readings";
pub const BOXES: &str = "Boxes here";
pub const NO_BOXES: &str = "No box stands here.";
pub const ANIMALS: &str = "Animals here";
pub const NOBODY: &str = "Nobody is kept here.";
pub const INSIDE: &str = "Inside";
pub const EDIT: &str = "Edit this place";
pub const PRINT: &str = "Print label";

/// Of the places inside, by how many they are.
pub fn print_inside(n: usize) -> String {
    format!("Print labels inside ({n})")
}

pub const NEW: &str = "New place";
pub const WHAT: &str = "What is it?";
pub const NAME: &str = "Name";
pub const TUB_PREFIX: &str = "Tubs are called";
pub const TUB_PREFIX_HINT: &str = "A letter or word before the number: A gives A1, A2, A3.";
pub const SET_ALL_HINT: &str = "For every shelf; each can differ below.";
pub const EACH: &str = "Each shelf's own temperature";
pub const WITHIN: &str = "In";
pub const KEEPER: &str = "Looked after by";
pub const NOBODYS: &str = "nobody in particular";
pub const NOWHERE: &str = "nothing else";
pub const OFFSET_HINT: &str = "Added to every reading, when the thermometer is known to be off: -0.3.";
pub const NOT_IN_USE: &str = "In use";
pub const IN_USE: &str = "in use";
pub const NO_LONGER: &str = "no longer";
pub const SAVE_AND_NEXT: &str = "Save, add the next";

pub fn what(what: PlaceWhat) -> &'static str {
    match what {
        PlaceWhat::Room => "Room",
        PlaceWhat::Rack => "Rack",
        PlaceWhat::Slot => "Slot",
        PlaceWhat::Tub => "Tub",
        PlaceWhat::Incubator => "Incubator",
        PlaceWhat::Shelf => "Shelf",
    }
}

/// `Incubator A`, `Shelf 2`; a name that says what it is already stands alone.
pub fn called(place: &Place) -> String {
    let name = place.name.as_deref().unwrap_or(NAMELESS);
    match place.what {
        Some(kind) if !name.to_lowercase().contains(&what(kind).to_lowercase()) => format!("{} {name}", what(kind)),
        _ => name.to_owned(),
    }
}

/// `Incubator A · Shelf 2`, the outermost first.
pub fn path(path: &[&Place]) -> String {
    path.iter().map(|place| called(place)).collect::<Vec<_>>().join(" · ")
}

pub fn boxes(n: usize) -> String {
    if n == 0 { "free".into() } else { count(n, "box", "boxes") }
}

pub fn animals(n: usize) -> String {
    if n == 0 { "free".into() } else { count(n, "animal", "animals") }
}

/// `4 shelves, 1 free`, `20 tubs, all taken`.
pub fn inside(n: usize, what: PlaceWhat, free: usize) -> String {
    let named = match what {
        PlaceWhat::Shelf => count(n, "shelf", "shelves"),
        PlaceWhat::Tub => count(n, "tub", "tubs"),
        PlaceWhat::Slot => count(n, "slot", "slots"),
        PlaceWhat::Rack => count(n, "rack", "racks"),
        PlaceWhat::Incubator => count(n, "incubator", "incubators"),
        PlaceWhat::Room => count(n, "room", "rooms"),
    };
    match free {
        0 => format!("{named}, all taken"),
        free => format!("{named}, {free} free"),
    }
}

pub fn from_outer(place: &str) -> String {
    format!("as {place} is set")
}

pub fn added(name: &str) -> String {
    format!("{name} added.")
}

pub fn more_inside(left: usize) -> String {
    format!("and {left} more shelves: open the incubator")
}

pub fn totals(boxes: usize, free: usize) -> String {
    format!("{} · {}", count(boxes, "box", "boxes"), count(free, "free shelf", "free shelves"))
}

pub fn more(left: usize) -> String {
    format!("Show more ({left} left)")
}
