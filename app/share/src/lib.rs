//! Devices that agree by themselves through a store all of them reach: what lies there, when it is sent and fetched, and
//! how it is asked for. Nothing here moves a byte: [`Machine`] hears what happened and says what to ask for. The program beside it
//! (`worker/`) does what it says, in a browser's worker.
//!
//! Guarantees:
//! - What was fetched leaves as a [`journal::bundle::Bundle`]: lines that read as entries, follow one another and are what their
//!   name says. Whoever stores them folds them by the same rules as those of a file. Signatures are looked at ([`vouched`]), and who
//!   lacks one is not told.
//! - Nothing leaves but sealed for the barn's key, and no name tells the store what it holds.
//! - A request may be repeated, lost or come late. A run of lines is never written over by other lines; a device writes
//!   only under its own name, and one that finds its name used elsewhere goes on under a new one.
//! - A store can hide and delay, and that is told. It can neither forge nor change anything.
//! - Access to the store is in no line, name, log or `Debug`.
//!
//! Absent by design: the browser, the clock and randomness ([`Around`] has them), sending and storing, wording for the
//! keeper, deciding who a device is.

mod beside;
mod cover;
mod error;
mod head;
mod invite;
mod key;
mod machine;
mod piece;
mod place;
pub mod spare;
pub mod store;
mod vouch;
pub mod wire;

pub use beside::{Beside, Carried, Errand, Wanted};
pub use error::{Notice, Unfit};
pub use head::Head;
pub use invite::{Invitation, MARK, NoInvitation};
pub use key::{BarnKey, Safe};
pub use machine::{Around, Ask, Asked, Event, Held, Machine, Reply, Setup, Status, Welcome};
pub use piece::{MAX_PLAIN, Piece, Sum};
pub use place::Place;
pub use vouch::vouched;
