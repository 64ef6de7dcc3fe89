//! What veterinarians ordered: all of it, one treatment, and the form that notes one. Who is set apart. Which
//! tubs were cleaned.

mod apart;
mod clean;
mod form;
mod given;
mod list;
mod treatment;

pub use apart::{Apart, ApartThese, QuarantinePage};
pub use clean::{Clean, CleanHere, HowMuch};
pub use form::{Treat, TreatThese, TreatmentEdit};
pub use given::Given;
pub use list::{ApartBanner, Care, treatment_line};
pub use treatment::TreatmentPage;
