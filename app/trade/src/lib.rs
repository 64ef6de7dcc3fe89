//! Sums about eggs: windows, water, measures, rates.
//!
//! Guarantees: pure and deterministic; the same numbers on a phone and on a laptop.
//! Absent by design: a clock, randomness (a seed is an argument), files, the browser, how records are
//! stored, and sentences about a window: it gives facts, the pages find the words.
//!
//! A window's way: readings → [`path::Path`] → [`path::Track`] (summed once a shelf and species) → legs of a
//! [`window::Question`] → [`window::window`] under a [`response::Model`], which starts from a
//! [`species::Profile`] and learns.

pub mod again;
pub mod breeders;
pub mod cooling;
pub mod degree_days;
pub mod doses;
pub mod fit;
pub mod fit_hatch;
pub mod forecast;
mod gauss;
pub mod genetics;
pub mod journey;
pub mod lay;
pub mod learn;
pub mod logger;
pub mod look_back;
pub mod luck;
pub mod measures;
pub mod money;
pub mod order;
pub mod path;
mod priors;
pub mod published;
pub mod raising;
mod range;
pub mod rates;
pub mod response;
pub mod score;
pub mod sex;
pub mod species;
pub mod success;
pub mod told;
pub mod units;
pub mod water;
pub mod when;
pub mod window;
