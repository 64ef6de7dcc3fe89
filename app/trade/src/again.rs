//! Whether a female may go again in the same season: by her condition and by the date.
//!
//! The rule is common practice, no source, and the keeper's to change; it says what is wanting, never that she must.

use crate::units::Mass;
use crate::when::When;
use chrono::{NaiveDate, TimeDelta};

/// What is asked of a female before she is put with a male again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rule {
    /// days of rest after laying
    pub rest_days: u32,
    /// days after laying at which the season for it has passed
    pub until_days: u32,
    /// percent of her weight before laying that she must be back at
    pub weight_pct: u32,
    /// meals taken since laying
    pub meals: u32,
}

/// Common practice, no source.
pub const USUAL: Rule = Rule { rest_days: 14, until_days: 75, weight_pct: 85, meals: 3 };

/// What a female still wants before she may go again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wants {
    /// rest until this day
    Rest { until: NaiveDate },
    /// to be weighed: never since she laid
    Weighing,
    /// at least this weight
    Weight { least: Mass },
    /// more meals; so many were taken
    Meals { taken: u32, of: u32 },
}

/// What is known of a female since she laid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Since {
    pub laid: When,
    /// her weight before laying
    pub before: Option<Mass>,
    /// her newest weight after laying
    pub weight: Option<Mass>,
    /// meals taken since
    pub meals: u32,
}

impl Rule {
    /// What she still wants, nothing when she may go again. `None` when the season for it has passed. Where her weight
    /// before laying is not known, her weight is not judged.
    pub fn wants(&self, she: &Since, today: NaiveDate) -> Option<Vec<Wants>> {
        let laid = she.laid.date();
        if (today - laid).num_days() > i64::from(self.until_days) {
            return None;
        }
        let mut wants = Vec::new();
        let until = laid + TimeDelta::days(i64::from(self.rest_days));
        if today < until {
            wants.push(Wants::Rest { until });
        }
        if let Some(before) = she.before {
            let least = Mass(before.0.saturating_mul(i64::from(self.weight_pct)) / 100);
            match she.weight {
                None => wants.push(Wants::Weighing),
                Some(weight) if weight < least => wants.push(Wants::Weight { least }),
                Some(_) => {}
            }
        }
        if she.meals < self.meals {
            wants.push(Wants::Meals { taken: she.meals, of: self.meals });
        }
        Some(wants)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn by_condition_and_date() {
        let g = |grams: i64| Mass(grams * 1000);
        let check = |days: i64, before: Option<i64>, weight: Option<i64>, meals: u32, expected: Option<Vec<Wants>>| {
            let today: NaiveDate = "2026-07-01".parse().expect("a fixture");
            let laid = When::day(today - TimeDelta::days(days));
            let she = Since { laid, before: before.map(g), weight: weight.map(g), meals };
            assert_eq!(USUAL.wants(&she, today), expected, "{days} {before:?} {weight:?} {meals}");
        };
        let rest = Wants::Rest { until: "2026-07-10".parse().expect("a fixture") };
        check(20, Some(1000), Some(850), 3, Some(vec![]));
        check(20, Some(1000), Some(849), 3, Some(vec![Wants::Weight { least: g(850) }]));
        check(20, Some(1000), None, 5, Some(vec![Wants::Weighing]));
        check(20, None, None, 3, Some(vec![]));
        check(5, Some(1000), Some(900), 1, Some(vec![rest, Wants::Meals { taken: 1, of: 3 }]));
        check(75, None, None, 3, Some(vec![]));
        check(76, Some(1000), Some(1000), 9, None);
    }
}
