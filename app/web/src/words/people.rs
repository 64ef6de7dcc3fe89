//! People outside the barn: what is known of them, what of it goes along in a bundle, and erasing it for good.

use super::count;

pub fn contact(mark: &str, name: &str) -> String {
    if name.is_empty() { mark.to_owned() } else { format!("{mark} · {name}") }
}

pub const DETAILS_HOW: &str =
    "Name, address and note stay on this device and out of bundles unless you choose to send them.";
pub const DETAILS_ELSEWHERE: &str =
    "The details are not on this device: they stay where they were typed, unless a bundle brings them.";
pub const DETAILS_ERASED: &str = "The details were erased for good.";
pub const ERASE: &str = "Erase the details for good";
pub const ERASE_NOW: &str = "Erase for good";
pub const ERASE_NOT: &str = "Keep them";
pub const ERASED: &str = "Erased for good. Bundles made here from now on erase them wherever they are taken in; a file sent before still holds what was sent in it.";

/// Before somebody's details are erased for good.
pub fn erase_sure(who: &str) -> String {
    format!(
        "Erase what is known of {who}? Name, how to reach them and note are lost, and so is every version before, on this device and on each that takes in a bundle made here from now on. This cannot be undone. The reference and what went to them stay."
    )
}

pub fn details(people: usize) -> String {
    format!("details of {}", count(people, "person", "people"))
}

/// Heads the choice whose details go along.
pub fn details_of(people: usize) -> String {
    format!("Details of {}", count(people, "person", "people"))
}

pub const DETAILS_NONE: &str = "None";
pub const DETAILS_ALL: &str = "All";
pub const DETAILS_CHOOSE: &str = "Choose";
pub const DETAILS_STAY: &str =
    "Names, how to reach people and notes about them stay on this device: this bundle does not back those up.";
pub const DETAILS_OPEN: &str = "The bundle is not locked: whoever gets the file can read these details.";
