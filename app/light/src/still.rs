//! The still code: what is here.

use crate::frame::{Bytes, Stamp, checked, with_check};
use crate::{FORM, MAGIC, sum};
use journal::bundle::Heads;
use journal::{DeviceId, Hash, Id};

pub(crate) const KIND: u8 = b'S';

/// The most bytes of a still code: what a code of 97 × 97 modules holds at the lowest correction.
pub const MAX_STILL: usize = 858;
/// Bytes of one device's head, and the most barns that are named.
const HEAD: usize = 5 + 4 + 32;
const MAX_BOOKS: usize = 8;

/// What a device says of itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Still {
    /// Who shows it; none where nothing was written yet.
    pub by: Option<DeviceId>,
    /// The barn it keeps, and those joined to it. None where nothing is here.
    pub books: Vec<Id>,
    /// Tells it from codes shown at another time, so that no answer counts twice.
    pub number: Stamp,
    pub heads: Heads,
}

impl Still {
    /// As bytes of at most [`MAX_STILL`]. Devices that find no room, those with the fewest entries, are left out: theirs are
    /// sent once more, which does no harm.
    pub fn bytes(&self) -> Vec<u8> {
        let books = &self.books[..self.books.len().min(MAX_BOOKS)];
        let mut out = Vec::with_capacity(MAX_STILL);
        out.extend(MAGIC);
        out.extend([FORM, KIND, books.len() as u8, u8::from(self.by.is_some())]);
        out.extend(self.by.iter().chain(books).flat_map(|id| id.bytes()));
        out.extend(self.number);
        let room = (MAX_STILL - 4 - out.len()) / HEAD;
        let mut heads: Vec<_> = self.heads.iter().collect();
        heads.sort_by_key(|(dev, (seq, _))| (std::cmp::Reverse(*seq), **dev));
        for (dev, (seq, hash)) in heads.into_iter().take(room) {
            out.extend(dev.bytes());
            out.extend(seq.to_be_bytes());
            out.extend(hash.0);
        }
        with_check(out)
    }

    /// How an answer refers to it.
    pub fn stamp(&self) -> Stamp {
        sum(&self.bytes())
    }

    pub(crate) fn read(bytes: &[u8]) -> Option<Still> {
        let mut from = Bytes(checked(bytes)?.get(4..)?);
        let [count, by] = from.take()?;
        if usize::from(count) > MAX_BOOKS || by > 1 {
            return None;
        }
        let by = if by == 1 { Some(Id::mint(from.take()?)) } else { None };
        let books = (0..count).map(|_| from.take().map(Id::mint)).collect::<Option<_>>()?;
        let number = from.take()?;
        let mut heads = Heads::new();
        while !from.0.is_empty() {
            let (dev, seq) = (Id::mint(from.take()?), u32::from_be_bytes(from.take()?));
            if !(1..=journal::MAX_SEQ).contains(&seq) || heads.insert(dev, (seq, Hash(from.take()?))).is_some() {
                return None;
            }
        }
        Some(Still { by, books, number, heads })
    }
}
