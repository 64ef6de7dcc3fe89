//! A pairing put right.

use super::kept::kept;
use crate::day::in_field;
use crate::entry::{Gather, Wrong};
use crate::measure::Units;
use book::AnimalId;
use book::acts::PairingCard;
use chrono::NaiveDate;

/// Names of its fields.
pub const INTRODUCED: &str = "Introduced";
pub const SEPARATED: &str = "Separated";

/// All that the page asks; days as date fields give them.
#[derive(Clone, Debug)]
pub struct PairingForm {
    /// As it stood when the page was opened.
    pub before: PairingCard,
    pub dams: Vec<AnimalId>,
    pub sires: Vec<AnimalId>,
    pub introduced: String,
    pub separated: String,
    pub note: String,
}

impl PairingForm {
    pub fn new(before: PairingCard) -> PairingForm {
        PairingForm {
            dams: before.dams.clone(),
            sires: before.sires.clone(),
            introduced: in_field(before.when),
            separated: in_field(before.ended),
            note: before.note.clone(),
            before,
        }
    }

    /// `now`: as it stands when *Save* is tapped.
    ///
    /// # Errors
    /// Days that are not finished or to come, each with its field's name.
    pub fn card(&self, now: &PairingCard, today: NaiveDate) -> Result<PairingCard, Wrong> {
        let mut gather = Gather::new(Units::default());
        let typed = PairingCard {
            dams: self.dams.clone(),
            sires: self.sires.clone(),
            when: gather.dated_still(INTRODUCED, &self.introduced, self.before.when, today),
            ended: gather.dated(SEPARATED, &self.separated, self.before.ended, today),
            note: self.note.clone(),
        };
        gather.done(kept!(PairingCard { dams, sires, when, ended, note }: typed, self.before, now))
    }
}
