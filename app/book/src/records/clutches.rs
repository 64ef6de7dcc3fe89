//! Clutches and their eggs.

use super::{Over, record};
use crate::book::Book;
use crate::ids::{AnimalId, ClutchId, EggId, FillingId, Thing};
use crate::words::{ClutchCame, Fate, LaidAs};
use chrono::NaiveDate;
use trade::units::Mass;
use trade::when::When;

/// Eggs as counted when the clutch was pulled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    pub good: u32,
    pub dud: u32,
    pub slug: u32,
}

impl Counts {
    /// Good and dud: the eggs with a full shell.
    pub fn shelled(self) -> u32 {
        self.good.saturating_add(self.dud)
    }

    /// All of them.
    pub fn all(self) -> u32 {
        self.shelled().saturating_add(self.slug)
    }
}

record! {
    /// Eggs laid by one female at one time, as far as anyone knows.
    Clutch ClutchId {
        /// In the barn's own style. May be doubled after a merge.
        number: Option<String> = "number",
        /// Candidates; one when known, none when not.
        dams: Vec<AnimalId> = "dams",
        sires: Vec<AnimalId> = "sires",
        /// Also possible: a male nobody knows.
        unknown_male: bool = "unknown_male" => "unknown male possible",
        /// Also possible: no male at all.
        no_male: bool = "no_male" => "no male possible",
        /// A species record's id or a shipped profile's key.
        species: Option<String> = "species",
        laid: Option<When> = "laid",
        found: Option<When> = "found",
        gravid: Option<Mass> = "gravid_mg",
        gravid_on: Option<NaiveDate> = "gravid_on",
        spent: Option<Mass> = "spent_mg",
        spent_on: Option<NaiveDate> = "spent_on",
        /// All its eggs together.
        mass: Option<Mass> = "mass_mg",
        mass_on: Option<NaiveDate> = "mass_on",
        good: Option<u32> = "good" => "good eggs",
        dud: Option<u32> = "dud" => "duds",
        slug: Option<u32> = "slug" => "slugs",
        note: Option<String> = "note" long,
        came: Option<ClutchCame> = "came",
        /// The clutch this record is another record of.
        same_as: Option<ClutchId> = "same_as",
    }
    over Over::With(|_, id| vec![id.into()]);
    found by id, number;
    link Clutches { dams, sires by laid, found }
        /// As dam or sire, newest first.
        clutches_of(AnimalId);
    link Same { same_as };
    link Number { number };
    also {
        fn called(&self, book: &Book) -> Option<String> {
            let joined = || book.same_clutch(&self.id).into_iter().find_map(|clutch| clutch.number.clone());
            self.number.clone().or_else(joined)
        }
    }
}

impl Clutch {
    /// The males that may be its sire, where nothing else is possible; none where an unknown male or no male is.
    pub fn only_of(&self) -> &[AnimalId] {
        if self.unknown_male || self.no_male { &[] } else { &self.sires }
    }

    /// The counts, when any was entered.
    pub fn counts(&self) -> Option<Counts> {
        (self.good.is_some() || self.dud.is_some() || self.slug.is_some()).then(|| Counts {
            good: self.good.unwrap_or(0),
            dud: self.dud.unwrap_or(0),
            slug: self.slug.unwrap_or(0),
        })
    }
}

record! {
    /// One egg. Four separate things of it: laid as, last seen as (its candlings), fate, whereabouts (its moves).
    Egg EggId {
        clutch: Option<ClutchId> = "clutch",
        /// A, B … Z, AA …: how it is called within its clutch.
        letter: Option<String> = "letter",
        /// Its own, where it differs from the clutch's.
        laid: Option<When> = "laid",
        /// Eggs of a clutch with the same number are stuck together.
        clump: Option<i64> = "clump",
        laid_as: Option<LaidAs> = "laid_as",
        /// The first filling it was set in.
        filling: Option<FillingId> = "filling",
        fate: Option<Fate> = "fate" => "what became of it",
        fate_when: Option<When> = "fate_when",
        fate_why: Option<String> = "fate_why" => "reason" long,
        /// Its mass, or its hatchling's, when it left the box.
        fate_mass: Option<Mass> = "fate_mass_mg",
        /// Length in micrometres.
        len_um: Option<i64> = "len_um",
        /// Width in micrometres.
        wid_um: Option<i64> = "wid_um",
        mass: Option<Mass> = "mass_mg",
    }
    over Over::With(|book, id| book.egg(&id.into()).and_then(|egg| egg.clutch.clone()).into_iter().collect());
    link Eggs { clutch };
    link FirstEggs { filling };
    also {
        fn called(&self, book: &Book) -> Option<String> {
            let number = self.clutch.as_ref().map(|clutch| book.clutch_number(clutch)).unwrap_or_default();
            Some(format!("{number} {}", self.letter.as_deref().unwrap_or("?")).trim().to_owned())
        }

        fn brings(&self) -> Vec<Thing> {
            vec![self.id.thing()]
        }
    }
}

impl Egg {
    /// Where its letter sorts: A … Z before AA.
    pub fn letter_key(&self) -> (usize, &str) {
        let letter = self.letter.as_deref().unwrap_or("");
        (letter.len(), letter)
    }
}
