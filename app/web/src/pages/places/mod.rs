//! Places: what stands where, one place, and the form.

mod edit;
mod form;
mod list;
mod page;
mod wall;
mod whereis;

pub use form::PlaceForm;
pub use list::{Places, animals_at};
pub use page::{PlacePage, ReadNow};
pub use wall::BarnSheet;
pub use whereis::WhereIs;
