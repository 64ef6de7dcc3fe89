//! What is told of an animal's genotype, and why.

use crate::acts::GenotypeLine;
use crate::book::Book;
use crate::genes::{Conflict, Family, TraitFacts, TraitTold};
use crate::ids::AnimalId;
use crate::words::{TraitKnown, TraitSeen};
use trade::genetics::{Findings, Parentage, Refusal, Shows, What, Who};

/// An animal's genetics.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AnimalGenes {
    /// The probable genotype in one line; empty when nothing of note is carried.
    pub text: String,
    /// Traits of which something is said or told, what shows first.
    pub lines: Vec<GeneLine>,
    pub conflicts: Vec<Conflict>,
    /// What keeps it from being weighed.
    pub trouble: Option<String>,
}

/// One trait of an animal.
#[derive(Clone, Debug, PartialEq)]
pub struct GeneLine {
    pub facts: TraitFacts,
    /// In the trade's words; empty when it is held not to carry it.
    pub words: String,
    /// As entered.
    pub seen: Option<TraitSeen>,
    pub known: Option<TraitKnown>,
    pub chance_pm: Option<u32>,
    pub from: String,
    /// Why it is told so, in the order in which it was found.
    pub why: Vec<Why>,
}

/// A reason. Chances are of what is in question: carrying a recessive, being homozygous for what shows.
#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    Seen(TraitSeen),
    Known(TraitKnown),
    /// What its possible parents are, each with their words for the trait, and what that makes of their young.
    Parents {
        parents: Vec<(String, String)>,
        chance: f64,
    },
    /// Its own look and entries changed it.
    Own {
        from: f64,
        to: f64,
    },
    /// Its young did, of which so many were looked at.
    Young {
        looked_at: u32,
        from: f64,
        to: f64,
    },
    /// Nothing was entered, and yet its young or its parents' young cannot be without.
    MustCarry,
}

/// The genetics of an animal. `None` when there is no such animal.
pub fn animal_genes(book: &Book, id: &AnimalId) -> Option<AnimalGenes> {
    book.animal(id)?;
    Some(told(book, id).unwrap_or_else(|why| AnimalGenes { trouble: Some(why.to_string()), ..AnimalGenes::default() }))
}

fn told(book: &Book, id: &AnimalId) -> Result<AnimalGenes, Refusal> {
    let family = Family::of(book, std::slice::from_ref(id), &[])?;
    let Some(own) = family.number(id) else { return Ok(AnimalGenes::default()) };
    let brood = family.pedigree.animals[own].brood;
    let parentages = brood.map(|brood| family.pedigree.broods[brood].parentages.clone()).unwrap_or_default();
    let mut parents: Vec<usize> = parentages.iter().flat_map(Parentage::known).collect();
    parents.sort_unstable();
    parents.dedup();
    let asked: Vec<usize> = std::iter::once(own).chain(parents.iter().copied()).collect();

    let found = family.weigh(&asked, None)?;
    let below = family.descendants(own);
    let without_young = family.without(|at| below.contains(&at)).weigh(&[own], None)?;
    let from_parents = family.without(|at| at == own || below.contains(&at)).weigh(&asked, None)?;
    let of = |findings: &Findings, animal: usize| -> Vec<TraitTold> {
        family.told(|group| findings.chances[group][animal].as_deref())
    };
    let (now, before_young, above) = (of(&found, own), of(&without_young, own), of(&from_parents, own));
    let find = |all: &[TraitTold], key: &str| all.iter().find(|told| told.facts.key == key).cloned();
    let parents: Vec<(String, Vec<TraitTold>)> =
        parents.iter().map(|&p| (book.animal_name(&family.animals[p]), of(&from_parents, p))).collect();

    let mut lines = Vec::new();
    for locus in &family.loci {
        for (allele, facts) in (1u8..).zip(&locus.traits) {
            let said = GenotypeLine::of(book, id, &facts.key);
            let told = find(&now, &facts.key);
            let words = told.as_ref().map(TraitTold::words).unwrap_or_default();
            let mut why = Vec::new();
            why.extend(said.seen.map(Why::Seen));
            why.extend(said.known.map(Why::Known));
            let chance = |all: &[TraitTold]| find(all, &facts.key).map(|told| told.in_question());
            let (up, mine, last) = (chance(&above), chance(&before_young), chance(&now));
            let known: Vec<(String, String)> = parents
                .iter()
                .filter_map(|(name, told)| Some((name.clone(), find(told, &facts.key)?.words())))
                .collect();
            if let Some(chance) = up
                && known.iter().any(|(_, words)| !words.is_empty())
            {
                why.push(Why::Parents { parents: known, chance });
            }
            if let (Some(from), Some(to)) = (up, mine)
                && brood.is_some()
                && differ(from, to)
            {
                why.push(Why::Own { from, to });
            }
            if let (Some(from), Some(to)) = (mine, last)
                && differ(from, to)
            {
                let looked = |at: &&usize| {
                    let known = &family.pedigree.animals[**at].known;
                    let about =
                        known.iter().filter(|k| (k.group, k.locus, k.allele) == (locus.group, locus.at, allele));
                    about.into_iter().any(|k| matches!(k.what, What::Looks(Shows::No | Shows::One | Shows::Two)))
                };
                let looked_at = below.iter().filter(looked).count();
                why.push(Why::Young { looked_at: u32::try_from(looked_at).unwrap_or(u32::MAX), from, to });
            }
            let surprised = |s: &trade::genetics::Surprise| s.who == Who::Animal(own) && s.group == locus.group;
            if !said.says() && !words.is_empty() && found.surprises.iter().any(surprised) {
                why.push(Why::MustCarry);
            }
            if !words.is_empty() || said.says() {
                lines.push(GeneLine {
                    facts: facts.clone(),
                    words,
                    seen: said.seen,
                    known: said.known,
                    chance_pm: said.chance_pm,
                    from: said.why,
                    why,
                });
            }
        }
    }
    lines.sort_by_key(|line| (line.words.is_empty(), line.words.contains("het "), line.facts.card.name.clone()));
    Ok(AnimalGenes { text: crate::genes::line(&now), lines, conflicts: family.conflicts(book, &found), trouble: None })
}

fn differ(a: f64, b: f64) -> bool {
    (a - b).abs() > 0.001
}
