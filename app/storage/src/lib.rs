//! The records as they lie on one device, and what each open page holds of them: a state machine over transactions.
//!
//! [`Tab`] is one open page. It opens the records, takes acts, bundles and what other pages have written, seals old lines
//! into blocks with the folded state beside them, checks what is stored and mends it.
//!
//! Guarantees:
//! - What is shown is the fold of all stored lines. A folded state names the lines it covers and the epoch; one that
//!   does not match what is stored is folded again, never patched.
//! - "Saved" means durable and shown. Number, previous line and identity are read in the act's own transaction.
//! - A bundle is there whole or not at all. Lines are added, never put over lines.
//! - Harm is found, named, and set aside; the lines beside it are kept.
//!
//! Absent by design: the browser, the clock and randomness ([`Disk`] has them), words for the keeper, pages.

mod beside;
mod catch_up;
mod check;
mod cover;
mod disk;
mod exchange;
mod harm;
mod identity;
mod intake;
mod layout;
mod lines;
mod look_up;
mod mend;
mod open;
mod people;
mod planted;
mod seal;
mod shared;
mod tab;
mod within;
mod write;

#[cfg(test)]
mod sim;

pub use check::{Checked, Look};
pub use cover::LineSet;
pub use disk::{Asked, Db, DeviceKey, Disk, Later, Store, Trouble, Tx, Value};
pub use exchange::{Exchange, Heard, Import};
pub use harm::{Harm, What};
pub use identity::{Me, Signer, Unsigned};
pub use intake::{Intake, Successor};
pub use layout::{BlockInfo, Cover};
pub use look_up::Everything;
pub use people::People;
pub use shared::Branch;
pub use tab::Tab;
