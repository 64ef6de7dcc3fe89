//! Temperatures and what they come to: a shelf's plot and set point, a logger's file, species' figures and past windows.

mod log;
mod past;
mod shelf;
mod species;

pub use log::LogPage;
pub use shelf::{BoxHeat, ShelfHeat};
pub use species::{SpeciesList, SpeciesPage};
