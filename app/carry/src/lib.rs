//! Bundles and spreadsheets made and read away from the page: a worker around `journal::bundle`.
//!
//! One message in, one answer out; [`make`], [`answer`], [`look`], [`sheets`] and [`table`] are what it does. Lines travel as one text with a
//! line end after each, everything small as JSON, pictures and files as bytes.
//!
//! Guarantees: no file, however hostile, does more than end this worker, which the page survives; a sentence is given
//! for whatever is refused; nothing is stored here, so a worker ended half-way has changed nothing.
//!
//! Absent by design: storage, the network, the clock (the page says what time it is), wording of its own.

mod look;
mod make;
mod sheets;

pub use look::{Asked, Change, Looked, Parcel, look};
pub use make::{Making, answer, make};
pub use sheets::{MAX_ROWS, sheets, table};
