//! Animals on the scale: one, many, and a weight put right.

use super::kept::kept;
use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Units};
use book::acts::{AnimalEventEdited, AnimalEventNoted, AnimalsWeighed};
use book::records::Animal;
use book::words::{AnimalEventWhat, Sex, ShedAs};
use book::{AnimalId, Book};
use chrono::NaiveDate;
use trade::units::Mass;
use trade::when::When;

/// What an animal weighed last.
pub fn last(book: &Book, animal: &AnimalId) -> Option<Mass> {
    book.animal_events(animal).find_map(|event| event.mass)
}

/// An animal's weight; likely near the one before.
pub fn weight(last: Option<Mass>) -> Ask {
    Ask::mass("Weight", (1, 30_000)).near(last)
}

/// One of several animals.
pub fn weight_of(name: &str, last: Option<Mass>) -> Ask {
    weight(last).of(name)
}

const HERS: &[AnimalEventWhat] = &[
    AnimalEventWhat::PreLayShed,
    AnimalEventWhat::Ovulation,
    AnimalEventWhat::LayBox,
    AnimalEventWhat::Shed,
    AnimalEventWhat::Straining,
];
const OTHERS: &[AnimalEventWhat] = &[AnimalEventWhat::Shed];

/// Younger than this no female lays, of geckos either (our choice, on the safe side of common practice).
const HATCHLING_DAYS: i64 = 180;

/// What may be seen of an animal, the likeliest first: what tells of eggs never of a male, nor of one too young for them.
pub fn offered(book: &Book, animal: &AnimalId, today: NaiveDate) -> &'static [AnimalEventWhat] {
    let hatchling =
        |animal: &Animal| animal.born.is_some_and(|born| (today - born.date()).num_days() <= HATCHLING_DAYS);
    let lays = |animal: &Animal| animal.sex != Some(Sex::Male) && !hatchling(animal);
    if book.animal(animal).is_none_or(lays) { HERS } else { OTHERS }
}

/// One animal weighed.
///
/// # Errors
/// No weight, or one that cannot be read.
pub fn weighed(animal: AnimalId, weight: &Entry, when: When, units: Units) -> Result<AnimalEventNoted, Wrong> {
    let mut gather = Gather::new(units);
    let mass = Some(gather.need_mass(weight));
    gather.done(AnimalEventNoted { shed: None, animal, what: AnimalEventWhat::Weight, when, mass, note: String::new() })
}

/// Many animals weighed; who was not is left out.
///
/// # Errors
/// No weight at all, or some that cannot be read.
pub fn many_weighed(rows: &[(AnimalId, Entry)], when: When, units: Units) -> Result<AnimalsWeighed, Wrong> {
    let mut gather = Gather::new(units);
    let mut weights = Vec::new();
    for (animal, entry) in rows {
        weights.extend(gather.mass(entry).map(|mass| (animal.clone(), mass)));
    }
    let act = gather.done(AnimalsWeighed { weights, when })?;
    match (act.weights.is_empty(), rows.first()) {
        (true, Some((_, first))) => {
            let name = first.ask.name();
            Err(Wrong::one(name.clone(), format!("{name}: type what the scale shows first.")))
        }
        _ => Ok(act),
    }
}

/// What was noted of an animal, put right.
#[derive(Clone, Debug)]
pub struct EventForm {
    pub before: AnimalEventEdited,
    pub what: AnimalEventWhat,
    pub mass: Entry,
    pub shed: Option<ShedAs>,
    pub note: String,
}

impl EventForm {
    pub fn new(before: AnimalEventEdited, units: Units) -> EventForm {
        EventForm {
            what: before.what,
            mass: Entry::of_mass(weight(before.mass), before.mass, units),
            shed: before.shed,
            note: before.note.clone(),
            before,
        }
    }

    /// `now`: as it stands when *Save* is tapped.
    ///
    /// # Errors
    /// A weight that cannot be read.
    pub fn act(&self, when: When, now: &AnimalEventEdited, units: Units) -> Result<AnimalEventEdited, Wrong> {
        let mut gather = Gather::new(units);
        let typed = AnimalEventEdited {
            event: self.before.event.clone(),
            what: self.what,
            when,
            mass: gather.mass(&self.mass),
            shed: self.shed,
            note: self.note.clone(),
        };
        gather.done(kept!(AnimalEventEdited { event, what, when, mass, shed, note }: typed, self.before, now))
    }
}
