//! What veterinarians ordered: all of it, one treatment, and the form that notes one.

mod form;
mod given;
mod list;
mod treatment;

pub use form::{Treat, TreatmentEdit};
pub use given::Given;
pub use list::{Care, treatment_line};
pub use treatment::TreatmentPage;
