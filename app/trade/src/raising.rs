//! Raising young: when a first shed is late, what size of prey fits, when an animal is ready to leave, and which ones
//! want looking at. Every rule is common practice unless its source stands beside it.

use crate::species::{Kin, Profile};
use crate::units::Mass;
use crate::when::When;
use chrono::{NaiveDate, NaiveDateTime, TimeDelta};

/// When the first shed is past due: a week after the last usual day of the species (`Profile::first_shed_days`;
/// colubrids 5–14 days; *Pituophis* 9.5–12.6 and *Natrix* 9–13.5 are published). The week is common practice.
pub fn first_shed_late(hatched: When, profile: &Profile) -> NaiveDateTime {
    after(hatched.latest(), profile.first_shed_days.1 + 7.0)
}

/// When the first shed can be looked for.
pub fn first_shed_from(hatched: When, profile: &Profile) -> NaiveDateTime {
    after(hatched.earliest(), profile.first_shed_days.0)
}

fn after(from: NaiveDateTime, days: f64) -> NaiveDateTime {
    from + TimeDelta::minutes((days * 1440.0) as i64)
}

/// Days from one shed to the next, of those noted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spacing {
    /// The middle one; of an even number the shorter of the two in the middle.
    pub middle: i64,
    pub shortest: i64,
    pub longest: i64,
    /// How many there are.
    pub gaps: usize,
}

/// How far sheds lie apart, by their days in any order; none where fewer than three are noted, since one gap tells no
/// interval. A shed noted twice on one day is one.
pub fn spacing(days: &[NaiveDate]) -> Option<Spacing> {
    let mut days = days.to_vec();
    days.sort_unstable();
    days.dedup();
    let mut gaps: Vec<i64> = days.windows(2).map(|pair| (pair[1] - pair[0]).num_days()).collect();
    gaps.sort_unstable();
    match gaps.as_slice() {
        [] | [_] => None,
        [shortest, .., longest] => Some(Spacing {
            middle: gaps[(gaps.len() - 1) / 2],
            shortest: *shortest,
            longest: *longest,
            gaps: gaps.len(),
        }),
    }
}

/// A hatchling that has taken nothing by this day is worth a thought (common practice). A refusal on day 30 is no
/// alarm: of *Pituophis* from eggs at 22, 27 and 31 °C, 4, 49 and 52 % had fed by then (Burger 1991).
pub const NO_MEAL_DAYS: i64 = 60;

/// A loss of this share since the greatest mass weighed before is worth a thought (common practice).
pub const LOST_PCT: i64 = 15;

/// The share of its mass an animal has lost since the greatest one before, whole percent; `None` when it has not lost
/// [`LOST_PCT`] or was weighed less than twice. `masses` newest first.
pub fn lost_pct(masses: impl IntoIterator<Item = Mass>) -> Option<i64> {
    let mut masses = masses.into_iter();
    let now = masses.next()?;
    let best = masses.max()?;
    let lost = (best.0 - now.0).max(0).saturating_mul(100).checked_div(best.0)?;
    (lost >= LOST_PCT).then_some(lost)
}

/// The barn's own rules for its young.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rules {
    /// Sheds before an animal may leave.
    pub sheds: u32,
    /// Meals taken in a row, unassisted, the last one included.
    pub meals: u32,
    /// What a meal may weigh, percent of the animal.
    pub prey_pct: (u32, u32),
    /// Days between meals.
    pub feed_days: u32,
}

impl Default for Rules {
    /// Shed once, three unassisted meals taken in a row; prey of 10 to 15 % of its mass every 5 days (common practice).
    fn default() -> Self {
        Rules { sheds: 1, meals: 3, prey_pct: (10, 15), feed_days: 5 }
    }
}

impl Rules {
    /// Whether an animal may leave by these rules.
    pub fn ready(&self, sheds: u32, meals_in_a_row: u32) -> bool {
        sheds >= self.sheds && meals_in_a_row >= self.meals
    }

    /// What prey may weigh for an animal of this mass. `None` without a mass, and for kinds that are not fed whole
    /// prey (geckos and other lizards eat insects here).
    pub fn prey_mass(&self, body: Mass, kin: Kin) -> Option<(Mass, Mass)> {
        let share = |pct: u32| Mass(body.0.saturating_mul(i64::from(pct)) / 100);
        (body.0 > 0 && matches!(kin, Kin::Snake | Kin::Python))
            .then(|| (share(self.prey_pct.0), share(self.prey_pct.1)))
    }
}

/// Mice as they are sold, with the masses they are sold at in grams (common practice; suppliers differ).
pub const MICE: [(&str, i64, i64); 6] = [
    ("pinkie", 1, 2),
    ("fuzzy", 3, 6),
    ("hopper", 7, 12),
    ("weanling", 13, 18),
    ("adult", 19, 30),
    ("large adult", 31, 45),
];

/// The size of mouse that fits best; the smallest for an animal smaller than that, `None` above the largest.
pub fn mouse_for(prey: (Mass, Mass)) -> Option<&'static str> {
    let middle = (prey.0.0 + prey.1.0) / 2;
    MICE.iter().find(|(_, _, most)| middle < (most + 1) * 1000).map(|(name, ..)| *name)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn g(grams: i64) -> Mass {
        Mass(grams * 1000)
    }

    #[test]
    fn a_first_shed_is_late_a_week_after_its_last_usual_day() {
        let king = Profile::find("lampropeltis-getula").expect("built in");
        let hatched: When = "2026-06-01T08:00".parse().expect("a fixture");
        let days = |at: NaiveDateTime| (at - hatched.earliest()).num_days();
        let (from, to) = king.first_shed_days;
        assert_eq!(days(first_shed_from(hatched, &king)), from as i64);
        assert_eq!(days(first_shed_late(hatched, &king)), to as i64 + 7);
    }

    #[test]
    fn weight_is_lost_against_the_best_before() {
        for (masses, expected) in [
            (&[8, 10][..], Some(20)),
            (&[9, 8, 10], None),
            (&[8, 8, 10, 7], Some(20)),
            (&[10], None),
            (&[12, 10], None),
            (&[], None),
        ] {
            assert_eq!(lost_pct(masses.iter().map(|&m| g(m))), expected, "{masses:?}");
        }
    }

    #[test]
    fn ready_after_a_shed_and_three_meals() {
        let rules = Rules::default();
        for (sheds, meals, ready) in [(0, 3, false), (1, 2, false), (1, 3, true), (2, 9, true)] {
            assert_eq!(rules.ready(sheds, meals), ready, "{sheds} {meals}");
        }
    }

    #[test]
    fn sheds_tell_an_interval_from_the_third_on() {
        let day = |text: &str| text.parse::<NaiveDate>().expect("a day");
        let days = ["2026-05-01", "2026-03-01", "2026-06-05", "2026-05-01", "2026-04-05"].map(day);
        assert_eq!(spacing(&days[..2]), None);
        // 35, 26 and 35 days; the one noted twice is one.
        assert_eq!(spacing(&days), Some(Spacing { middle: 35, shortest: 26, longest: 35, gaps: 3 }));
        assert_eq!(spacing(&days[..3]).map(|found| (found.middle, found.gaps)), Some((35, 2)));
    }

    #[test]
    fn prey_goes_by_the_animals_mass() {
        let rules = Rules::default();
        for (body, prey, mouse) in [
            (g(9), (Mass(900), Mass(1350)), Some("pinkie")),
            (g(30), (g(3), Mass(4500)), Some("fuzzy")),
            (g(200), (g(20), g(30)), Some("adult")),
            (g(1000), (g(100), g(150)), None),
        ] {
            let found = rules.prey_mass(body, Kin::Snake).expect("a snake");
            assert_eq!((found, mouse_for(found)), (prey, mouse), "{body:?}");
        }
        assert_eq!(rules.prey_mass(g(3), Kin::Gecko), None);
        assert_eq!(rules.prey_mass(Mass::ZERO, Kin::Snake), None);
    }
}
