//! Pairings: who is ready, who is with whom, locks, and the wait for eggs.

mod form;
mod list;
mod page;
mod ready;

pub use form::{PairingEdit, PairingNew};
pub use list::Pairings;
pub use page::PairingPage;
pub use ready::Breeders;
