//! A box's setting put right, what is taken out of it, and eggs that came later.

use crate::entry::{Entry, Gather, Wrong};
use crate::forms::pull::BoxForm;
use crate::measure::{Ask, Units};
use book::acts::{BoxEdited, BoxSet, BoxSetup, EggsAdded, MOST_EGGS, TakenOut};
use book::records::Counts;
use book::words::Mix;
use book::{ClutchId, EggId, FillingId};
use chrono::NaiveDate;
use trade::units::Mass;
use trade::when::When;

/// How a box was set, put right.
#[derive(Clone, Debug)]
pub struct SetupForm {
    pub before: BoxEdited,
    pub medium: String,
    pub note: String,
    /// Of the physical box.
    pub name: String,
    pub dry: Entry,
    pub water: Entry,
    pub closed: Entry,
}

impl SetupForm {
    pub fn new(before: BoxEdited, units: Units) -> SetupForm {
        let set = &before.setup;
        let form = BoxForm::new(set.clone(), None, None, units);
        let closed = Ask::mass("Closed mass when set", (50, 30_000)).near(set.closed);
        SetupForm {
            medium: set.medium.clone(),
            note: set.note.clone(),
            name: before.name.clone(),
            dry: form.dry,
            water: form.water,
            closed: Entry::of_mass(closed, set.closed, units),
            before,
        }
    }

    /// # Errors
    /// What cannot be read, each with its field's name.
    pub fn act(&self, units: Units) -> Result<BoxEdited, Wrong> {
        let mut gather = Gather::new(units);
        let set = &self.before.setup;
        let (dry, water) = (gather.mass(&self.dry), gather.mass(&self.water));
        // Weighed masses say how it was mixed; without them what was said before stands.
        let mix = match (dry, water) {
            (Some(_), Some(_)) => Some(Mix::Mass),
            _ => set.mix.filter(|mix| *mix != Mix::Mass).or(Some(Mix::Unknown)),
        };
        let setup = BoxSetup {
            medium: self.medium.clone(),
            note: self.note.clone(),
            mix,
            dry,
            water,
            closed: gather.mass(&self.closed),
            ..set.clone()
        };
        gather.done(BoxEdited { filling: self.before.filling.clone(), setup, name: self.name.clone() })
    }
}

/// What was taken out of a box, or put in, weighs so much.
pub fn taken_mass() -> Entry {
    Entry::blank(Ask::mass("Its mass", (1, 5_000)))
}

/// Anything but water and eggs taken out, or put in.
///
/// # Errors
/// No weight, or one that cannot be read.
pub fn taken(
    filling: FillingId,
    (mass, out): (&Entry, bool),
    what: &str,
    when: When,
    units: Units,
) -> Result<TakenOut, Wrong> {
    let mut gather = Gather::new(units);
    let mass = gather.need_mass(mass);
    let mass = if out { mass } else { Mass::ZERO - mass };
    gather.done(TakenOut { filling, when, mass, what: what.trim().to_owned() })
}

/// Eggs that came after the clutch was pulled.
#[derive(Clone, Debug)]
pub struct LaterForm {
    pub clutch: ClutchId,
    /// Good, duds, slugs.
    pub counts: [Entry; 3],
    /// As a date field gives it.
    pub laid: String,
    pub filling: Option<FillingId>,
    /// What they weigh together.
    pub mass: Entry,
}

impl LaterForm {
    pub fn new(clutch: ClutchId) -> LaterForm {
        let counts = ["Good", "Duds", "Slugs"].map(|label| Entry::of_count(Ask::count(label, 0, MOST_EGGS), 0));
        let mass = super::eggs::LeaveForm::mass();
        LaterForm { clutch, counts, laid: String::new(), filling: None, mass }
    }

    /// `laid`: the name of the field of that day.
    ///
    /// # Errors
    /// What cannot be read, each with its field's name.
    pub fn act(&self, laid: &str, when: When, today: NaiveDate, units: Units) -> Result<EggsAdded, Wrong> {
        let mut gather = Gather::new(units);
        let [good, dud, slug] = self.counts.each_ref().map(|count| gather.count(count));
        let laid = gather.dated(laid, &self.laid, None, today);
        let (clutch, filling, mass) = (self.clutch.clone(), self.filling.clone(), gather.mass(&self.mass));
        gather.done(EggsAdded { clutch, counts: Counts { good, dud, slug }, laid, when, filling, mass })
    }
}

/// A box set for eggs that are in the book already.
///
/// # Errors
/// What cannot be read, each with its field's name.
pub fn set(form: &BoxForm, eggs: Vec<EggId>, when: When, units: Units) -> Result<BoxSet, Wrong> {
    let mut gather = Gather::new(units);
    let setup = form.take(&mut gather, None);
    gather.done(BoxSet { eggs, setup, when, mass: None })
}
