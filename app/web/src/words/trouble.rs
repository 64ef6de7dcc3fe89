//! What went wrong, what is safe, what to do.

use crate::store::Trouble;

/// The page that gives the records out without the app; `public/rescue.html`.
pub const RESCUE: &str = "Rescue page";
pub const RESCUE_HREF: &str = "./rescue.html";

const NEWER: &str = "The records on this device belong to a newer version of the app. They are safe: connect to a network and load the page again to get it.";

const REMOVED: &str = "The records were removed from this device while this page was open: by another tab, or by the browser. What the page shows is no longer stored here. If you have a bundle of them, load the page again and take it in.";

/// Another tab wanted the records, or they are gone.
pub fn taken(trouble: &Trouble) -> String {
    match trouble {
        Trouble::Removed => REMOVED.to_owned(),
        _ => super::LET_GO.to_owned(),
    }
}

pub fn saving(trouble: &Trouble) -> String {
    match trouble {
        Trouble::Full => {
            "Not saved: this device has no room left. Free some space, then save again; what is on the page stays."
                .into()
        }
        Trouble::Absent(_) => {
            "Not saved: this browser keeps no records here. Open the app in an ordinary (not private) window.".into()
        }
        Trouble::Act(why) => format!("Not saved: {why}. Everything saved before is safe."),
        Trouble::Damaged(why) => format!("Not saved: the stored records cannot be read ({why}). Nothing was changed."),
        Trouble::Closed => {
            "Not saved: the browser closed the records. Everything saved before is safe; load the page again.".into()
        }
        Trouble::LetGo => format!("Not saved. {}", super::LET_GO),
        Trouble::Removed => format!("Not saved. {REMOVED}"),
        Trouble::Stalled => {
            "Not saved: the browser's storage does not answer. Load the page again, then check whether it is there."
                .into()
        }
        Trouble::Newer => format!("Not saved. {NEWER}"),
        Trouble::Overtaken => "Not taken in: another tab changed the records meanwhile. Open the bundle again.".into(),
        Trouble::PartMissing => super::PART_MISSING.to_owned(),
        Trouble::Other(why) => {
            format!("Not saved: {why}. Everything saved before is safe; try again, or load the page again.")
        }
    }
}

pub fn opening(trouble: &Trouble) -> String {
    match trouble {
        Trouble::Absent(why) => format!(
            "This browser keeps no records here ({why}). A private window or switched-off storage does that: open the app in an ordinary window."
        ),
        Trouble::Full => {
            "This device has no room left to open the records. They are safe; free some space and load the page again."
                .into()
        }
        Trouble::LetGo => super::LET_GO.to_owned(),
        Trouble::Removed => REMOVED.to_owned(),
        Trouble::Stalled => {
            "The browser's storage does not answer. Nothing was changed. Close the app's other tabs and load the page again; if it stays, restart the browser.".into()
        }
        Trouble::Newer => NEWER.to_owned(),
        Trouble::Closed | Trouble::Overtaken => {
            "The browser closed the records while they were read. Nothing was changed. Load the page again.".into()
        }
        Trouble::PartMissing => super::PART_MISSING.to_owned(),
        Trouble::Damaged(why) | Trouble::Act(why) | Trouble::Other(why) => {
            format!(
                "The records on this device could not be read: {why}. Nothing was changed. Load the page again; if it stays, the rescue page gives out what can be read."
            )
        }
    }
}
