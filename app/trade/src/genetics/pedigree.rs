//! A family: who came from whom, and what is said and seen of each.

use super::{Group, MOST_ANIMALS, Refusal, Shows};

/// Which parent an animal can be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sex {
    Female,
    Male,
}

/// What is known of one allele in one animal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum What {
    /// How it looks.
    Looks(Shows),
    /// It does not carry the allele.
    Not,
    /// It carries at least one copy.
    Carries,
    /// One copy: heterozygous, or hemizygous.
    Het,
    /// As many copies as there can be.
    Homozygous,
    /// Heterozygous with this chance, else without the allele: what a seller or an old note says.
    Possible(f64),
}

/// Something known of an animal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Evidence {
    pub group: usize,
    /// Within the group.
    pub locus: usize,
    /// Not 0.
    pub allele: u8,
    pub what: What,
}

/// An animal of a pedigree, named by its place in the list.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Individual {
    pub sex: Option<Sex>,
    /// What it hatched with; `None`: nothing is known of its parents.
    pub brood: Option<usize>,
    pub known: Vec<Evidence>,
}

/// Who sired a brood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sire {
    Known(usize),
    Unknown,
    /// No male: the dam's young are hers alone ([`super::Group::alone`]).
    NoMale,
}

impl Sire {
    /// His number in the pedigree.
    pub fn known(self) -> Option<usize> {
        match self {
            Sire::Known(sire) => Some(sire),
            Sire::Unknown | Sire::NoMale => None,
        }
    }
}

impl From<Option<usize>> for Sire {
    /// `None`: an unknown one.
    fn from(sire: Option<usize>) -> Sire {
        sire.map_or(Sire::Unknown, Sire::Known)
    }
}

/// One way in which a brood can have come about; an unknown parent is one animal, the same for the whole brood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Parentage {
    pub dam: Option<usize>,
    pub sire: Sire,
    /// Its chance against the others before the young have their say; any unit.
    pub weight: f64,
}

impl Parentage {
    /// The parents that are animals of the pedigree.
    pub fn known(&self) -> impl Iterator<Item = usize> + use<> {
        self.dam.into_iter().chain(self.sire.known())
    }
}

/// Young of one dam and one sire, whichever they are.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Brood {
    /// At least one.
    pub parentages: Vec<Parentage>,
}

impl Brood {
    /// Of known parents, or of unknown ones.
    pub fn of(dam: Option<usize>, sire: Option<usize>) -> Self {
        Brood { parentages: vec![Parentage { dam, sire: sire.into(), weight: 1.0 }] }
    }
}

/// Animals and what they came from.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pedigree {
    pub animals: Vec<Individual>,
    pub broods: Vec<Brood>,
}

impl Pedigree {
    /// The possible parents of an animal, each once.
    pub(super) fn parents(&self, animal: usize) -> Vec<usize> {
        let brood = self.animals[animal].brood.map(|brood| &self.broods[brood]);
        let mut all: Vec<usize> = brood.into_iter().flat_map(|b| &b.parentages).flat_map(Parentage::known).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// Animals with every parent before its young.
    ///
    /// # Errors
    /// Numbers that name nothing, chances that are none, an animal among its own ancestors.
    pub(super) fn ordered(&self, groups: &[Group]) -> Result<Vec<usize>, Refusal> {
        let n = self.animals.len();
        if n > MOST_ANIMALS {
            return Err(Refusal::Animals(n));
        }
        for brood in &self.broods {
            for p in &brood.parentages {
                if let Some(stranger) = p.known().find(|&parent| parent >= n) {
                    return Err(Refusal::Animals(stranger));
                }
                if !(p.weight > 0.0 && p.weight.is_finite()) {
                    return Err(Refusal::Chance(p.weight));
                }
            }
        }
        for animal in &self.animals {
            if animal.brood.is_some_and(|b| self.broods.get(b).is_none_or(|b| b.parentages.is_empty())) {
                return Err(Refusal::Counts);
            }
            for known in &animal.known {
                let locus = groups.get(known.group).and_then(|group| group.loci.get(known.locus));
                if locus.and_then(|locus| locus.allele(known.allele)).is_none() {
                    return Err(Refusal::Alleles(usize::from(known.allele) + 1));
                }
                if let What::Possible(p) = known.what
                    && !(0.0..=1.0).contains(&p)
                {
                    return Err(Refusal::Chance(p));
                }
            }
        }
        let parents: Vec<Vec<usize>> = (0..n).map(|animal| self.parents(animal)).collect();
        let mut waits: Vec<usize> = parents.iter().map(Vec::len).collect();
        let mut young: Vec<Vec<usize>> = vec![Vec::new(); n];
        for (animal, of) in parents.iter().enumerate() {
            of.iter().for_each(|&parent| young[parent].push(animal));
        }
        let mut order: Vec<usize> = (0..n).filter(|&animal| waits[animal] == 0).collect();
        let mut at = 0;
        while let Some(&animal) = order.get(at) {
            at += 1;
            for &child in &young[animal] {
                waits[child] -= 1;
                if waits[child] == 0 {
                    order.push(child);
                }
            }
        }
        match (0..n).find(|&animal| waits[animal] > 0) {
            Some(caught) => Err(Refusal::OwnAncestor(caught)),
            None => Ok(order),
        }
    }
}
