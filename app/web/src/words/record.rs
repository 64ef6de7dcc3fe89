//! Observations as lines of text: what, when, by whom.

use super::{boxes, dates, eggs, names, units};
use crate::prefs::Prefs;
use book::records::{Move, TakenOut};
use book::views::{BoxWarning, CandlingLine, CheckLine, HatchLine, NoteLine};
use book::words::Seen;
use book::{Book, Kind, Thing, Where, Written};
use chrono::NaiveDate;
use serde_json::Value;
use std::collections::BTreeMap;
use trade::units::{Mass, Temp};
use trade::when::When;

/// `· today 06:40, by Wren`.
pub fn by(book: &Book, written: Option<&Written>, when: &str) -> String {
    match written.map(|w| names::person(book, &w.by)).filter(|n| !n.is_empty()) {
        Some(name) => format!("· {when}, by {name}"),
        None => format!("· {when}"),
    }
}

fn moment(when: Option<When>, today: NaiveDate) -> String {
    when.map(|w| dates::when(w, today)).unwrap_or_default()
}

/// An observation as a line: what, when and by whom, and the record it stands on.
pub type Line = (String, String, Thing);

/// Each look into a box, newest first: what changed since the one before, and when, by whom.
pub fn candlings(book: &Book, looks: &[CandlingLine], today: NaiveDate) -> Vec<Line> {
    let line = |look: &CandlingLine| {
        let mut groups: BTreeMap<Seen, Vec<String>> = BTreeMap::new();
        for change in &look.changes {
            groups.entry(change.to).or_default().push(change.letter.clone());
        }
        let changes: Vec<String> = groups
            .into_iter()
            .map(|(seen, mut letters)| {
                letters.sort_by_key(|l| (l.len(), l.clone()));
                format!("{} {}", runs(&letters), eggs::seen(seen))
            })
            .collect();
        let text = match look.note.as_ref().filter(|n| !n.is_empty()) {
            Some(note) if changes.is_empty() => note.clone(),
            Some(note) => format!("{}. {note}", changes.join(", ")),
            None if changes.is_empty() => boxes::AS_LAST_TIME.to_string(),
            None => changes.join(", "),
        };
        (text, by(book, look.written.as_ref(), &moment(look.when, today)), look.id.thing())
    };
    looks.iter().map(line).collect()
}

pub fn notes(book: &Book, notes: &[NoteLine], today: NaiveDate) -> Vec<Line> {
    let line = |n: &NoteLine| (n.text.clone(), by(book, n.written.as_ref(), &moment(n.when, today)), n.id.thing());
    notes.iter().map(line).collect()
}

/// `B pipped`, newest first.
pub fn hatchings(book: &Book, steps: &[HatchLine], today: NaiveDate) -> Vec<Line> {
    let line = |step: &HatchLine| {
        let mut text = format!("{} {}", step.letter, eggs::step(step.step));
        let opened = step.opened.map(|opened| super::boxes::opened_as(opened).to_owned());
        for more in [opened, step.why.clone(), step.found.clone()].into_iter().flatten() {
            text = format!("{text}; {more}");
        }
        (text, by(book, step.written.as_ref(), &moment(step.when, today)), step.id.thing())
    };
    steps.iter().map(line).collect()
}

/// `1481 g; 5 g added`, newest first.
pub fn waters(book: &Book, checks: &[CheckLine], prefs: &Prefs, today: NaiveDate) -> Vec<Line> {
    let line = |check: &CheckLine| {
        let mass = check.mass.map(|mass| units::mass(mass, prefs)).unwrap_or_default();
        let text = match check.added {
            Some(added) => format!("{mass}; {} added", units::mass(added, prefs)),
            None => mass,
        };
        (text, by(book, check.written.as_ref(), &moment(check.when, today)), check.id.thing())
    };
    checks.iter().map(line).collect()
}

/// `to Incubator A, shelf 2`, newest first.
pub fn moves<'a>(book: &Book, moves: impl Iterator<Item = &'a Move>, today: NaiveDate) -> Vec<Line> {
    let line = |mv: &Move| {
        let to = match &mv.to {
            Some(Where::Place(place)) => names::place(book, place),
            Some(Where::Filling(filling)) => names::filling(book, filling),
            Some(Where::Dam | Where::Unknown) | None => super::UNKNOWN.to_owned(),
        };
        let written = book.written(&mv.id.thing());
        (boxes::moved_to(&to), by(book, written.as_ref(), &moment(mv.when, today)), mv.id.thing())
    };
    moves.map(line).collect()
}

/// `12 g taken out: moss`, newest first.
pub fn taken<'a>(book: &Book, taken: impl Iterator<Item = &'a TakenOut>, prefs: &Prefs, today: NaiveDate) -> Vec<Line> {
    let line = |taken: &TakenOut| {
        let mass = taken.mass.unwrap_or_default();
        let weighs = units::mass(Mass(mass.0.saturating_abs()), prefs);
        let text = boxes::taken_line(&weighs, mass >= Mass::ZERO, taken.what.as_deref().unwrap_or_default());
        let written = book.written(&taken.id.thing());
        (text, by(book, written.as_ref(), &moment(taken.when, today)), taken.id.thing())
    };
    taken.map(line).collect()
}

/// `1481 g, Sun 7 Jun; 5 g added`.
pub fn last_water(check: Option<&CheckLine>, prefs: &Prefs, today: NaiveDate) -> String {
    let Some(check) = check else { return boxes::NOT_WEIGHED_SINCE.to_string() };
    let mass = check.mass.map(|m| units::mass(m, prefs)).unwrap_or_default();
    boxes::last_water(&mass, &moment(check.when, today), check.added.map(|a| units::mass(a, prefs)))
}

/// What to heed about a box.
pub fn box_warning(warning: &BoxWarning, prefs: &Prefs) -> String {
    let degrees = |c: f64| Temp::from_celsius(c).map(|t| units::temp(t, prefs)).unwrap_or_default();
    match warning {
        BoxWarning::SumOff { number, counted, in_book } => {
            format!("{number}: {counted} eggs were counted, the records hold {in_book}. Correct the count or the eggs.")
        }
        BoxWarning::Clash { .. } => "Two people wrote different things here. Rounds shows both; choose one.".into(),
        BoxWarning::NotTolerated { celsius, low, high } => format!(
            "{} now; this species is kept at {} to {}. Check the thermostat against a second thermometer.",
            degrees(*celsius),
            degrees(*low),
            degrees(*high)
        ),
        BoxWarning::NoShelf => "Not on any shelf: no temperature, no hatch window. Move it to its shelf.".into(),
        BoxWarning::NoNest => super::mother::NO_NEST.into(),
        BoxWarning::NeverWeighed => "Never weighed: weigh it once lid on, and you can check water by weight.".into(),
        BoxWarning::Unweighed { times } => {
            format!(
                "Something was taken out unweighed {}: the target weight is too high by that much. Reweigh the box.",
                super::count(*times as usize, "time", "times")
            )
        }
        BoxWarning::Dying { bad, of } => format!("{bad} of {of} shelled eggs are dead or going bad."),
        BoxWarning::PippedLong { letters, hours } => {
            format!(
                "{} pipped {hours}\u{a0}h ago and not out. Check; most come by themselves, stragglers take up to a week.",
                runs(letters)
            )
        }
        BoxWarning::NumberTwice { number } => format!("Another clutch also has the number {number}."),
        BoxWarning::HatchRateFalls { celsius, percent } => format!(
            "About {} on the whole: in published clutches kept so, {percent} % fewer eggs hatched than at the best temperature.",
            degrees(*celsius)
        ),
        BoxWarning::LaidOpen { days } => {
            format!(
                "The lay date is open by {days} days, which widens the window. If you know better, correct it in the clutch."
            )
        }
        BoxWarning::WindowPassed => "The hatch window has passed without a pip.".into(),
    }
}

/// `A–E, G` for letters in order.
fn runs(letters: &[String]) -> String {
    let single = |l: &String| (l.len() == 1).then(|| l.as_bytes()[0]);
    let mut out: Vec<String> = Vec::new();
    let mut i = 0;
    while i < letters.len() {
        let mut j = i;
        while j + 1 < letters.len() && single(&letters[j]).zip(single(&letters[j + 1])).is_some_and(|(a, b)| b == a + 1)
        {
            j += 1;
        }
        match j - i {
            0 => out.push(letters[i].clone()),
            1 => out.push(format!("{}, {}", letters[i], letters[j])),
            _ => out.push(format!("{}–{}", letters[i], letters[j])),
        }
        i = j + 1;
    }
    out.join(", ")
}

/// A field of a record, as a person calls it; of a kind or a field that a newer version has, its name.
pub fn field(kind: Option<Kind>, name: &str) -> String {
    let known = kind.and_then(|kind| kind.fields().iter().find(|field| field.name == name));
    match (kind, name) {
        // The format's names stay as they are for other programs.
        (Some(Kind::Filling), "closed_mg") => "box weight, lid on".into(),
        (Some(Kind::Clutch), "dud") => "bad eggs".into(),
        (Some(Kind::Contact), "mark") => "reference".into(),
        _ => known.map_or_else(|| name.replace('_', " "), |field| field.said().into_owned()),
    }
}

/// A stored value as a person reads it: names for ids, masses and temperatures in this device's units, days in words.
pub fn value(book: &Book, field: &str, value: &Value, prefs: &Prefs, today: NaiveDate) -> String {
    let said = |value: &Value| self::value(book, field, value, prefs, today);
    let whole = |number: &serde_json::Number| number.as_i64();
    match value {
        // Details and pictures lie beside the records, which hold their digest.
        Value::String(text) if is_digest(text) => "what was kept then".into(),
        // What a label's code holds is an address with an id in it.
        Value::String(_) if field == "payload" => "as printed".into(),
        // Photos have no names; what tells two of one animal apart is their day.
        Value::String(text) if field == "face" => {
            let taken = book.photo(&text.as_str().into()).and_then(|photo| photo.when);
            taken.map_or_else(
                || book.short_name(&Thing::new(Kind::Photo, text.as_str())),
                |when| dates::when(when, today),
            )
        }
        Value::String(text) if field == "species" => book.species_of(Some(text)).name.to_string(),
        Value::String(text) => match text.parse::<When>() {
            Ok(when) if text.len() >= 10 => dates::when(when, today),
            _ => book::views::named(book, text).unwrap_or_else(|| text.clone()),
        },
        Value::Null => "nothing".into(),
        Value::Bool(yes) => if *yes { "yes" } else { "no" }.into(),
        Value::Number(number) => match whole(number) {
            Some(mg) if field.ends_with("_mg") => units::mass(Mass(mg), prefs),
            Some(cc) if field.ends_with("_cc") => {
                i32::try_from(cc).map(|cc| units::temp(Temp(cc), prefs)).unwrap_or_default()
            }
            Some(um) if field.ends_with("_um") => prefs.units().length(um),
            _ => number.to_string(),
        },
        Value::Array(list) => list.iter().map(said).collect::<Vec<_>>().join(", "),
        Value::Object(map) => {
            let key = |key: &str| book::views::named(book, key).unwrap_or_else(|| key.to_owned());
            map.iter().map(|(name, value)| format!("{} {}", key(name), said(value))).collect::<Vec<_>>().join(", ")
        }
    }
}

fn is_digest(text: &str) -> bool {
    text.len() == 64 && text.bytes().all(|byte| byte.is_ascii_hexdigit())
}
