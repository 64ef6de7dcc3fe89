//! Putting things in order.
//!
//! One sort's code for all: the standard library's is compiled for each type it is asked for, and a phone downloads each.

use std::cmp::Ordering;

/// Puts items in the order of their keys, equal ones as they were.
pub fn sort<T, K: Ord>(items: &mut Vec<T>, key: impl FnMut(&T) -> K) {
    let keys: Vec<K> = items.iter().map(key).collect();
    let order = places(keys.len(), &mut |a, b| keys[a].cmp(&keys[b]));
    arrange(items, order);
}

/// Puts items in the order that `compare` tells, equal ones as they were.
pub fn sort_by<T>(items: &mut Vec<T>, mut compare: impl FnMut(&T, &T) -> Ordering) {
    let order = places(items.len(), &mut |a, b| compare(&items[a], &items[b]));
    arrange(items, order);
}

/// `0..n` as `compare` orders what stands at these places.
fn places(n: usize, compare: &mut dyn FnMut(usize, usize) -> Ordering) -> Vec<usize> {
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|&a, &b| compare(a, b));
    order
}

fn arrange<T>(items: &mut Vec<T>, order: Vec<usize>) {
    let mut loose: Vec<Option<T>> = std::mem::take(items).into_iter().map(Some).collect();
    items.extend(order.into_iter().filter_map(|at| loose[at].take()));
}

#[cfg(test)]
mod tests {
    use super::{sort, sort_by};

    #[test]
    fn equal_keys_keep_their_turn() {
        let mut words = vec!["egg", "box", "clutch", "dam", "shelf"];
        sort(&mut words, |word| word.len());
        assert_eq!(words, ["egg", "box", "dam", "shelf", "clutch"]);
        sort_by(&mut words, |a, b| b.len().cmp(&a.len()));
        assert_eq!(words, ["clutch", "shelf", "egg", "box", "dam"]);
        let mut none: Vec<&str> = Vec::new();
        sort(&mut none, |word| word.len());
        assert!(none.is_empty());
    }
}
