//! What is wrong with what lies in a store, and what the keeper may want to know of it.

use journal::{DeviceId, Id, Refused};
use std::fmt;

/// Why something out of a store is not used. Nothing was changed by it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unfit {
    /// Closed for another key.
    Locked,
    /// Cut off, garbage, or altered.
    Harmed,
    /// Whole, and something else than its name says: the store gave another object.
    Swapped,
    /// More than is ever read.
    TooMuch,
    /// Of a newer version.
    Newer,
    /// Not signed by the device it speaks for.
    Forged,
    /// A line that is no entry, at this place.
    Line { line: usize, why: Refused },
    /// A line that does not follow the one before it.
    Broken { line: usize },
    /// Records of somebody else's book.
    OtherBook { book: Id },
}

impl fmt::Display for Unfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unfit::Locked => write!(f, "it is locked for another key"),
            Unfit::Harmed => write!(f, "it is damaged or not all there"),
            Unfit::Swapped => write!(f, "it is not what its name says"),
            Unfit::TooMuch => write!(f, "it holds more than is ever read"),
            Unfit::Newer => write!(f, "it was made by a newer version of this app"),
            Unfit::Forged => write!(f, "the device it speaks for did not sign it"),
            Unfit::Line { line, why } => write!(f, "line {line}: {why}"),
            Unfit::Broken { line } => write!(f, "line {line} does not follow the one before it"),
            Unfit::OtherBook { book } => write!(f, "it belongs to another book ({book})"),
        }
    }
}

impl std::error::Error for Unfit {}

/// Something the keeper should be able to look up. None of it stops the rest.
#[derive(Clone, Debug, PartialEq)]
pub enum Notice {
    /// The store showed an older word of a device than it did before: it was set back, or hides something.
    WentBack { dev: DeviceId },
    /// A device was seen by others and the store shows nothing of it.
    Silent { dev: DeviceId },
    /// What a device says lies in the store is not there, or not fit to be read.
    Withheld { path: String, why: Option<Unfit> },
    /// Somebody else writes under this device's name: it was copied, or restored from an older state.
    Copied,
    /// The barn was given a new key: what others write from now on is not here.
    Moved,
    /// What the lines were refused for when they were to be taken in.
    Refused { path: String, why: String },
    /// What was read under a device's name is not from that device.
    Unfit { path: String, why: Unfit },
}
