//! A box hatched out: its babies on the scale one after the other.

use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Units};
use book::acts::{HatchedOut, NewBaby};
use book::words::{Fate, Went};
use book::{EggId, FillingId, PlaceId};
use std::collections::BTreeMap;

/// One baby.
#[derive(Clone, Debug)]
pub struct BabyForm {
    pub egg: EggId,
    pub code: String,
    pub mass: Entry,
    pub looks: String,
    pub faults: String,
    pub went: Option<Went>,
}

/// The field for what a baby weighs, by its egg's letter; `twin` for the second of an egg.
pub fn weight(letter: &str, twin: bool) -> Entry {
    let of = if twin { format!("Baby {letter}, twin") } else { format!("Baby {letter}") };
    Entry::blank(Ask::mass("Weight", (1, 300)).of(of))
}

/// All that the page asks.
#[derive(Clone, Debug)]
pub struct HatchForm {
    pub filling: FillingId,
    pub babies: Vec<BabyForm>,
    /// Each baby's egg is known.
    pub apart: bool,
    /// Where babies go, in order; those that escaped or died take none.
    pub tubs: Vec<PlaceId>,
    /// What became of the other eggs.
    pub others: BTreeMap<EggId, Fate>,
}

impl HatchForm {
    /// # Errors
    /// Weights that cannot be read, each with its baby's name.
    pub fn act(&self, units: Units) -> Result<HatchedOut, Wrong> {
        let mut gather = Gather::new(units);
        let all: Vec<EggId> = self.babies.iter().map(|baby| baby.egg.clone()).collect();
        let mut tubs = self.tubs.iter().cloned();
        let mut baby = |baby: &BabyForm| NewBaby {
            eggs: if self.apart { vec![baby.egg.clone()] } else { all.clone() },
            code: baby.code.clone(),
            mass: gather.mass(&baby.mass),
            looks: baby.looks.clone(),
            faults: baby.faults.clone(),
            place: if baby.went.is_none() { tubs.next() } else { None },
            went: baby.went,
        };
        let babies = self.babies.iter().map(&mut baby).collect();
        let others = self.others.iter().map(|(egg, fate)| (egg.clone(), (*fate, String::new()))).collect();
        gather.done(HatchedOut { filling: self.filling.clone(), when: None, babies, others })
    }
}
