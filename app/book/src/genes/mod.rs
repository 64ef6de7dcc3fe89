//! Genetics of the barn: its traits, its families, and what is told of each animal.
//!
//! A [`Family`] is everybody related to the animals asked for, with all that is said of them, handed to
//! `trade::genetics` to be weighed; [`Book::genotype_text`] is the outcome in the trade's words, one text for labels
//! and pages.
//!
//! Absent by design: probabilities of its own.

mod family;
mod told;
mod traits;
mod typed;

pub use family::{Conflict, Family};
pub(crate) use told::line;
pub use told::{Genotype, Told, TraitTold};
pub use traits::TraitFacts;
pub use typed::TypedTrait;
