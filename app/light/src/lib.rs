//! Entries from one screen to another device's camera: what a still code says, how a bundle becomes moving codes, and
//! how it is put together again.
//!
//! One device shows a *still code*: the barn, and how far it knows each device ([`Still`]). The other makes a bundle of
//! what that one lacks and shows it as *moving codes* ([`Sender`]); the first looks until it has all of it ([`Receiver`]).
//! What arrives is a bundle's file and enters as one: nothing of that is here.
//!
//! Guarantees:
//! - Whatever frames are lost, repeated or out of order, what comes out is the content to the byte, or nothing.
//! - No input traps it; memory grows with what was received, by at most [`MAX_CONTENT`] and half as much, beside a
//!   place for each of at most [`MAX_BLOCKS`] blocks; a frame costs at most [`GENERATION`] passes over a
//!   block. What completes a generation costs half that many passes for each of its blocks.
//! - A frame of another barn, or one that answers something this device did not show, never gets into what is put together.
//!
//! Absent by design: the browser, camera, clock and randomness (a still code's number is the caller's), how codes are
//! drawn and read, bundles, wording.
//!
//! # Which code, and why
//!
//! A frame carries a block of the content as it is, each once; after that, sums of all blocks of a generation with factors
//! out of GF(256) that follow from the frame's number. Any as many frames as there are blocks are enough, but for one
//! time in 255, when one more is. So a lost frame costs a frame. `cargo run --release -p light --example frames` prints
//! how many frames are needed.
//!
//! The crate `raptorq` 2.0 (RFC 6330) needs no generations, so with many thousand blocks it loses a few per cent less. But
//! it is 187 kB of wasm, 106 kB brotli (sender and receiver, built as shipped, before wasm-opt), and it asserts on what
//! frames say of themselves. This is a few kB, and one evening is a single generation.

mod field;
mod fountain;
mod frame;
mod receiver;
mod sender;
mod still;
mod turns;

pub use fountain::GENERATION;
pub use frame::{BadFrame, Frame, HEADER, Header, MAX_BLOCK, MAX_BLOCKS, MAX_CONTENT, Stamp};
pub use receiver::{Progress, Receiver, Took};
pub use sender::{Sender, TooLarge};
pub use still::{MAX_STILL, Still};
pub use turns::{Gap, Here, No, Pace, SIZES, Turn, gap, is_same_barn, known, version};

/// What stands at the head of every code, before the form.
pub(crate) const MAGIC: [u8; 2] = *b"CL";
/// The form of codes made here. A code of a later form is told from one that is none of ours.
pub(crate) const FORM: u8 = 1;

/// What a code holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Seen<'a> {
    Still(Still),
    Moving(Frame<'a>),
    /// Made by a later version.
    Later,
}

/// What the bytes of a code are; none where they are no code of ours, or harmed.
pub fn read(bytes: &[u8]) -> Option<Seen<'_>> {
    let [a, b, form, kind, ..] = *bytes else { return None };
    if [a, b] != MAGIC {
        return None;
    }
    match (form, kind) {
        (FORM, still::KIND) => Still::read(bytes).map(Seen::Still),
        (FORM, frame::KIND) => Frame::read(bytes).ok().map(Seen::Moving),
        (FORM, _) | (0, _) => None,
        _ => Some(Seen::Later),
    }
}

/// The first bytes of a hash of `bytes`.
pub(crate) fn sum<const N: usize>(bytes: &[u8]) -> [u8; N] {
    let hash = journal::Hash::of(bytes).0;
    std::array::from_fn(|i| hash.get(i).copied().unwrap_or(0))
}
