//! How many eggs of a clutch hatch: one rate for the clutch, believed and not known, and each egg as last seen.

use super::draws::Draws;
use crate::rates::Belief;
use crate::species::{Kin, Span};
use crate::success::{self, Seen};
use statrs::function::beta::beta_reg;

/// The eggs of a clutch that may still pip.
#[derive(Clone, Debug, PartialEq)]
pub enum Eggs {
    /// counted, each as last seen; `late` as in [`success::hatchlings`]
    Seen { eggs: Vec<Seen>, late: bool },
    /// not laid yet: shelled eggs, the span that four clutches of five fall in
    Usual(Span),
}

/// What is believed of a hatch rate where no table by temperature serves (pythons, geckos), and at temperatures outside
/// the table: about seven in ten, worth three eggs (common practice, no source).
pub const UNTABLED: Belief = Belief { yes: 2.1, no: 0.9 };

/// What is believed of a clutch's hatch rate: published at its shelf's mean temperature, then the keeper's eggs of the
/// species, then the dam's; each count is (hatched, of eggs whose story has ended).
pub fn believed(kin: Kin, celsius: f64, keeper: (u32, u32), dam: (u32, u32)) -> Belief {
    let start = success::published(kin).and_then(|rates| rates.at(celsius)).unwrap_or(UNTABLED);
    // Counts that contradict themselves teach nothing.
    success::pooled(start, keeper, dam).unwrap_or(start)
}

/// Values of a clutch's rate that are told apart.
const BINS: usize = 32;
const FULL: f64 = 65_536.0;

/// A clutch's eggs, ready to be drawn.
pub(super) struct Survival {
    /// chance of a rate up to and including each bin, of 65 536
    upto: [u32; BINS],
    /// eggs of each class, and the chance, of 65 536, that one hatches under each bin's rate
    classes: Vec<(u32, [u32; BINS])>,
    /// standing for the classes' one count: mean and standard deviation of a number not known yet
    usual: Option<(f64, f64)>,
}

impl Survival {
    /// `left`: the share of eggs that will hatch and would not have been seen to pip by now, 0–1.
    pub fn new(rate: Belief, eggs: &Eggs, left: f64) -> Self {
        let (rates, upto) = bins(rate);
        let chances = |odds: f64| {
            rates.map(|p| {
                let o = odds * left;
                let chance = if o.is_finite() { p * o / (1.0 - p + p * o) } else { 1.0 };
                (if chance.is_finite() { chance } else { 1.0 } * FULL).round() as u32
            })
        };
        let mut classes: Vec<(f64, u32)> = Vec::new();
        let usual = match eggs {
            Eggs::Usual((low, high)) => {
                classes.push((1.0, 0));
                Some(super::timing::span((*low, *high)))
            }
            Eggs::Seen { eggs, late } => {
                for &egg in eggs {
                    let odds = success::odds_of(egg, *late);
                    match classes.iter_mut().find(|c| c.0 == odds) {
                        Some(class) => class.1 += 1,
                        None => classes.push((odds, 1)),
                    }
                }
                None
            }
        };
        let classes = classes.into_iter().map(|(odds, n)| (n, chances(odds))).collect();
        Self { upto, classes, usual }
    }

    /// The bin of the clutch's rate by 16 bits of a draw.
    pub fn bin(&self, r: u64) -> usize {
        let r = (r & 0xffff) as u32;
        self.upto.partition_point(|&u| u <= r).min(BINS - 1)
    }

    /// Calls `hatched` with 48 fresh bits for each egg that hatches under a bin; `z` moves a number not yet known.
    #[inline(always)]
    pub fn each(&self, bin: usize, z: f64, draws: &mut Draws, mut hatched: impl FnMut(u64)) {
        for (n, chances) in &self.classes {
            let n = match self.usual {
                Some((mean, sd)) => (mean + sd * z).round().max(1.0) as u32,
                None => *n,
            };
            let chance = chances[bin];
            for _ in 0..n {
                let r = draws.next();
                if ((r & 0xffff) as u32) < chance {
                    hatched(r >> 16);
                }
            }
        }
    }

    /// Chance that none hatches.
    pub fn none(&self) -> f64 {
        let mut before = 0;
        (0..BINS)
            .map(|bin| {
                let weight = f64::from(self.upto[bin] - before) / FULL;
                before = self.upto[bin];
                let missed = |n: f64, chances: &[u32; BINS]| (1.0 - f64::from(chances[bin]) / FULL).powf(n);
                let all: f64 =
                    self.classes.iter().map(|(n, c)| missed(self.usual.map_or(f64::from(*n), |u| u.0), c)).product();
                weight * all
            })
            .sum()
    }

    /// Expected number that hatches.
    #[cfg(test)]
    pub fn mean(&self) -> f64 {
        let mut before = 0;
        (0..BINS)
            .map(|bin| {
                let weight = f64::from(self.upto[bin] - before) / FULL;
                before = self.upto[bin];
                weight * self.classes.iter().map(|(n, c)| f64::from(*n) * f64::from(c[bin]) / FULL).sum::<f64>()
            })
            .sum()
    }
}

/// A belief cut into bins: each bin's own mean rate, and the chance up to it. Bins are narrower towards 0 and 1, where
/// rates lie; within-bin means keep the belief's mean exactly.
fn bins(b: Belief) -> ([f64; BINS], [u32; BINS]) {
    let edge = |i: usize| (std::f64::consts::FRAC_PI_2 * i as f64 / BINS as f64).sin().powi(2);
    let (mut rates, mut upto) = ([0.0; BINS], [0; BINS]);
    let (mut chance, mut moment) = (0.0, 0.0);
    for i in 0..BINS {
        let to = edge(i + 1);
        let (c, m) =
            if i + 1 == BINS { (1.0, 1.0) } else { (beta_reg(b.yes, b.no, to), beta_reg(b.yes + 1.0, b.no, to)) };
        let middle = 0.5 * (edge(i) + to);
        rates[i] = if c - chance > 1e-9 { b.mean() * (m - moment) / (c - chance) } else { middle };
        upto[i] = (c * FULL).round() as u32;
        (chance, moment) = (c, m);
    }
    (rates, upto)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rates::count_given;

    #[test]
    fn bins_keep_mean_and_spread() {
        for (yes, no) in [(3.6, 0.5), (16.0, 4.0), (0.4, 0.9), (1.0, 1.0), (2.0, 18.0)] {
            let b = Belief { yes, no };
            let (rates, upto) = bins(b);
            let (mut mean, mut square, mut before) = (0.0, 0.0, 0);
            for i in 0..BINS {
                let w = f64::from(upto[i] - before) / FULL;
                before = upto[i];
                mean += w * rates[i];
                square += w * rates[i] * rates[i];
            }
            assert_eq!(upto[BINS - 1], 65_536);
            assert!((mean - b.mean()).abs() < 2e-4, "{b:?} {mean}");
            assert!((f64::sqrt(square - mean * mean) / b.sd() - 1.0).abs() < 0.02, "{b:?}");
        }
    }

    #[test]
    fn drawn_counts_are_beta_binomial() {
        let b = Belief { yes: 3.6, no: 0.9 };
        let s = Survival::new(b, &Eggs::Seen { eggs: vec![Seen::NotYet; 9], late: false }, 1.0);
        let mut draws = Draws::named(1, "x");
        let mut seen = [0u32; 10];
        let runs = 40_000;
        for _ in 0..runs {
            let bin = s.bin(draws.next());
            let mut n = 0;
            s.each(bin, 0.0, &mut draws, |_| n += 1);
            seen[n] += 1;
        }
        for (k, p) in count_given(9, b).into_iter().enumerate() {
            let sd = (p * (1.0 - p) / f64::from(runs)).sqrt();
            assert!((f64::from(seen[k]) / f64::from(runs) - p).abs() < 5.0 * sd + 0.002, "{k}: {} {p}", seen[k]);
        }
        assert!((s.none() - count_given(9, b)[0]).abs() < 2e-3);
        assert!((s.mean() - 9.0 * b.mean()).abs() < 0.01);
    }

    #[test]
    fn what_candling_saw_moves_the_count() {
        let mean = |eggs: &[Seen], late: bool| {
            Survival::new(Belief { yes: 6.4, no: 1.6 }, &Eggs::Seen { eggs: eggs.to_vec(), late }, 1.0).mean()
        };
        let plain = mean(&[Seen::NotYet; 8], false);
        assert!((plain - 6.4).abs() < 0.01);
        assert!(mean(&[Seen::Veins; 8], false) > plain + 0.5);
        assert!(mean(&[Seen::Clear; 8], false) < plain - 0.5);
        assert_eq!(mean(&[Seen::Dead; 8], false), 0.0);
        assert!((mean(&[Seen::Dark; 8], true) - plain).abs() < 1e-9);
    }

    #[test]
    fn own_eggs_move_what_is_believed() {
        let warm = believed(Kin::Snake, 28.0, (0, 0), (0, 0));
        assert!((warm.mean() - 0.883).abs() < 1e-3);
        assert!(believed(Kin::Snake, 21.0, (0, 0), (0, 0)).mean() < 0.5);
        assert!(believed(Kin::Snake, 28.0, (20, 80), (0, 0)).mean() < 0.4);
        assert!((believed(Kin::Python, 31.5, (0, 0), (0, 0)).mean() - 0.7).abs() < 1e-9);
        assert_eq!(believed(Kin::Snake, 28.0, (9, 3), (0, 0)), warm, "more hatched than there were teaches nothing");
    }
}
