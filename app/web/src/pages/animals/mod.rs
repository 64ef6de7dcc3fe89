//! Animals: the list, one animal at a glance with what is done to her, and the form.

mod form;
mod list;
mod many;
mod meals;
mod page;
mod panels;
mod photos;
mod season;
mod story;
mod swap;
mod weights;

pub use form::AnimalForm;
pub use list::{Animals, ListBeside};
pub use many::{Many, WeighThese};
pub use page::AnimalPage;
pub use photos::AnimalPhotos;
pub use swap::Swap;
