//! Animals on the scale: one, many; what was seen of one, follicles too; and each put right.

use super::kept::kept;
use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Measure, Units};
use book::acts::{AnimalEventEdited, AnimalEventNoted, AnimalsWeighed, FOLLICLE_UM, FolliclesNoted, MOST_FOLLICLES};
use book::records::Animal;
use book::words::{AnimalEventWhat, LookedAs, Sex, ShedAs, Side};
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
    AnimalEventWhat::Follicles,
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

fn follicle() -> Ask {
    Ask::new("Largest follicle", Measure::Length, FOLLICLE_UM).likely(3_000, 60_000)
}

fn follicles() -> Ask {
    Ask::count("How many", 0, MOST_FOLLICLES)
}

/// How an animal was looked at last: few keepers have two ways.
pub fn looked_last(book: &Book, animal: &AnimalId) -> Option<LookedAs> {
    book.lay_events(animal).find_map(|event| event.looked)
}

/// A look for follicles.
#[derive(Clone, Debug)]
pub struct FolliclesForm {
    pub looked: Option<LookedAs>,
    pub side: Option<Side>,
    pub size: Entry,
    pub count: Entry,
    pub note: String,
}

impl FolliclesForm {
    /// `looked`: as the last time, see [`looked_last`].
    pub fn new(looked: Option<LookedAs>) -> FolliclesForm {
        FolliclesForm {
            looked,
            side: None,
            size: Entry::blank(follicle()),
            count: Entry::blank(follicles()),
            note: String::new(),
        }
    }

    /// # Errors
    /// A figure that cannot be read, or a size of what was counted as none.
    pub fn act(&self, animal: AnimalId, when: When, units: Units) -> Result<FolliclesNoted, Wrong> {
        let mut gather = Gather::new(units);
        let (follicle_um, count) = (gather.take(&self.size), gather.take(&self.count));
        if follicle_um.is_some() && count == Some(0) {
            let name = self.size.ask.name();
            gather.note(name.clone(), format!("{name}: none were counted. Clear the size, or the count."));
        }
        gather.done(FolliclesNoted {
            animal,
            when,
            looked: self.looked,
            side: self.side,
            follicle_um,
            follicles: count.and_then(|count| u32::try_from(count).ok()),
            note: self.note.clone(),
        })
    }
}

/// What was noted of an animal, put right.
#[derive(Clone, Debug)]
pub struct EventForm {
    pub before: AnimalEventEdited,
    pub what: AnimalEventWhat,
    pub mass: Entry,
    pub shed: Option<ShedAs>,
    pub looked: Option<LookedAs>,
    pub side: Option<Side>,
    pub size: Entry,
    pub count: Entry,
    pub note: String,
}

impl EventForm {
    pub fn new(before: AnimalEventEdited, units: Units) -> EventForm {
        EventForm {
            what: before.what,
            mass: Entry::of_mass(weight(before.mass), before.mass, units),
            shed: before.shed,
            looked: before.looked,
            side: before.side,
            size: Entry::new(follicle(), before.follicle_um, units),
            count: Entry::new(follicles(), before.follicles.map(i64::from), units),
            note: before.note.clone(),
            before,
        }
    }

    /// `now`: as it stands when *Save* is tapped.
    ///
    /// # Errors
    /// A figure that cannot be read.
    pub fn act(&self, when: When, now: &AnimalEventEdited, units: Units) -> Result<AnimalEventEdited, Wrong> {
        let mut gather = Gather::new(units);
        let typed = AnimalEventEdited {
            event: self.before.event.clone(),
            what: self.what,
            when,
            mass: gather.mass(&self.mass),
            shed: self.shed,
            looked: self.looked,
            side: self.side,
            follicle_um: gather.take(&self.size),
            follicles: gather.take(&self.count).and_then(|count| u32::try_from(count).ok()),
            note: self.note.clone(),
        };
        gather.done(kept!(AnimalEventEdited {
            event, what, when, mass, shed, looked, side, follicle_um, follicles, note
        }: typed, self.before, now))
    }
}
