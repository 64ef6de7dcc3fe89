//! The young: hatched out of a box, fed, held, placed, and the papers that go with them; single eggs.

mod contact;
mod egg;
mod feed;
mod hatch;
mod leave;
mod list;
mod meal;
mod papers;
mod rules;
mod tubs;
mod wishes;

pub use contact::ContactPage;
pub use egg::{EggPage, EggsOf};
pub use feed::{Feed, FeedHere};
pub use hatch::HatchOut;
pub use leave::Leave;
pub use list::Babies;
pub use meal::{MealPage, scanned};
pub use papers::PapersPage;
pub use wishes::{Wishes, either_sex, people};
