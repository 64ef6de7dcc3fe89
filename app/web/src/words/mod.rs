//! Every sentence the app says, in one place per language: English.

pub mod animals;
pub mod babies;
pub mod boxes;
pub mod bundles;
pub mod care;
pub mod carried;
pub mod cleaning;
pub mod clutch;
pub mod cooling;
pub mod correct;
pub mod dates;
pub mod daybook;
pub mod doubles;
pub mod eggs;
pub mod follicles;
pub mod found;
pub mod genetics;
pub mod guide;
pub mod health;
pub mod heat;
pub mod labels;
pub mod light;
pub mod lost;
pub mod many;
pub mod measures;
pub mod money;
pub mod mother;
pub mod names;
pub mod nav;
pub mod notes;
pub mod pairings;
pub mod people;
pub mod places;
pub mod printers;
pub mod promises;
pub mod pull;
pub mod record;
pub mod rounds;
pub mod scan;
pub mod season;
pub mod settings;
pub mod share;
pub mod sheets;
pub mod sires;
pub mod strip;
pub mod swap;
pub mod tags;
pub mod trouble;
pub mod units;
pub mod walk;
pub mod whereis;
pub mod window;

/// Who did it, before a keeper has said their name.
pub const KEEPER: &str = "keeper";
pub const NOTHING_TO_UNDO: &str = "Nothing to undo: what it changed has been changed again since.";

/// At the foot of each printed sheet: `Barn sheet, as of Tue 9 Jun 2026, 21:40`.
pub fn foot(what: &str, when: &str) -> String {
    format!("{what}, {when}")
}

pub fn undone(skipped: usize) -> String {
    match skipped {
        0 => "Undone.".into(),
        1 => "Undone, but for one thing that has been changed since.".into(),
        n => format!("Undone, but for {n} things that have been changed since."),
    }
}

/// `1 egg`, `2 eggs`.
pub fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

pub const TRAY: &str = "Eggs in the box, from above";
pub const UNDO: &str = "Undo";
pub const CLOSE: &str = "Close";
pub const OPENING: &str = "Opening the records…";
pub const BLOCKED: &str =
    "Close the other tabs of Candlemark: an older version there holds the records. Then this one opens by itself.";
pub const LET_GO: &str = "Another tab needed the records (a newer version, or the season was removed). Everything saved is safe, and what is typed here stays until you load the page again to go on.";
pub const WORKING: &str = "Saving …";
pub const PART_MISSING: &str = "This part of the app is not on this device yet and could not be fetched. Your records are safe. Connect to a network and try again.";
pub const TRY_AGAIN: &str = "Try again";
pub const RELOAD: &str = "Load the page again";
pub const NEW_VERSION: &str = "A new version is ready.";
pub const TAKE_NEW_VERSION: &str = "Use it now";
pub const OFFLINE_FAILED: &str = "Not kept for use without a network yet: stay online and load the page again.";
pub const SKIP: &str = "To the page";
pub const LOST: &str = "There is no such page. The address may be cut off or mistyped; nothing is lost.";
pub const TO_ROUNDS: &str = "Go to Rounds";
pub const DEMO_BANNER: &str = "Alder Lane, an invented season";
pub const DEMO_LEAVE: &str = "Remove it";

pub fn title(page: &str) -> String {
    format!("{page} · Candlemark")
}

pub fn less(what: &str) -> String {
    format!("{what}: one less")
}

pub fn more(what: &str) -> String {
    format!("{what}: one more")
}

pub const SURE: &str = "Is this right?";
pub const LOOK_AGAIN: &str = "Go back";
pub const SAVE_ALL_THE_SAME: &str = "Save anyway";
/// Out of a form, without saving.
pub const LEAVE: &str = "Cancel";
pub const SAVE: &str = "Save";
pub const UNKNOWN: &str = "unknown";
pub const DONE: &str = "Done";
pub const FROM_ANOTHER_DEVICE: &str = "The device that made it can send a bundle of its records.";
pub const ROWS: &str = "More of the list";
pub const ROWS_BEFORE: &str = "Before";
pub const ROWS_AFTER: &str = "After";

/// `61–120 of 2400`.
pub fn rows(from: usize, to: usize, of: usize) -> String {
    format!("{from}–{to} of {of}")
}
