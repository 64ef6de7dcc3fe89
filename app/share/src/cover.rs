//! Which lines the pieces in a store cover, and which small ones are worth packing.

use crate::piece::Piece;
use journal::{DeviceId, Ref};
use std::collections::{BTreeMap, BTreeSet};

/// So many small pieces in a row become one.
pub(crate) const PACK: usize = 64;
/// A row of pieces is packed when it is so long, however their sizes alternate.
const LONG_ROW: usize = 4 * PACK;

/// A piece of so many lines is left as it is; so is a row of so few that it is not worth the bytes.
const LARGE: u32 = 4096;
const FEW: usize = 8;

/// What of each device's chain lies in a store, by the ends of pieces.
#[derive(Debug, Default)]
pub(crate) struct Cover {
    /// The end of each piece, with its first number and the line before it.
    ends: BTreeMap<Ref, (u32, Option<Ref>)>,
}

impl Cover {
    pub fn of<'a>(pieces: impl Iterator<Item = &'a Piece>) -> Cover {
        let mut cover = Cover::default();
        for piece in pieces {
            let own = (piece.from, piece.before());
            // Of two with the same end the longer says more.
            cover.ends.entry(piece.end()).and_modify(|old| *old = (*old).min(own)).or_insert(own);
        }
        cover
    }

    /// The line up to which something of the chain that ends with `tip` is not there; none when all of it is.
    pub fn lacks(&self, tip: Ref) -> Option<Ref> {
        let mut at = tip;
        loop {
            match self.ends.get(&at) {
                None => return Some(at),
                Some((_, None)) => return None,
                // Numbers fall, so it ends.
                Some((_, Some(before))) => at = *before,
            }
        }
    }

    /// The ends of pieces of this device before a number, the last first: where what is lacking may go on from.
    pub fn ends_before(&self, end: Ref) -> Vec<Ref> {
        let own = self.ends.range(Ref { dev: end.dev, ..least(end.dev) }..Ref { seq: end.seq, ..least(end.dev) });
        own.rev().map(|(end, _)| *end).collect()
    }
}

fn least(dev: DeviceId) -> Ref {
    Ref { dev, seq: 0, hash: journal::Hash([0; 32]) }
}

/// The first row of pieces that is worth becoming one, without those that are to be left as they are. Sizes are of three
/// classes, so that a line is packed a few times at most: twice, and again where it is the rest of a row.
pub(crate) fn row_to_pack(pieces: &[Piece], left: &BTreeSet<Ref>) -> Option<Vec<Piece>> {
    let mut sorted = pieces.to_vec();
    sorted.sort_unstable_by_key(|piece| (piece.of, piece.from, piece.end()));
    for class in [0, 1] {
        let mut row: Vec<Piece> = Vec::new();
        let worth = |row: &[Piece]| {
            let count = row.iter().filter(|piece| size_class(piece) == class).count();
            let lines: u32 = row.iter().map(Piece::lines).sum();
            count >= PACK || row.len() >= LONG_ROW || (row.len() >= FEW && lines >= LARGE)
        };
        for piece in &sorted {
            let follows = row.last().is_some_and(|last| piece.before() == Some(last.end()));
            let fits = size_class(piece) <= class && !left.contains(&piece.end());
            if !follows || !fits {
                row.clear();
            }
            if fits {
                row.push(*piece);
            }
            if worth(&row) {
                return Some(row);
            }
        }
    }
    None
}

fn size_class(piece: &Piece) -> u8 {
    match piece.lines() {
        0..64 => 0,
        64..LARGE => 1,
        _ => 2,
    }
}
