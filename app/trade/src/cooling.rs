//! Cooling (brumation): the last meal before, what is lost by it, and what an animal wants before it is paired.
//!
//! Every figure is common practice, no source, and the keeper's to change. About an animal that does badly a veterinarian
//! decides.

use crate::units::{Mass, Temp};
use crate::when::When;
use chrono::{NaiveDate, TimeDelta};

/// Days from the last meal to the first cool day, so that it is digested (common practice, no source).
pub const FAST_DAYS: u32 = 14;

/// Colder or warmer than this, what was typed is asked about (our choice, wider than common practice).
pub const LIKELY: (Temp, Temp) = (Temp(300), Temp(2400));

/// From this loss on, in percent of the weight before, many keepers look closer (common practice, no source).
pub const LOOK_PCT: i64 = 10;

/// The last day on which one is fed that is to be cool from `from` on.
pub fn last_meal_by(from: NaiveDate, fast_days: u32) -> NaiveDate {
    from - TimeDelta::days(i64::from(fast_days.min(366)))
}

/// What an animal weighs less than before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Loss {
    /// Below zero: it weighs more.
    pub mass: Mass,
    /// Of the weight before, in thousandths, rounded.
    pub permille: i64,
    /// From [`LOOK_PCT`] on.
    pub large: bool,
}

impl Loss {
    /// `None` without a weight before.
    pub fn of(before: Mass, after: Mass) -> Option<Loss> {
        if before.0 <= 0 {
            return None;
        }
        let lost = before.0.saturating_sub(after.0);
        let half = before.0 / 2 * lost.signum();
        let permille = lost.saturating_mul(1000).saturating_add(half) / before.0;
        Some(Loss { mass: Mass(lost), permille, large: lost.saturating_mul(100) >= before.0.saturating_mul(LOOK_PCT) })
    }
}

/// What is asked of an animal after its cooling, before it is put with another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rule {
    /// Days in the warm.
    pub days: u32,
    /// Meals taken since.
    pub meals: u32,
    /// Sheds since.
    pub sheds: u32,
}

/// Two weeks in the warm, two meals and the shed that follows on cooling (common practice, no source).
pub const USUAL: Rule = Rule { days: 14, meals: 2, sheds: 1 };

/// So many days after the end nothing is asked any more: by then the season is on (our choice).
pub const ASKED_DAYS: i64 = 120;

/// So many days after its end a cooling belongs to the season that goes on (our choice). Longer than [`ASKED_DAYS`]: whom
/// nobody asks any more was cooled all the same.
pub const SEASON_DAYS: i64 = 240;

/// What is known of an animal since its cooling ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Since {
    pub ended: When,
    pub meals: u32,
    pub sheds: u32,
}

/// What it still wants before it is paired.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wants {
    /// To be in the warm until this day.
    Days {
        until: NaiveDate,
    },
    Meals {
        taken: u32,
        of: u32,
    },
    Sheds {
        seen: u32,
        of: u32,
    },
}

impl Rule {
    /// What it still wants; nothing when it may be paired. `None` when the cooling is too long ago to ask.
    pub fn wants(&self, since: &Since, today: NaiveDate) -> Option<Vec<Wants>> {
        let ended = since.ended.date();
        if (today - ended).num_days() > ASKED_DAYS {
            return None;
        }
        let until = ended + TimeDelta::days(i64::from(self.days.min(366)));
        let days = (today < until).then_some(Wants::Days { until });
        let meals = (since.meals < self.meals).then_some(Wants::Meals { taken: since.meals, of: self.meals });
        let sheds = (since.sheds < self.sheds).then_some(Wants::Sheds { seen: since.sheds, of: self.sheds });
        Some([days, meals, sheds].into_iter().flatten().collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().expect(text)
    }

    #[test]
    fn a_loss_is_told_in_grams_and_of_the_weight_before() {
        let g = |grams: i64| Mass(grams * 1000);
        // By hand: 138 of 1,240 is 11.129 %; 100 of 1,000 is 10 % sharp.
        for (before, after, expected) in [
            (g(1240), g(1102), Some((138, 111, true))),
            (g(1000), g(900), Some((100, 100, true))),
            (g(1000), g(901), Some((99, 99, false))),
            (g(300), g(306), Some((-6, -20, false))),
            (g(300), g(300), Some((0, 0, false))),
            (Mass::ZERO, g(300), None),
        ] {
            let found = Loss::of(before, after).map(|loss| (loss.mass.0 / 1000, loss.permille, loss.large));
            assert_eq!(found, expected, "{before:?} {after:?}");
        }
    }

    #[test]
    fn the_last_meal_is_so_many_days_before() {
        for (days, expected) in [(14, "2026-11-17"), (0, "2026-12-01"), (31, "2026-10-31")] {
            assert_eq!(last_meal_by(day("2026-12-01"), days), day(expected), "{days}");
        }
    }

    #[test]
    fn it_wants_warmth_meals_and_a_shed_before_it_is_paired() {
        let wants = |today: &str, meals, sheds| {
            let since = Since { ended: When::day(day("2026-02-20")), meals, sheds };
            USUAL.wants(&since, day(today))
        };
        let until = day("2026-03-06");
        let (meals, sheds) = (Wants::Meals { taken: 1, of: 2 }, Wants::Sheds { seen: 0, of: 1 });
        assert_eq!(wants("2026-03-05", 1, 0), Some(vec![Wants::Days { until }, meals, sheds]));
        assert_eq!(wants("2026-03-06", 1, 0), Some(vec![meals, sheds]));
        assert_eq!(wants("2026-03-06", 2, 1), Some(vec![]));
        assert_eq!(wants("2026-06-20", 0, 0).map(|wants| wants.len()), Some(2));
        assert_eq!(wants("2026-06-21", 0, 0), None);
    }
}
