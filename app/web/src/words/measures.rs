//! A clutch's record and its measures.

use super::units;
use crate::prefs::Prefs;
use book::views::{Measures, Others};
use trade::measures::Fertility;
use trade::units::Mass;

pub const TITLE: &str = "Measures";
pub const EDIT: &str = "Edit clutch";
pub const MEASURE: &str = "Measure eggs";
pub const WHAT: &str = "Measure";
pub const THIS: &str = "This clutch";
pub const HERS: &str = "Her others";
pub const BARN: &str = "Barn's others";

pub const EDIT_TITLE: &str = "Edit the clutch";
pub const NUMBER: &str = "Number";
pub const CLUTCH_MASS_HINT: &str =
    "All eggs together, on the day they were laid where that can be: eggs drink and grow heavier.";
pub const MORE: &str = "More: found, how it came, note";
pub const CAME: &str = "The eggs were";
pub const LAID_HERE: &str = "laid here";
pub const BOUGHT: &str = "bought as eggs";
pub const NOTE: &str = "Note";
pub const SAVED: &str = "Clutch saved.";

pub const SAME_AS: &str = "The same clutch is in the records twice";
pub const OTHER: &str = "Its other record";
pub const NO_OTHER: &str = "choose";
pub const CHOOSE_OTHER: &str = "Choose its other record first.";

pub const NO_EGGS: &str = "There is no egg to measure. Pull the clutch first.";
pub const EGG: &str = "Egg";
pub const LENGTH: &str = "Length";
pub const WIDTH: &str = "Width";
pub const MASS: &str = "Mass";
pub const KEEP_UP: &str = "Keep the side that is up, up; a stuck clump stays whole.";
pub const SOME_WILL_DO: &str = "Any few eggs will do; leave the others empty.";
pub const MEASURED: &str = "Measures saved.";

pub fn cell(letter: &str, what: &str) -> String {
    format!("Egg {letter}: {}", what.to_lowercase())
}

/// One measure beside those of other clutches.
pub struct Row {
    pub what: &'static str,
    pub this: String,
    pub hers: String,
    pub barn: String,
}

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// `86 % (6 of 7; 1 not judged)`; nothing where nobody judged an egg.
fn fertile(f: Fertility) -> Option<String> {
    let more = if f.unjudged > 0 { format!("; {} not judged", f.unjudged) } else { String::new() };
    (f.judged > 0).then(|| {
        let share = percent(f64::from(f.fertile) / f64::from(f.judged));
        format!("{share} ({} of {}{more})", f.fertile, f.judged)
    })
}

/// ` 6 of 7 fertile; 1 not judged.`; of eggs that are not there nothing.
pub fn fertile_said(f: Fertility) -> String {
    match (f.judged, f.unjudged) {
        (0, 0) => String::new(),
        (0, none) => format!(" Fertile: none of {none} judged yet."),
        (judged, 0) => format!(" {} of {judged} fertile.", f.fertile),
        (judged, left) => format!(" {} of {judged} fertile; {left} not judged.", f.fertile),
    }
}

pub fn rows(m: &Measures, prefs: &Prefs) -> Vec<Row> {
    let other =
        |of: &Option<Others>, say: &dyn Fn(&Others) -> Option<String>| of.as_ref().and_then(say).unwrap_or_default();
    let row = |what: &'static str, this: String, say: &dyn Fn(&Others) -> Option<String>| Row {
        what,
        this,
        hers: other(&m.hers, say),
        barn: other(&m.barn, say),
    };
    let none = |_: &Others| None;
    let mut rows = Vec::new();
    if let Some(eggs) = m.eggs {
        rows.push(row("Eggs", format!("{eggs} (usual {}–{})", m.usual_eggs.0, m.usual_eggs.1), &|o| {
            o.eggs.map(|n| format!("{n:.1}"))
        }));
    }
    if let Some(this) = fertile(m.fertility) {
        rows.push(row("Fertile, of judged", this, &|o| fertile(o.fertility)));
    }
    if let Some(weighed) = m.weighed {
        rows.push(row("Clutch mass", units::mass(weighed.mass, prefs), &none));
    }
    if let Some(relative) = m.relative {
        rows.push(row("of gravid dam", percent(relative.of_gravid), &|o| o.of_gravid.map(percent)));
        let spent = |o: &Others| trade::measures::RelativeClutchMass::spent_share(o.of_gravid?).map(percent);
        rows.push(row("of spent dam", percent(relative.of_spent), &spent));
    }
    if let Some(mass) = m.egg_mass {
        let said = |mass: Mass| units::mass(mass, prefs);
        rows.push(row("One egg", said(mass), &|o| o.egg_mass.map(said)));
    }
    if let Some(size) = m.size {
        rows.push(row("Egg size", format!("{:.1} × {:.1} mm", size.length, size.width), &none));
        let v = size.volume;
        let this = format!("{:.1} cm³ ({:.1}–{:.1})", v.ellipsoid_cm3, v.bicone_cm3, v.cylinder_cm3);
        rows.push(row("Egg volume", this, &none));
    }
    rows
}

/// What the figures stand on.
pub fn cautions(m: &Measures) -> Vec<String> {
    let mut said = Vec::new();
    if m.relative.is_some() && !m.both_weights {
        said.push("The dam was weighed once; the other weight is hers less or more the clutch.".to_owned());
    }
    if let Some(days) = m.weighed.and_then(|weighed| weighed.days_after).filter(|days| *days > 2) {
        said.push(format!("Weighed {days} days after laying: the eggs had drunk, so the mass reads high."));
    }
    if let Some(size) = m.size {
        let eggs = super::count(size.measured as usize, "egg", "eggs");
        said.push(format!("Size from {eggs}; the volume as an ellipsoid, between two cones and a cylinder."));
    }
    if m.eggs.is_some() {
        said.push("Usual eggs: common practice, no source.".to_owned());
    }
    said
}
