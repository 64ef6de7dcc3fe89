//! Rounds.

use super::{dates, units};
use crate::prefs::Prefs;
use book::Kind;
use book::views::Fact;
use chrono::NaiveDateTime;
use trade::window::Stage;

pub const TITLE: &str = "Rounds";
pub const NOW: &str = "Now";
pub const TODAY: &str = "Today";
pub const NOTHING_DUE: &str = "Nothing due.";
pub const SEE_BOXES: &str = "See the boxes";
pub const EMPTY: &str =
    "Your barn is empty. Add your animals and an incubator, pull a clutch, or look round an invented season first.";
pub const ADD_ANIMAL: &str = "Add an animal";
pub const JOIN: &str = "Join a barn";
pub const BRING_IN: &str = "Import a spreadsheet";
pub const FIRST_STEPS: &str = "First steps, one by one";
pub const ADD_INCUBATOR: &str = "Add an incubator";
pub const PULL: &str = "Pull a clutch";
pub const LOOK: &str = "Check";
pub const CANDLE: &str = "Candle";
pub const WATER: &str = "Water";
pub const BOX_IT: &str = "Box it";
pub const CHECK: &str = "Reading";
pub const KEEP_RECORD: &str = "Keep it";
pub const TAKE_RECORD_BACK: &str = "Take it back";
pub const MISSING: &str = "Entries are missing";
pub const OPEN: &str = "Open";
pub const FOUND: &str = "Eggs found";
pub const MEND: &str = "Fix";
pub const DOUBLED: &str = "Duplicates";
pub const FEED: &str = "Feed";
pub const MARK: &str = "Mark";
pub const HAS_SHED: &str = "It has shed";
pub const CANCEL: &str = "Cancel";
pub const SHED_SAVED: &str = "Shed saved.";
pub const TOMORROW: &str = "Tomorrow";
pub const LOOKED: &str = "Nothing yet";
pub const PUT_OFF_SAVED: &str = "Put off until tomorrow.";
pub const LOOKED_SAVED: &str = "Nothing yet: shown again tomorrow.";
pub const WAKE: &str = "Show again";
pub const WOKEN: &str = "Shown again.";
pub const ALL_ROOMS: &str = "All";
pub const PART: &str = "Whose, or which room";
pub const AHEAD: &str = "The days ahead";
pub const AHEAD_TITLE: &str = "The days ahead";
pub const AHEAD_HOW: &str = "What comes due each day, if nothing is done before.";
pub const NOTHING_COMES: &str = "Nothing new.";
pub const CALENDAR: &str = "Calendar file";
pub const CALENDAR_HOW: &str = "For the phone's own calendar: hatch windows, eggs expected, and the water, candlings, meals and holds of two weeks. Opening a newer file updates it.";
pub const NOT_GIVEN: &str = "The browser did not save the file. Try again, or use another browser.";
pub const CALENDAR_NAME: &str = "Candlemark";

/// What a person looks after, and what nobody in particular does.
pub fn looked_after(name: &str) -> String {
    format!("{name}’s")
}

pub fn put_off(n: usize) -> String {
    format!("{n} put off")
}

pub fn until(day: &str) -> String {
    format!("shown again {day}")
}

pub fn hatch_likely(name: &str) -> String {
    format!("{name}: hatching likely")
}

pub fn eggs_likely(name: &str) -> String {
    format!("{name}: eggs likely")
}

pub const LAY_BOX_IN: &str = "Lay box in";
pub const LAY_BOX_SAVED: &str = "Lay box in: saved.";
pub const FIND: &str = "Find an animal, clutch or box";
pub const FIND_SHORT: &str = "Find";
pub const RECENT: &str = "Opened last";
pub const BY_PLACE: &str = "What is where";

pub fn things(n: usize) -> String {
    match n {
        0 => "nothing due".into(),
        n => super::count(n, "thing", "things"),
    }
}

pub fn more(n: usize) -> String {
    format!("{n} more")
}

pub fn title(name: &str, about: &str) -> String {
    if about.is_empty() { name.to_owned() } else { format!("{name} · {about}") }
}

pub fn act_label(act: &str, name: &str) -> String {
    format!("{act}: {name}")
}

pub fn none_found(text: &str) -> String {
    format!("Nothing here is called “{text}”. Check the spelling. It may be on another device.")
}

pub fn clash_title(name: &str) -> String {
    format!("{name}: two different entries. Which is right?")
}

pub fn who(name: &str, day: &str) -> String {
    if name.is_empty() { day.to_owned() } else { format!("{name}, {day}") }
}

pub fn settled(field: &str, value: &str) -> String {
    format!("Settled: {field} {value}.")
}

/// Why a row of a thing of this kind is there.
pub fn fact(kind: Kind, fact: &Fact, now: NaiveDateTime, prefs: &Prefs) -> String {
    let today = now.date();
    match fact {
        Fact::PippedNotOut { letters, hours, long } => {
            let eggs = super::count(letters.len(), "egg", "eggs");
            let again = if *long { ". Check; stragglers take up to a week" } else { "" };
            format!("{eggs} pipped, not out, {hours}\u{a0}h{again}")
        }
        Fact::Straining { .. } => "Straining: call a reptile vet today.".into(),
        Fact::Overdue { due, days } => {
            format!(
                "Eggs were due {}, {} ago: call a reptile vet today.",
                dates::near(*due, today),
                super::count(*days as usize, "day", "days")
            )
        }
        Fact::Temperature { read, set, tolerated, at } => {
            let at = at.map(|w| format!(", {}", dates::when(w, today))).unwrap_or_default();
            let set = set.map(|t| format!(", set {}", units::temp(t, prefs))).unwrap_or_default();
            let beyond = tolerated.map(|(low, high)| {
                format!(
                    ": outside {} to {}, what these eggs tolerate",
                    units::temp(low, prefs),
                    units::temp(high, prefs)
                )
            });
            format!("{}{at}{set}{}", units::temp(*read, prefs), beyond.unwrap_or_default())
        }
        Fact::Dose { what, dose, due, hourly, missed, twice, doubled } => {
            super::care::due((what, dose.as_deref()), (*due, *hourly), (*missed, *twice), *doubled, today)
        }
        Fact::OverMissed { what, dose, missed, twice } => {
            super::care::over_missed((what, dose.as_deref()), *missed, *twice)
        }
        Fact::DosedTwice { what, dose, last } => super::care::dosed_twice((what, dose.as_deref()), *last, today),
        Fact::ToBox { found, eggs } => {
            let eggs = eggs.map(|n| format!("{}, ", super::count(n as usize, "egg", "eggs"))).unwrap_or_default();
            let found = found.map(|w| format!("found {}, ", dates::when(w, today))).unwrap_or_default();
            format!("{eggs}{found}not boxed")
        }
        Fact::LookTonight { stage: Stage::Passed, .. } => {
            "Window passed without a pip: check lay date, temperature and the eggs.".into()
        }
        Fact::LookTonight { likely, .. } => {
            format!("Check tonight, likely {}", dates::range(likely.0.date(), likely.1.date(), today))
        }
        Fact::Water { due, fill_to, last } => {
            let fill = fill_to
                .map(|m| format!("fill to {}", units::mass(m, prefs)))
                .unwrap_or_else(|| "weigh it lid on".into());
            let last = last.map(|w| format!(", last {}", dates::when(w, today))).unwrap_or_default();
            let late =
                if due.date() < today { format!(" (due {})", dates::near(due.date(), today)) } else { String::new() };
            format!("Water: {fill}{last}{late}")
        }
        Fact::LayDue { sign, from, to, own } => {
            let from_to = dates::range(*from, *to, today);
            format!("Look in the lay box: eggs likely {from_to}, {}", super::pairings::basis(*sign, *own))
        }
        Fact::LayBox { shed, from, to } => {
            format!(
                "Pre-lay shed {}: lay box in, eggs likely {}",
                dates::when(*shed, today),
                dates::range(*from, *to, today)
            )
        }
        Fact::Candle { counts, first } => {
            let what = if *first { "First candling" } else { "Candle" };
            format!("{what}, {}", super::boxes::on_day(*counts, now))
        }
        Fact::Feeding { refused, eaten } => {
            let eaten = eaten
                .map(|w| format!("last ate {}", dates::when(w, today)))
                .unwrap_or_else(|| "no meal taken yet".into());
            format!("Refused {}; {eaten}", super::count(*refused as usize, "time", "times"))
        }
        Fact::ShedLate { day } => format!("Day {day}, no shed seen yet"),
        Fact::NoMeal { day, refused: 0 } => format!("Day {day}, no meal taken yet"),
        Fact::NoMeal { day, refused } => {
            format!("Day {day}, no meal taken yet, refused {}", super::count(*refused as usize, "time", "times"))
        }
        Fact::Lost { pct } => format!("Lost {pct} % of its best weight: weigh again, and ask a reptile vet"),
        Fact::FeedRack { due } => format!("{} due a meal", super::count(*due as usize, "hatchling", "hatchlings")),
        Fact::Refusers { fed, given } => format!("{given} fed {}: who refused?", dates::when(*fed, today)),
        Fact::Hold { until, mark } => {
            let mark = mark.as_ref().map_or_else(|| "kept back".to_owned(), |mark| format!("held for {mark}"));
            format!("{mark}, until {}", dates::near(*until, today))
        }
        Fact::Cleaning { tubs, since } => super::cleaning::due(*tubs, *since, today),
        // One that has no clutch has a row of its own.
        Fact::Ready { .. } if kind == Kind::Animal => "Ready by your rule".into(),
        Fact::Ready { ready } => format!("{} by your rule", super::count(*ready as usize, "is ready", "are ready")),
        Fact::Wish { ready } => {
            format!("On the waiting list; {} fit", super::count(*ready, "ready animal would", "ready animals would"))
        }
        Fact::Quarantine { until, .. } => super::care::apart_due(*until, today),
        Fact::Cooling { step, animals, day, temp } => super::cooling::due(*step, *animals, *day, *temp, prefs, today),
        Fact::Clash { fields } => format!(
            "Two different entries: {}",
            fields.iter().map(|f| super::record::field(Some(kind), f)).collect::<Vec<_>>().join(", ")
        ),
        Fact::Doubled { count } => {
            format!("{} in the records twice or in two places", super::count(*count as usize, "thing is", "things are"))
        }
        Fact::MissingActs { count } => {
            format!("{} of another device not here yet", super::count(*count as usize, "entry", "entries"))
        }
    }
}
