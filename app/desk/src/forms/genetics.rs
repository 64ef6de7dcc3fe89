//! Percentages of genetics.

use crate::entry::{Entry, Gather, Wrong};
use crate::measure::{Ask, Measure, Units};

/// How likely a possible het is, above 0 and below 100 %.
pub fn chance(stands_pm: Option<u32>) -> Entry {
    let ask = Ask::new("How likely, in %", Measure::Percent, (1, 999));
    Entry::new(ask, Some(i64::from(stands_pm.unwrap_or(660))), Units::default())
}

/// In what share of gametes two linked traits part, 0 to 50 %.
pub fn share(stands_pm: Option<u32>) -> Entry {
    let ask = Ask::new("Parted in, % of gametes (0 to 50)", Measure::Percent, (0, 500));
    Entry::new(ask, stands_pm.map(i64::from), Units::default())
}

/// Either of the two, in tenths of a percent.
///
/// # Errors
/// None typed, or one that cannot be read.
pub fn permille(entry: &Entry) -> Result<u32, Wrong> {
    let mut gather = Gather::new(Units::default());
    let value = gather.need(entry);
    gather.done(u32::try_from(value).unwrap_or(0))
}
