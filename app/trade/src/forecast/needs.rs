//! What a season asks for: how much of a thing is needed at the end of each week, and when it runs short.

use super::season::{Count, Event, Season, count};

/// How one kind of thing is used up or filled by what comes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Need {
    /// the event that takes one, or with `each` several, each
    pub of: Event,
    pub each: f64,
    /// needed in any case, before anything comes
    pub base: f64,
}

/// A week's need.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WeekNeed {
    pub needed: Count,
    /// chance that what there is does not do; `None` when nobody said what there is
    pub short: Option<f64>,
}

/// A chance of running short from which a week is called one.
pub const SHORT: f64 = 0.2;

impl Need {
    /// The need at the end of each week: what comes stays (a tub, a slot, a mouth to feed).
    pub fn weeks(&self, season: &Season, have: Option<u32>) -> Vec<WeekNeed> {
        (0..season.weeks)
            .map(|week| {
                let needed: Vec<u16> =
                    season.summed(self.of, week).into_iter().map(|n| self.for_count(f64::from(n))).collect();
                let over = |have: u32| needed.iter().filter(|n| u32::from(**n) > have).count() as f64;
                let short = have.map(|have| over(have) / season.draws as f64);
                WeekNeed { needed: count(needed), short }
            })
            .collect()
    }

    fn for_count(&self, n: f64) -> u16 {
        (self.base + self.each * n).ceil().clamp(0.0, f64::from(u16::MAX)) as u16
    }
}

/// The first week that runs short with at least [`SHORT`].
pub fn runs_short(weeks: &[WeekNeed]) -> Option<usize> {
    weeks.iter().position(|week| week.short.is_some_and(|chance| chance >= SHORT))
}
