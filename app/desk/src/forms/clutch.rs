//! A clutch's own record put right.

use super::laid::Laid;
use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Units};
use book::acts::{ClutchCard, ClutchEdited, MOST_EGGS};
use book::records::Counts;
use book::words::ClutchCame;
use book::{AnimalId, ClutchId};
use chrono::NaiveDate;
use trade::units::Mass;
use trade::when::When;

/// A weight and its day, as a date field gives it.
#[derive(Clone, Debug)]
pub struct Weighed {
    pub mass: Entry,
    pub day: String,
    day_before: Option<NaiveDate>,
}

impl Weighed {
    fn new(ask: Ask, mass: Option<Mass>, on: Option<NaiveDate>, units: Units) -> Weighed {
        Weighed {
            mass: Entry::of_mass(ask.near(mass), mass, units),
            day: on.map(|on| on.to_string()).unwrap_or_default(),
            day_before: on,
        }
    }

    /// The name of its day's field.
    pub fn day_name(&self) -> String {
        format!("{}: day", self.mass.ask.name())
    }

    fn take(&self, gather: &mut Gather, today: NaiveDate) -> (Option<Mass>, Option<NaiveDate>) {
        let mass = gather.mass(&self.mass);
        let day = gather.day(&self.day_name(), &self.day);
        match mass {
            // A weight without a day was most likely taken today.
            Some(_) => (mass, day.or_else(|| (!self.mass.untouched()).then_some(today))),
            None => {
                if day.is_some() && day != self.day_before {
                    let name = self.mass.ask.name();
                    gather.note(
                        name.clone(),
                        format!("{name}: a day is entered, and no weight. Type it, or clear the day."),
                    );
                }
                (None, None)
            }
        }
    }
}

/// All that the page asks.
#[derive(Clone, Debug)]
pub struct ClutchForm {
    pub clutch: ClutchId,
    before: ClutchCard,
    laid_before: Laid,
    pub number: String,
    pub dams: Vec<AnimalId>,
    pub sires: Vec<AnimalId>,
    pub species: Option<String>,
    pub laid: Laid,
    /// As a date field gives it.
    pub found: String,
    /// Dam before laying, dam after laying, whole clutch.
    pub weights: [Weighed; 3],
    /// Good, duds, slugs.
    pub counts: [Entry; 3],
    pub bought: bool,
    pub note: String,
}

pub const FOUND: &str = "Found on";

impl ClutchForm {
    pub fn new(clutch: ClutchId, before: ClutchCard, today: NaiveDate, units: Units) -> ClutchForm {
        let counted = before.counts.unwrap_or_default();
        let count = |label, n| Entry::of_count(Ask::count(label, 0, MOST_EGGS), n);
        let dam = |label| Ask::mass(label, (5, 30_000));
        let laid = Laid::new(before.laid.or(before.found), today);
        ClutchForm {
            clutch,
            number: before.number.clone(),
            dams: before.dams.clone(),
            sires: before.sires.clone(),
            species: before.species.clone(),
            laid_before: laid.clone(),
            laid,
            found: before.found.map(|when| when.date().to_string()).unwrap_or_default(),
            weights: [
                Weighed::new(dam("Dam before laying"), before.gravid, before.gravid_on, units),
                Weighed::new(dam("Dam after laying"), before.spent, before.spent_on, units),
                Weighed::new(Ask::mass("Whole clutch", (2, 10_000)), before.mass, before.mass_on, units),
            ],
            counts: [count("Good", counted.good), count("Duds", counted.dud), count("Slugs", counted.slug)],
            bought: before.came == Some(ClutchCame::Bought),
            note: before.note.clone(),
            before,
        }
    }

    /// # Errors
    /// What cannot be read, each with its field's name.
    pub fn act(&self, units: Units, today: NaiveDate) -> Result<ClutchEdited, Wrong> {
        let mut gather = Gather::new(units);
        let before = &self.before;
        let laid = if self.laid == self.laid_before { before.laid } else { self.laid.take(&mut gather) };
        let found = gather.day(FOUND, &self.found);
        let [(gravid, gravid_on), (spent, spent_on), (mass, mass_on)] =
            self.weights.each_ref().map(|weighed| weighed.take(&mut gather, today));
        let [good, dud, slug] = self.counts.each_ref().map(|count| gather.count(count));
        let counts = Counts { good, dud, slug };
        let card = ClutchCard {
            number: self.number.clone(),
            dams: self.dams.clone(),
            sires: self.sires.clone(),
            species: self.species.clone(),
            laid,
            // A time or a span is not flattened to its day.
            found: if found == before.found.map(When::date) { before.found } else { found.map(When::day) },
            gravid,
            gravid_on,
            spent,
            spent_on,
            mass,
            mass_on,
            counts: if before.counts.is_none() && counts.all() == 0 { None } else { Some(counts) },
            note: self.note.clone(),
            came: match (self.bought, before.came) {
                (bought, came) if bought == (came == Some(ClutchCame::Bought)) => came,
                (true, _) => Some(ClutchCame::Bought),
                (false, _) => Some(ClutchCame::Laid),
            },
        };
        gather.done(ClutchEdited { clutch: self.clutch.clone(), card })
    }
}
