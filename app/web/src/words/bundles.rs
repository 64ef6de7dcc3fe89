//! Bundles: what was done elsewhere, what comes in, what goes out.

use super::{count, dates, daybook, names, people};
use crate::store::{Failed, NoBundle};
use book::{Book, Kind};
use carry::{Change, Looked};
use chrono::{NaiveDate, NaiveDateTime};
use journal::DeviceId;

pub const TITLE: &str = "Backup and sharing";
pub const SAID: &str = "A bundle is a file with this barn's records. Swap bundles in any order, as often as you like: two devices that have each other's entries hold the same records.";

/// In every bundle, for whoever opens it by hand.
pub const README: &str = "This is a bundle: the records of a barn, as kept by Candlemark.\n\n\
Open it in Candlemark: More, Backup and sharing, Open a bundle. Nothing is changed before you have seen what it holds.\n\n\
bundle.json says who made it and when, how far each device's entries are known, and a digest of the whole state.\n\
entries/ holds every entry ever made, one line of JSON each, in files by device. people/ and photos/ hold details and\n\
pictures that the lines name. The address the app is opened from has a page, format.html, that describes all of it, so\n\
that other programs can read it.\n";

pub const MAKE: &str = "Make a bundle";
pub const MAKE_SAID: &str = "Everything, for another device or as your backup: browsers can lose what they keep.";
pub const FOR_WHOM: &str = "What goes in";
pub const EVERYTHING: &str = "Everything";
pub const WITH_PHOTOS: &str = "With photos";
pub const SHARE_IT: &str = "Send or save it";
pub const CANCEL: &str = "Cancel";
pub const READY: &str = "The bundle is ready";

pub fn lacks(device: &str) -> String {
    format!("What {device} is missing")
}

pub fn ready(bytes: u32, details_of: usize, locked: bool) -> String {
    let with = if details_of > 0 { format!(", with {}", people::details(details_of)) } else { String::new() };
    format!("{READY}: {}{with}{}.", size(bytes), if locked { ", locked" } else { "" })
}

fn size(bytes: u32) -> String {
    match bytes {
        0..1_000 => format!("{bytes} bytes"),
        1_000..1_000_000 => format!("{} kB", bytes.div_ceil(1000)),
        _ => format!("{}.{} MB", bytes / 1_000_000, bytes % 1_000_000 / 100_000),
    }
}

/// `barn-2026-06-09.zip`.
pub fn file_name(today: NaiveDate) -> String {
    format!("barn-{today}.zip")
}

/// Named as other programs of the format name theirs.
pub fn locked_name(today: NaiveDate) -> String {
    format!("{}.age", file_name(today))
}

pub const LOCK: &str = "Lock it with a passphrase";
pub const LOCK_SAID: &str =
    "Nobody can open the file without the passphrase, not even you, and it is not kept here. Write it down.";
pub const PASSPHRASE: &str = "Passphrase";
pub const PASSPHRASE_HINT: &str = "Five words or more that have nothing to do with each other or with the barn.";
pub const SHOW_PASSPHRASE: &str = "Show it";
pub const NO_PASSPHRASE: &str = "Type the passphrase first, or untick it.";
pub const UNLOCK: &str = "Unlock";

pub const GIVEN: &str = "Bundle sent or saved.";
pub const NOT_GIVEN: &str = "This browser did not share or save the file. Try again, or use another browser.";

pub const OPEN: &str = "Open a bundle";
pub const OPEN_SAID: &str = "Choose the file, or drop it here. You see what it holds before anything is changed.";
pub const CHOOSE: &str = "Choose a file";
pub const HANDED: &str = "A file was handed to Candlemark, by the share sheet or by another site. Open it only if you were expecting it. Nothing of it has been read yet.";
pub const LOOK_AT_IT: &str = "Look at it";
pub const THROW_AWAY: &str = "Throw it away";
pub const THROWN_AWAY: &str = "Thrown away. Nothing was read or changed.";
pub const NONE_SHARED: &str = "No file has arrived. Share it again, or choose it here.";
pub const TOO_LARGE: &str = "The file is too large to be opened here (512 MB at most), or was cut off on its way. Nothing was changed. A bundle without photos is much smaller: ask for one.";
pub const TAKE: &str = "Take it in";
pub const LEAVE: &str = "Leave it";
pub const JOIN: &str = "Join the two books";
pub const JOIN_SAID: &str = "Only if both are this barn's. Their records are then side by side here, and in bundles.";

pub fn working(percent: u32) -> String {
    format!("{percent} %")
}

/// None when the keeper cancelled it: they know.
pub fn failed(why: &NoBundle) -> Option<String> {
    Some(match why {
        NoBundle::Trouble(trouble) => super::trouble::opening(trouble),
        NoBundle::Failed(Failed::Cancelled) => return None,
        NoBundle::Failed(Failed::Said(said) | Failed::OtherBook(said) | Failed::Locked(said)) => said.clone(),
        NoBundle::Failed(Failed::Ended) => {
            "The bundle could not be worked on: this device is short of memory, or the app is not whole yet. Close other pages, load this one again while online, and try once more. Nothing was changed.".into()
        }
    })
}

pub fn taken(acts: usize) -> String {
    if acts == 0 { "Nothing new in it.".into() } else { format!("{} taken in.", count(acts, "entry", "entries")) }
}

pub const GO_BACK: &str = "Take it back out";
pub const SET_ASIDE: &str = "Set aside";
pub const TAKE_BACK: &str = "Take back in";
pub const ASIDE: &str = "Set aside: kept here, not counted.";
pub const IMPORTS: &str = "Taken in here";

pub fn import(device: &str, acts: usize, when: &str) -> String {
    format!("{} from {device}, {when}", count(acts, "entry", "entries"))
}

pub const WENT_BACK: &str = "Taken back out. Its entries are kept and can be taken back in.";
pub const CAME_BACK: &str = "Taken back in.";

pub const DEVICES: &str = "Devices";
pub const THIS_DEVICE: &str = "This device";
/// The same within a sentence.
pub const THIS_DEVICE_WITHIN: &str = "this device";
pub const STATE: &str =
    "These eight characters stand for all records here. Two devices that show the same eight hold the same records.";
pub const SAME: &str = "Same records as this device.";
pub const NEVER_HEARD: &str = "never heard from directly";

/// A device has no name of its own: it is called by who writes there.
pub fn device(book: &Book, dev: DeviceId, own: Option<DeviceId>) -> String {
    if own == Some(dev) {
        return THIS_DEVICE.to_owned();
    }
    match book.writer_on(dev).map(|by| names::person(book, by)).filter(|name| !name.is_empty()) {
        Some(name) => format!("{name}'s device {}", code(dev)),
        None => format!("device {}", code(dev)),
    }
}

/// What other devices call this one.
pub fn own_code(dev: DeviceId) -> String {
    format!("Others list it as device {}.", code(dev))
}

/// A device that was seen in the shared folder and has entered nothing.
pub fn unwritten(dev: DeviceId) -> String {
    format!("device {}", code(dev))
}

pub const NOTHING_ENTERED: &str = "nothing entered yet";

/// Four characters are enough to tell the devices of a barn apart.
fn code(dev: DeviceId) -> String {
    dev.as_str()[..4].to_owned()
}

pub fn heard(when: &str) -> String {
    format!("last bundle from it {when}")
}

/// When a device last wrote into the shared folder, by its own clock: local time and offset.
pub fn in_folder(made: &str, today: NaiveDate) -> String {
    format!("in the shared folder {}", wall(made, today))
}

/// Entries of a device that it has not signed.
pub fn unsigned(n: usize) -> String {
    format!("{} not verified", count(n, "entry", "entries"))
}

/// The same, as something that was noticed.
pub fn not_verified(n: usize, device: &str) -> String {
    format!(
        "Not verified: {} of {device} without its signature. A bundle made on that device settles it, or its own return to the shared folder.",
        count(n, "entry", "entries")
    )
}

pub fn last_act(when: &str) -> String {
    format!("last entry {when}")
}

pub fn missing(n: usize) -> String {
    format!("{} from it missing here", count(n, "entry", "entries"))
}

/// Milliseconds since 1970 as a day here.
pub fn day_of(ms: u64, today: NaiveDate) -> String {
    crate::clock::day_at(ms).map_or_else(|| super::UNKNOWN.to_owned(), |day| dates::near(day, today))
}

/// A wall time with its offset, as the journal writes it.
fn wall(text: &str, today: NaiveDate) -> String {
    let time = text.get(..16).and_then(|t| NaiveDateTime::parse_from_str(t, "%Y-%m-%dT%H:%M").ok());
    time.map_or_else(|| super::UNKNOWN.to_owned(), |t| dates::moment(t, today))
}

/// A device whose clock is more than a day ahead; when it dates its last entry, in milliseconds since 1970.
pub fn clock_ahead(device: &str, ms: u64, today: NaiveDate) -> String {
    let when = day_of(ms, today);
    format!(
        "The clock of {device} is ahead: it dates its last entry {when}. Its entries are kept; set that clock right."
    )
}

pub fn copied(device: &str) -> String {
    format!("{device} was copied or restored: its entries split in two. Both are kept.")
}

/// One thing the preview says, and whether it needs a second look.
pub struct Line {
    pub text: String,
    pub warn: bool,
}

/// All there is to say of a bundle before it is taken in.
pub fn preview(looked: &Looked, device: impl Fn(DeviceId) -> String, today: NaiveDate) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut say = |warn: bool, text: String| lines.push(Line { text, warn });
    let from = device(looked.from);
    say(false, format!("From {from}, made {}.", wall(&looked.made, today)));
    if looked.new == 0 {
        say(false, format!("Nothing new: all {} were here already.", count(looked.known, "entry", "entries")));
    } else {
        say(false, format!("{} new, {} here already.", count(looked.new, "entry", "entries"), looked.known));
    }
    if !looked.clashes.is_empty() {
        let clashes = count(looked.clashes.len(), "entry differs", "entries differ");
        say(
            true,
            format!(
                "{clashes}: written on two devices that did not know of each other. Nothing is lost: Rounds shows both, and you settle which is right."
            ),
        );
    }
    if looked.settled > 0 {
        say(false, format!("{} settled by it.", count(looked.settled, "difference is", "differences are")));
    }
    for (dev, ms) in &looked.odd_clocks {
        say(true, clock_ahead(&device(*dev), *ms, today));
    }
    for (dev, acts, forged) in &looked.unvouched {
        let (acts, device) = (count(*acts as usize, "entry", "entries"), device(*dev));
        say(
            true,
            match forged {
                true => format!(
                    "Not verified: somebody signed as {device} without its key. Ask who made the bundle before you take it."
                ),
                false => format!(
                    "Not verified: {acts} of {device} without its signature. A bundle made on that device settles it."
                ),
            },
        );
    }
    for (dev, acts) in &looked.missing {
        let acts = count(*acts as usize, "entry", "entries");
        say(true, format!("{acts} of {} will still be missing; ask for a whole bundle from there.", device(*dev)));
    }
    for dev in &looked.forks {
        say(true, copied(&device(*dev)));
    }
    if looked.own_elsewhere {
        say(true, "This device's own records come back from elsewhere: it was copied or restored. All are kept, and from now on it writes under a new id.".into());
    }
    for change in &looked.changes {
        say(false, changes(change, today));
    }
    if !looked.people.is_empty() {
        say(false, format!("{} come with it.", people::details_of(looked.people.len())));
    }
    if looked.erasing > 0 {
        say(
            true,
            format!(
                "{} were erased for good elsewhere. Taken in, the bundle erases them here too.",
                people::details_of(looked.erasing)
            ),
        );
    }
    if looked.photos > 0 {
        say(false, format!("{} with it.", count(looked.photos, "photo comes", "photos come")));
    }
    if looked.their_digest == Some(looked.after_digest) {
        say(false, format!("Afterwards both hold the same records: {}.", looked.after_digest.short()));
    }
    lines
}

/// `Ann, 3 Jun 08:10 to today 21:40: Candled 5, Note 2.`
fn changes(change: &Change, today: NaiveDate) -> String {
    let who = change.name.clone().unwrap_or_else(|| change.by.clone());
    let (from, to) = (wall(&change.from, today), wall(&change.to, today));
    let span = if from == to { from } else { format!("{from} to {to}") };
    let mut acts: Vec<(&String, &u32)> = change.acts.iter().collect();
    acts.sort_by_key(|(_, n)| std::cmp::Reverse(**n));
    let rest: u32 = acts.iter().skip(NAMED).map(|(_, n)| **n).sum();
    let named = acts.into_iter().take(NAMED).map(|(act, n)| format!("{} {n}", daybook::act(act)));
    let rest = (rest > 0).then(|| format!("others {rest}"));
    format!("{who}, {span}: {}.", named.chain(rest).collect::<Vec<_>>().join(", "))
}

/// Acts named of one person, the most frequent first.
const NAMED: usize = 8;

pub const COUNTS: &str = "Records before and after";
pub const COUNTS_OF: &str = "Kind";
pub const BEFORE: &str = "Before";
pub const AFTER: &str = "After";

/// What records of a kind are called, many of them; of a newer version's kind, its word.
pub fn kind_name(word: &str) -> String {
    let Some(kind) = Kind::of(word) else { return word.replace('_', " ") };
    let name = match kind {
        Kind::Person => "People",
        Kind::Place => "Places",
        Kind::Species => "Species",
        Kind::Animal => "Animals",
        Kind::AnimalEvent => "Seen and weighed",
        Kind::Meal => "Meals",
        Kind::Pairing => "Pairings",
        Kind::LockSeen => "Locks seen",
        Kind::Clutch => "Clutches",
        Kind::Egg => "Eggs",
        Kind::Box => "Boxes",
        Kind::Filling => "Box fillings and nests",
        Kind::Move => "Moves",
        Kind::Candling => "Candlings",
        Kind::Water => "Water checks",
        Kind::TakenOut => "Taken out of boxes",
        Kind::Reading => "Temperature readings",
        Kind::Incident => "Incidents",
        Kind::SetPoint => "Set temperatures",
        Kind::ReadingLog => "Logger data",
        Kind::Hatching => "Steps of hatching",
        Kind::StockTaking => "Stock-takings",
        Kind::Note => "Notes",
        Kind::Photo => "Photos",
        Kind::LabelPrint => "Labels printed",
        Kind::Label => "Blank labels",
        Kind::Contact => "Contacts",
        Kind::DetailsErased => "Details erased",
        Kind::Wish => "Waiting list",
        Kind::Hold => "Holds",
        Kind::Rules => "Rules of the barn",
        Kind::Snooze => "Rows put off",
        Kind::Trait => "Traits",
        Kind::Genotype => "Genotypes",
        Kind::Supply => "Supplies",
        Kind::Treatment => "Treatments",
        Kind::Dose => "Doses",
        Kind::Quarantine => "Quarantines",
        Kind::Cooling => "Coolings",
        Kind::BreedingRule => "Rules for breeding",
        Kind::Cleaning => "Cleanings",
        Kind::Cost => "Costs",
        Kind::CleaningRule => "Rules for cleaning",
    };
    name.to_owned()
}

pub const NEW_PHONE: &str = "A new phone, or one that lost its records";
pub const NEW_PHONE_STEPS: [&str; 4] = [
    "On a device that has the records: make a bundle, choose whose details move too, and send it to the new phone.",
    "On the new phone: open Candlemark from its address, put it on the home screen, and open it from there.",
    "In the new phone's Candlemark: More, Backup and sharing, Open a bundle.",
    "Compare the eight characters on both. From then on each writes on its own, and bundles bring them together.",
];
pub const IPHONE: &str = "iPhone: the home-screen app and the browser tab keep separate records";
pub const IPHONE_STEPS: [&str; 3] = [
    "If you began in the browser tab: make a bundle there and save it to Files.",
    "Put the app on the home screen (Share, Add to Home Screen), open it from there, and open the bundle from Files.",
    "From then on use the home-screen app only. The browser may clear a tab's records after a week without a visit.",
];

pub const NAG: &str = "Make a bundle";

/// On Rounds, when the last copy is old; kindly.
pub fn nag(days: Option<u64>) -> String {
    match days {
        None => "No bundle made here yet. One on another device is your backup.".into(),
        Some(days) => format!("The last bundle from here is {days} days old. A fresh one is your backup."),
    }
}

pub fn age(days: u64) -> String {
    match days {
        0 => "last bundle made today".into(),
        1 => "last bundle made yesterday".into(),
        n => format!("last bundle made {n} days ago"),
    }
}
