//! Places: what stands where, one place, and the form.

mod edit;
mod form;
mod list;
mod page;
mod wall;
mod whereis;

pub use form::PlaceForm;
pub use list::Places;
pub use page::PlacePage;
pub use wall::BarnSheet;
pub use whereis::WhereIs;
