//! The kinds of record as they are declared ([`declare`]): what each holds, what it belongs to, when it is over. Absent is
//! `None`.
//!
//! Guarantees: reading never fails; a field that does not hold what it should is `None` and listed as an
//! [`crate::Oddity`]. Field names and types are frozen: a new meaning gets a new name.

mod animals;
mod boxes;
mod care;
mod clutches;
mod declare;
mod genetics;
mod heat;
mod money;
mod paper;
mod places;
mod raising;
mod supplies;
mod watching;

#[cfg(test)]
mod tests;

pub use animals::*;
pub use boxes::*;
pub use care::*;
pub use clutches::*;
pub use genetics::*;
pub use heat::*;
pub use money::*;
pub use paper::*;
pub use places::*;
pub use raising::*;
pub use supplies::*;
pub use watching::*;

pub(crate) use declare::{
    Declared, Holds, Key, Listed, Names, Over, Record, Scalar, Shaped, Slot, about, found, read, record,
};
pub use declare::{Field, Shape};
