//! The daybook: acts in words.

use super::{count, units};
use crate::prefs::Prefs;
use book::acts::ActKind;
use book::views::DayLine;
use book::words::{AnimalEventWhat, MealOutcome, ShedAs};
use journal::Entry;

pub const TITLE: &str = "Daybook";
pub const EMPTY: &str = "Nothing yet. Whatever you save shows here, newest first, and can be undone.";
pub const READING: &str = "Reading the daybook…";
pub const TO_ROUNDS: &str = "Go to Rounds";
pub const UNDONE: &str = "undone";
pub const UNDO: &str = "Undo";
pub const NONE_FIT: &str = "No entry matches. Widen the filter.";
pub const FILTER: &str = "Filter";
pub const FILTER_THING: &str = "Box, animal, clutch or place";
pub const FILTER_PERSON: &str = "Person";
pub const FILTER_DAY: &str = "Day";
pub const ANYBODY: &str = "anybody";
pub const ERASED: &str = "what was erased for good (that stays gone)";
pub const FINAL: &str = "cannot be undone";
pub const UNDO_IT: &str = "Undo it";
pub const LEAVE_IT: &str = "Leave it";
pub const UNDO_LOOKS: &str = "Checking what that would change…";

/// What undoing would do to one record.
pub fn consequence(what: &str, changes: &[(String, String)], gone: bool) -> String {
    if gone {
        return format!("{what}: taken back completely.");
    }
    let changes: Vec<String> = changes.iter().map(|(field, value)| format!("{field} back to {value}")).collect();
    format!("{what}: {}.", changes.join(", "))
}

pub fn left_alone(n: usize) -> String {
    format!("{} changed since, and left as it is now.", count(n, "entry was", "entries were"))
}

pub const UNREADABLE: &str = "An entry this version cannot read; it is kept as it came.";

pub fn acts(n: usize) -> String {
    count(n, "entry", "entries")
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
            "animal_event" => field("what")
                .and_then(AnimalEventWhat::of)
                .map(|what| super::animals::event_seen(what, field("shed").and_then(ShedAs::of))),
            // Said with the clutch it began with or completes; what is changed of one later is told by the act.
            "filling" => field("brooded").map(|_| super::mother::LEFT.to_owned()),
            "meal" => {
                field("outcome").and_then(MealOutcome::of).map(|outcome| super::animals::meal(Some(outcome)).to_owned())
            }
            "dose" => {
                let left_out = set.fields.get("left_out").is_some_and(|value| value == true);
                left_out.then(|| super::care::LEFT_OUT.to_owned())
            }
            "cleaning" => {
                let spot = set.fields.get("spot").is_some_and(|value| value == true);
                spot.then(|| super::cleaning::SPOT.to_owned())
            }
            "cost" => Some(super::money::cost(field("what")?, field("amount")?)),
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

/// An act in words; one of a newer version is split at its capitals.
pub fn act(name: &str) -> String {
    match ActKind::of(name) {
        Some(act) => called(act).to_owned(),
        None => split(name),
    }
}

/// What an act is called.
fn called(act: ActKind) -> &'static str {
    match act {
        ActKind::HatchedOut => "Hatched out",
        ActKind::PriceAsked => "Price asked",
        ActKind::CostNoted => "Cost",
        ActKind::CostEdited => "Cost corrected",
        ActKind::CurrencySet => "Currency set",
        ActKind::RackFed => "Rack fed",
        ActKind::RulesSet => "Rule for hatchlings set",
        ActKind::Snoozed => "Put off",
        ActKind::ContactKept => "Somebody's details",
        ActKind::PersonErased => "Somebody's details erased for good",
        ActKind::WishNoted => "Added to the waiting list",
        ActKind::WishClosed => "Taken off the waiting list",
        ActKind::WishEdited => "Waiting list corrected",
        ActKind::Held => "Held or kept back",
        ActKind::HoldEnded => "Hold released",
        ActKind::HoldEdited => "Hold corrected",
        ActKind::AnimalsPlaced => "Left the barn",
        ActKind::AnimalAdded => "Animal added",
        ActKind::AnimalEdited => "Animal edited",
        ActKind::AnimalEventNoted => "Seen or weighed",
        ActKind::MealOffered => "Meal offered",
        ActKind::MealOutcomeSeen => "Meal outcome",
        ActKind::Paired => "Put together",
        ActKind::LockNoted => "Lock seen",
        ActKind::PairingEnded => "Separated",
        ActKind::PairingEdited => "Pairing edited",
        ActKind::AgainRuleSet => "Rule for a second clutch",
        ActKind::AnimalsWeighed => "Several weighed",
        ActKind::AnimalsSeen => "Seen on several",
        ActKind::AnimalEventEdited => "Seen or weighed: corrected",
        ActKind::CandlingEdited => "Candling corrected",
        ActKind::MealEdited => "Meal corrected",
        ActKind::Redated => "Date corrected",
        ActKind::Unswapped => "Swap corrected",
        ActKind::ClutchesParted => "Clutches split",
        ActKind::RecordsWithdrawn => "Taken back",
        ActKind::EggsMeasured => "Eggs measured",
        ActKind::RackAdded => "Rack added",
        ActKind::EggsFound => "Eggs found",
        ActKind::ClutchPulled => "Clutch pulled",
        ActKind::ClutchEdited => "Clutch edited",
        ActKind::ClutchesJoined => "Clutches joined as one",
        ActKind::EggsAdded => "Eggs added",
        ActKind::EggEdited => "Egg edited",
        ActKind::BoxSet => "Box set",
        ActKind::BoxCandled => "Candled",
        ActKind::StockTaken => "Stock taken",
        ActKind::WaterChecked => "Water checked",
        ActKind::TakenOut => "Taken out of the box",
        ActKind::BaselineReset => "New lid or box weighed",
        ActKind::BoxEmptied => "Emptied",
        ActKind::EggsPipped => "Pipped",
        ActKind::EggsCut => "Opened by hand",
        ActKind::OpeningEdited => "Opening corrected",
        ActKind::EggsOut => "Out",
        ActKind::EggFate => "Fate of eggs",
        ActKind::Moved => "Moved",
        ActKind::Noted => "Note",
        ActKind::PhotoTaken => "Photo",
        ActKind::PhotoEdited => "Photo edited",
        ActKind::FaceChosen => "Photo chosen for the lists",
        ActKind::LabelPrinted => "Label printed",
        ActKind::LabelsPrinted => "Labels printed",
        ActKind::BlankLabelsMade => "Blank labels made",
        ActKind::PersonNamed => "Name given",
        ActKind::PlaceAdded => "Place added",
        ActKind::PlaceEdited => "Place edited",
        ActKind::IncubatorAdded => "Incubator added",
        ActKind::ReadingTaken => "Temperature read",
        ActKind::ReadingsImported => "Logger data imported",
        ActKind::TreatmentOrdered => "Treatment ordered",
        ActKind::TreatmentEdited => "Treatment corrected",
        ActKind::BreedingRuleSet => "Rule for who may breed",
        ActKind::CoolingSet => "Cooling planned or begun",
        ActKind::CoolingEdited => "Cooling begun, ended or corrected",
        ActKind::CoolingRuleSet => "Rule for after cooling",
        ActKind::SetApart => "Set apart",
        ActKind::QuarantineEdited => "Quarantine corrected or ended",
        ActKind::DoseEdited => "Dose corrected",
        ActKind::DoseNoted => "Dose",
        ActKind::TubsCleaned => "Cleaned",
        ActKind::CleaningEdited => "Cleaning corrected",
        ActKind::CleaningRuleSet => "Rule for cleaning",
        ActKind::SupplySet => "Said how many there are",
        ActKind::SetPointChanged => "Set temperature changed",
        ActKind::IncidentNoted => "Incident",
        ActKind::SpeciesSet => "Species figures",
        ActKind::SheetBroughtIn => "Imported from a spreadsheet",
        ActKind::TraitSet => "Trait",
        ActKind::FolliclesNoted => "Looked for follicles",
        ActKind::GenotypesNoted => "Looks and genotypes",
        ActKind::ClashSettled => "Clash settled",
        ActKind::Withdrawn => "Taken back",
        ActKind::BoxEdited => "Setting corrected",
        ActKind::ReadingEdited => "Reading corrected",
        ActKind::SetPointEdited => "Set temperature corrected",
        ActKind::IncidentEdited => "Incident corrected",
        ActKind::WaterEdited => "Water check corrected",
        ActKind::TakenOutEdited => "Taken out of the box: corrected",
        ActKind::NoteEdited => "Note edited",
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
