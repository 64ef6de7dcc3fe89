//! An egg's page, many eggs under the caliper, and eggs that leave a box.

use crate::day::in_field;
use crate::entry::{Entry, Field, Gather, Wrong};
use crate::measure::{Ask, Measure, Units};
use book::EggId;
use book::acts::{EggCard, EggEdited, EggFate, EggMeasure, EggsMeasured};
use book::records::Egg;
use book::words::Fate;
use chrono::NaiveDate;
use trade::units::Mass;
use trade::when::When;

/// 1 to 500 mm, as the sums about eggs take them; an egg here is 10 to 150 mm (common practice).
fn length(label: &str) -> Ask {
    Ask::new(label, Measure::Length, (1_000, 500_000)).likely(5_000, 150_000)
}

/// Of one egg: 1 to 300 g is likely, and none weighs 5 kg (common practice, no source). So `11.234` is eleven grams, and
/// `1.234` is asked.
fn egg_mass(label: &str) -> Ask {
    Ask { bounds: (1, 4_999_999), ..Ask::mass(label, (1, 300)) }
}

/// The longer side is the length. Noted at the width.
fn sides(gather: &mut Gather, (len, wid): (Option<i64>, Option<i64>), width: &Entry) {
    if let (Some(len), Some(wid)) = (len, wid)
        && wid > len
    {
        let name = width.ask.name();
        gather.note(name.clone(), format!("{name}: this is more than the length. The longer side is the length."));
    }
}

/// The name of the field for the day an egg's story ended.
pub const ENDED: &str = "Date it ended";

/// The measures on an egg's page, and when it ended.
#[derive(Clone, Debug)]
pub struct EggForm {
    pub egg: EggId,
    /// As it stands when *Save* is tapped: somebody else may have written meanwhile.
    pub card: EggCard,
    pub length: Entry,
    pub width: Entry,
    pub mass: Entry,
    /// When it ended, as it stood when the page was opened.
    pub stood: Option<When>,
    /// That day as its field gives it.
    pub ended: String,
    /// What had become of it when the page was opened.
    pub was: Option<Fate>,
    /// A word of [`Fate`]; empty for one that is still in.
    pub fate: String,
}

impl EggForm {
    pub fn new(egg: EggId, card: EggCard, units: Units) -> EggForm {
        EggForm {
            egg,
            length: Entry::new(length("Length"), card.len_um, units),
            width: Entry::new(length("Width"), card.wid_um, units),
            mass: Entry::of_mass(egg_mass("Mass when laid").near(card.mass), card.mass, units),
            stood: card.fate_when,
            ended: in_field(card.fate_when),
            was: card.fate,
            fate: card.fate.map(|fate| fate.word().to_owned()).unwrap_or_default(),
            card,
        }
    }

    /// # Errors
    /// What cannot be read, each with its field's name.
    pub fn act(&self, units: Units, today: NaiveDate) -> Result<EggEdited, Wrong> {
        let mut gather = Gather::new(units);
        let now = &self.card;
        let len_um = gather.take_or(&self.length, now.len_um);
        let wid_um = gather.take_or(&self.width, now.wid_um);
        let mass = gather.take_or(&self.mass, now.mass.map(|mass| mass.0)).map(Mass);
        if !self.length.untouched() || !self.width.untouched() {
            sides(&mut gather, (len_um, wid_um), &self.width);
        }
        let fate_when = if self.ended == in_field(self.stood) {
            now.fate_when
        } else {
            gather.day(ENDED, &self.ended, Some(today)).map(When::day)
        };
        let fate = Fate::of(&self.fate);
        let card = EggCard { len_um, wid_um, mass, fate_when, ..now.clone() };
        let card = match fate {
            fate if fate == self.was => card,
            // It is still in: it ended on no day, for no reason, and weighed nothing then.
            None => EggCard { fate: None, fate_when: None, fate_why: String::new(), fate_mass: None, ..card },
            Some(_) => EggCard { fate, fate_when: card.fate_when.or(Some(When::day(today))), ..card },
        };
        gather.done(EggEdited { egg: self.egg.clone(), card })
    }
}

/// One row under the caliper.
#[derive(Clone, Debug)]
pub struct MeasureRow {
    pub egg: EggId,
    pub length: Entry,
    pub width: Entry,
    pub mass: Entry,
}

impl MeasureRow {
    pub fn new(egg: &Egg, units: Units) -> MeasureRow {
        let of = format!("Egg {}", egg.letter.as_deref().unwrap_or("?"));
        MeasureRow {
            egg: egg.id.clone(),
            length: Entry::new(length("Length").of(of.clone()), egg.len_um, units),
            width: Entry::new(length("Width").of(of.clone()), egg.wid_um, units),
            mass: Entry::of_mass(egg_mass("Mass").of(of).near(egg.mass), egg.mass, units),
        }
    }
}

/// Many eggs measured: what was typed anew, and nothing of the others.
///
/// # Errors
/// What cannot be read, each with its field's name.
pub fn measured(rows: &[MeasureRow], units: Units) -> Result<EggsMeasured, Wrong> {
    let mut gather = Gather::new(units);
    let mut eggs = Vec::new();
    for row in rows {
        let mut anew = |entry: &Entry| match entry.read(units) {
            Field::Untouched(_) => None,
            Field::Empty if entry.stands().is_some() => {
                let name = entry.ask.name();
                gather.note(name.clone(), format!("{name}: to take a measure away, open the egg's own page."));
                None
            }
            _ => gather.take(entry),
        };
        let (len_um, wid_um, mass) = (anew(&row.length), anew(&row.width), anew(&row.mass).map(Mass));
        let sizes = (len_um.or(row.length.glance(units)), wid_um.or(row.width.glance(units)));
        if len_um.is_some() || wid_um.is_some() {
            sides(&mut gather, sizes, &row.width);
        }
        if len_um.is_some() || wid_um.is_some() || mass.is_some() {
            eggs.push(EggMeasure { egg: row.egg.clone(), len_um, wid_um, mass });
        }
    }
    gather.done(EggsMeasured { eggs })
}

/// Eggs that leave a box otherwise than by hatching.
#[derive(Clone, Debug)]
pub struct LeaveForm {
    pub eggs: Vec<EggId>,
    pub fate: Fate,
    /// What they weigh together.
    pub mass: Entry,
    pub why: String,
}

impl LeaveForm {
    /// The field for what they weigh together.
    pub fn mass() -> Entry {
        Entry::blank(Ask::mass("What they weigh together", (1, 10_000)))
    }

    /// # Errors
    /// What cannot be read, with the field's name.
    pub fn act(&self, units: Units, when: When) -> Result<EggFate, Wrong> {
        let mut gather = Gather::new(units);
        // Weighed together, shared evenly, the odd milligrams to the first: only the sum matters to the box.
        let masses = gather.mass(&self.mass).map(|Mass(all)| {
            let n = i64::try_from(self.eggs.len()).unwrap_or(i64::MAX).max(1);
            let each = |(i, egg): (i64, &EggId)| (egg.clone(), Mass(all / n + i64::from(i < all % n)));
            (0..).zip(&self.eggs).map(each).filter(|(_, mass)| *mass > Mass::ZERO).collect()
        });
        let act = EggFate {
            eggs: self.eggs.clone(),
            fate: self.fate,
            when,
            why: self.why.trim().to_owned(),
            masses: masses.unwrap_or_default(),
        };
        gather.done(act)
    }
}
