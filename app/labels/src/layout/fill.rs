//! Filling an area with rows: the largest type at which they fit, leaving out the least dear ones only
//! when the smallest does not.

use super::rows::{Content, Row};
use super::set::{Block, set};
use crate::Code;
use crate::text::{Lack, Part};

/// Rows set for an area.
#[derive(Clone, Debug)]
pub(super) struct Filled {
    pub blocks: Vec<Block>,
    /// The plain type, mm.
    pub plain: f64,
    pub height: f64,
    pub lacks: Vec<(Part, Lack)>,
}

/// Between two rows, and between two lines of one row, in plain type sizes.
pub(super) const LEAD: f64 = 0.22;
const INNER_LEAD: f64 = 0.06;

pub(super) fn inner_lead(plain: f64) -> f64 {
    INNER_LEAD * plain
}

pub(super) fn height(blocks: &[Block], plain: f64) -> f64 {
    let lines: f64 = blocks.iter().flat_map(|b| &b.lines).map(|l| l.rise + l.depth).sum();
    let inner: usize = blocks.iter().map(|b| b.lines.len().saturating_sub(1)).sum();
    lines + inner as f64 * inner_lead(plain) + blocks.len().saturating_sub(1) as f64 * LEAD * plain
}

/// Sets the rows, those of facts all as small as the smallest of them had to be, if that is little.
fn set_alike(kept: &[Row], code: Code, plain: f64, width: f64) -> Vec<Block> {
    let mut blocks: Vec<_> = kept.iter().map(|r| set(r, code, plain, width)).collect();
    let facts = |r: &Row| matches!(r.content, Content::Facts(_));
    let share = kept.iter().zip(&blocks).filter(|(r, _)| facts(r)).map(|(r, b)| b.size / (r.size * plain));
    let share = share.fold(1.0, f64::min);
    if (0.72..0.99).contains(&share) {
        for (row, block) in kept.iter().zip(&mut blocks).filter(|(r, _)| facts(r)) {
            *block = set(row, code, plain * share, width);
        }
    }
    blocks
}

/// Leaves out the row, or of the species, which stays, what may go; the parts that are gone.
fn leave_out(kept: &mut Vec<Row>, at: usize) -> Vec<Part> {
    match &mut kept[at].content {
        Content::Species { morph: morph @ Some(_), .. } => {
            *morph = None;
            vec![Part::Morph]
        }
        Content::Species { lines, .. } => {
            *lines = if *lines > 2 { 2 } else { 1 };
            Vec::new()
        }
        _ => kept.remove(at).content.parts(),
    }
}

/// Fills `width × height` mm; `None` when not even the rows that are always kept fit in type of `least` mm.
pub(super) fn fill(rows: &[Row], code: Code, width: f64, room: f64, least: f64, most: f64) -> Option<Filled> {
    let mut kept = rows.to_vec();
    let mut lacks = Vec::new();
    let attempt = |kept: &[Row], plain: f64| {
        let blocks = set_alike(kept, code, plain, width);
        let height = height(&blocks, plain);
        (height <= room).then_some((blocks, height))
    };
    let mut best = loop {
        if let Some((blocks, height)) = attempt(&kept, least) {
            break (blocks, height, least);
        }
        let cheapest = kept.iter().map(Row::next_rank).max().filter(|&rank| rank > 0)?;
        let at = kept.iter().position(|r| r.next_rank() == cheapest)?;
        lacks.extend(leave_out(&mut kept, at).into_iter().map(|p| (p, Lack::LeftOut)));
    };
    let (mut low, mut high) = (least, most);
    while high - low > 0.05 {
        let plain = f64::midpoint(low, high);
        match attempt(&kept, plain) {
            Some((blocks, height)) => {
                best = (blocks, height, plain);
                low = plain;
            }
            None => high = plain,
        }
    }
    let (blocks, height, plain) = best;
    lacks.extend(blocks.iter().flat_map(|b| b.lacks.iter().copied()));
    Some(Filled { blocks, plain, height, lacks })
}
