//! A box's setting put right, what is taken out of it, and eggs that came later.

use super::kept::kept;
use super::pull::BoxForm;
use crate::day::in_field;
use crate::entry::{Entry, Gather, Wrong};
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
    /// When it was set and when it was emptied, as date fields give them.
    pub from: String,
    pub to: String,
}

/// Names of its fields for days.
pub const SET_ON: &str = "Set on";
pub const EMPTIED_ON: &str = "Emptied on";

impl SetupForm {
    pub fn new(before: BoxEdited, units: Units) -> SetupForm {
        let set = &before.setup;
        let form = BoxForm::new(set.clone(), None, None, units);
        let closed = Ask::mass("Box weight when set, lid on", (50, 30_000)).near(set.closed);
        SetupForm {
            medium: set.medium.clone(),
            note: set.note.clone(),
            name: before.name.clone(),
            dry: form.dry,
            water: form.water,
            closed: Entry::of_mass(closed, set.closed, units),
            from: in_field(before.from),
            to: in_field(before.to),
            before,
        }
    }

    /// `now`: as it stands when *Save* is tapped.
    ///
    /// # Errors
    /// What cannot be read, each with its field's name.
    pub fn act(&self, now: &BoxEdited, units: Units, today: NaiveDate) -> Result<BoxEdited, Wrong> {
        let mut gather = Gather::new(units);
        let before = &self.before.setup;
        let (dry, water) = (gather.mass(&self.dry), gather.mass(&self.water));
        // Weighed masses say how it was mixed; without them what was said before stands.
        let mix = match (dry, water) {
            _ if self.dry.untouched() && self.water.untouched() => before.mix,
            (Some(_), Some(_)) => Some(Mix::Mass),
            _ => before.mix.filter(|mix| *mix != Mix::Mass).or(Some(Mix::Unknown)),
        };
        let typed = BoxSetup {
            medium: self.medium.clone(),
            note: self.note.clone(),
            mix,
            dry,
            water,
            closed: gather.mass(&self.closed),
            ..before.clone()
        };
        let setup = kept!(
            BoxSetup { filling, container, shelf, medium, mix, dry, water, closed, note, eggs }: typed, before, &now.setup
        );
        let from = gather.dated_still(SET_ON, &self.from, self.before.from, today);
        let to = gather.dated(EMPTIED_ON, &self.to, self.before.to, today);
        let typed = BoxEdited { setup, name: self.name.clone(), from, to, ..self.before.clone() };
        // The setup is settled above.
        let opened = BoxEdited { setup: now.setup.clone(), ..self.before.clone() };
        gather.done(kept!(BoxEdited { filling, setup, name, from, to }: typed, opened, now))
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
        let counts = ["Good", "Bad eggs", "Slugs"].map(|label| Entry::of_count(Ask::count(label, 0, MOST_EGGS), 0));
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
