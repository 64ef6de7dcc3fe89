//! Traits as a barn sees them, and what is said of them in its animals.

use super::{Over, record};
use crate::book::Book;
use crate::ids::{AnimalId, GenotypeId, TraitId};
use crate::words::{Together, TraitKnown, TraitMode, TraitOn, TraitSeen};
use trade::when::When;

record! {
    /// A trait of the barn's own, or its own word on a shipped one: one allele beside the normal one.
    ///
    /// Traits are named by a trait record's id or a shipped trait's key.
    Trait TraitId {
        /// The key of the shipped trait it is the barn's word on; of that, every other field here holds.
        of: Option<String> = "of",
        /// A species record's id or a shipped profile's key.
        species: Option<String> = "species",
        name: Option<String> = "name",
        mode: Option<TraitMode> = "mode",
        /// What the look of two copies is called, of an incomplete dominant.
        two: Option<String> = "two",
        /// Two copies do not live.
        unviable: bool = "unviable",
        on: Option<TraitOn> = "on",
        /// The trait whose locus it shares.
        locus_of: Option<String> = "locus_of",
        together: Option<Together> = "together",
        /// What the look of both together is called.
        both: Option<String> = "both",
        /// The trait whose locus is linked to this one's.
        linked_to: Option<String> = "linked_to",
        /// Share of gametes in which the two are parted, in thousandths.
        recombination_pm: Option<u32> = "recombination_pm",
        source: Option<String> = "source" long,
        /// Not offered in this barn.
        unused: bool = "unused",
    }
    over Over::Never;
    also {
        fn called(&self, _book: &Book) -> Option<String> {
            self.name.clone()
        }
    }
}

record! {
    /// One trait in one animal: how it looks, and what is known besides.
    Genotype GenotypeId {
        animal: Option<AnimalId> = "animal",
        /// A trait record's id or a shipped trait's key.
        of_trait: Option<String> = "trait",
        seen: Option<TraitSeen> = "seen",
        known: Option<TraitKnown> = "known",
        /// Of what is possible, in thousandths.
        chance_pm: Option<u32> = "chance_pm",
        /// Where it is known from.
        why: Option<String> = "why" => "reason" long,
        when: Option<When> = "when",
    }
    over Over::Never;
    about animal at when;
    link Genotypes { animal by when }
        /// What is said of its traits, newest first.
        genotypes_of(AnimalId);
}
