//! What the babies can be, and what the babies say back: loci, crosses, pedigrees, kinship.
//!
//! A [`Locus`] has normal and other alleles and knows how each genotype looks; a [`Group`] is what is inherited
//! together: one locus, or two linked ones with a recombination share. A [`Cross`] is what two animals can give, told
//! group by group and multiplied out only when asked. [`infer`] weighs everything that is said and seen in a family.
//!
//! Guarantees: probabilities are exact, for uncertain parents too (within the bounds below); groups are independent
//! of each other. Past a bound there is a [`Refusal`] that says what to do, never an estimate.
//!
//! Bounds: [`MOST_ALLELES`] alleles a locus, two loci a group, one sex-linked group, [`MOST_ANIMALS`] animals,
//! [`MOST_PARENTAGES`] ways in which a family's uncertain parentages combine, [`MOST_CELLS`] numbers in one table
//! (a family whose animals are all each other's kin in many ways can need more), [`MOST_LOOKS`] looks a cross.
//!
//! Absent by design: names (the book has them), traits of many genes, mutation, interference between crossovers,
//! more than two loci on one map, the sex of young without a sire, lines that are hybrids of species with other loci.

mod cross;
mod fair;
mod group;
mod infer;
mod kinship;
mod locus;
mod pedigree;
pub mod starter;
mod tables;
mod wish;

#[cfg(test)]
mod tests;

pub use cross::{Cross, GroupLook, LookRow, Looks};
pub use fair::{Fair, How, fair};
pub use group::{Group, Hap, On, State};
pub use infer::{Conflict, Findings, Joint, Surprise, UNKNOWN_MALE, Who, infer};
pub use kinship::{Ancestor, Kin, kinship};
pub use locus::{Allele, Between, Locus, Look, Mode, Shows};
pub use pedigree::{Brood, Evidence, Individual, Parentage, Pedigree, Sex, Sire, What};
pub use wish::{Chances, Wish};

/// Alleles at one locus, normal included.
pub const MOST_ALLELES: usize = 8;
/// Animals in one pedigree.
pub const MOST_ANIMALS: usize = 20_000;
/// Combinations of uncertain parentages within one family that have young to tell by.
pub const MOST_PARENTAGES: usize = 256;
/// Numbers in one table while weighing a family: 8 MB.
pub const MOST_CELLS: usize = 1 << 20;
/// Different looks that one cross is told in.
pub const MOST_LOOKS: usize = 1 << 17;

/// Why a sum of genetics is refused; says what to do.
#[derive(Clone, Debug, PartialEq)]
pub enum Refusal {
    /// An allele that the locus has not, or more than [`MOST_ALLELES`].
    Alleles(usize),
    /// A group of none or of more than two loci.
    Loci(usize),
    /// A recombination share outside 0 to one half.
    Recombination(f64),
    /// More than one sex-linked group: traits on one sex chromosome belong in one group.
    SexLinked,
    /// More than [`MOST_ANIMALS`], or a number that names none.
    Animals(usize),
    /// An animal that is its own ancestor.
    OwnAncestor(usize),
    /// A chance outside 0 to 1.
    Chance(f64),
    /// More combinations of possible parents than [`MOST_PARENTAGES`].
    Parentages,
    /// A family too much interbred for a table of [`MOST_CELLS`].
    TooTangled,
    /// More looks than [`MOST_LOOKS`].
    TooManyLooks,
    /// Counts and shares of a test do not belong together.
    Counts,
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Alleles(n) => write!(
                f,
                "a locus holds up to {MOST_ALLELES} alleles with the normal one, not {n}: remove one that is not used"
            ),
            Self::Loci(_) => f.write_str(
                "only two traits can be linked with each other: keep the closest link and remove the others",
            ),
            Self::Recombination(r) => {
                write!(f, "a recombination share of {} %: enter 0 to 50", r * 100.0)
            }
            Self::SexLinked => {
                f.write_str("more than two sex-linked traits at once: choose the two that matter")
            }
            Self::Animals(_) => write!(f, "more than {MOST_ANIMALS} animals in one family cannot be weighed at once"),
            Self::OwnAncestor(_) => {
                f.write_str("an animal is recorded as its own ancestor: correct its dam or sire first")
            }
            Self::Chance(c) => write!(f, "a chance of {} %: enter 0 to 100", c * 100.0),
            Self::Parentages => f.write_str(
                "too many clutches of this family have more than one possible parent: settle one that is known",
            ),
            Self::TooTangled => f.write_str(
                "this family is interbred in too many ways to be weighed: enter what is known for certain of its older animals",
            ),
            Self::TooManyLooks => f.write_str("too many different looks: choose the traits that matter"),
            Self::Counts => f.write_str("the counts do not match what was expected: count each look once"),
        }
    }
}

impl std::error::Error for Refusal {}
