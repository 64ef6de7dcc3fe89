//! One locus: its alleles, and how each genotype looks.

use super::{MOST_ALLELES, Refusal};

/// How one allele shows against the normal one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mode {
    /// Seen only with two copies.
    Recessive,
    /// Seen with one copy, and differently with two.
    IncompleteDominant,
    /// Seen with one copy, and the same with two.
    Dominant,
}

/// An allele other than the normal one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Allele {
    pub mode: Mode,
    /// Two copies do not live; for a recessive one, a single sex-linked copy does not either.
    pub unviable: bool,
}

impl Allele {
    pub const fn new(mode: Mode) -> Self {
        Allele { mode, unviable: false }
    }
}

/// How two different alleles of one locus, neither of them normal, show together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Between {
    /// As a look of its own.
    Both,
    /// Only the first does.
    First,
    /// Only the second does.
    Second,
}

/// How far an allele is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Shows {
    No,
    /// It is seen; of an incomplete dominant one, the look of one copy.
    One,
    /// The look of two copies of an incomplete dominant.
    Two,
}

/// What is seen at a locus: the alleles that show, by number, and how far. Empty is normal.
pub type Look = Vec<(u8, Shows)>;

/// The alleles of one locus. Allele 0 is the normal one; the others are numbered from 1 as they are given.
#[derive(Clone, Debug, PartialEq)]
pub struct Locus {
    alleles: Vec<Allele>,
    between: Vec<(u8, u8, Between)>,
}

impl Locus {
    /// `between` says how pairs of the numbered alleles show together. A pair that is not named follows its modes: what
    /// shows with one copy shows beside anything, and two recessives are seen as a look of their own.
    ///
    /// # Errors
    /// Too many alleles, or a pair of alleles that are not there.
    pub fn new(alleles: Vec<Allele>, between: Vec<(u8, u8, Between)>) -> Result<Self, Refusal> {
        let n = alleles.len() + 1;
        if !(2..=MOST_ALLELES).contains(&n) {
            return Err(Refusal::Alleles(n));
        }
        for &(a, b, _) in &between {
            if a == 0 || b == 0 || a == b || usize::from(a.max(b)) >= n {
                return Err(Refusal::Alleles(usize::from(a.max(b)) + 1));
            }
        }
        Ok(Locus { alleles, between })
    }

    /// A locus with one allele beside the normal one.
    pub fn simple(mode: Mode) -> Self {
        Locus { alleles: vec![Allele::new(mode)], between: Vec::new() }
    }

    /// How many alleles there are, the normal one included.
    pub fn alleles(&self) -> usize {
        self.alleles.len() + 1
    }

    /// The numbered allele; `None` for the normal one and for none.
    pub fn allele(&self, number: u8) -> Option<Allele> {
        usize::from(number).checked_sub(1).and_then(|at| self.alleles.get(at)).copied()
    }

    fn between(&self, a: u8, b: u8) -> Between {
        let named = self.between.iter().find_map(|&(x, y, how)| match how {
            _ if (x, y) == (a, b) => Some(how),
            Between::First if (y, x) == (a, b) => Some(Between::Second),
            Between::Second if (y, x) == (a, b) => Some(Between::First),
            _ if (y, x) == (a, b) => Some(how),
            _ => None,
        });
        let recessive = |allele| self.allele(allele).is_some_and(|allele| allele.mode == Mode::Recessive);
        named.unwrap_or(match (recessive(a), recessive(b)) {
            (true, false) => Between::Second,
            (false, true) => Between::First,
            _ => Between::Both,
        })
    }

    /// What a genotype looks like; `None` in the second place: the sex with one copy only.
    pub fn look(&self, a: u8, b: Option<u8>) -> Look {
        let shows = |allele: u8, how: Shows| if how == Shows::No { vec![] } else { vec![(allele, how)] };
        let one = |allele: u8| match self.allele(allele).map(|allele| allele.mode) {
            Some(Mode::IncompleteDominant | Mode::Dominant) => shows(allele, Shows::One),
            _ => vec![],
        };
        match b {
            None => shows(a, if a == 0 { Shows::No } else { Shows::One }),
            Some(b) if a == b => match self.allele(a).map(|allele| allele.mode) {
                None => vec![],
                Some(Mode::IncompleteDominant) => shows(a, Shows::Two),
                Some(_) => shows(a, Shows::One),
            },
            Some(0) => one(a),
            Some(b) if a == 0 => one(b),
            Some(b) => match self.between(a, b) {
                Between::First => shows(a, Shows::One),
                Between::Second => shows(b, Shows::One),
                Between::Both => {
                    let mut both = vec![(a, Shows::One), (b, Shows::One)];
                    both.sort_unstable();
                    both
                }
            },
        }
    }

    /// How far one allele is seen in a genotype.
    pub fn shows(&self, allele: u8, a: u8, b: Option<u8>) -> Shows {
        self.look(a, b).iter().find(|(seen, _)| *seen == allele).map_or(Shows::No, |(_, how)| *how)
    }

    /// Whether a genotype lives.
    pub fn viable(&self, a: u8, b: Option<u8>) -> bool {
        let Some(allele) = self.allele(a) else { return true };
        let dies = match b {
            None => allele.mode == Mode::Recessive,
            Some(b) => a == b,
        };
        !(dies && allele.unviable)
    }
}
