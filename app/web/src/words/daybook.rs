//! The daybook: acts in words.

use super::{count, units};
use crate::prefs::Prefs;
use book::views::DayLine;
use book::words::{AnimalEventWhat, MealOutcome};
use journal::Entry;

pub const TITLE: &str = "Daybook";
pub const EMPTY: &str =
    "Nothing has been done yet. Whatever you save from now on stands here, newest first, and can be undone.";
pub const READING: &str = "Reading the daybook…";
pub const TO_ROUNDS: &str = "Go to Rounds";
pub const UNDONE: &str = "undone";
pub const UNDO: &str = "Undo";
pub const NONE_FIT: &str = "No act fits. Widen the filter.";
pub const FILTER: &str = "Filter";
pub const FILTER_THING: &str = "Box, animal, clutch or place";
pub const FILTER_PERSON: &str = "Person";
pub const FILTER_DAY: &str = "Day";
pub const ANYBODY: &str = "anybody";
pub const ERASED: &str = "what was erased for good, which does not come back";
pub const FINAL: &str = "cannot be undone";
pub const UNDO_IT: &str = "Undo it";
pub const LEAVE_IT: &str = "Leave it";
pub const UNDO_LOOKS: &str = "Looking what that would change…";

/// What undoing would do to one record.
pub fn consequence(what: &str, changes: &[(String, String)], gone: bool) -> String {
    if gone {
        return format!("{what}: taken back whole.");
    }
    let changes: Vec<String> = changes.iter().map(|(field, value)| format!("{field} back to {value}")).collect();
    format!("{what}: {}.", changes.join(", "))
}

pub fn left_alone(n: usize) -> String {
    format!("{} changed since, and left as it is now.", count(n, "entry was", "entries were"))
}

pub const UNREADABLE: &str = "An act that this version cannot read; it is kept as it came.";

pub fn acts(n: usize) -> String {
    count(n, "act", "acts")
}

pub fn undo_of(what: &str) -> String {
    format!("Undo: {what}")
}

/// `Bel`, `26-014, 26-015`, `Incubator A and 4 more`.
pub fn about(names: &[String]) -> String {
    match names {
        [first, _, _, ..] => format!("{first} and {} more", names.len() - 1),
        few => few.join(", "),
    }
}

/// What was seen of an animal says more than that something was.
pub fn seen(entry: &Entry) -> Option<String> {
    entry.sets.iter().find_map(|set| {
        let field = |name: &str| set.fields.get(name).and_then(|value| value.as_str());
        match set.kind.as_str() {
            "animal_event" => field("what").and_then(AnimalEventWhat::of).map(super::animals::event_button),
            "meal" => {
                field("outcome").and_then(MealOutcome::of).map(|outcome| super::animals::meal(Some(outcome)).to_owned())
            }
            "stock_taking" => {
                let boxes = |name: &str| set.fields.get(name).and_then(|v| v.as_array()).map_or(0, Vec::len);
                Some(super::walk::taken(boxes("seen"), boxes("missing")))
            }
            _ => None,
        }
    })
}

/// What an entry records beside its name: `3 eggs · 1486 g · to Incubator A`.
pub fn details(line: &DayLine, prefs: &Prefs) -> String {
    let eggs = usize::try_from(line.eggs).unwrap_or(0);
    let parts = [
        (eggs > 0).then(|| count(eggs, "egg", "eggs")),
        line.fate.map(|fate| super::eggs::fate(fate).to_owned()),
        line.mass.map(|mass| units::mass(mass, prefs)),
        line.added.map(|added| format!("{} added", units::mass(added, prefs))),
        line.temp.map(|temp| units::temp(temp, prefs)),
        line.to.as_ref().map(|to| format!("to {to}")),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

pub fn happened(when: &str) -> String {
    format!("happened {when}")
}

/// What an act is called.
const ACTS: &[(&str, &str)] = &[
    ("HatchedOut", "Hatched out"),
    ("RackFed", "Rack fed"),
    ("RulesSet", "Rule for the young set"),
    ("Snoozed", "Put off"),
    ("ContactKept", "Somebody's details"),
    ("PersonErased", "Somebody's details erased for good"),
    ("WishNoted", "Wish noted"),
    ("WishClosed", "Wish closed"),
    ("Held", "Held or kept back"),
    ("HoldEnded", "Let go"),
    ("AnimalsPlaced", "Left the barn"),
    ("AnimalAdded", "Animal added"),
    ("AnimalEdited", "Animal edited"),
    ("AnimalEventNoted", "Seen or weighed"),
    ("MealOffered", "Meal offered"),
    ("MealOutcomeSeen", "Meal looked at"),
    ("Paired", "Put together"),
    ("LockSeen", "Lock seen"),
    ("PairingEnded", "Separated"),
    ("PairingEdited", "Pairing edited"),
    ("AgainRuleSet", "Rule for a second clutch"),
    ("AnimalsWeighed", "Several weighed"),
    ("AnimalsSeen", "Seen of several"),
    ("AnimalEventEdited", "Seen or weighed: corrected"),
    ("CandlingEdited", "Candling corrected"),
    ("MealEdited", "Meal corrected"),
    ("Redated", "Date corrected"),
    ("Unswapped", "Swap put right"),
    ("ClutchesParted", "Clutches parted"),
    ("RecordsWithdrawn", "Taken back"),
    ("EggsMeasured", "Eggs measured"),
    ("RackAdded", "Rack added"),
    ("EggsFound", "Eggs found"),
    ("ClutchPulled", "Clutch pulled"),
    ("ClutchEdited", "Clutch edited"),
    ("ClutchesJoined", "Clutches joined as one"),
    ("EggsAdded", "Eggs added"),
    ("EggEdited", "Egg edited"),
    ("BoxSet", "Box set"),
    ("BoxCandled", "Candled"),
    ("StockTaken", "Stock taken"),
    ("WaterChecked", "Water checked"),
    ("TakenOut", "Taken out of the box"),
    ("BaselineReset", "New lid or box weighed"),
    ("BoxEmptied", "Box emptied"),
    ("EggsPipped", "Pipped"),
    ("EggsCut", "Cut"),
    ("EggsOut", "Out"),
    ("EggFate", "Fate of eggs"),
    ("Moved", "Moved"),
    ("Noted", "Note"),
    ("PhotoTaken", "Photo"),
    ("LabelPrinted", "Label printed"),
    ("LabelsPrinted", "Labels printed"),
    ("BlankLabelsMade", "Blank labels made"),
    ("PersonNamed", "Name given"),
    ("PlaceAdded", "Place added"),
    ("PlaceEdited", "Place edited"),
    ("IncubatorAdded", "Incubator added"),
    ("ReadingTaken", "Temperature read"),
    ("ReadingsImported", "Readings brought in"),
    ("SupplySet", "Said how many there are"),
    ("SetPointChanged", "Set to another temperature"),
    ("IncidentNoted", "Incident"),
    ("SpeciesSet", "Species figures"),
    ("SheetBroughtIn", "Brought in from a sheet"),
    ("TraitSet", "Trait"),
    ("GenotypesNoted", "Looks and genotypes"),
    ("ClashSettled", "Clash settled"),
    ("Withdrawn", "Taken back"),
];

/// An act in words; one of a newer version is split at its capitals.
pub fn act(name: &str) -> String {
    if name == "Undone" {
        return "Undone".into();
    }
    match ACTS.iter().find(|(known, _)| *known == name) {
        Some((_, said)) => (*said).to_owned(),
        None => split(name),
    }
}

/// `EggsTurnedOver` → `Eggs turned over`.
fn split(name: &str) -> String {
    let mut said = String::new();
    for (i, c) in name.chars().enumerate() {
        if i > 0 && c.is_ascii_uppercase() {
            said.push(' ');
            said.push(c.to_ascii_lowercase());
        } else {
            said.push(if c == '_' { ' ' } else { c });
        }
    }
    said
}
