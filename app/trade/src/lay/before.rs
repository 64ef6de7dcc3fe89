//! What comes before the eggs: ovulation after follicles of a size, and the shed after ovulation.
//!
//! The same sums as for the eggs themselves ([`LayModel`]). How long follicles of a size take to ovulation is common
//! practice nowhere, so nothing is said of it until the keeper's own seasons tell.

use super::{LayModel, Opinion, Sign, usual_days};
use crate::gauss::Gaussian;
use crate::species::{Kin, Profile, Span};

/// As many of the keeper's own intervals are needed before one that nothing is usual of is told (our choice).
pub const ENOUGH: u32 = 3;
/// With fewer of the keeper's own intervals than this, what is told calls itself an experiment (our choice).
pub const SETTLED: u32 = 10;
/// Follicles this far apart in size are still alike, as a share of the smaller (our choice, no source).
const ALIKE: f64 = 0.15;
/// Before any interval is known: some thirty days, by a factor of `e` either way, so wide that the third interval
/// outweighs it (our choice). How much intervals differ among themselves may be any of these, each as likely.
const UNTOLD_DAYS: f64 = 30.0;
const UNTOLD_DIFFER: [f64; 4] = [0.1, 0.2, 0.4, 0.8];

/// Days from ovulation to the shed before laying within which 95 % are thought to fall; `None` where nothing is usual.
///
/// No figure of its own: what is usual from ovulation to the eggs, less what is usual from the shed to the eggs. Both are
/// common practice, no source.
pub fn usual_shed_days(profile: &Profile) -> Option<Span> {
    match profile.kin {
        Kin::Snake | Kin::Python => {
            let (ovulation, shed) = (usual_days(profile, Sign::Ovulation)?, usual_days(profile, Sign::PreLayShed)?);
            Some((ovulation.0 - shed.0, ovulation.1 - shed.1)).filter(|(from, to)| 0.0 < *from && from < to)
        }
        // Theirs go by no clock that keepers agree on.
        Kin::Gecko | Kin::Lizard => None,
    }
}

/// Whether two follicles are so near in size that as much time is left to both; in micrometres.
pub fn alike(one: i64, other: i64) -> bool {
    let (small, large) = (one.min(other), one.max(other));
    small > 0 && large as f64 <= small as f64 * (1.0 + ALIKE)
}

impl LayModel {
    /// From ovulation to the shed before laying, before any interval of the keeper's own. `None` where nothing is usual.
    pub fn to_shed(profile: &Profile) -> Option<LayModel> {
        usual_shed_days(profile).map(LayModel::within)
    }

    /// From follicles of a size to ovulation: nothing is usual, see [`LayModel::is_enough`].
    pub fn to_ovulation() -> LayModel {
        let opinion = |&between: &f64| {
            let belief = Gaussian::independent(&[UNTOLD_DAYS.ln()], &[1.0]);
            Opinion { ln_weight: -(UNTOLD_DIFFER.len() as f64).ln(), between, belief }
        };
        LayModel { opinions: UNTOLD_DIFFER.iter().map(opinion).collect(), own: 0 }
    }

    /// Whether the keeper's own intervals alone say enough.
    pub fn is_enough(&self) -> bool {
        self.own >= ENOUGH
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Z95, days};
    use super::*;
    use crate::when::When;
    use chrono::{NaiveDate, TimeDelta};

    fn day(n: i64) -> When {
        When::day(NaiveDate::from_ymd_opt(2026, 1, 1).expect("a fixture") + TimeDelta::days(n))
    }

    #[test]
    fn the_shed_lies_between_ovulation_and_the_eggs() {
        let spans = |key: &str| {
            let profile = Profile::find(key).expect("built in");
            (usual_shed_days(&profile), LayModel::to_shed(&profile).is_some())
        };
        assert_eq!(spans("lampropeltis-getula"), (Some((11.0, 21.0)), true));
        assert_eq!(spans("python-regius"), (Some((14.0, 26.0)), true));
        assert_eq!(spans("eublepharis-macularius"), (None, false));
        for profile in crate::species::built_in() {
            let Some((from, to)) = usual_shed_days(&profile) else { continue };
            let eggs = usual_days(&profile, Sign::Ovulation).expect("usual too");
            assert!(0.0 < from && from < to && to < eggs.1, "{}: {from} to {to}", profile.key);
        }
    }

    #[test]
    fn follicles_are_alike_within_a_share_of_the_smaller() {
        for (one, other, so) in
            [(20_000, 20_000, true), (20_000, 23_000, true), (20_000, 23_001, false), (0, 0, false), (-5, -5, false)]
        {
            assert_eq!((alike(one, other), alike(other, one)), (so, so), "{one} and {other}");
        }
    }

    /// The same belief by adding up a fine grid of means, each way intervals may differ apart.
    fn by_grid(own: &[f64]) -> (f64, f64) {
        let (mut total, mut first, mut second) = (0.0, 0.0, 0.0);
        for differ in UNTOLD_DIFFER {
            for step in -4_000..=4_000 {
                let mean = UNTOLD_DAYS.ln() + f64::from(step) / 1_000.0;
                let mut ln = -0.5 * (mean - UNTOLD_DAYS.ln()).powi(2);
                for days in own {
                    ln -= 0.5 * ((days.ln() - mean) / differ).powi(2) + differ.ln();
                }
                let weight = ln.exp();
                (total, first) = (total + weight, first + weight * mean);
                second += weight * (mean * mean + differ * differ);
            }
        }
        let mean = first / total;
        (mean, (second / total - mean * mean).sqrt())
    }

    #[test]
    fn what_nothing_is_usual_of_is_learned_from_the_keepers_own_alone() {
        let mut model = LayModel::to_ovulation();
        let own = [18.0, 22.0, 20.0, 19.0, 24.0];
        let mut last = f64::INFINITY;
        for (n, &length) in own.iter().enumerate() {
            assert_eq!(model.is_enough(), n >= 3, "{n}");
            assert!(model.learn(day(0), day(length as i64)), "{length}");
            let range = model.window(day(0), day(0).middle()).unlooked;
            let (low, middle, high) = (range.outer.0, range.median, range.outer.1);
            let start = day(0).middle();
            let (mean, spread) = by_grid(&own[..=n]);
            assert!((days(start, middle).ln() - mean).abs() < 0.02, "{n}: {} and {mean}", days(start, middle).ln());
            // A day is not known to the minute, which the grid does not see.
            let wide = (days(start, high) / days(start, low)).ln() / (2.0 * Z95);
            assert!((wide / spread - 1.0).abs() < 0.05, "{n}: {wide} and {spread}");
            assert!(wide < last, "{n}: {wide} after {last}");
            last = wide;
        }
    }

    #[test]
    fn a_slip_of_the_pen_teaches_nothing() {
        let mut model = LayModel::to_ovulation();
        for length in [18, 20, 22] {
            assert!(model.learn(day(0), day(length)));
        }
        assert!(!model.learn(day(5), day(3)), "ovulation before the follicles");
        assert_eq!(model.own(), 3);
    }
}
