//! The one order in which things that happened are put.

use chrono::NaiveDateTime;
use journal::{ShortRef, Stamp};
use std::collections::BTreeSet;
pub(crate) use trade::order::sort;
use trade::when::When;

/// By when it happened (a day counts from its start, since a day alone is how a beginning is typed; a span
/// likewise), then by when it was written. Things without a *when* come first, as if they had always been.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Order {
    pub(crate) when: Option<NaiveDateTime>,
    pub(crate) at: Stamp,
    /// None only for what no entry wrote. Short is enough: what one entry wrote twice has one order as well, and goes by
    /// its id.
    pub(crate) reference: Option<ShortRef>,
}

impl Order {
    pub(crate) fn dated(self, when: Option<When>) -> Order {
        Order { when: when.map(When::earliest), ..self }
    }
}

/// Each key once, the first of it. `Vec::dedup_by` sees only neighbours, and equal ones stand side by side only in a list that
/// was sorted by that very key.
pub(crate) fn keep_first<T, K: Ord>(items: &mut Vec<T>, key: impl Fn(&T) -> K) {
    let mut seen = BTreeSet::new();
    items.retain(|item| seen.insert(key(item)));
}

/// As `collect` would make it, which sorts first, in a sort of each type's own that a phone downloads.
pub(crate) fn set_of<T: Ord>(items: impl IntoIterator<Item = T>) -> BTreeSet<T> {
    let mut set = BTreeSet::new();
    set.extend(items);
    set
}
