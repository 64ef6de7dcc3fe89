//! Money, for those who write it down: what an animal is to cost, what is for sale, what was spent.

mod costs;
mod sale;

pub use costs::{Costs, kinds};
pub use sale::ForSale;
