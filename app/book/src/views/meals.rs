//! How often an animal ate and refused, at a moment.

use crate::records::Meal;
use crate::words::MealOutcome;
use chrono::{NaiveDateTime, TimeDelta};
use trade::when::When;

/// A meal as it is counted.
#[derive(Clone, Copy, Debug)]
pub(super) struct Offered {
    pub(super) when: Option<When>,
    pub(super) outcome: Option<MealOutcome>,
    pub(super) assumed: bool,
    pub(super) with_all: bool,
    pub(super) unaided: bool,
}

impl From<&Meal> for Offered {
    fn from(meal: &Meal) -> Offered {
        Offered {
            when: meal.offered,
            outcome: meal.outcome,
            assumed: meal.is_assumed(),
            with_all: meal.with_all(),
            unaided: meal.taken_unaided(),
        }
    }
}

/// What an animal's meals come to.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Meals {
    pub(super) taken: u32,
    pub(super) taken_in_a_row: u32,
    pub(super) refused_in_a_row: u32,
    pub(super) last_offered: Option<When>,
}

/// When the newest meal that has a moment was offered.
pub(super) fn newest(mut newest_first: impl Iterator<Item = Offered>) -> Option<NaiveDateTime> {
    newest_first.find_map(|meal| meal.when).map(When::latest)
}

/// The meals that [`meal_counts`] asks for at the newest meal. Later it asks for no more: a meal that counts by then
/// only makes it stop sooner.
pub(super) fn counted_meals<M: Iterator<Item = Offered>>(
    newest_first: impl Fn() -> M,
    most: Option<u32>,
) -> Vec<Offered> {
    let mut asked = Vec::new();
    let at = newest(newest_first()).unwrap_or_default();
    meal_counts(&mut newest_first().inspect(|meal| asked.push(*meal)), at, most);
    asked
}

/// Of a meal given to a whole rack nobody knows before the next day whether it was taken.
const TOLD_HOURS: i64 = 36;

/// With `most`, back only until so many in a row, or one taken before a refusal, have said what there is to say.
pub(super) fn meal_counts(
    newest_first: &mut dyn Iterator<Item = Offered>,
    now: NaiveDateTime,
    most: Option<u32>,
) -> Meals {
    let mut meals = Meals::default();
    let (mut row_open, mut refused_open) = (true, true);
    for meal in newest_first {
        meals.last_offered = meals.last_offered.or(meal.when);
        let Some(outcome) = meal.outcome else { continue };
        if meal.assumed && meal.when.is_some_and(|at| now - at.latest() < TimeDelta::hours(TOLD_HOURS)) {
            continue;
        }
        let eaten = outcome == MealOutcome::Eaten;
        meals.taken += u32::from(eaten);
        row_open = row_open && meal.unaided;
        meals.taken_in_a_row += u32::from(row_open);
        refused_open &= !eaten;
        meals.refused_in_a_row += u32::from(refused_open);
        if most.is_some_and(|most| meals.taken > 0 && (!row_open || meals.taken_in_a_row >= most)) {
            break;
        }
    }
    meals
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn meal(hour: i64, outcome: u8, assumed: bool, unaided: bool) -> Offered {
        let outcome = [None, Some(MealOutcome::Refused), Some(MealOutcome::Eaten)][usize::from(outcome)];
        let at = NaiveDateTime::default() + TimeDelta::hours(hour);
        Offered { when: Some(When::time(at)), outcome, assumed, with_all: assumed, unaided }
    }

    proptest! {
        /// What is kept of an animal's meals is enough to count them at the newest meal and at any later moment.
        #[test]
        fn the_meals_kept_count_like_all(
            meals in prop::collection::vec((0_i64..40, 0_u8..3, any::<bool>(), any::<bool>()), 0..20),
            most in prop::option::of(1_u32..5),
            later in 0_i64..100,
        ) {
            let mut hour = 0;
            let mut all: Vec<Offered> = meals.into_iter().map(|(apart, outcome, assumed, unaided)| {
                hour += apart;
                meal(hour, outcome, assumed, unaided && outcome == 2)
            }).collect();
            all.reverse();
            let kept = counted_meals(|| all.iter().copied(), most);
            let now = NaiveDateTime::default() + TimeDelta::hours(hour + later);
            let counted = |meals: &[Offered]| meal_counts(&mut meals.iter().copied(), now, most);
            prop_assert_eq!(counted(&kept), counted(&all));
        }
    }
}
