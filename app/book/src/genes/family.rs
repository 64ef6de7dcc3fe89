//! A family for the sums: who came from whom, as far as the book knows, and what is said of their traits.

use super::TraitFacts;
use crate::acts::GenotypeLine;
use crate::book::Book;
use crate::ids::{AnimalId, ClutchId, EggId};
use crate::records::Animal;
use crate::views::parents;
use crate::words::{Sex, Together, TraitKnown, TraitSeen};
use std::collections::{BTreeMap, BTreeSet};
use trade::genetics::{
    Allele, Between, Brood, Evidence, Findings, Group, Individual, Locus, On, Parentage, Pedigree, Refusal, Shows,
    Sire, What, infer,
};

/// Everybody related to the animals asked for, and the loci of which anything is said among them.
#[derive(Clone, Debug)]
pub struct Family {
    pub(crate) animals: Vec<AnimalId>,
    number: BTreeMap<AnimalId, usize>,
    pub(crate) pedigree: Pedigree,
    /// By brood: the clutches it hatched from, if any.
    clutches: Vec<Vec<ClutchId>>,
    pub(crate) groups: Vec<Group>,
    pub(crate) loci: Vec<FamilyLocus>,
}

/// A locus with the traits that are its alleles; the first of them is allele 1.
#[derive(Clone, Debug)]
pub(crate) struct FamilyLocus {
    pub(crate) group: usize,
    pub(crate) at: usize,
    pub(crate) traits: Vec<TraitFacts>,
}

/// What cannot be, with names to look for.
#[derive(Clone, Debug, PartialEq)]
pub struct Conflict {
    /// The traits of which nothing fits; empty: each fits some parents, but not all the same ones.
    pub traits: Vec<String>,
    /// Setting aside what is entered of any of these would take it away.
    pub any_of: Vec<(AnimalId, String)>,
    /// Clutches with more than one possible parent that are in it.
    pub clutches: Vec<ClutchId>,
}

/// What a brood is told apart by.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct BroodKey {
    clutches: Vec<ClutchId>,
    dams: Vec<AnimalId>,
    sires: Vec<AnimalId>,
    /// Also possible: a male nobody knows, and no male at all.
    unknown_male: bool,
    no_male: bool,
    /// With a parent unknown and no clutch, nobody else is known to be its sib.
    alone: Option<AnimalId>,
}

impl Book {
    /// The clutches an animal may have hatched from, one record for each.
    pub(crate) fn clutches_from(&self, animal: &Animal) -> Vec<ClutchId> {
        let of = |egg: &EggId| self.egg(egg).and_then(|egg| egg.clutch.clone());
        let first = |id: ClutchId| self.same_clutch(&id).first().map_or(id.clone(), |clutch| clutch.id.clone());
        let mut all: Vec<ClutchId> = animal.from_eggs.iter().filter_map(of).map(first).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// The animals that may be its dam and its sire.
    pub(crate) fn possible_parents(&self, animal: &Animal) -> (Vec<AnimalId>, Vec<AnimalId>) {
        self.brood_of(animal).map(|key| (key.dams, key.sires)).unwrap_or_default()
    }

    /// Its dam and its sire where nobody else is possible, and whether there are several possibilities on a side. Where there
    /// may have been no male no sire is certain.
    pub(crate) fn certain_parents(&self, animal: &Animal) -> ([Option<AnimalId>; 2], bool) {
        let Some(key) = self.brood_of(animal) else { return ([None, None], false) };
        let besides = key.unknown_male || key.no_male;
        let unsure = key.dams.len() > 1 || key.sires.len() > 1 || besides;
        let only = |side: &[AnimalId]| match side {
            [only] => Some(only.clone()),
            _ => None,
        };
        ([only(&key.dams), only(&key.sires).filter(|_| !besides)], unsure)
    }

    fn brood_of(&self, animal: &Animal) -> Option<BroodKey> {
        let clutches = self.clutches_from(animal);
        let (mut dams, mut sires) = (BTreeSet::new(), BTreeSet::new());
        let (mut unknown_male, mut no_male) = (false, false);
        for clutch in &clutches {
            let all = parents(self, clutch);
            unknown_male |= all.unknown_male;
            no_male |= all.no_male;
            dams.extend(all.dams.into_iter().map(|(id, _)| id));
            sires.extend(all.sires.into_iter().map(|(id, _)| id));
        }
        // What is entered of the animal itself is its keeper's last word.
        let narrow = |all: BTreeSet<AnimalId>, own: &Option<AnimalId>| match own {
            Some(own) => vec![own.clone()],
            None => all.into_iter().collect::<Vec<_>>(),
        };
        let (dams, sires) = (narrow(dams, &animal.dam), narrow(sires, &animal.sire));
        let sired = animal.sire.is_some();
        (unknown_male, no_male) = (unknown_male && !sired, no_male && !sired);
        let strange = |ids: &[AnimalId]| ids.contains(&animal.id);
        if strange(&dams) || strange(&sires) || dams.is_empty() && sires.is_empty() && clutches.is_empty() {
            return None;
        }
        let half_known = dams.is_empty() || sires.is_empty();
        let alone = (clutches.is_empty() && half_known).then(|| animal.id.clone());
        Some(BroodKey { clutches, dams, sires, unknown_male, no_male, alone })
    }
}

impl Family {
    /// The family of these animals; of `also` nothing needs to be said for its locus to be there.
    ///
    /// # Errors
    /// Loci that cannot be as entered, said so that a keeper can mend it.
    pub fn of(book: &Book, of: &[AnimalId], also: &[String]) -> Result<Family, Refusal> {
        let mut broods: BTreeMap<AnimalId, BroodKey> = BTreeMap::new();
        let mut kin: BTreeMap<&AnimalId, Vec<&AnimalId>> = BTreeMap::new();
        for animal in book.all_animals() {
            if let Some(key) = book.brood_of(animal) {
                broods.insert(animal.id.clone(), key);
            }
        }
        for (young, key) in &broods {
            for parent in key.dams.iter().chain(&key.sires) {
                kin.entry(young).or_default().push(parent);
                kin.entry(parent).or_default().push(young);
            }
        }
        // Sibs of an unknown parent are kin by it.
        let mut first_of: BTreeMap<&BroodKey, &AnimalId> = BTreeMap::new();
        for (young, key) in &broods {
            let first = *first_of.entry(key).or_insert(young);
            if first != young {
                kin.entry(young).or_default().push(first);
                kin.entry(first).or_default().push(young);
            }
        }
        let mut met: BTreeSet<&AnimalId> = BTreeSet::new();
        let mut next: Vec<&AnimalId> = of.iter().filter(|id| book.animal(id).is_some()).collect();
        while let Some(animal) = next.pop() {
            if met.insert(animal) {
                next.extend(kin.get(animal).into_iter().flatten().filter(|id| book.animal(id).is_some()));
            }
        }
        let animals: Vec<AnimalId> = met.into_iter().cloned().collect();
        let number: BTreeMap<AnimalId, usize> = animals.iter().cloned().zip(0..).collect();
        let mut family = Family {
            pedigree: Pedigree::default(),
            clutches: Vec::new(),
            groups: Vec::new(),
            loci: Vec::new(),
            animals,
            number,
        };
        family.draw(book, &broods);
        family.find_loci(book, also)?;
        family.hear(book);
        Ok(family)
    }

    /// Animals and broods.
    fn draw(&mut self, book: &Book, broods: &BTreeMap<AnimalId, BroodKey>) {
        let mut drawn: BTreeMap<&BroodKey, usize> = BTreeMap::new();
        let mut pedigree = Pedigree::default();
        for id in &self.animals {
            let sex = match book.animal(id).and_then(|animal| animal.sex) {
                Some(Sex::Female) => Some(trade::genetics::Sex::Female),
                Some(Sex::Male) => Some(trade::genetics::Sex::Male),
                Some(Sex::Unknown) | None => None,
            };
            let brood = broods.get(id).map(|key| {
                *drawn.entry(key).or_insert_with(|| {
                    pedigree.broods.push(Brood { parentages: self.parentages(key) });
                    pedigree.broods.len() - 1
                })
            });
            pedigree.animals.push(Individual { sex, brood, known: Vec::new() });
        }
        self.clutches = vec![Vec::new(); pedigree.broods.len()];
        for (key, brood) in drawn {
            self.clutches[brood] = key.clutches.clone();
        }
        self.pedigree = pedigree;
        // A circle of parents is a legal state of merged books: the animal caught in it counts as of unknown parents.
        while let Err(Refusal::OwnAncestor(animal)) = infer(&[], &self.pedigree, &[], None) {
            self.pedigree.animals[animal].brood = None;
        }
    }

    /// Every way in which a brood can have come about; before its young are looked at all count alike (our choice).
    fn parentages(&self, key: &BroodKey) -> Vec<Parentage> {
        let known = |ids: &[AnimalId]| ids.iter().filter_map(|id| self.number.get(id).copied()).collect::<Vec<_>>();
        let mut dams: Vec<Option<usize>> = known(&key.dams).into_iter().map(Some).collect();
        let mut sires: Vec<Sire> = known(&key.sires).into_iter().map(Sire::Known).collect();
        if dams.is_empty() {
            dams.push(None);
        }
        if key.unknown_male || sires.is_empty() && !key.no_male {
            sires.push(Sire::Unknown);
        }
        if key.no_male {
            sires.push(Sire::NoMale);
        }
        let pairs = dams.iter().flat_map(|&dam| sires.iter().map(move |&sire| (dam, sire)));
        let pairs: Vec<Parentage> = pairs
            .filter(|(dam, sire)| dam.is_none() || *dam != sire.known())
            .map(|(dam, sire)| Parentage { dam, sire, weight: 1.0 })
            .collect();
        let unknown = Parentage { dam: None, sire: Sire::Unknown, weight: 1.0 };
        if pairs.is_empty() { vec![unknown] } else { pairs }
    }

    /// The loci of which anything is said, traits of one locus together, linked ones in one group.
    fn find_loci(&mut self, book: &Book, also: &[String]) -> Result<(), Refusal> {
        let said =
            self.animals.iter().flat_map(|id| book.genotypes_of(id)).filter(|g| g.seen.is_some() || g.known.is_some());
        let keys: BTreeSet<String> = said.filter_map(|g| g.of_trait.clone()).chain(also.iter().cloned()).collect();
        let mut loci: BTreeMap<String, Vec<TraitFacts>> = BTreeMap::new();
        for facts in keys.iter().filter_map(|key| book.trait_facts(key)) {
            loci.entry(locus_of(book, &facts)).or_default().push(facts);
        }
        let mut parts: Vec<(String, Vec<TraitFacts>)> = loci.into_iter().collect();
        // The trait whose locus it is comes first, and the others as they are shipped or named.
        for (root, traits) in &mut parts {
            traits.sort_by_key(|facts| (facts.key != *root, facts.key.clone()));
        }
        let mut taken = vec![false; parts.len()];
        for i in 0..parts.len() {
            if taken[i] {
                continue;
            }
            taken[i] = true;
            let (on, link) = (parts[i].1[0].on(), linked(book, &parts[i].1));
            let linked_here = |j: usize| -> Option<f64> {
                let back = linked(book, &parts[j].1);
                let own = link.as_ref().filter(|(to, _)| *to == parts[j].0).map(|(_, share)| *share);
                own.or_else(|| back.filter(|(to, _)| *to == parts[i].0).map(|(_, share)| share))
            };
            let free = |j: &usize| !taken[*j] && parts[*j].1[0].on() == on;
            let linked_to = (0..parts.len()).filter(free).find_map(|j| Some((j, linked_here(j)?)));
            // Two traits on one sex chromosome are on one map, however far apart.
            let same_sex_chromosome =
                || (on != On::Autosome).then(|| (0..parts.len()).find(free)).flatten().map(|j| (j, 0.5));
            let partner = linked_to.or_else(same_sex_chromosome);
            let mut group = vec![i];
            group.extend(partner.map(|(j, _)| j));
            if let Some((j, _)) = partner {
                taken[j] = true;
            }
            let loci = group.iter().map(|&at| locus(&parts[at].1)).collect::<Result<Vec<_>, _>>()?;
            self.groups.push(Group::new(loci, on, partner.map_or(0.0, |(_, share)| share))?);
            for (at, part) in group.into_iter().enumerate() {
                self.loci.push(FamilyLocus { group: self.groups.len() - 1, at, traits: parts[part].1.clone() });
            }
        }
        if self.groups.iter().filter(|group| group.on != On::Autosome).count() > 1 {
            return Err(Refusal::SexLinked);
        }
        Ok(())
    }

    /// What is said and seen of each.
    fn hear(&mut self, book: &Book) {
        for (id, animal) in self.animals.iter().zip(&mut self.pedigree.animals) {
            for locus in &self.loci {
                for (allele, facts) in (1..).zip(&locus.traits) {
                    let said = GenotypeLine::of(book, id, &facts.key);
                    let mut hear = |what| {
                        animal.known.push(Evidence { group: locus.group, locus: locus.at, allele, what });
                    };
                    if let Some(seen) = said.seen {
                        hear(What::Looks(match seen {
                            TraitSeen::No => Shows::No,
                            TraitSeen::Shows => Shows::One,
                            TraitSeen::Two => Shows::Two,
                        }));
                    }
                    match said.known {
                        Some(TraitKnown::Not) => hear(What::Not),
                        Some(TraitKnown::Het) => hear(What::Het),
                        Some(TraitKnown::Homozygous) => hear(What::Homozygous),
                        Some(TraitKnown::Carries) => hear(What::Carries),
                        Some(TraitKnown::Possible) => {
                            let chance = f64::from(said.chance_pm.unwrap_or(500).min(1000)) / 1000.0;
                            hear(What::Possible(chance));
                        }
                        None => {}
                    }
                }
            }
        }
    }

    /// The place of an animal in the pedigree.
    pub(crate) fn number(&self, animal: &AnimalId) -> Option<usize> {
        self.number.get(animal).copied()
    }

    /// Whether anything is said of any trait.
    pub fn says_nothing(&self) -> bool {
        self.loci.is_empty()
    }

    pub(crate) fn weigh(&self, asked: &[usize], pair: Option<(usize, usize)>) -> Result<Findings, Refusal> {
        infer(&self.groups, &self.pedigree, asked, pair)
    }

    /// The same family with nothing said of some of them.
    pub(crate) fn without(&self, silent: impl Fn(usize) -> bool) -> Family {
        let mut other = self.clone();
        for (at, animal) in other.pedigree.animals.iter_mut().enumerate() {
            if silent(at) {
                animal.known.clear();
            }
        }
        other
    }

    /// Everybody who may descend from an animal.
    pub(crate) fn descendants(&self, of: usize) -> BTreeSet<usize> {
        let mut all = BTreeSet::from([of]);
        loop {
            let before = all.len();
            for (at, animal) in self.pedigree.animals.iter().enumerate() {
                let brood = animal.brood.map(|brood| &self.pedigree.broods[brood]);
                let up = brood.into_iter().flat_map(|b| &b.parentages).flat_map(Parentage::known);
                if up.into_iter().any(|parent| all.contains(&parent)) {
                    all.insert(at);
                }
            }
            if all.len() == before {
                all.remove(&of);
                return all;
            }
        }
    }

    /// The brood of a clutch's young.
    pub(crate) fn broods_of(&self, clutch: &ClutchId) -> Vec<usize> {
        (0..self.clutches.len()).filter(|&brood| self.clutches[brood].contains(clutch)).collect()
    }

    pub(crate) fn conflicts(&self, book: &Book, findings: &Findings) -> Vec<Conflict> {
        let named = |at: &usize| (self.animals[*at].clone(), book.animal_name(&self.animals[*at]));
        let names = |group: usize| {
            let of = self.loci.iter().filter(move |locus| locus.group == group);
            of.flat_map(|locus| locus.traits.iter().map(|facts| facts.card.name.clone())).collect()
        };
        let told = findings.conflicts.iter().map(|conflict| Conflict {
            traits: conflict.group.map_or_else(Vec::new, names),
            any_of: conflict.any_of.iter().map(named).collect(),
            clutches: conflict.broods.iter().flat_map(|&brood| self.clutches[brood].clone()).collect(),
        });
        told.collect()
    }
}

/// The trait whose locus a trait shares: itself, most often. Stops where the links go round.
pub(crate) fn locus_of(book: &Book, facts: &TraitFacts) -> String {
    let mut seen = vec![facts.key.clone()];
    let mut now = facts.clone();
    while let Some(first) = now.card.locus_of.clone().and_then(|key| book.trait_facts(&key)) {
        if seen.contains(&first.key) {
            // Every trait of the circle agrees on the least.
            return seen.into_iter().min().unwrap_or_default();
        }
        seen.push(first.key.clone());
        now = first;
    }
    now.key
}

/// The locus that the traits' locus is linked to, with the recombination share.
fn linked(book: &Book, traits: &[TraitFacts]) -> Option<(String, f64)> {
    traits.iter().find_map(|facts| {
        let other = book.trait_facts(facts.card.linked_to.as_deref()?)?;
        let share = f64::from(facts.card.recombination_pm.unwrap_or(500)) / 1000.0;
        Some((locus_of(book, &other), share))
    })
}

fn locus(traits: &[TraitFacts]) -> Result<Locus, Refusal> {
    let alleles = traits.iter().map(|facts| Allele { mode: facts.mode, unviable: facts.card.unviable }).collect();
    let mut between = Vec::new();
    for (b, facts) in (1u8..).zip(traits) {
        let first = traits.iter().position(|other| Some(&other.key) == facts.card.locus_of.as_ref());
        if let Some(a) = first.and_then(|at| u8::try_from(at + 1).ok()).filter(|&a| a != b) {
            between.extend(facts.card.together.map(|how| {
                let how = match how {
                    Together::Both => Between::Both,
                    Together::First => Between::First,
                    Together::This => Between::Second,
                };
                (a, b, how)
            }));
        }
    }
    Locus::new(alleles, between)
}
