//! Whether an animal is ready to breed, by the keeper's own rule for its species and sex.
//!
//! There is no usual rule: keepers differ by line and by size, and no figure of ours would be right for both. What nobody
//! set is not asked.

use crate::cooling;
use crate::units::Mass;
use chrono::{Months, NaiveDate, TimeDelta};

/// What a keeper asks of an animal before it is bred.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Rule {
    pub age_months: Option<u32>,
    pub mass: Option<Mass>,
    /// Meals taken in a row, unassisted, the last one included.
    pub meals: Option<u32>,
    /// Cooled this season, and out of it by the barn's rule for that.
    pub cooled: bool,
}

impl Rule {
    /// Whether it asks for anything.
    pub fn asks(&self) -> bool {
        *self != Rule::default()
    }
}

/// Older than this a weighing says nothing of today's weight (our choice).
pub const WEIGHED_DAYS: i64 = 120;

/// What is known of an animal.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Facts {
    /// The day on which it was surely born.
    pub born: Option<NaiveDate>,
    /// Weighed last, and when.
    pub weighed: Option<(Mass, NaiveDate)>,
    pub meals_in_a_row: u32,
    /// What it wants after its last cooling, nothing when that is too long ago to ask; `None`: not cooled this season.
    pub warm: Option<Vec<cooling::Wants>>,
    pub cool: bool,
    pub apart: bool,
    pub treated: bool,
    /// Carrying eggs, as far as was seen.
    pub gravid: bool,
}

/// What stands in the way.
#[derive(Clone, Debug, PartialEq)]
pub enum Lack {
    /// Old enough on this day.
    Age {
        on: NaiveDate,
    },
    /// Nobody noted when it was born.
    Born,
    Weight {
        is: Mass,
        least: Mass,
    },
    /// Not weighed for long, or never.
    Weighing {
        least: Mass,
    },
    Meals {
        taken: u32,
        of: u32,
    },
    NotCooled,
    Cool,
    Warm(Vec<cooling::Wants>),
    Apart,
    Treated,
    Gravid,
}

/// How far it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stand {
    Ready,
    Nearly,
    Not,
}

/// Nearly (our choice): three months to its age, a tenth to its weight.
const NEAR_DAYS: i64 = 92;
const NEAR_PCT: i64 = 90;

impl Lack {
    /// Whether it is soon made good.
    fn is_near(&self, today: NaiveDate) -> bool {
        match self {
            Lack::Age { on } => *on - today <= TimeDelta::days(NEAR_DAYS),
            Lack::Weight { is, least } => is.0.saturating_mul(100) >= least.0.saturating_mul(NEAR_PCT),
            Lack::Weighing { .. } | Lack::Warm(_) => true,
            Lack::Meals { taken, of } => taken.saturating_mul(2) >= *of,
            Lack::Born | Lack::NotCooled | Lack::Cool | Lack::Apart | Lack::Treated | Lack::Gravid => false,
        }
    }
}

impl Rule {
    /// What stands in the way; nothing when it is ready. Whoever is cool, apart, treated or carrying eggs is not ready,
    /// whatever the rule.
    pub fn lacks(&self, facts: &Facts, today: NaiveDate) -> Vec<Lack> {
        let age = self.age_months.and_then(|months| match facts.born {
            None => Some(Lack::Born),
            Some(born) => {
                let on = born.checked_add_months(Months::new(months))?;
                (today < on).then_some(Lack::Age { on })
            }
        });
        let weight = self.mass.and_then(|least| match facts.weighed {
            Some((is, day)) if (today - day).num_days() <= WEIGHED_DAYS => {
                (is < least).then_some(Lack::Weight { is, least })
            }
            Some(_) | None => Some(Lack::Weighing { least }),
        });
        let meals = self.meals.filter(|&of| facts.meals_in_a_row < of);
        let meals = meals.map(|of| Lack::Meals { taken: facts.meals_in_a_row, of });
        let warm = match &facts.warm {
            _ if facts.cool => Some(Lack::Cool),
            None => self.cooled.then_some(Lack::NotCooled),
            Some(wants) => (!wants.is_empty()).then(|| Lack::Warm(wants.clone())),
        };
        let now = [(facts.apart, Lack::Apart), (facts.treated, Lack::Treated), (facts.gravid, Lack::Gravid)];
        let now = now.into_iter().filter(|(holds, _)| *holds).map(|(_, lack)| lack);
        [age, weight, meals, warm].into_iter().flatten().chain(now).collect()
    }
}

/// How far an animal is that lacks these.
pub fn stand(lacks: &[Lack], today: NaiveDate) -> Stand {
    match lacks {
        [] => Stand::Ready,
        lacks if lacks.iter().all(|lack| lack.is_near(today)) => Stand::Nearly,
        _ => Stand::Not,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().expect(text)
    }

    fn g(grams: i64) -> Mass {
        Mass(grams * 1000)
    }

    #[test]
    fn each_condition_is_asked_by_itself() {
        let today = day("2026-03-01");
        let rule = Rule { age_months: Some(24), mass: Some(g(300)), meals: Some(4), cooled: true };
        let fine = Facts {
            born: Some(day("2024-03-01")),
            weighed: Some((g(300), day("2026-02-20"))),
            meals_in_a_row: 4,
            warm: Some(vec![]),
            ..Facts::default()
        };
        let meals = cooling::Wants::Meals { taken: 0, of: 2 };
        let stands: &[(Facts, &[Lack], Stand)] = &[
            (fine.clone(), &[], Stand::Ready),
            (
                Facts { born: Some(day("2024-03-02")), ..fine.clone() },
                &[Lack::Age { on: day("2026-03-02") }],
                Stand::Nearly,
            ),
            (
                Facts { born: Some(day("2024-06-02")), ..fine.clone() },
                &[Lack::Age { on: day("2026-06-02") }],
                Stand::Not,
            ),
            (Facts { born: None, ..fine.clone() }, &[Lack::Born], Stand::Not),
            (
                Facts { weighed: Some((g(270), day("2026-02-20"))), ..fine.clone() },
                &[Lack::Weight { is: g(270), least: g(300) }],
                Stand::Nearly,
            ),
            (
                Facts { weighed: Some((g(269), day("2026-02-20"))), ..fine.clone() },
                &[Lack::Weight { is: g(269), least: g(300) }],
                Stand::Not,
            ),
            (
                Facts { weighed: Some((g(400), day("2025-10-31"))), ..fine.clone() },
                &[Lack::Weighing { least: g(300) }],
                Stand::Nearly,
            ),
            (Facts { meals_in_a_row: 2, ..fine.clone() }, &[Lack::Meals { taken: 2, of: 4 }], Stand::Nearly),
            (Facts { meals_in_a_row: 1, ..fine.clone() }, &[Lack::Meals { taken: 1, of: 4 }], Stand::Not),
            (Facts { warm: None, ..fine.clone() }, &[Lack::NotCooled], Stand::Not),
            (Facts { warm: Some(vec![meals]), ..fine.clone() }, &[Lack::Warm(vec![meals])], Stand::Nearly),
            (Facts { cool: true, ..fine.clone() }, &[Lack::Cool], Stand::Not),
            (Facts { apart: true, gravid: true, ..fine.clone() }, &[Lack::Apart, Lack::Gravid], Stand::Not),
            (Facts { treated: true, ..fine.clone() }, &[Lack::Treated], Stand::Not),
        ];
        for (n, (facts, lacks, expected)) in stands.iter().enumerate() {
            let found = rule.lacks(facts, today);
            assert_eq!((found.as_slice(), stand(&found, today)), (*lacks, *expected), "{n}");
        }
    }

    #[test]
    fn what_nobody_set_is_not_asked() {
        let today = day("2026-03-01");
        assert!(!Rule::default().asks());
        assert_eq!(Rule::default().lacks(&Facts::default(), today), []);
        let cool = Facts { cool: true, ..Facts::default() };
        assert_eq!(Rule::default().lacks(&cool, today), [Lack::Cool]);
    }
}
