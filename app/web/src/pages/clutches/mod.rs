//! A clutch's own record put right, and its eggs measured.

mod edit;
mod measure;
mod shown;

pub use edit::ClutchEdit;
pub use measure::Measure;
pub use shown::Measured;
