//! What veterinarians ordered: all of it, one treatment, and the form that notes one. Who is set apart.

mod apart;
mod form;
mod given;
mod list;
mod treatment;

pub use apart::{Apart, ApartThese, QuarantinePage};
pub use form::{Treat, TreatThese, TreatmentEdit};
pub use given::Given;
pub use list::{ApartBanner, Care, treatment_line};
pub use treatment::TreatmentPage;
