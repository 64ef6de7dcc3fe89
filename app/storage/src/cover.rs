//! Sets of lines, compared without reading them: how many, and the sum of their hashes.

use journal::Hash;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::ops::{Add, AddAssign, Sub};

/// A set of lines. Two sets with the same count and digest hold the same lines.
///
/// The digest is the sum of the lines' SHA-256 hashes modulo 2^256 (little-endian words of 64 bits), so that lines can
/// be added and taken away in any order. It guards against loss and harm on one device, not against a forger.
#[derive(Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct LineSet {
    pub count: u64,
    digest: [u64; 4],
}

impl fmt::Debug for LineSet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} lines {:016x}", self.count, self.digest[0])
    }
}

/// The count, a blank, and 64 hex digits.
impl fmt::Display for LineSet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [a, b, c, d] = self.digest;
        write!(f, "{} {a:016x}{b:016x}{c:016x}{d:016x}", self.count)
    }
}

impl LineSet {
    /// As it is written, out of the next two words.
    pub(crate) fn read<'a>(words: &mut impl Iterator<Item = &'a str>) -> Option<LineSet> {
        let (count, hex) = (words.next()?.parse().ok()?, words.next()?);
        let mut digest = [0; 4];
        for (n, word) in digest.iter_mut().enumerate() {
            *word = u64::from_str_radix(hex.get(16 * n..16 * n + 16)?, 16).ok()?;
        }
        (hex.len() == 64).then_some(LineSet { count, digest })
    }

    /// One line, by the SHA-256 of its bytes.
    pub fn one(hash: &Hash) -> LineSet {
        let mut digest = [0; 4];
        for (word, bytes) in digest.iter_mut().zip(hash.0.chunks_exact(8)) {
            *word = bytes.iter().rev().fold(0, |acc, byte| acc << 8 | u64::from(*byte));
        }
        LineSet { count: 1, digest }
    }

    /// The lines of a text, one a line.
    pub fn of(text: &str) -> LineSet {
        text.lines().map(|line| LineSet::one(&Hash::of(line.as_bytes()))).sum()
    }

    pub fn is_empty(&self) -> bool {
        self.count == 0
    }
}

impl Add for LineSet {
    type Output = LineSet;

    fn add(self, other: LineSet) -> LineSet {
        let mut digest = [0; 4];
        let mut carry = false;
        for (word, (a, b)) in digest.iter_mut().zip(self.digest.into_iter().zip(other.digest)) {
            let (sum, first) = a.overflowing_add(b);
            let (sum, second) = sum.overflowing_add(u64::from(carry));
            (*word, carry) = (sum, first || second);
        }
        LineSet { count: self.count.wrapping_add(other.count), digest }
    }
}

impl Sub for LineSet {
    type Output = LineSet;

    fn sub(self, other: LineSet) -> LineSet {
        let mut digest = [0; 4];
        let mut borrow = false;
        for (word, (a, b)) in digest.iter_mut().zip(self.digest.into_iter().zip(other.digest)) {
            let (rest, first) = a.overflowing_sub(b);
            let (rest, second) = rest.overflowing_sub(u64::from(borrow));
            (*word, borrow) = (rest, first || second);
        }
        LineSet { count: self.count.wrapping_sub(other.count), digest }
    }
}

impl AddAssign for LineSet {
    fn add_assign(&mut self, other: LineSet) {
        *self = *self + other;
    }
}

impl std::iter::Sum for LineSet {
    fn sum<I: Iterator<Item = LineSet>>(sets: I) -> LineSet {
        sets.fold(LineSet::default(), Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sets_are_added_and_taken_away_in_any_order() {
        let lines: Vec<LineSet> = (0..200).map(|n| LineSet::of(&format!("line {n}"))).collect();
        let all: LineSet = lines.iter().copied().sum();
        assert_eq!(all, lines.iter().rev().copied().sum());
        let half: LineSet = lines.iter().step_by(2).copied().sum();
        let rest: LineSet = lines.iter().skip(1).step_by(2).copied().sum();
        assert_eq!((all - half, all - rest), (rest, half));
        assert_ne!(half, rest);
        assert_eq!(all - all, LineSet::default());
    }

    #[test]
    fn any_change_of_a_line_shows() {
        let text: Vec<String> = (0..50).map(|n| format!("line {n}")).collect();
        let whole = LineSet::of(&text.join("\n"));
        for n in 0..text.len() {
            let mut other = text.clone();
            other[n].push('x');
            assert_ne!(LineSet::of(&other.join("\n")), whole);
            other.remove(n);
            assert_ne!(LineSet::of(&other.join("\n")), whole);
            other.insert(0, text[n].clone());
            assert_eq!(LineSet::of(&other.join("\n")), whole);
        }
    }
}
