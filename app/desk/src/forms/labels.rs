//! Millimetres on paper.

use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Measure, Units};

/// A length on paper, to 2 m; `start` in micrometres.
pub fn mm(label: impl Into<String>, start: Option<i64>) -> Entry {
    Entry::new(Ask::new(label, Measure::Length, (0, 2_000_000)).likely(0, 1_200_000), start, Units::default())
}

/// Several of them, in millimetres and in order.
///
/// # Errors
/// What is wanting or cannot be read, each with its field's name.
pub fn millimetres<const N: usize>(entries: [&Entry; N]) -> Result<[f64; N], Wrong> {
    let mut gather = Gather::new(Units::default());
    let all = entries.map(|entry| gather.need(entry) as f64 / 1_000.0);
    gather.done(all)
}
