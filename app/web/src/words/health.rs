//! What is said of the records' soundness.

use crate::store::{Harm, Trouble, What};
use storage::Checked;

pub const TITLE: &str = "Check the records";
pub const SAID: &str = "Reads every record on this device and compares it with what was stored. It also runs by itself, a little at a time, while the app is open.";
pub const CHECK: &str = "Check now";
pub const FOUND: &str = "Some stored records were damaged";
pub const FOUND_DO: &str = "What is damaged is set aside; everything else is here and shown. A bundle from another device, or an older one of your own, brings back what is missing: take it in on this page.";
/// On Rounds, with the way to the page that says more.
pub const FOUND_SHORT: &str = "Some stored records were damaged";
pub const SEE: &str = "See what to do";
pub const READ: &str = "I have read this";

pub fn checking(share: u32) -> String {
    format!("Checking … {share}\u{a0}%")
}

pub fn checked(checked: &Checked) -> String {
    let Checked { blocks, lines, digest, mended } = checked;
    let looked = format!(
        "Looked at {} in {}.",
        super::count(*lines as usize, "entry", "entries"),
        super::count(*blocks, "block", "blocks")
    );
    match mended {
        false => format!("{looked} All of it is as it was stored, and shown as it is stored ({}).", digest.short()),
        true => format!("{looked} Something was damaged and has been repaired as far as it can be: see above."),
    }
}

pub fn not_checked(trouble: &Trouble) -> String {
    format!("The check could not be finished. {}", super::trouble::opening(trouble))
}

pub fn harm(harm: &Harm) -> String {
    let lines = super::count(harm.lines as usize, "entry", "entries");
    let named = match harm.acts.is_empty() {
        true => String::new(),
        false => format!(" ({})", harm.acts.join(", ")),
    };
    match harm.what {
        What::Damaged => format!("{lines} set aside: damaged in storage{named}."),
        What::Lost => format!("{lines} missing: stored once, and gone now{named}."),
        What::Writer => "Who writes on this device could not be read. It goes on under a new device name.".to_owned(),
        What::OwnLost => {
            "The last entries saved on this device are gone. It goes on under a new device name.".to_owned()
        }
        What::Devices => {
            "What was known of other devices could not be read. Their next bundles bring it again.".to_owned()
        }
        What::List => "The list of what is stored could not be read. It was rebuilt from what is there.".to_owned(),
    }
}
