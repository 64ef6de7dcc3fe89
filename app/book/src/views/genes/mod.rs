//! Genetics as pages show it: an animal's genotype with the why, what a pairing can give, what the babies say, a plan.

mod animal;
mod looks;
mod outcomes;
mod plan;

pub use animal::{AnimalGenes, GeneLine, Why, animal_genes};
pub use looks::{Baby, ClutchLooks, Fit, LookChoice, LookLocus, Says, Several, clutch_looks};
pub use outcomes::{KinView, Mixed, OutcomeRow, Outcomes, Spread, kin_view, outcomes};
pub use plan::{PlanRow, Want, plan};

use crate::genes::{Family, TraitFacts};
use trade::genetics::{Look, Shows};

/// What the alleles that show at a locus are called together; empty when it looks normal.
fn look_words(traits: &[TraitFacts], look: &Look) -> String {
    let facts = |allele: u8| traits.get(usize::from(allele).wrapping_sub(1));
    let name = |(allele, shows): &(u8, Shows)| {
        facts(*allele).map(|f| if *shows == Shows::Two { f.two_name() } else { f.card.name.clone() })
    };
    if let [(a, _), (b, _)] = look.as_slice()
        && let (Some(a), Some(b)) = (facts(*a), facts(*b))
    {
        let called = |this: &TraitFacts, other: &TraitFacts| {
            (this.card.locus_of.as_ref() == Some(&other.key) && !this.card.both.is_empty())
                .then(|| this.card.both.clone())
        };
        if let Some(both) = called(a, b).or_else(|| called(b, a)) {
            return both;
        }
    }
    look.iter().filter_map(name).collect::<Vec<_>>().join(" ")
}

/// The names of the traits of a locus.
fn locus_name(traits: &[TraitFacts]) -> String {
    traits.iter().map(|facts| facts.card.name.clone()).collect::<Vec<_>>().join(" / ")
}

/// The loci of a group, in order.
fn loci_of(family: &Family, group: usize) -> Vec<&[TraitFacts]> {
    let mut loci: Vec<_> = family.loci.iter().filter(|locus| locus.group == group).collect();
    loci.sort_by_key(|locus| locus.at);
    loci.into_iter().map(|locus| &locus.traits[..]).collect()
}
