//! Clutches and their eggs.

use super::Record;
use crate::fields::Fields;
use crate::ids::{AnimalId, ClutchId, EggId, FillingId, Kind};
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

/// Eggs laid by one female at one time, as far as anyone knows.
#[derive(Clone, Debug, PartialEq)]
pub struct Clutch {
    pub id: ClutchId,
    /// In the barn's own style. May be doubled after a merge.
    pub number: Option<String>,
    /// Candidates; one when known, none when not.
    pub dams: Vec<AnimalId>,
    pub sires: Vec<AnimalId>,
    /// A species record's id or a shipped profile's key.
    pub species: Option<String>,
    pub laid: Option<When>,
    pub found: Option<When>,
    pub gravid: Option<Mass>,
    pub gravid_on: Option<NaiveDate>,
    pub spent: Option<Mass>,
    pub spent_on: Option<NaiveDate>,
    /// All its eggs together.
    pub mass: Option<Mass>,
    pub mass_on: Option<NaiveDate>,
    pub good: Option<u32>,
    pub dud: Option<u32>,
    pub slug: Option<u32>,
    pub note: Option<String>,
    pub came: Option<ClutchCame>,
    /// The clutch this record is another record of.
    pub same_as: Option<ClutchId>,
}

impl Record for Clutch {
    const KIND: Kind = Kind::Clutch;
    fn read(f: &mut Fields<'_>) -> Self {
        Clutch {
            id: f.id(),
            number: f.text("number"),
            dams: f.links("dams"),
            sires: f.links("sires"),
            species: f.text("species"),
            laid: f.when("laid"),
            found: f.when("found"),
            gravid: f.mass("gravid_mg"),
            gravid_on: f.day("gravid_on"),
            spent: f.mass("spent_mg"),
            spent_on: f.day("spent_on"),
            mass: f.mass("mass_mg"),
            mass_on: f.day("mass_on"),
            good: f.count("good"),
            dud: f.count("dud"),
            slug: f.count("slug"),
            note: f.text("note"),
            came: f.word("came"),
            same_as: f.link("same_as"),
        }
    }
}

impl Clutch {
    /// The counts, when any was entered.
    pub fn counts(&self) -> Option<Counts> {
        (self.good.is_some() || self.dud.is_some() || self.slug.is_some()).then(|| Counts {
            good: self.good.unwrap_or(0),
            dud: self.dud.unwrap_or(0),
            slug: self.slug.unwrap_or(0),
        })
    }
}

/// One egg. Four separate things of it: laid as, last seen as (its candlings), fate, whereabouts (its moves).
#[derive(Clone, Debug, PartialEq)]
pub struct Egg {
    pub id: EggId,
    pub clutch: Option<ClutchId>,
    /// A, B … Z, AA …: how it is called within its clutch.
    pub letter: Option<String>,
    /// Its own, where it differs from the clutch's.
    pub laid: Option<When>,
    /// Eggs of a clutch with the same number are stuck together.
    pub clump: Option<i64>,
    pub laid_as: Option<LaidAs>,
    /// The first filling it was set in.
    pub filling: Option<FillingId>,
    pub fate: Option<Fate>,
    pub fate_when: Option<When>,
    pub fate_why: Option<String>,
    /// Its mass, or its hatchling's, when it left the box.
    pub fate_mass: Option<Mass>,
    /// Length in micrometres.
    pub len_um: Option<i64>,
    /// Width in micrometres.
    pub wid_um: Option<i64>,
    pub mass: Option<Mass>,
}

impl Record for Egg {
    const KIND: Kind = Kind::Egg;
    fn read(f: &mut Fields<'_>) -> Self {
        Egg {
            id: f.id(),
            clutch: f.link("clutch"),
            letter: f.text("letter"),
            laid: f.when("laid"),
            clump: f.whole("clump"),
            laid_as: f.word("laid_as"),
            filling: f.link("filling"),
            // A fate this version has no word for is still a fate: the egg is no longer in.
            fate: f.text("fate").map(|_| f.word("fate").unwrap_or(Fate::Unknown)),
            fate_when: f.when("fate_when"),
            fate_why: f.text("fate_why"),
            fate_mass: f.mass("fate_mass_mg"),
            len_um: f.whole("len_um"),
            wid_um: f.whole("wid_um"),
            mass: f.mass("mass_mg"),
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
