//! Scanning.

use crate::pages::scan::NoCamera;
use labels::payload::Foreign;

pub const TITLE: &str = "Scan";
pub const VIDEO: &str = "What the camera sees";
pub const TRY_AGAIN: &str = "Try the camera again";
pub const TORCH: &str = "Light";
pub const PHOTO: &str = "Read a photo of a label";
pub const READING_PHOTO: &str = "Reading the photo…";
pub const NO_CODE_IN_PHOTO: &str =
    "No label was found in this photo. Take it closer and straight on, or type the code under the square.";
pub const NOT_A_PICTURE: &str = "This file is not a picture this phone can open. Choose a photo, or type the code.";
pub const TYPE_CODE: &str = "Or type the code under the square";
pub const OPEN: &str = "Open";

pub fn no_camera(why: NoCamera) -> &'static str {
    match why {
        NoCamera::Absent => {
            "No camera can be used here (a phone gives it only over https). Read a photo, or type the code below."
        }
        NoCamera::Refused => {
            "The camera is not allowed for this page. Allow it in the browser's settings for this site, or read a photo, or type the code below."
        }
        NoCamera::Lost => {
            "The phone took the camera away. Try again, or read a photo, or type the code below. Nothing noted so far is lost."
        }
        NoCamera::Busy => {
            "The camera gives no picture; another app may be using it. Try again, or read a photo, or type the code below."
        }
    }
}

pub const WALK: &str = "Walk with the camera open";

/// `Lens 2 of 3`.
pub fn lens(at: usize, of: usize) -> String {
    format!("Lens {at} of {of}")
}

/// Begins with a capital and ends with a stop.
pub fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    let first: String = chars.next().map(|c| c.to_uppercase().collect()).unwrap_or_default();
    let stop = if text.ends_with(['.', '?', '!']) { "" } else { "." };
    format!("{first}{}{stop}", chars.as_str())
}

pub fn foreign(foreign: &Foreign) -> String {
    format!("This is not one of the barn's labels but {foreign}. Nothing was opened.")
}
