//! A thing on its way to a place.

pub const SCAN_PLACE: &str = "Scan the place";

pub fn bring(name: &str) -> String {
    format!("Bring {name} here")
}

pub fn brought(name: &str, place: &str) -> String {
    format!("{name}: moved to {place}.")
}
