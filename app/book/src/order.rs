//! The one order in which things that happened are put.

use chrono::NaiveDateTime;
use journal::{ShortRef, Stamp};
use std::cmp::Ordering;
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

/// Puts items in the order of their keys, equal ones as they were.
///
/// One sort's code for the whole book: a phone downloads each sort of each type that the standard library's own
/// would be compiled for.
pub(crate) fn sort<T, K: Ord>(items: &mut Vec<T>, key: impl FnMut(&T) -> K) {
    let keys: Vec<K> = items.iter().map(key).collect();
    let order = places(keys.len(), &mut |a, b| keys[a].cmp(&keys[b]));
    let mut loose: Vec<Option<T>> = std::mem::take(items).into_iter().map(Some).collect();
    items.extend(order.into_iter().filter_map(|at| loose[at].take()));
}

/// `0..n` as `compare` orders what stands at these places.
fn places(n: usize, compare: &mut dyn FnMut(usize, usize) -> Ordering) -> Vec<usize> {
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|&a, &b| compare(a, b));
    order
}

#[cfg(test)]
mod tests {
    use super::sort;

    #[test]
    fn equal_keys_keep_their_turn() {
        let mut words = vec!["egg", "box", "clutch", "dam", "shelf"];
        sort(&mut words, |word| word.len());
        assert_eq!(words, ["egg", "box", "dam", "shelf", "clutch"]);
        let mut none: Vec<&str> = Vec::new();
        sort(&mut none, |word| word.len());
        assert!(none.is_empty());
    }
}
