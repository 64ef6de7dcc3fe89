//! Parts that pages share.

pub mod carried;
pub mod charts;
pub mod day;
pub mod files;
pub mod forms;
mod frame;
mod genes;
pub mod laid;
mod lasting;
mod list;
pub mod mates;
mod panes;
mod paper;
pub mod photo;
mod phrase;
pub mod picture;
mod plot;
pub mod rack;
pub mod signs;
pub mod sires;
mod strip;
mod taper;
mod tray;
mod unlock;

pub use frame::{Asked, Bar, Caution, Empty, Head, Said};
pub use genes::{AnimalGenotype, ClutchGenetics, PairGenetics, TypedTraits};
pub use lasting::Lasting;
pub use list::Paged;
pub use panes::{DESK, PANES, Pane, wide};
pub use paper::{foot, print};
pub use phrase::Phrase;
pub use plot::Plot;
pub use strip::{Strip, StripRow};
pub use taper::{Burn, Taper};
pub use tray::{Sign, Tray, TrayEgg};
pub use unlock::Unlock;
