//! A box weighed closed, and water added.

use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Units};
use book::acts::{BaselineReset, WaterChecked};
use book::{FillingId, SCALE};
use trade::units::Mass;
use trade::water::{FillTo, ToAdd, to_add};
use trade::when::When;

/// What the page does.
#[derive(Clone, Debug)]
pub enum WaterAct {
    Checked(WaterChecked),
    /// The first weighing, or a new lid.
    Baseline(BaselineReset),
}

/// All that the page asks.
#[derive(Clone, Debug)]
pub struct WaterForm {
    pub filling: FillingId,
    /// What the box is brought back to; `None`: never weighed closed.
    pub fill_to: Option<FillTo>,
    pub reading: Entry,
    /// What is to be added is offered in it; where nothing is, it is asked only once something was typed.
    pub added: Entry,
    pub new_lid: bool,
    pub note: String,
}

impl WaterForm {
    pub fn new(filling: FillingId, fill_to: Option<FillTo>) -> WaterForm {
        let likely = fill_to.map(|fill_to| fill_to.mass);
        WaterForm {
            filling,
            fill_to,
            reading: Entry::blank(Ask::mass("The scale says", (50, 30_000)).near(likely)),
            added: Entry::blank(Ask::water("Water added", (1, 5_000))),
            new_lid: false,
            note: String::new(),
        }
    }

    /// What to do about the reading as it stands.
    pub fn advice(&self, units: Units) -> Option<ToAdd> {
        let reading = self.reading.glance(units)?;
        Some(to_add(self.fill_to?, Mass(reading), SCALE)).filter(|_| !self.new_lid)
    }

    /// What is offered as added, in milligrams.
    pub fn offered(&self, units: Units) -> Option<i64> {
        match self.advice(units) {
            Some(ToAdd::Add(mass)) => Some(mass.0),
            _ => None,
        }
    }

    /// # Errors
    /// What cannot be read, each with its field's name.
    pub fn act(&self, units: Units, when: When) -> Result<WaterAct, Wrong> {
        let mut gather = Gather::new(units);
        let mass = gather.need_mass(&self.reading);
        let (filling, note) = (self.filling.clone(), self.note.trim().to_owned());
        if self.new_lid || self.fill_to.is_none() {
            if !self.added.untouched() && !self.added.typed.trim().is_empty() {
                let name = self.added.ask.name();
                gather.note(name.clone(), format!("{name}: not with a new target weight. Clear this field first."));
            }
            return gather.done(WaterAct::Baseline(BaselineReset { filling, when, mass, note }));
        }
        let added = gather.mass(&self.added).filter(|added| *added > Mass::ZERO);
        gather.done(WaterAct::Checked(WaterChecked { filling, when, mass, added, note }))
    }
}
