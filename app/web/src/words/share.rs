//! Devices kept in step.

use super::{count, trouble};
use crate::clock;
use crate::store::Trouble;
use crate::store::sharing::{Going, Stands, Why};
use journal::DeviceId;
use share::store::No;
use share::wire::{Seen, Told, Trial, Tried, Went};
use share::{Beside, NoInvitation, Status, Welcome};

pub const TITLE: &str = "Keep devices in step";
pub const TITLE_SAID: &str = "Through a shared folder, by themselves: nobody has to send anything.";
pub const SAID: &str = "All devices of the barn read and write one shared folder: on a server of yours, or on a drive that another program copies between computers. What you enter here is on the others within seconds while they are in use, and within a minute or two where the app lies open, whenever there is a network. Everything is locked before it leaves this device: who runs the server reads nothing.";
pub const GOES: &str = "All entries go along. Photos and people's details go along only where you choose it.";
pub const DEMO: &str = "This is the demo season. Leave it in Settings to keep your own records in step.";
pub const DEMO_ASKED: &str = "You opened an invitation, and this is the demo season. Leave it in Settings, then scan or open the invitation again.";

pub const SET_UP: &str = "Set it up here first";
pub const WHERE: &str = "Where";
pub const WEB: &str = "A web folder (WebDAV)";
pub const BUCKET: &str = "A bucket (S3)";
pub const FOLDER: &str = "A folder on this computer";
pub const ADDRESS_HINT: &str = "The web folder's address, such as https://barn.example/dav/candlemark";
pub const SERVER_HINT: &str = "The server's address without the bucket, such as https://store.example";
pub const REGION_HINT: &str = "As the store's page says it; leave it empty if there is none";
pub const FOLDER_HINT: &str =
    "Choose a folder that another program copies between your computers, or one on a drive they all reach.";
pub const CHOOSE_FOLDER: &str = "Choose the folder";
pub const TRY: &str = "Try it";
pub const TRYING: &str = "Trying…";
pub const BEGIN: &str = "Keep in step from now on";
pub const WORKS: &str = "It works. Nothing of your records has left yet.";

pub const JOIN: &str = "Join a barn that does this already";
pub const JOIN_SAID: &str = "Scan the code on the other device's screen with this one's camera, or paste the invitation it gives, or open its file.";
pub const INVITATION: &str = "Invitation";
pub const NO_FOLDERS: &str =
    "This browser cannot use a folder of this device. Join on a computer, in a browser that can.";
pub const READ_IT: &str = "Read it";
pub const JOIN_NOW: &str = "Join this barn";
pub const JOIN_ASKED: &str =
    "This device joins the barn of the invitation: it gets all its entries, and what you enter here goes there.";
pub const SCAN: &str = "Scan a code";

pub const HOW: &str = "How it goes";
pub const NOW: &str = "Look now";
pub const ALLOW: &str = "Allow the folder";
pub const LET_IN: &str = "Let another device in";
pub const LET_IN_SAID: &str = "Open the app on the other device, tap Scan there, and hold it before this code. Whoever sees this code can read and write everything in the barn: show it to those you let in, and send it to nobody else.";
pub const LET_IN_FOLDER: &str =
    "Scan this with the other device. It has to reach the same folder itself, and asks for it.";
pub const COPY: &str = "Copy the invitation";
pub const SAVE_FILE: &str = "Save it as a file";
pub const INVITATION_FILE: &str = "barn-invitation.txt";
pub const NOT_SAVED: &str = "The file could not be saved. Copy the invitation instead.";
pub const OPEN_FILE: &str = "Open its file";
pub const COPIED: &str = "Copied. Paste it on the other device, and delete it wherever it was sent.";
pub const CODE: &str = "The invitation as a code";

pub const SPARES: &str = "Spare copies";
pub const SPARES_KEY: &str = "They open with this barn's invitation alone. If this is the only device, keep the invitation as a file or on paper in a safe place: without it nobody can read them.";
pub const SPARES_SAID: &str = "Once a day a whole bundle is put beside the entries, locked like them, without photos and people's details: one of each day for a week, of each week for two months, of each month for ever.";
pub const SPARES_WANTED: &str = "Make spare copies";
pub const SPARES_SEE: &str = "Which are there";
pub const SPARES_NONE: &str = "None yet.";
pub const SPARE_FAILED: &str = "That copy cannot be had now. Try again, or take another one.";
pub const SPARE_OPEN: &str =
    "It is saved as a bundle. Open it under Backup and sharing, on this device or on an empty one.";

pub const ALONG: &str = "Photos and people's details";
pub const ALONG_SAID: &str = "Ticked here, this device sends them, locked like the entries, and fetches what it lacks. Tick it on each device that is to have them.";
pub const ALONG_STAYS: &str = "What lies in the shared folder stays there when you untick it. Details that somebody erases for good are deleted there too, where it lets them be.";

pub const TAKE_OUT: &str = "A device was lost";
pub const TAKE_OUT_SAID: [&str; 3] = [
    "First change the password, or the keys, of the server: from then on the lost device reaches nothing there.",
    "Then lock everything with a new key here, and let each of the other devices in again with the new code.",
    "What the lost device had read before it can still show: its own records, and all that was entered until then.",
];
pub const NEW_PASSWORD: &str = "New password";
pub const NEW_SECRET: &str = "New secret key";
pub const TYPE_ACCESS: &str = "Type it first, as the server has it now.";
pub const USE_PASSWORD: &str = "Use this password";
pub const USE_SECRET: &str = "Use this secret key";
pub const NEW_KEY: &str = "Lock with a new key";
pub const NEW_KEY_DONE: &str = "Locked with a new key. Let each of the other devices in again.";
pub const STOP: &str = "Stop on this device";
pub const STOP_SAID: &str =
    "Records stay here and in the shared folder. To go on later, another device lets this one in again.";
pub const STOP_ALONE: &str = "No other device has been seen here. Save the invitation first: without it, neither this device nor another can read again what lies in the shared folder.";
pub const TAKE_BOOK: &str = "Take its records in";
pub const STOPPED: &str = "This device is no longer kept in step.";
pub const NOTICED: &str = "What was noticed";

/// What is joined, before it is.
pub fn join_at(place: &str) -> String {
    format!("At {place}.")
}

/// How it goes, in one line; none where it is off.
pub fn line(going: &Going) -> Option<String> {
    Some(match going {
        Going::Off => return None,
        Going::Starting => "In step: starting…".to_owned(),
        Going::OtherTab => "Another tab of the app keeps this device in step.".to_owned(),
        Going::On(told) => status(told),
        Going::Stopped(why) => format!("Not in step. {}", stopped(why)),
    })
}

fn status(told: &Told) -> String {
    if told.notices.contains(&Seen::Moved) {
        return "Not in step. The barn was given a new key: let this device in again from one that has it.".to_owned();
    }
    match told.status {
        Status::Closed | Status::Looking => "Looking for what the other devices entered…".to_owned(),
        Status::Busy { to_send: 0, to_come } => format!("{} to come", entries(to_come)),
        Status::Busy { to_send, to_come: 0 } => format!("{} to send", entries(to_send)),
        Status::Busy { to_send, to_come } => format!("{} to send, {to_come} to come", entries(to_send)),
        Status::InStep { .. } if told.welcome == Welcome::Nothing => {
            "In step, and no other device has been here yet.".to_owned()
        }
        Status::InStep { since_ms } => format!("In step, {}", ago(since_ms)),
        Status::Waiting { no, since_ms, to_send } => {
            let waits = if to_send > 0 { format!(" {} to send.", entries(to_send)) } else { String::new() };
            format!("{}{waits}", waiting(no, since_ms))
        }
    }
}

/// One sort of what goes along.
pub fn along(of: Beside) -> &'static str {
    match of {
        Beside::Photo => "Photos",
        Beside::Person => "People's details: names, how to reach them, notes",
    }
}

/// How one sort of what goes along stands.
pub fn stands(stands: Stands) -> String {
    match stands {
        Stands::Going(1) => "Under way: one so far.".to_owned(),
        Stands::Going(n) => format!("Under way: {n} so far."),
        Stands::Level { nowhere: 0 } => "All are here and in the shared folder.".to_owned(),
        Stands::Level { nowhere: 1 } => "One is on a device that does not send it.".to_owned(),
        Stands::Level { nowhere } => format!("{nowhere} are on devices that do not send them."),
        Stands::Locked(1) => "One is locked here: it goes once you have entered the passphrase.".to_owned(),
        Stands::Locked(n) => format!("{n} are locked here: they go once you have entered the passphrase."),
        Stands::Failed => "Not all went through. It tries again in a few minutes.".to_owned(),
        Stands::Spares => "They wait: this device is on a mobile line, or set to save data.".to_owned(),
    }
}

/// A button that saves the copy of a day.
pub fn save_copy(day: &str) -> String {
    format!("Save the copy of {day}")
}

fn entries(n: u32) -> String {
    count(n as usize, "entry", "entries")
}

fn ago(since_ms: u64) -> String {
    match clock::wall().ms.saturating_sub(since_ms) / 60_000 {
        0 => "just now".to_owned(),
        minutes @ 1..60 => format!("{minutes} min ago"),
        minutes => format!("{} h ago", minutes / 60),
    }
}

fn waiting(no: No, since_ms: u64) -> String {
    match no {
        No::Network => format!("No answer from the shared folder {}; it goes on by itself.", since(since_ms)),
        No::Access => {
            "The shared folder does not let this device in: its password was changed, or nothing may be written there."
                .to_owned()
        }
        No::Full => "The shared folder is full, or does not take files so large.".to_owned(),
        No::Busy { .. } => "The server is busy; it goes on by itself.".to_owned(),
        No::Clock => "This device's clock is wrong: set it, and it goes on.".to_owned(),
        No::NoFolder => "The shared folder is not there any more, and could not be made anew.".to_owned(),
        No::Odd(0) => "The server's answer cannot be read: the address may be of something else.".to_owned(),
        No::Odd(status) => format!("The server answered with an error ({status})."),
    }
}

fn since(ms: u64) -> String {
    match clock::wall().ms.saturating_sub(ms) / 60_000 {
        0 => "just now".to_owned(),
        minutes @ 1..60 => format!("for {minutes} min"),
        minutes @ 60..2880 => format!("for {} h", minutes / 60),
        minutes => format!("for {} days", minutes / 1440),
    }
}

/// Why it does not go, as a sentence.
pub fn stopped(why: &Why) -> String {
    match why {
        Why::PartMissing => super::PART_MISSING.to_owned(),
        Why::Unusable => "The address or the key cannot be used. Set it up again.".to_owned(),
        Why::OtherBook => {
            "This device has records of another barn. Bring the two together with a bundle first; then join.".to_owned()
        }
        Why::NoFolder => "The browser has to be allowed to use the folder again.".to_owned(),
        Why::NotTaken(Tried { went: Went::No(No::Access), .. }) => {
            "Nothing was changed: the server does not take this.".to_owned()
        }
        Why::NotTaken(tried) => format!("Nothing was changed: {}.", went(tried)),
        Why::Trouble(Trouble::Overtaken) => "Something was entered here meanwhile. Try again.".to_owned(),
        Why::Trouble(trouble) => trouble::saving(trouble),
    }
}

/// What was noticed of the store and of other devices, whose names `device` tells.
pub fn seen(seen: &Seen, device: impl Fn(DeviceId) -> String) -> String {
    match seen {
        Seen::WentBack(dev) => format!("The shared folder showed an older state of {} than before: it was set back, or something is held back.", device(*dev)),
        Seen::Silent(dev) => format!("Others have seen {}, and the shared folder shows nothing of it.", device(*dev)),
        Seen::Withheld(None) => "Something that a device put there is not there. If any device still has it, it is put there again.".to_owned(),
        Seen::Withheld(Some(why)) => format!("Something that a device put there cannot be used: {why}. If any device still has it, it is put there again."),
        Seen::OtherBook(_) => "A device that was let in has brought the records of a second barn. They wait until you take them in.".to_owned(),
        Seen::Copied => "Another device wrote under this one's name: it was copied, or restored from an older state. This one goes on under a new name.".to_owned(),
        Seen::Moved => "The barn was given a new key. Let this device in again from one that has it; until then nothing comes from the others.".to_owned(),
        Seen::Refused(why) => format!("Entries that arrived were not taken in: {why}."),
        Seen::Unfit(why) => format!("What stands under a device's name is not used: {why}."),
    }
}

/// What a step of trying does.
pub fn trial(step: Trial) -> &'static str {
    match step {
        Trial::List => "Reach it and list it",
        Trial::Put => "Put a file there",
        Trial::Get => "Get it back",
        Trial::Delete => "Delete it again",
    }
}

/// How a step of trying went.
pub fn went(tried: &Tried) -> String {
    match (tried.step, tried.went) {
        (_, Went::Well) => "works".to_owned(),
        (_, Went::NotTried) => "not tried".to_owned(),
        (Trial::Delete, _) => "not allowed; then the folder only grows, which does no harm".to_owned(),
        (_, Went::Wrong) => "it gave back something else".to_owned(),
        (_, Went::No(no)) => match no {
            No::Network => "no answer".to_owned(),
            No::Access => "not allowed: check user, password and rights".to_owned(),
            No::Full => "no room, or the file is too large for it".to_owned(),
            No::Busy { .. } => "the server is busy; try again in a moment".to_owned(),
            No::Clock => "this device's clock is wrong; set it".to_owned(),
            No::NoFolder => {
                "there is no such folder on the server, and no place to make it: check the address".to_owned()
            }
            No::Odd(0) => "an answer that cannot be read: is it the address of a web folder?".to_owned(),
            No::Odd(status) => format!("the server answered with an error ({status})"),
        },
    }
}

pub fn no_invitation(why: NoInvitation) -> &'static str {
    match why {
        NoInvitation::Other => {
            "That is not an invitation. On the other device: Backup and sharing, Keep devices in step, Let another device in."
        }
        NoInvitation::CutShort => "The invitation is not all there. Copy it again, to its end.",
        NoInvitation::Newer => "The invitation is from a newer version of the app. Load this page again to get it.",
    }
}

pub const NOBODY_THERE: &str = "Nothing answered at this address that this browser may read. Is it right, is the server on, and is this device in its network?";
pub const FOR_SERVER: &str = "All of that is so: for whoever runs the server";
pub const NO_ANSWER: &str = "Browsers let a page reach another server only if that server says so (CORS). Add one of these to the server, for this app's address. Apache's is tried with this app; compare the others with your server's own manual:";
pub const PLAIN_SERVER: &str =
    "A server in the house that has no https: open the app from that server too, then nothing needs to be set.";

/// Settings of servers that let this app in, each with its name; `origin` is where the app is open.
/// Apache's directives are those that the tests use. The others are from memory and untried, and the page says so.
pub fn settings(origin: &str) -> [(&'static str, String); 5] {
    [
        (
            "Apache",
            format!(
                "Header always set Access-Control-Allow-Origin \"{origin}\"\n\
                 Header always set Access-Control-Allow-Methods \"GET, PUT, DELETE, PROPFIND, MKCOL, OPTIONS\"\n\
                 Header always set Access-Control-Allow-Headers \"Authorization, Content-Type, Depth\"\n\
                 # In the folder's <Directory>: the browser asks first, without a login.\n\
                 <LimitExcept OPTIONS>\n  Require valid-user\n</LimitExcept>"
            ),
        ),
        ("rclone", format!("rclone serve webdav FOLDER --user NAME --pass PASSWORD --allow-origin {origin}")),
        (
            "nginx",
            format!(
                "add_header Access-Control-Allow-Origin {origin} always;\n\
                 add_header Access-Control-Allow-Methods \"GET, PUT, DELETE, PROPFIND, MKCOL, OPTIONS\" always;\n\
                 add_header Access-Control-Allow-Headers \"Authorization, Content-Type, Depth\" always;\n\
                 if ($request_method = OPTIONS) {{ return 204; }}"
            ),
        ),
        (
            "Caddy",
            format!(
                "header Access-Control-Allow-Origin {origin}\n\
                 header Access-Control-Allow-Methods \"GET, PUT, DELETE, PROPFIND, MKCOL, OPTIONS\"\n\
                 header Access-Control-Allow-Headers \"Authorization, Content-Type, Depth\"\n\
                 @options method OPTIONS\nrespond @options 204"
            ),
        ),
        (
            "Bucket (CORS rules)",
            format!(
                "[{{\n  \"AllowedOrigins\": [\"{origin}\"],\n  \"AllowedMethods\": [\"GET\", \"PUT\", \"DELETE\"],\n  \"AllowedHeaders\": [\"*\"]\n}}]"
            ),
        ),
    ]
}
