//! Traits as a barn sees them, and what is said of them in its animals.

use super::Record;
use crate::fields::Fields;
use crate::ids::{AnimalId, GenotypeId, Kind, TraitId};
use crate::words::{Together, TraitKnown, TraitMode, TraitOn, TraitSeen};
use trade::when::When;

/// A trait of the barn's own, or its own word on a shipped one: one allele beside the normal one.
///
/// Traits are named by a trait record's id or a shipped trait's key.
#[derive(Clone, Debug, PartialEq)]
pub struct Trait {
    pub id: TraitId,
    /// The key of the shipped trait it is the barn's word on; of that, every other field here holds.
    pub of: Option<String>,
    /// A species record's id or a shipped profile's key.
    pub species: Option<String>,
    pub name: Option<String>,
    pub mode: Option<TraitMode>,
    /// What the look of two copies is called, of an incomplete dominant.
    pub two: Option<String>,
    /// Two copies do not live.
    pub unviable: bool,
    pub on: Option<TraitOn>,
    /// The trait whose locus it shares.
    pub locus_of: Option<String>,
    pub together: Option<Together>,
    /// What the look of both together is called.
    pub both: Option<String>,
    /// The trait whose locus is linked to this one's.
    pub linked_to: Option<String>,
    /// Share of gametes in which the two are parted, in thousandths.
    pub recombination_pm: Option<u32>,
    pub source: Option<String>,
    /// Not offered in this barn.
    pub unused: bool,
}

impl Record for Trait {
    const KIND: Kind = Kind::Trait;
    fn read(f: &mut Fields<'_>) -> Self {
        Trait {
            id: f.id(),
            of: f.text("of"),
            species: f.text("species"),
            name: f.text("name"),
            mode: f.word("mode"),
            two: f.text("two"),
            unviable: f.flag("unviable"),
            on: f.word("on"),
            locus_of: f.text("locus_of"),
            together: f.word("together"),
            both: f.text("both"),
            linked_to: f.text("linked_to"),
            recombination_pm: f.count("recombination_pm"),
            source: f.text("source"),
            unused: f.flag("unused"),
        }
    }
}

/// One trait in one animal: how it looks, and what is known besides.
#[derive(Clone, Debug, PartialEq)]
pub struct Genotype {
    pub id: GenotypeId,
    pub animal: Option<AnimalId>,
    /// A trait record's id or a shipped trait's key.
    pub of_trait: Option<String>,
    pub seen: Option<TraitSeen>,
    pub known: Option<TraitKnown>,
    /// Of what is possible, in thousandths.
    pub chance_pm: Option<u32>,
    /// Where it is known from.
    pub why: Option<String>,
    pub when: Option<When>,
}

impl Record for Genotype {
    const KIND: Kind = Kind::Genotype;
    fn read(f: &mut Fields<'_>) -> Self {
        Genotype {
            id: f.id(),
            animal: f.link("animal"),
            of_trait: f.text("trait"),
            seen: f.word("seen"),
            known: f.word("known"),
            chance_pm: f.count("chance_pm"),
            why: f.text("why"),
            when: f.when("when"),
        }
    }
}
