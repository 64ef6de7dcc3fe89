//! What is inherited together: one locus, or two that are linked; on an autosome or on a sex chromosome.

use super::pedigree::Sex;
use super::{Locus, Refusal};

/// Where a group lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum On {
    Autosome,
    /// Females ZW, males ZZ: colubrids and their kin.
    Z,
    /// Females XX, males XY: pythons and boas.
    X,
}

/// What one gamete carries: an allele a locus of the group.
pub type Hap = [u8; 2];

/// One genotype of a group: which gametes made it, told apart by phase where that matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct State {
    pub a: Hap,
    /// `None`: the sex chromosome without the locus.
    pub b: Option<Hap>,
    /// Of a sex-linked group.
    pub sex: Option<Sex>,
}

/// One or two loci with all their genotypes.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    pub loci: Vec<Locus>,
    pub on: On,
    /// Share of gametes in which the two loci have recombined, 0 to one half; of one locus without meaning.
    pub recombination: f64,
    haps: Vec<Hap>,
    states: Vec<State>,
    viable: Vec<bool>,
    /// By gamete of the dam and of the sire, the last of each being the chromosome without the locus.
    made: Vec<u16>,
}

/// No genotype: two chromosomes without the locus, or a son's gamete pair that makes no son.
const NONE: u16 = u16::MAX;

impl Group {
    /// # Errors
    /// None or more than two loci; a recombination share outside 0 to one half.
    pub fn new(loci: Vec<Locus>, on: On, recombination: f64) -> Result<Self, Refusal> {
        if loci.is_empty() || loci.len() > 2 {
            return Err(Refusal::Loci(loci.len()));
        }
        if !(0.0..=0.5).contains(&recombination) {
            return Err(Refusal::Recombination(recombination));
        }
        Ok(Self::build(loci, on, recombination))
    }

    /// One locus.
    pub fn single(locus: Locus, on: On) -> Self {
        Self::build(vec![locus], on, 0.0)
    }

    fn build(loci: Vec<Locus>, on: On, recombination: f64) -> Self {
        let second = loci.get(1).map_or(1, Locus::alleles);
        let first = loci.first().map_or(1, Locus::alleles);
        let haps: Vec<Hap> = (0..first).flat_map(|x| (0..second).map(move |y| [x as u8, y as u8])).collect();
        let n = haps.len();
        let (one, two) = match on {
            On::Autosome => (None, None),
            On::Z => (Some(Sex::Female), Some(Sex::Male)),
            On::X => (Some(Sex::Male), Some(Sex::Female)),
        };
        let mut states = Vec::new();
        let mut made = vec![NONE; (n + 1) * (n + 1)];
        for i in 0..n {
            for j in i..n {
                made[i * (n + 1) + j] = states.len() as u16;
                made[j * (n + 1) + i] = states.len() as u16;
                states.push(State { a: haps[i], b: Some(haps[j]), sex: two });
            }
        }
        if on != On::Autosome {
            for (i, &a) in haps.iter().enumerate() {
                // The bare chromosome comes from the sex that has one: the dam's W, the sire's Y.
                let at = if on == On::Z { n * (n + 1) + i } else { i * (n + 1) + n };
                made[at] = states.len() as u16;
                states.push(State { a, b: None, sex: one });
            }
        }
        let lives = |s: &State| loci.iter().enumerate().all(|(l, locus)| locus.viable(s.a[l], s.b.map(|b| b[l])));
        let viable = states.iter().map(lives).collect();
        Group { loci, on, recombination, haps, states, viable, made }
    }

    /// All genotypes; the first is normal throughout.
    pub fn states(&self) -> &[State] {
        &self.states
    }

    pub fn state(&self, state: u16) -> State {
        self.states[usize::from(state)]
    }

    pub fn lives(&self, state: u16) -> bool {
        self.viable[usize::from(state)]
    }

    /// Copies of an allele in a genotype, and how many there could be.
    pub fn copies(&self, state: u16, locus: usize, allele: u8) -> (u8, u8) {
        let s = self.state(state);
        let has = |hap: Hap| u8::from(hap[locus] == allele);
        (has(s.a) + s.b.map_or(0, has), if s.b.is_some() { 2 } else { 1 })
    }

    /// What a genotype looks like, locus by locus.
    pub fn look(&self, state: u16) -> Vec<super::Look> {
        let s = self.state(state);
        self.loci.iter().enumerate().map(|(l, locus)| locus.look(s.a[l], s.b.map(|b| b[l]))).collect()
    }

    /// How far an allele is seen in a genotype.
    pub fn shows(&self, state: u16, locus: usize, allele: u8) -> super::Shows {
        let s = self.state(state);
        self.loci[locus].shows(allele, s.a[locus], s.b.map(|b| b[locus]))
    }

    fn hap(&self, hap: Hap) -> usize {
        let second = self.loci.get(1).map_or(1, Locus::alleles);
        usize::from(hap[0]) * second + usize::from(hap[1])
    }

    /// The number of the chromosome without the locus.
    fn bare(&self) -> usize {
        self.haps.len()
    }

    /// Gametes with their shares; the bare sex chromosome is the last number.
    pub(super) fn gametes(&self, state: u16) -> Vec<(usize, f64)> {
        let s = self.state(state);
        let Some(b) = s.b else { return vec![(self.hap(s.a), 0.5), (self.bare(), 0.5)] };
        let r = if self.loci.len() == 2 { self.recombination } else { 0.0 };
        let crossed = ([s.a[0], b[1]], [b[0], s.a[1]]);
        let mut out: Vec<(usize, f64)> = Vec::with_capacity(4);
        for (hap, share) in [(s.a, (1.0 - r) / 2.0), (b, (1.0 - r) / 2.0), (crossed.0, r / 2.0), (crossed.1, r / 2.0)] {
            let hap = self.hap(hap);
            match out.iter_mut().find(|(known, _)| *known == hap) {
                Some((_, sum)) => *sum += share,
                None if share > 0.0 => out.push((hap, share)),
                None => {}
            }
        }
        out
    }

    /// The gametes of a state as bits.
    pub(super) fn gamete_set(&self, state: u16) -> u128 {
        self.gametes(state).iter().fold(0, |set, (hap, _)| set | 1 << hap)
    }

    /// Pairs of gametes (the dam's, the sire's) that make a state.
    pub(super) fn halves(&self, state: u16) -> [(usize, usize); 2] {
        let s = self.state(state);
        match (s.b, self.on) {
            (Some(b), _) => [(self.hap(s.a), self.hap(b)), (self.hap(b), self.hap(s.a))],
            (None, On::Z) => [(self.bare(), self.hap(s.a)); 2],
            (None, _) => [(self.hap(s.a), self.bare()); 2],
        }
    }

    /// Whether an animal of a genotype can be a parent in this role.
    fn may_be(&self, state: u16, role: Sex) -> bool {
        self.state(state).sex.is_none_or(|sex| sex == role)
    }

    /// Young of a dam without a male (facultative parthenogenesis), as conceived, with their shares, which sum to 1. Empty
    /// when she cannot be a dam.
    ///
    /// The model: as if one of her gametes were doubled, so that each locus is homozygous and a heterozygous one gives
    /// half of each. That is what terminal fusion automixis gives where nothing recombines between a locus and its
    /// centromere. Automixis of this kind in snakes: Booth & Schuett 2016, Biol. J. Linn. Soc. 118:172, from memory. Linked
    /// loci recombine as in her other eggs (our choice). Which sex such young have differs among snakes and is not used:
    /// where a locus is sex-linked, both are taken alike.
    pub fn alone(&self, dam: u16) -> Vec<(u16, f64)> {
        if !self.may_be(dam, Sex::Female) {
            return Vec::new();
        }
        let n = self.haps.len();
        let eggs: Vec<(usize, f64)> = self.gametes(dam).into_iter().filter(|(hap, _)| *hap != self.bare()).collect();
        let all: f64 = eggs.iter().map(|(_, share)| share).sum();
        let young = eggs.into_iter().flat_map(|(hap, share)| {
            let two = self.made[hap * (n + 1) + hap];
            let one = match self.on {
                On::Autosome => two,
                On::Z => self.made[n * (n + 1) + hap],
                On::X => self.made[hap * (n + 1) + n],
            };
            [(two, share / all / 2.0), (one, share / all / 2.0)]
        });
        let mut out: Vec<(u16, f64)> = Vec::with_capacity(4);
        for (state, share) in young {
            match out.iter_mut().find(|(known, _)| *known == state) {
                Some((_, sum)) => *sum += share,
                None => out.push((state, share)),
            }
        }
        out
    }

    /// Young of a dam and a sire, or of a dam alone.
    pub(super) fn young_of(&self, dam: u16, sire: Option<u16>) -> Vec<(u16, f64)> {
        sire.map_or_else(|| self.alone(dam), |sire| self.young(dam, sire))
    }

    /// Young of two genotypes as conceived, with their shares, which sum to 1. Empty when the two cannot be dam and
    /// sire.
    pub fn young(&self, dam: u16, sire: u16) -> Vec<(u16, f64)> {
        if !self.may_be(dam, Sex::Female) || !self.may_be(sire, Sex::Male) {
            return Vec::new();
        }
        let (dams, sires) = (self.gametes(dam), self.gametes(sire));
        let mut out: Vec<(u16, f64)> = Vec::with_capacity(4);
        for &(d, p) in &dams {
            for &(s, q) in &sires {
                let state = self.made[d * (self.haps.len() + 1) + s];
                if state == NONE {
                    continue;
                }
                match out.iter_mut().find(|(known, _)| *known == state) {
                    Some((_, sum)) => *sum += p * q,
                    None => out.push((state, p * q)),
                }
            }
        }
        out
    }
}
