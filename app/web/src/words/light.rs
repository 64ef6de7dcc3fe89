//! Entries by light.

use super::count;
use crate::pages::scan::NoCamera;
use light::{Gap, No, Pace, Progress};

pub const TITLE: &str = "By light";
pub const TITLE_SAID: &str = "From screen to camera: two devices side by side, no network, no cable, no file.";
pub const SAID: &str = "One device shows codes and the other looks at them with its camera. Nothing else is needed. Each gets the entries it lacks.";
pub const STAYS: &str = "Entries only. Photos and people's details are too much for this: send a bundle for them.";

pub const HOW: &str = "How it goes";
pub const STEPS: [&str; 4] = [
    "Open this page on both devices.",
    "One shows its code. The other looks at it, and then shows what the first one lacks.",
    "The first one looks until its bar is full, and takes the entries in.",
    "If it has something to give, it then shows codes in its turn.",
];

pub const ASK: &str = "Show this device's code";
pub const LOOK: &str = "Look at the other device";
pub const ASKING: &str = "Let the other device look at this code. It says what is here, and nothing else.";
pub const NOW_LOOK: &str = "The other one shows codes now: look";
pub const AGAIN: &str = "Start over";
pub const CODE: &str = "What this device has, as a code";
pub const MOVING: &str = "Moving codes";
pub const NIGHT: &str = "Codes are black on white and bright, also at night: nothing else can be read. Turn the screen away from the animals.";
pub const BRIGHT: &str = "Turn the brightness up.";
pub const AWAKE: &str = "The screen stays on by itself.";
pub const MAY_SLEEP: &str = "This browser does not keep the screen on: touch it now and then.";

pub const LOOKING: &str =
    "Hold the camera before the other screen, a hand's length away, so that the whole code fills most of the picture.";
pub const UNREAD: &str = "Nothing is read yet. Move a little nearer or further away and hold still. Turn the other screen's brightness up, wipe the lens, and keep lamps from shining on the glass.";
pub const STUCK: &str = "The codes are not read any more. Hold still, and let the other device choose larger squares.";
pub const WORKING: &str = "Looking up what the other device lacks…";
pub const READING: &str = "All of it is here. Reading it…";

pub const GIVE: &str = "Show the codes";
pub const GIVING: &str = "Let the other device look until its bar is full.";
pub const FULL_THEN_LOOK: &str = "Its bar is full: it has something for this one";
pub const FULL: &str = "Its bar is full";
pub const SIZE: &str = "Squares";
pub const SIZE_SAID: &str =
    "Large squares are read from a poor camera too, fine ones take less time. Another size begins anew.";
pub const LEVEL: &str = "Both devices have the same entries now.";
pub const GIVEN: &str = "Given. Once the other device has taken it in, both have the same entries.";
pub const LEVEL_HOW: &str = "To be sure, compare the eight characters under Backup and sharing on both.";
pub const LEFT: &str = "Left. Nothing was changed.";
pub const BROKEN: &str = "What arrived is not what was sent, so nothing of it was kept. Look once more.";
pub const TOO_LARGE: &str = "This is too much for codes: it would take longer than anybody can hold a phone still. Make a bundle and send the file.";

pub fn pace(pace: Pace) -> &'static str {
    match pace {
        Pace::Easy => "Large",
        Pace::Usual => "Usual",
        Pace::Quick => "Fine",
    }
}

fn entries(n: u32) -> String {
    count(n as usize, "entry", "entries")
}

fn time(seconds: u32) -> String {
    match seconds {
        0..=1 => "about a second".into(),
        2..=90 => format!("about {seconds} seconds"),
        _ => format!("about {} minutes", seconds.div_ceil(60)),
    }
}

/// In seconds.
const LONG: u32 = 180;

/// Before anything lights up: how much passes, and how long it takes.
pub fn offer(gap: Gap, codes: usize, seconds: u32) -> String {
    let back = match gap.get {
        0 => String::new(),
        n => format!(" Then the other one has {} for this one.", entries(n)),
    };
    let long = if seconds > LONG { " That is long to hold a phone still: a bundle is quicker." } else { "" };
    let codes = count(codes, "code", "codes");
    format!("The other device lacks {}: {codes}, {}.{long}{back}", entries(gap.give), time(seconds))
}

/// Where only the other one has something to give.
pub fn ask(gap: Gap) -> String {
    format!("The other device lacks nothing, and has {} for this one. Let it look at this code.", entries(gap.get))
}

pub fn progress(progress: Progress) -> String {
    let Progress { have, need, entries: n } = progress;
    format!("{have} of {}, {}", count(need, "code", "codes"), entries(n))
}

pub fn refused(no: No) -> &'static str {
    match no {
        No::Later => {
            "The other device has a newer version of the app. Load this page again while online, then try once more."
        }
        No::OtherBarn => {
            "That is another barn's device: its entries do not belong here. Nothing was taken. To put two barns together, send a bundle."
        }
        No::Itself => "That is this device's own code. Look at the other device's screen.",
        No::NotAsked => {
            "These codes answer another device, or a code this one showed at another time. Start over: show this device's code, and let the other one look at it."
        }
    }
}

pub fn no_camera(why: NoCamera) -> &'static str {
    match why {
        NoCamera::Absent => "No camera can be used here (a phone gives it only over https). Send a bundle instead.",
        NoCamera::Refused => {
            "The camera is not allowed for this page. Allow it in the browser's settings for this site, or send a bundle instead."
        }
        NoCamera::Lost => "The phone took the camera away. Try again. What was read so far is kept.",
        NoCamera::Busy => "The camera gives no picture; another app may be using it. Try again.",
    }
}
