//! Which blocks a frame is made of, and blocks worked out from frames.

use crate::field::Field;

/// The most blocks that are added up together. More would spare frames of a whole barn, and cost time for each.
pub const GENERATION: usize = 512;

/// How a content is cut: its blocks are dealt out to generations in turn, so that each loses alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cut {
    pub blocks: usize,
    pub generations: usize,
}

/// What a frame carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Carries {
    /// The block of this number in its generation.
    Block(usize),
    /// A sum of all, with factors that follow from this number.
    Sum(u32),
}

impl Cut {
    pub fn of(total: usize, block: usize) -> Cut {
        let blocks = total.div_ceil(block.max(1)).max(1);
        Cut { blocks, generations: blocks.div_ceil(GENERATION) }
    }

    /// How many blocks a generation has.
    pub fn size(&self, generation: usize) -> usize {
        self.blocks.saturating_sub(generation).div_ceil(self.generations)
    }

    /// The number in the content of a generation's block.
    pub fn place(&self, generation: usize, block: usize) -> usize {
        block * self.generations + generation
    }

    /// The generation a frame belongs to, and what it carries.
    pub fn frame(&self, index: u32) -> (usize, Carries) {
        let n = index as usize;
        let carries = if n < self.blocks { Carries::Block(n / self.generations) } else { Carries::Sum(index) };
        (n % self.generations, carries)
    }
}

/// The factors of a frame that carries a sum.
pub fn factors(index: u32, count: usize) -> Vec<u8> {
    // SplitMix64 (Steele, Lea, Flood 2014): both sides come to the same.
    let mut state = u64::from(index).wrapping_mul(0xd134_2543_de82_ef95);
    let mut out = Vec::with_capacity(count + 8);
    while out.len() < count {
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        out.extend((z ^ (z >> 31)).to_le_bytes());
    }
    out.truncate(count);
    out
}

/// One sum: factors of the blocks from its own place on, that of its own place being 1, and what they come to.
struct Row {
    /// Empty where it is a block as it is.
    factors: Vec<u8>,
    data: Vec<u8>,
}

/// Blocks of one generation, as far as they are known.
pub struct Solver {
    rows: Vec<Option<Row>>,
    known: usize,
}

impl Solver {
    pub fn new(count: usize) -> Solver {
        Solver { rows: (0..count).map(|_| None).collect(), known: 0 }
    }

    /// How many independent sums there are.
    pub fn known(&self) -> usize {
        self.known
    }

    pub fn is_whole(&self) -> bool {
        self.known == self.rows.len()
    }

    /// Takes what a frame carries. Whether that told anything new.
    pub fn take(&mut self, field: &Field, carries: Carries, data: &[u8]) -> bool {
        let count = self.rows.len();
        if self.is_whole() {
            return false;
        }
        let mut factors = match carries {
            Carries::Block(at) => {
                let Some(place) = self.rows.get_mut(at) else { return false };
                if place.is_none() {
                    *place = Some(Row { factors: Vec::new(), data: data.to_vec() });
                    self.known += 1;
                    return true;
                }
                if place.as_ref().is_some_and(|row| row.factors.is_empty()) {
                    return false;
                }
                let mut unit = vec![0; count];
                unit[at] = 1;
                unit
            }
            Carries::Sum(index) => factors(index, count),
        };
        let mut data = data.to_vec();
        for at in 0..count {
            let factor = factors[at];
            if factor == 0 {
                continue;
            }
            match &self.rows[at] {
                Some(row) => {
                    field.add(&mut data, &row.data, factor);
                    field.add(&mut factors[at..], &row.factors, factor);
                    factors[at] = 0;
                }
                None => {
                    let over = field.inverse(factor);
                    field.scale(&mut data, over);
                    field.scale(&mut factors[at..], over);
                    self.rows[at] = Some(Row { factors: factors.split_off(at), data });
                    self.known += 1;
                    return true;
                }
            }
        }
        false
    }

    /// The blocks in order, once all are known.
    pub fn solved(mut self, field: &Field) -> Option<Vec<Vec<u8>>> {
        for at in (0..self.rows.len()).rev() {
            let (above, from) = self.rows.split_at_mut(at);
            let row = from.first()?.as_ref()?;
            for (up, other) in above.iter_mut().enumerate() {
                let other = other.as_mut()?;
                if let Some(&factor) = other.factors.get(at - up) {
                    field.add(&mut other.data, &row.data, factor);
                }
            }
        }
        self.rows.into_iter().map(|row| row.map(|row| row.data)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn every_block_has_one_place(blocks in 1_usize..5000) {
            let cut = Cut::of(blocks, 1);
            let mut seen = vec![false; blocks];
            for generation in 0..cut.generations {
                prop_assert!((1..=GENERATION).contains(&cut.size(generation)));
                for block in 0..cut.size(generation) {
                    let place = cut.place(generation, block);
                    prop_assert_eq!(cut.frame(place as u32), (generation, Carries::Block(block)));
                    prop_assert!(!std::mem::replace(&mut seen[place], true));
                }
            }
            prop_assert!(seen.into_iter().all(|seen| seen));
        }
    }
}
