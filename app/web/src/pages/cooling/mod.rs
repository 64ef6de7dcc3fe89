//! Who is kept cool: all plans, one of them with its animals, and the form that makes one.

mod form;
mod list;
mod page;

pub use form::CoolThese;
pub use list::{CoolingBanner, Coolings};
pub use page::CoolingPage;
