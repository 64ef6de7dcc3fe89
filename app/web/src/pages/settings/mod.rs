//! More and Settings, and coming to and leaving the demonstration season.

mod demo;
mod kept;
mod lost;
mod more;
mod page;
mod phrase;

pub use demo::{LoadDemo, leave_demo};
pub use more::More;
pub use page::Settings;
