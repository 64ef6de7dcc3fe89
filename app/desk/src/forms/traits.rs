//! A trait added, or changed.

use super::kept::kept;
use crate::entry::{Entry, Gather, Wrong};
use crate::measure::Units;
use book::acts::TraitCard;
use book::words::{Together, TraitMode, TraitOn};

/// All that the page asks; other traits by their keys, empty where there is none.
#[derive(Clone, Debug)]
pub struct TraitForm {
    /// As it stood when the page was opened; of a new one, as it is offered.
    pub before: TraitCard,
    pub name: String,
    pub mode: TraitMode,
    /// What two copies are called; asked only of a trait that shows in one.
    pub two: String,
    pub unviable: bool,
    pub on: TraitOn,
    pub locus_of: String,
    pub together: Together,
    pub both: String,
    pub linked_to: String,
    pub share: Entry,
    pub source: String,
    pub unused: bool,
}

impl TraitForm {
    pub fn new(before: TraitCard) -> TraitForm {
        TraitForm {
            name: before.name.clone(),
            mode: before.mode.unwrap_or(TraitMode::Recessive),
            two: before.two.clone(),
            unviable: before.unviable,
            on: before.on.unwrap_or(TraitOn::Autosome),
            locus_of: before.locus_of.clone().unwrap_or_default(),
            together: before.together.unwrap_or(Together::Both),
            both: before.both.clone(),
            linked_to: before.linked_to.clone().unwrap_or_default(),
            share: super::share(before.recombination_pm),
            source: before.source.clone(),
            unused: before.unused,
            before,
        }
    }

    fn take(&self, gather: &mut Gather) -> TraitCard {
        let some = |text: &String| Some(text.clone()).filter(|text| !text.is_empty());
        let (locus_of, linked_to) = (some(&self.locus_of), some(&self.linked_to));
        // How far apart they are is known of linked traits only.
        let recombination_pm = linked_to.as_ref().and_then(|_| u32::try_from(gather.need(&self.share)).ok());
        TraitCard {
            species: self.before.species.clone(),
            name: self.name.clone(),
            mode: Some(self.mode),
            two: if self.mode == TraitMode::IncompleteDominant { self.two.clone() } else { String::new() },
            unviable: self.unviable,
            on: Some(self.on),
            together: locus_of.as_ref().map(|_| self.together),
            both: if locus_of.is_some() { self.both.clone() } else { String::new() },
            locus_of,
            linked_to,
            recombination_pm,
            source: self.source.clone(),
            unused: self.unused,
        }
    }

    /// `now`: as it stands when *Save* is tapped.
    ///
    /// # Errors
    /// What is wanting or cannot be read, with its field's name.
    pub fn card(&self, now: &TraitCard) -> Result<TraitCard, Wrong> {
        let mut gather = Gather::new(Units::default());
        let typed = self.take(&mut gather);
        let opened = TraitForm::new(self.before.clone()).take(&mut Gather::new(Units::default()));
        gather.done(kept!(TraitCard {
            species, name, mode, two, unviable, on, locus_of, together, both, linked_to, recombination_pm, source, unused,
        }: typed, opened, now))
    }
}
