//! The book: a barn's records, what is done to them, and what is shown of them.
//!
//! [`acts`] are what a keeper does; each checks itself and becomes a draft of one journal entry. [`Book`] takes
//! the journal's lines and folds them into typed [`records`], indexed. [`views`] derive what pages show.
//!
//! Guarantees:
//! - The book depends on the set of lines taken, not on their order; a line re-derives only what it set.
//! - Reading never fails: what a field should not hold becomes absent and is listed in [`Book::oddities`].
//!   Dangling references, circles and doubled numbers are shown, never refused, never looped over.
//! - An act refuses with a sentence that says what to do; what is unlikely but possible is asked as a [`Doubt`].
//!
//! Absent by design: the clock (now is an argument) and randomness (ids are minted by the caller), the browser
//! and storage, and any sum of its own: windows, water and measures are asked of `trade`.
//!
//! [`Doubt`]: acts::Doubt

#![deny(clippy::wildcard_enum_match_arm)]

pub mod acts;
mod book;
pub mod calendar;
mod codes;
pub mod demo;
mod fields;
mod follow;
pub mod genes;
mod heat;
mod ids;
mod index;
mod kinds;
mod lay;
mod lower;
mod memo;
mod names;
mod order;
mod people;
mod read;
pub mod records;
mod snapshot;
mod sums;
mod tables;
pub mod views;
mod weights;
pub mod words;

pub use book::{Book, Written};
pub use fields::Oddity;
pub use follow::Followers;
pub use heat::{FORETOLD_DAYS, OwnHatches, PastClutch, Stay, Work};
pub use ids::*;
pub use lay::{InSeries, Leg, Outlook, OwnLeg};
pub use lower::lower;
pub use memo::Watch;
pub use people::versions;
pub use snapshot::{LIVE_DAYS, PART, Shots};
pub use sums::SCALE;
