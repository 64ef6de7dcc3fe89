//! What is told of an animal's genotype, in the trade's words.

use super::TraitFacts;
use super::family::{Family, FamilyLocus};
use crate::book::Book;
use crate::ids::AnimalId;
use crate::lower::lower;
use std::collections::BTreeSet;
use trade::genetics::{Group, Mode, Refusal, Shows};

/// A chance from which on something is said as certain, and under which it is not said.
const SURE: f64 = 0.995;

/// One trait of one animal.
#[derive(Clone, Debug, PartialEq)]
pub struct TraitTold {
    pub facts: TraitFacts,
    pub told: Told,
}

/// What is told of an animal's genotype.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Genotype {
    /// Nothing was entered of it or of its parents, and nothing follows from anybody else. Not the same as normal.
    NotEntered,
    /// Something was entered, and nothing of note is carried.
    Normal,
    /// In one line, in the trade's words.
    Carries(String),
    /// What was entered cannot be weighed, and why.
    Unclear(String),
}

/// Chances, 0–1.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Told {
    /// It shows.
    pub shows: f64,
    /// It looks as two copies of an incomplete dominant do.
    pub two: f64,
    /// It carries the allele and does not show it.
    pub hidden: f64,
    /// It has as many copies as there can be.
    pub homozygous: f64,
}

impl Told {
    pub(crate) fn of(group: &Group, locus: usize, allele: u8, chances: &[f64]) -> Told {
        let mut told = Told::default();
        for (state, &chance) in (0..).zip(chances).filter(|(_, chance)| **chance > 0.0) {
            let (copies, most) = group.copies(state, locus, allele);
            match group.shows(state, locus, allele) {
                Shows::No if copies > 0 => told.hidden += chance,
                Shows::No => {}
                Shows::One => told.shows += chance,
                Shows::Two => {
                    told.shows += chance;
                    told.two += chance;
                }
            }
            if copies == most {
                told.homozygous += chance;
            }
        }
        told
    }

    /// That it carries at least one copy.
    pub fn carries(self) -> f64 {
        self.shows + self.hidden
    }
}

impl TraitTold {
    /// What of it young can tell: that a recessive is carried, that a dominant is homozygous.
    pub fn in_question(&self) -> f64 {
        if self.facts.mode == Mode::Recessive { self.told.carries() } else { self.told.homozygous }
    }

    /// In the trade's words, such as "het amelanistic" or "poss het motley 66 %"; empty where there is nothing to say.
    pub fn words(&self) -> String {
        let name = &self.facts.card.name;
        let Told { shows, two, hidden, homozygous } = self.told;
        let mut said = Vec::new();
        if shows >= SURE {
            said.push(match self.facts.mode {
                Mode::IncompleteDominant if two >= SURE => self.facts.two_name(),
                Mode::IncompleteDominant if two > 1.0 - SURE => {
                    format!("{name} (poss {} {})", self.facts.two_name(), percent(two))
                }
                Mode::Dominant if homozygous >= SURE => format!("homozygous {name}"),
                Mode::Dominant if homozygous > 1.0 - SURE => {
                    format!("{name} (poss homozygous {})", percent(homozygous))
                }
                Mode::Recessive | Mode::IncompleteDominant | Mode::Dominant => name.clone(),
            });
        } else if shows > 1.0 - SURE {
            said.push(format!("poss {name} {}", percent(shows)));
        }
        if hidden >= SURE {
            said.push(format!("het {name}"));
        } else if hidden > 1.0 - SURE {
            said.push(format!("poss het {name} {}", percent(hidden)));
        }
        said.join(", ")
    }

    /// Where it stands in a line: what shows, what is carried for certain, what is possible.
    fn rank(&self) -> u8 {
        match self.told {
            Told { shows, .. } if shows >= SURE => 0,
            Told { hidden, .. } if hidden >= SURE => 1,
            _ => 2,
        }
    }
}

/// As the trade has it: two thirds are 66 %.
pub(crate) fn percent(chance: f64) -> String {
    format!("{} %", ((chance * 100.0 + 1e-6).floor() as u32).clamp(1, 99))
}

/// The animals' words in one line; empty when nothing of note is carried.
pub(crate) fn line(told: &[TraitTold]) -> String {
    let mut told: Vec<&TraitTold> = told.iter().collect();
    told.sort_by_key(|one| (one.rank(), one.facts.card.name.clone()));
    let words: Vec<String> = told.into_iter().map(TraitTold::words).filter(|words| !words.is_empty()).collect();
    words.join(", ")
}

/// The traits of a text, each in lower case and without signs: "Amel, het Anery" names "amel" and "het anery".
fn named(text: &str) -> BTreeSet<String> {
    let words = |name: &str| {
        let words = name.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
        words.map(lower).collect::<Vec<_>>().join(" ")
    };
    text.split([',', ';', '·', '+', '/']).map(words).filter(|name| !name.is_empty()).collect()
}

fn once(looks: Option<String>, genes: Option<String>) -> [Option<String>; 2] {
    match (looks, genes) {
        (Some(looks), Some(genes)) if named(&looks).is_subset(&named(&genes)) => [None, Some(genes)],
        (Some(looks), Some(genes)) if named(&genes).is_subset(&named(&looks)) => [Some(looks), None],
        both => [both.0, both.1],
    }
}

impl Family {
    /// By trait, of one animal, from the chances of each group.
    pub(crate) fn told<'c>(&self, chances: impl Fn(usize) -> Option<&'c [f64]>) -> Vec<TraitTold> {
        let of = |locus: &FamilyLocus| {
            let chances = chances(locus.group)?;
            let told = (1u8..).zip(&locus.traits).map(|(allele, facts)| TraitTold {
                facts: facts.clone(),
                told: Told::of(&self.groups[locus.group], locus.at, allele, chances),
            });
            Some(told.collect::<Vec<_>>())
        };
        self.loci.iter().filter_map(of).flatten().collect()
    }
}

impl Book {
    /// An animal's probable genotype, trait by trait.
    ///
    /// # Errors
    /// What cannot be weighed, and why.
    pub fn genotype(&self, animal: &AnimalId) -> Result<Vec<TraitTold>, Refusal> {
        let family = Family::of(self, std::slice::from_ref(animal), &[])?;
        let Some(number) = family.number(animal) else { return Ok(Vec::new()) };
        let found = family.weigh(&[number], None)?;
        Ok(family.told(|group| found.chances[group][number].as_deref()))
    }

    /// What is told of an animal's genotype, by what was entered; words typed as its looks are none of it.
    pub fn genotype_said(&self, animal: &AnimalId) -> Genotype {
        match self.genotype(animal) {
            Err(why) => Genotype::Unclear(why.to_string()),
            Ok(told) => match line(&told) {
                said if !said.is_empty() => Genotype::Carries(said),
                _ if self.genes_entered(animal) => Genotype::Normal,
                _ => Genotype::NotEntered,
            },
        }
    }

    /// Whether anything was entered of an animal's traits, or of both its possible parents'.
    fn genes_entered(&self, animal: &AnimalId) -> bool {
        let own = |id: &AnimalId| self.genotypes_of(id).any(|said| said.seen.is_some() || said.known.is_some());
        let above = || {
            let Some((dams, sires)) = self.animal(animal).map(|animal| self.possible_parents(animal)) else {
                return false;
            };
            [dams, sires].iter().all(|side| side.iter().any(own))
        };
        own(animal) || above()
    }

    /// The probable genotype of an animal as one text for its page and its label, such as
    /// "amelanistic, het anerythristic, poss het motley 66 %". `None` when nothing is said of its family's traits, or
    /// nothing of note is carried.
    pub fn genotype_text(&self, animal: &AnimalId) -> Option<String> {
        let told = self.genotype(animal).ok()?;
        Some(line(&told)).filter(|line| !line.is_empty())
    }

    /// An animal's looks as they were typed, and its genotype; one of them alone where it names every trait that the other
    /// does.
    pub fn traits_once(&self, animal: &AnimalId) -> [Option<String>; 2] {
        let looks = self.animal(animal).and_then(|animal| animal.morph.clone());
        once(looks.filter(|looks| !looks.trim().is_empty()), self.genotype_text(animal))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_goes_only_where_the_other_names_all_its_traits() {
        for (looks, genes, both) in [
            ("amel", "amel, het anery", [false, true]),
            ("Amel, Het-Anery", "amel, het anery", [false, true]),
            ("amel, het anery, tessera", "amel", [true, false]),
            // A word of the one within another trait of the other: it looks so, and only carries the other.
            ("amel", "het amel", [true, true]),
            ("anery", "amel, het anery", [true, true]),
            ("motley", "poss het motley 66 %", [true, true]),
            ("blood red", "bloodred", [true, true]),
        ] {
            let said = once(Some(looks.into()), Some(genes.into()));
            assert_eq!(said.clone().map(|said| said.is_some()), both, "{looks} | {genes}");
            assert_eq!(said, [both[0].then(|| looks.to_owned()), both[1].then(|| genes.to_owned())]);
        }
        assert_eq!(once(None, Some("het amel".into())), [None, Some("het amel".into())]);
        assert_eq!(once(Some("amel".into()), None), [Some("amel".into()), None]);
    }
}
