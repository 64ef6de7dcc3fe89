//! Egg boxes: the page, candling, water, hatching, moving.

use book::views::{BoxRow, Since, SinceWhat};
use book::words::OpenedAs;
use chrono::NaiveDateTime;
use trade::units::Mass;
use trade::water::ToAdd;

pub const TITLE: &str = "Boxes";
pub const EMPTY: &str = "No egg box yet. Pull a clutch, and its box shows here until the last egg is out.";
pub const PULL: &str = "Pull a clutch";
pub const NOT_BOXED: &str = "Found, not boxed";
pub const IN_USE: &str = "In use";
pub const BOX_IT: &str = "Box it";
pub const NOTE: &str = "Note";
pub const ADD_NOTE: &str = "Add a note";
pub const MORE: &str = "More";
pub const CANDLE: &str = "Candle";
pub const WATER: &str = "Water";
pub const PIPPED: &str = "Pipped";
pub const OUT: &str = "Out";
pub const CANDLE_TITLE: &str = "Candle";
pub const CANDLE_HOW: &str = "Every egg starts as last time. Choose what you see, then tap or draw over those eggs; or tap one egg, then what you see.";
pub const CANDLE_FIRST_HOW: &str = "First candling. Choose what you see, then tap or draw over those eggs; or tap one egg, then what you see. What you do not tap is saved as unsure.";
pub const SEEN_AS: &str = "Seen as";
pub const SAVE_AS_LAST_TIME: &str = "Save: as last time";
pub const SAVE_UNSURE: &str = "Save: all unsure";
pub const CANDLED_UNSURE: &str = "Candled: all unsure.";
pub const PIPPED_TITLE: &str = "Pipped";
pub const PIPPED_HOW: &str = "Tap each egg that has a slit or a head out. Each tap is saved.";
pub const PIP_CARE: &str = "Check again at 48 hours. Leave them be: cutting eggs is for someone trained.";
pub const OUT_TITLE: &str = "Out";
pub const OUT_HOW: &str = "Tap each egg whose baby has walked out. Each tap is saved.";
pub const OUT_CARE: &str = "Leave babies until they walk out and the navel is closed. Damp paper until the first shed.";
pub const NO_EGG_WAITS: &str = "No egg in this box is at this stage.";
pub const WATER_TITLE: &str = "Check water";
pub const FILL_TO: &str = "Fill to";
pub const CLOSED_WITH_LID: &str = "weighed lid on";
pub const NO_BASELINE: &str = "This box has no weight yet. Weigh it lid on; that becomes its target weight.";
pub const ADD_HOW: &str = "At box temperature, at the edge, never on eggs.";
pub const NEW_LID: &str = "New lid or box: make this the new target weight";
pub const MOVE_TITLE: &str = "Move to";
pub const IT_IS_HERE: &str = "it is here";
pub const NO_SHELF: &str = "There is no shelf yet.";
pub const ADD_INCUBATOR: &str = "Add an incubator";
pub const EGGS_TITLE: &str = "What became of eggs";
pub const EGGS_HOW: &str = "Tap the eggs, then say what became of them.";
pub const WEIGHED_HOW: &str = "Keeps the target weight right once they are out.";
pub const WHY: &str = "Why";
pub const CHOOSE_EGGS: &str = "Tap at least one egg first.";
pub const LABEL: &str = "Label";
pub const MOVE: &str = "Move";
pub const EGGS: &str = "Remove eggs";
pub const CANDLING: &str = "Candling";
pub const HATCHING: &str = "Pipped and out";
pub const SETUP: &str = "How it was set";
pub const SETUP_HOW: &str = "What was noted when the box was set. Only what you change is saved.";
pub const SETUP_SAVED: &str = "Saved: how the box was set.";
pub const BOX_NAME: &str = "Name on the box itself";
pub const BOX_NAME_HOW: &str = "Only if you name your boxes: pick a name, or type a new one.";
pub const TAKEN: &str = "Taken out, put in";
pub const TAKEN_HOW: &str = "Anything but water and eggs: medium, a stone, a thermometer. The target weight follows.";
pub const TAKEN_WHAT: &str = "What";
pub const TAKEN_OUT: &str = "taken out";
pub const PUT_IN: &str = "put in";
pub const TAKEN_WHICH: &str = "Which way";
pub const CUT_BY_HAND: &str = "Opened by hand, not pipped";
pub const CUT_MORE: &str = "Shells opened by hand";
pub const OPENED_HOW: &str = "How it was opened";
pub const OPENED_WHY: &str = "Why";
pub const OPENED_FOUND: &str = "What was seen in it";

/// The last says nothing of it.
pub fn opened_choices() -> Vec<(Option<OpenedAs>, String)> {
    let told = OpenedAs::ALL.iter().map(|opened| (Some(*opened), super::animals::capital(opened_as(*opened))));
    told.chain([(None, "Not said".to_owned())]).collect()
}

pub fn opened_as(opened: OpenedAs) -> &'static str {
    match opened {
        OpenedAs::Window => "a window to look in",
        OpenedAs::Slit => "a slit to come out by",
    }
}

pub fn cut(letter: &str) -> String {
    format!("Egg {letter} opened by hand: saved.")
}

pub fn taken(mass: &str, out: bool) -> String {
    if out { format!("Saved: {mass} taken out.") } else { format!("Saved: {mass} put in.") }
}

/// `12 g taken out: moss`.
pub fn taken_line(mass: &str, out: bool, what: &str) -> String {
    let what = if what.is_empty() { String::new() } else { format!(": {what}") };
    format!("{mass} {}{what}", if out { TAKEN_OUT } else { PUT_IN })
}

pub fn moved_to(place: &str) -> String {
    format!("to {place}")
}

pub const TAKINGS: &str = "Taken out and put in";
pub const MOVES: &str = "Moved";
pub const NOTES: &str = "Notes and photos";
pub const NOT_CANDLED: &str = "Not candled yet.";
pub const AS_LAST_TIME: &str = "as last time";
pub const NO_BOX: &str = "This box is not on this device. It may be another barn's, or on another device.";
pub const NO_CLUTCH: &str = "This clutch is not on this device. It may be on another one.";
pub const EMPTY_IT: &str = "Box is empty: close it";
pub const CLOSED_NOW: &str = "Box closed.";

pub fn candled(changes: usize) -> String {
    match changes {
        0 => "Candled: all as last time.".into(),
        1 => "Candled: one egg changed.".into(),
        n => format!("Candled: {n} eggs changed."),
    }
}

pub fn save_changes(n: usize) -> String {
    format!("Save: {} changed", super::count(n, "egg", "eggs"))
}

pub fn pipped(letter: &str) -> String {
    format!("Egg {letter} pipped: saved.")
}

pub fn out(letter: &str) -> String {
    format!("Egg {letter} out: saved.")
}

pub fn moved(to: &str) -> String {
    format!("Moved to {to}.")
}

pub fn new_baseline(mass: &str) -> String {
    format!("Saved: fill to {mass} from now on.")
}

pub fn water_saved(reading: &str, added: Option<String>) -> String {
    match added {
        Some(added) => format!("Saved: {reading}, {added} water added."),
        None => format!("Saved: {reading}, no water added."),
    }
}

/// What to do about a reading.
pub fn advice(to_add: ToAdd, show: impl Fn(Mass) -> String) -> String {
    match to_add {
        ToAdd::Add(mass) => format!("Add {}", show(mass)),
        ToAdd::Enough => "No water now".into(),
        ToAdd::Heavier(by) => format!("{} over the target weight: condensation, or an error?", show(by)),
    }
}

pub fn fate_saved(n: usize, fate: &str) -> String {
    format!("{} {fate}: saved.", super::count(n, "egg", "eggs"))
}

pub fn day_number(days: i64) -> String {
    if days < 0 { "Not laid yet".into() } else { format!("Day {days}") }
}

/// `Day 12`, `About day 19`, `Day 12 since found`: no day of a laying that nobody knows.
pub fn day(since: Since, now: NaiveDateTime) -> String {
    match (since.what, since.days(now)) {
        (SinceWhat::Found, days) => format!("Day {days} since found"),
        (SinceWhat::LaidAbout, days @ 0..) => format!("About day {days}"),
        (SinceWhat::LaidAbout | SinceWhat::Laid, days) => day_number(days),
    }
}

/// The same within a sentence.
pub fn on_day(since: Since, now: NaiveDateTime) -> String {
    let mut said = day(since, now);
    if let Some(first) = said.get_mut(..1) {
        first.make_ascii_lowercase();
    }
    said
}

pub const NO_PLACE: &str = "on no shelf";
pub const EGGS_WORD: &str = "Eggs";
pub const IS_CLOSED: &str = "This box has been emptied and closed.";
pub const NOT_WEIGHED_SINCE: &str = "not weighed since it was set";

pub fn clutch_link(number: &str) -> String {
    format!("Clutch {number}")
}

pub fn eggs_in(n: u32) -> String {
    format!("{n} in")
}

pub fn more(n: usize) -> String {
    format!("{n} more")
}

pub fn last_water(mass: &str, when: &str, added: Option<String>) -> String {
    match added {
        Some(added) => format!("{mass}, {when}; {added} added"),
        None => format!("{mass}, {when}; no water added"),
    }
}

/// `4 veins · 2 pipped · 1 slug`, in the order first met.
pub fn states(signs: impl Iterator<Item = crate::ui::Sign>) -> String {
    let mut counts: Vec<(&str, usize)> = Vec::new();
    for sign in signs {
        let word = super::eggs::sign(sign);
        match counts.iter_mut().find(|(w, _)| *w == word) {
            Some((_, n)) => *n += 1,
            None => counts.push((word, 1)),
        }
    }
    counts.iter().map(|(word, n)| format!("{n} {word}")).collect::<Vec<_>>().join(" · ")
}

pub const NO_NOTES: &str = "No note yet.";

pub fn nth_box(n: usize, all: usize) -> String {
    format!("box {n} of {all}")
}

pub const SEASON: &str = "Season";

pub fn in_use(n: usize) -> String {
    format!("{n} in use")
}

pub fn found_line(parents: &str, when: &str) -> String {
    format!("{parents} · found {when}")
}

/// `26-014 · LGC`.
pub fn row_title(numbers: &[String], species: &[String]) -> String {
    let numbers = if numbers.is_empty() { "Empty box".to_string() } else { numbers.join(" + ") };
    if species.is_empty() { numbers } else { format!("{numbers} · {}", species.join(", ")) }
}

pub fn row_line(row: &BoxRow, now: NaiveDateTime, window: &str) -> String {
    let day = row.since.map(|since| format!("{} · ", day(since, now))).unwrap_or_default();
    format!("{day}{} · {window}", super::mother::eggs(row))
}
