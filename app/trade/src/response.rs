//! How fast an egg develops at a temperature, and what is believed of it for one species or line.
//!
//! `ln D(T) = a + b·x + c·h(x)`, x = T − 28 °C, D in days from lay to first pip, h a smooth bend
//! ([`basis`]). Published durations are means over eggs, a percent or two later than the first; that is inside the
//! scatter. It is linear in (a, b, c), so learning is an exact Gaussian update.
//! Its shape was chosen by leave-one-species-out score against `h = x²`; `tests/checks` prints the comparison.

use crate::gauss::Gaussian;
use crate::priors;
use crate::species::{Kin, Profile, Source};

/// The temperature x is counted from, °C.
pub const REFERENCE_C: f64 = 28.0;
/// Where the response bends, °C above [`REFERENCE_C`], and over how many °C.
const BEND_AT: f64 = 4.0;
const BEND_OVER: f64 = 15.0;

/// What a, b and c are multiplied by at `celsius`. Any finite temperature; meaningful inside a species' limits.
///
/// h is a square about 32 °C that straightens far from it. About 32 °C, not 28: there b is the slope at the warm
/// end, where species agree best, and c says how much steeper it is where it is cool. Straightening, since a plain
/// square overshoots at the cool end.
pub fn basis(celsius: f64) -> [f64; 3] {
    let x = celsius - REFERENCE_C;
    [1.0, x, bend(x) - bend(0.0)]
}

/// d(basis)/dT at `celsius`, per °C.
pub fn basis_slope(celsius: f64) -> [f64; 3] {
    let u = celsius - REFERENCE_C - BEND_AT;
    [0.0, 1.0, 2.0 * u / (1.0 + (u / BEND_OVER).powi(2)).sqrt()]
}

fn bend(x: f64) -> f64 {
    2.0 * BEND_OVER * BEND_OVER * ((1.0 + ((x - BEND_AT) / BEND_OVER).powi(2)).sqrt() - 1.0)
}

/// A family's published (b, c) for a species of its not yet seen. In ln D: `scatter`, how far a row lies off its study's
/// curve; `study`, how far a study, or a keeper's barn, lies off its species' level. Standard deviations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slopes {
    pub mean: [f64; 2],
    pub cov: [[f64; 2]; 2],
    pub scatter: f64,
    pub study: f64,
}

impl Slopes {
    /// The slopes a kin follows; where they come from is said beside each.
    pub fn of(kin: Kin) -> Self {
        match kin {
            Kin::Snake => priors::SNAKE,
            Kin::Python => priors::PYTHON,
            Kin::Lizard => priors::LIZARD,
            Kin::Gecko => priors::GECKO,
        }
    }
}

/// Whose figures a window stands on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Basis {
    /// The profile's, with its source.
    Profile(Source),
    /// This many of the keeper's own clutches, on top of the profile.
    Own { clutches: u32 },
}

/// The spread between clutches (ln D) that is thought possible, and how likely each is to begin with.
///
/// Centred on 2.5 %, what is left between clutches of one barn after temperature (common practice, no source).
const BETWEEN: [(f64, f64); 7] =
    [(0.008, 0.05), (0.013, 0.15), (0.019, 0.26), (0.027, 0.28), (0.038, 0.18), (0.054, 0.06), (0.076, 0.02)];
/// The spread within a clutch (ln D) to begin with, and how many clutches that opinion is worth.
///
/// 1 % gives ten eggs of 60 days about two days from first to last pip (common practice: a day or three).
const WITHIN: (f64, f64) = (0.010, 5.0);

/// What a stated thermometer error is worth as a standard deviation: the error is a bound with nothing known
/// inside it, a rectangle (JCGM 100:2008, 4.3.7).
pub(crate) fn bound_to_sd(bound: f64) -> f64 {
    bound.abs() / 3f64.sqrt()
}

/// The default error of a shelf's thermometer, ± °C, common to all its readings (common practice, no source).
pub const THERMOMETER_C: f64 = 0.5;

/// A thermometer now and then is off by this many times what it says, one standard deviation, and how often (our
/// choice, no source).
pub(crate) const ASTRAY: f64 = 3.0;
pub(crate) const ASTRAY_CHANCE: f64 = 0.05;

/// One opinion of the spread between clutches, and everything believed under it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct World {
    pub ln_weight: f64,
    pub between: f64,
    /// a, b, c, then the thermometer offset of each place in `Model::places`
    pub belief: Gaussian,
}

/// What is believed of one species or line on this keeper's shelves.
///
/// Holds (a, b, c), the offset of each shelf's thermometer that took part, and the spreads. Starts from a profile;
/// a [`Learner`](crate::learn::Learner) adds the keeper's own hatches. Cheap to clone.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    /// (a, b, c) as first believed. Development is summed under these, so that learning never asks for the
    /// readings to be summed again; what was learned since enters as a shift (exact at steady temperatures).
    pub(crate) start: [f64; 3],
    pub(crate) limits: (f64, f64),
    pub(crate) tolerated: (f64, f64),
    pub(crate) thermometer_sd: f64,
    pub(crate) usual_eggs: u32,
    pub(crate) places: Vec<String>,
    pub(crate) worlds: Vec<World>,
    /// the worlds' mean and covariance taken together
    pub(crate) belief: Gaussian,
    pub(crate) between_var: f64,
    /// sum of squares and count behind the spread within a clutch
    pub(crate) within: (f64, f64),
    pub(crate) own: u32,
    pub(crate) source: Source,
}

impl Model {
    /// What the profile says, before any clutch of the keeper's own.
    pub fn of(profile: &Profile) -> Self {
        let slopes = Slopes::of(profile.kin);
        let spread = profile.spread_pct / 100.0;
        let belief = known_at(&slopes, profile.ref_c, profile.ref_days.ln(), spread);
        let start = [belief.mean[0], belief.mean[1], belief.mean[2]];
        let worlds = BETWEEN
            .iter()
            .map(|&(between, weight)| World { ln_weight: f64::ln(weight), between, belief: belief.clone() })
            .collect();
        let mut model = Self {
            start,
            limits: profile.limits,
            tolerated: profile.tolerated,
            thermometer_sd: bound_to_sd(THERMOMETER_C),
            usual_eggs: profile.usual_eggs(),
            places: Vec::new(),
            worlds,
            belief,
            between_var: 0.0,
            within: (WITHIN.0 * WITHIN.0 * WITHIN.1, WITHIN.1),
            own: 0,
            source: profile.source.clone(),
        };
        model.summarise();
        model
    }

    /// The same when more durations than the profile's one are known: (°C, median days) at steady temperatures, each
    /// give or take `spread` (a share, such as 0.03). Before anything was learned and before tracks are made. Points
    /// outside the limits, or no duration, are left aside.
    pub fn knowing(mut self, points: &[(f64, f64)], spread: f64) -> Self {
        let spread = spread.abs().max(1e-4);
        for &(c, days) in points.iter().filter(|p| self.limits.0 <= p.0 && p.0 <= self.limits.1 && p.1 > 0.0) {
            for w in &mut self.worlds {
                w.belief.observe(&basis(c), (days.ln(), days.ln()), spread * spread);
            }
        }
        self.summarise();
        self.start.copy_from_slice(&self.belief.mean[..3]);
        self
    }

    /// The same with another thermometer error, ± °C (0–5), before anything was learned.
    pub fn with_thermometer(mut self, error_c: f64) -> Self {
        self.thermometer_sd = bound_to_sd(error_c.clamp(0.0, 5.0));
        self
    }

    /// Median days from lay to first pip at a steady temperature; `None` outside the species' limits.
    pub fn days_at(&self, celsius: f64) -> Option<f64> {
        self.inside(celsius).then(|| self.belief.mean_of(&basis(celsius)).exp())
    }

    /// Whether a window can be given at this temperature.
    pub fn inside(&self, celsius: f64) -> bool {
        (self.limits.0..=self.limits.1).contains(&celsius)
    }

    /// °C within which a window is given.
    pub fn limits(&self) -> (f64, f64) {
        self.limits
    }

    /// °C outside which the page warns.
    pub fn tolerated(&self) -> (f64, f64) {
        self.tolerated
    }

    /// Whose figures these are.
    pub fn basis(&self) -> Basis {
        match self.own {
            0 => Basis::Profile(self.source.clone()),
            clutches => Basis::Own { clutches },
        }
    }

    /// Own clutches learned from.
    pub fn own_clutches(&self) -> u32 {
        self.own
    }

    /// Standard deviation of ln D between clutches kept alike, and between eggs of one clutch.
    pub fn spreads(&self) -> (f64, f64) {
        (self.between_var.sqrt(), self.within_sd())
    }

    /// Variances of ln D at a steady temperature on a shelf not learned from: what is not known of the figures, and of
    /// the shelf's true temperature (its thermometer and its set point).
    pub fn spread_at(&self, celsius: f64) -> (f64, f64) {
        let slope: f64 = basis_slope(celsius).iter().zip(&self.belief.mean).map(|(s, m)| s * m).sum();
        let degrees = self.strange_thermometer() + crate::journey::ASSUMED_C.powi(2);
        (self.belief.variance_of(&basis(celsius)), slope * slope * degrees)
    }

    /// What is believed of a place's thermometer after learning: °C to add to its readings, and its standard
    /// deviation. `None` when no clutch was learned from there.
    pub fn offset_of(&self, place: &str) -> Option<(f64, f64)> {
        let i = 3 + self.places.iter().position(|p| p == place)?;
        Some((self.belief.mean[i], self.belief.cov[i * self.belief.len() + i].max(0.0).sqrt()))
    }

    /// Variance of a thermometer nothing was learned of, °C².
    pub(crate) fn strange_thermometer(&self) -> f64 {
        self.thermometer_sd.powi(2) * (1.0 + ASTRAY_CHANCE * (ASTRAY * ASTRAY - 1.0))
    }

    pub(crate) fn within_sd(&self) -> f64 {
        (self.within.0 / self.within.1).sqrt()
    }

    /// Takes the worlds together.
    pub(crate) fn summarise(&mut self) {
        let top = self.worlds.iter().map(|w| w.ln_weight).fold(f64::NEG_INFINITY, f64::max);
        let total: f64 = self.worlds.iter().map(|w| (w.ln_weight - top).exp()).sum();
        let n = self.worlds[0].belief.len();
        let mut all = Gaussian { mean: vec![0.0; n], cov: vec![0.0; n * n] };
        self.between_var = 0.0;
        for w in &mut self.worlds {
            w.ln_weight -= top + total.ln();
            let p = w.ln_weight.exp();
            self.between_var += p * w.between * w.between;
            all.mean.iter_mut().zip(&w.belief.mean).for_each(|(a, m)| *a += p * m);
        }
        for w in &self.worlds {
            let p = w.ln_weight.exp();
            let off: Vec<f64> = w.belief.mean.iter().zip(&all.mean).map(|(m, a)| m - a).collect();
            for i in 0..n {
                for j in 0..n {
                    all.cov[i * n + j] += p * (w.belief.cov[i * n + j] + off[i] * off[j]);
                }
            }
        }
        self.belief = all;
    }
}

/// (a, b, c) of a species of which no duration is known: a so wide that the first decides it.
pub(crate) fn unknown(slopes: &Slopes) -> Gaussian {
    let mut belief = Gaussian::independent(&[4.0, slopes.mean[0], slopes.mean[1]], &[30.0, 0.0, 0.0]);
    for i in 0..2 {
        for j in 0..2 {
            belief.cov[(i + 1) * 3 + j + 1] = slopes.cov[i][j];
        }
    }
    belief
}

/// (a, b, c) of a species of which one duration is known: `ln_days` at `celsius`, give or take `sd`.
pub(crate) fn known_at(slopes: &Slopes, celsius: f64, ln_days: f64, sd: f64) -> Gaussian {
    let mut belief = unknown(slopes);
    belief.observe(&basis(celsius), (ln_days, ln_days), sd * sd);
    belief
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::species::built_in;

    #[test]
    fn the_bend_and_its_slope_agree() {
        for i in 0..60 {
            let t = 18.0 + f64::from(i) * 0.3;
            let step = 1e-5;
            let (up, down, slope) = (basis(t + step), basis(t - step), basis_slope(t));
            for k in 0..3 {
                assert!(((up[k] - down[k]) / (2.0 * step) - slope[k]).abs() < 1e-6, "{t} {k}");
            }
        }
        assert_eq!(basis(REFERENCE_C), [1.0, 0.0, 0.0]);
    }

    #[test]
    fn every_profile_keeps_its_reference_and_warmer_is_never_much_slower() {
        for p in built_in() {
            let m = Model::of(&p);
            let at = m.days_at(p.ref_c).expect("inside");
            assert!((at / p.ref_days - 1.0).abs() < 1e-4, "{}: {at}", p.key);
            let mut last = f64::INFINITY;
            let mut t = p.limits.0;
            while t <= p.limits.1 {
                let d = m.days_at(t).expect("inside");
                assert!(d < last * 1.01, "{} at {t}", p.key);
                last = d;
                t += 0.5;
            }
            assert_eq!(m.days_at(p.limits.1 + 0.1), None);
        }
    }
}
