//! A clutch's own record put right.

use super::laid::{How, Laid};
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

    fn take(
        &self,
        gather: &mut Gather,
        today: NaiveDate,
        now: (Option<Mass>, Option<NaiveDate>),
    ) -> (Option<Mass>, Option<NaiveDate>) {
        let same_day = self.day_before.map(|day| day.to_string()).unwrap_or_default() == self.day;
        if self.mass.untouched() && same_day {
            return now;
        }
        let mass = gather.mass(&self.mass);
        let day = gather.day(&self.day_name(), &self.day, Some(today));
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
    /// As it stood when the page was opened.
    pub before: ClutchCard,
    pub laid_before: Laid,
    pub number: String,
    pub dams: Vec<AnimalId>,
    pub sires: Vec<AnimalId>,
    pub unknown_male: bool,
    pub no_male: bool,
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
        let laid = Laid::new(before.laid, today);
        ClutchForm {
            clutch,
            number: before.number.clone(),
            dams: before.dams.clone(),
            sires: before.sires.clone(),
            unknown_male: before.unknown_male,
            no_male: before.no_male,
            species: before.species.clone(),
            laid_before: laid.clone(),
            laid,
            found: before.found.map(|when| when.date().to_string()).unwrap_or_default(),
            weights: [
                Weighed::new(dam("Dam before laying"), before.gravid, before.gravid_on, units),
                Weighed::new(dam("Dam after laying"), before.spent, before.spent_on, units),
                Weighed::new(Ask::mass("Whole clutch", (2, 10_000)), before.mass, before.mass_on, units),
            ],
            counts: [count("Good", counted.good), count("Bad eggs", counted.dud), count("Slugs", counted.slug)],
            bought: before.came == Some(ClutchCame::Bought),
            note: before.note.clone(),
            before,
        }
    }

    /// `now`: as it stands when *Save* is tapped; what nobody touched is as somebody else may have written it by then.
    ///
    /// # Errors
    /// What cannot be read, each with its field's name.
    pub fn act(&self, now: &ClutchCard, units: Units, today: NaiveDate) -> Result<ClutchEdited, Wrong> {
        let mut gather = Gather::new(units);
        let before = &self.before;
        let laid = if self.laid == self.laid_before { now.laid } else { self.laid.take(&mut gather) };
        // Of eggs that nobody saw laid, the day of finding is all there is.
        let found = match self.laid.how {
            How::Unseen if self.laid != self.laid_before => gather.need_day(FOUND, &self.found, Some(today)),
            _ => gather.day(FOUND, &self.found, Some(today)),
        };
        let weighed = [(now.gravid, now.gravid_on), (now.spent, now.spent_on), (now.mass, now.mass_on)];
        let mut weighed = self.weights.iter().zip(weighed).map(|(field, now)| field.take(&mut gather, today, now));
        let mut next = || weighed.next().unwrap_or_default();
        let ((gravid, gravid_on), (spent, spent_on), (mass, mass_on)) = (next(), next(), next());
        let [good, dud, slug] = self.counts.each_ref().map(|count| gather.count(count));
        let counted = Some(Counts { good, dud, slug });
        let counts = if self.counts.iter().all(Entry::untouched) { now.counts } else { counted };
        let card = ClutchCard {
            number: kept(&self.number, &before.number, &now.number),
            dams: kept(&self.dams, &before.dams, &now.dams),
            sires: kept(&self.sires, &before.sires, &now.sires),
            unknown_male: kept(&self.unknown_male, &before.unknown_male, &now.unknown_male),
            no_male: kept(&self.no_male, &before.no_male, &now.no_male),
            species: kept(&self.species, &before.species, &now.species),
            laid,
            // A time or a span is not flattened to its day.
            found: if found == before.found.map(When::date) { now.found } else { found.map(When::day) },
            gravid,
            gravid_on,
            spent,
            spent_on,
            mass,
            mass_on,
            counts,
            note: kept(&self.note, &before.note, &now.note),
            came: match (self.bought, before.came) {
                (bought, came) if bought == (came == Some(ClutchCame::Bought)) => now.came,
                (true, _) => Some(ClutchCame::Bought),
                (false, _) => Some(ClutchCame::Laid),
            },
        };
        gather.done(ClutchEdited { clutch: self.clutch.clone(), card })
    }
}

/// What was chosen, or as it stands by now where nothing else was.
fn kept<T: Clone + PartialEq>(chosen: &T, before: &T, now: &T) -> T {
    if chosen == before { now.clone() } else { chosen.clone() }
}
