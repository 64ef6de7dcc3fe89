//! What is made later and must last as long as the page it is made for.

use leptos::prelude::*;
use leptos::reactive::owner::WeakOwner;

/// Where signals that are made later belong.
///
/// A signal ends with the block it was made in: when that block is drawn anew, or left. A tap runs as part of the block
/// its button stands in. So what a page keeps longer than that has to be made through one of these.
#[derive(Clone, Copy)]
pub struct Lasting(StoredValue<Option<WeakOwner>>);

impl Lasting {
    /// What is made through this lasts as long as what is made here.
    pub fn here() -> Self {
        Self(StoredValue::new(Owner::current().map(|owner| owner.downgrade())))
    }

    /// Makes it; `None` when the page is gone.
    pub fn make<T>(self, make: impl FnOnce() -> T) -> Option<T> {
        let owner = self.0.try_get_value().flatten()?.upgrade()?;
        Some(owner.with(make))
    }
}
