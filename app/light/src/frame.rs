//! One frame: a small header, a block, a sum over both.

use crate::{FORM, MAGIC, sum};
use journal::Id;

pub(crate) const KIND: u8 = b'M';

/// The most bytes sent at once: more is half an hour of codes, and no phone is held still so long.
pub const MAX_CONTENT: usize = 8 << 20;
/// The largest block: what the largest square code holds.
pub const MAX_BLOCK: usize = 2900;
const MIN_BLOCK: usize = 16;
/// The most blocks of one content: that much in the smallest codes shown, and some to spare. A header that promises more
/// would be made room for before anything came.
pub const MAX_BLOCKS: usize = 20_000;
/// Bytes of a frame beside its block.
pub const HEADER: usize = 4 + 5 + 4 + 16 + 4 + 4 + 2 + 4 + CHECK;
const CHECK: usize = 4;

/// A few bytes that say which code is meant: the sum of a still code, or the first of a moving one's content.
pub type Stamp = [u8; 4];

/// What all frames of one content say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Header {
    /// The barn it comes from.
    pub book: Id,
    /// What it answers.
    pub answers: Stamp,
    /// The first half of the content's SHA-256.
    pub content: [u8; 16],
    /// Bytes of the content.
    pub total: u32,
    /// Entries in it.
    pub entries: u32,
    /// Bytes of a block.
    pub block: u16,
}

impl Header {
    /// How others refer to it.
    pub fn stamp(&self) -> Stamp {
        std::array::from_fn(|i| self.content[i])
    }

    pub(crate) fn is_sound(&self) -> bool {
        let (total, block) = (self.total as usize, usize::from(self.block));
        (1..=MAX_CONTENT).contains(&total)
            && (MIN_BLOCK..=MAX_BLOCK).contains(&block)
            && total.div_ceil(block) <= MAX_BLOCKS
    }
}

/// A frame as it was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Frame<'a> {
    pub header: Header,
    pub index: u32,
    pub data: &'a [u8],
}

/// Why bytes are no frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BadFrame {
    NotOurs,
    Harmed,
}

/// Reads from the front.
pub(crate) struct Bytes<'a>(pub &'a [u8]);

impl Bytes<'_> {
    pub fn take<const N: usize>(&mut self) -> Option<[u8; N]> {
        let (first, rest) = self.0.split_first_chunk::<N>()?;
        self.0 = rest;
        Some(*first)
    }
}

/// What stands before the last few bytes, where these are its sum.
pub(crate) fn checked(bytes: &[u8]) -> Option<&[u8]> {
    let (body, check) = bytes.split_last_chunk::<CHECK>()?;
    (sum::<CHECK>(body) == *check).then_some(body)
}

pub(crate) fn with_check(mut bytes: Vec<u8>) -> Vec<u8> {
    let check = sum::<CHECK>(&bytes);
    bytes.extend(check);
    bytes
}

impl Frame<'_> {
    pub fn bytes(&self) -> Vec<u8> {
        let Header { book, answers, content, total, entries, block } = self.header;
        let mut out = Vec::with_capacity(HEADER + self.data.len());
        out.extend(MAGIC);
        out.extend([FORM, KIND]);
        out.extend(book.bytes());
        out.extend(answers);
        out.extend(content);
        out.extend(total.to_be_bytes());
        out.extend(entries.to_be_bytes());
        out.extend(block.to_be_bytes());
        out.extend(self.index.to_be_bytes());
        out.extend(self.data);
        with_check(out)
    }

    /// # Errors
    /// What is no frame of ours, or was harmed on the way.
    pub fn read(bytes: &[u8]) -> Result<Frame<'_>, BadFrame> {
        if bytes.get(..4) != Some(&[MAGIC[0], MAGIC[1], FORM, KIND]) {
            return Err(BadFrame::NotOurs);
        }
        let body = checked(bytes).ok_or(BadFrame::Harmed)?;
        Frame::body(body.get(4..).unwrap_or_default()).ok_or(BadFrame::Harmed)
    }

    fn body(body: &[u8]) -> Option<Frame<'_>> {
        let mut from = Bytes(body);
        let header = Header {
            book: Id::mint(from.take()?),
            answers: from.take()?,
            content: from.take()?,
            total: u32::from_be_bytes(from.take()?),
            entries: u32::from_be_bytes(from.take()?),
            block: u16::from_be_bytes(from.take()?),
        };
        let index = u32::from_be_bytes(from.take()?);
        let sound = header.is_sound() && from.0.len() == usize::from(header.block);
        sound.then_some(Frame { header, index, data: from.0 })
    }
}
