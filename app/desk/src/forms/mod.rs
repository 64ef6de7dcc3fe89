//! One form a page: what its fields hold in, the act out, or what is wrong with which field.

pub mod animal;
pub mod boxes;
pub mod care;
mod clump;
pub mod clutch;
pub mod cooling;
pub mod correct;
pub mod counts;
pub mod eggs;
mod genetics;
pub mod hatch;
mod kept;
mod labels;
mod laid;
pub mod money;
pub mod pairing;
pub mod places;
pub mod pull;
pub mod share;
mod species;
pub mod traits;
pub mod water;
pub mod weights;
mod wish;

pub use genetics::{chance, permille, share};
pub use labels::{millimetres, mm};
pub use laid::{FROM as LAID_FROM, How, Laid, ON as LAID_ON, TO as LAID_TO};
pub use species::SpeciesForm;
pub use wish::{HoldForm, PlacingForm, WishFixForm, WishForm};
