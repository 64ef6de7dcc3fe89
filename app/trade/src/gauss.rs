//! A small Gaussian belief over a few unknowns, updated exactly by one linear sighting at a time.
//!
//! Sightings are scalar, so no matrix is ever inverted.

use statrs::function::erf::{erfc, erfc_inv};
use std::f64::consts::{FRAC_1_SQRT_2, PI, SQRT_2};

/// Chance that a standard normal is below `z`. Keeps its relative precision far into the lower tail.
pub(crate) fn below(z: f64) -> f64 {
    0.5 * erfc(-z * FRAC_1_SQRT_2)
}

/// The `z` below which a standard normal lies with chance `p`; finite for every `p`.
pub(crate) fn quantile(p: f64) -> f64 {
    let p = p.clamp(1e-300, 1.0 - 1e-16);
    -SQRT_2 * erfc_inv(2.0 * p)
}

/// Density of a standard normal.
pub(crate) fn density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * PI).sqrt()
}

/// Mean, variance and log chance of a standard normal known to lie between `lo` and `hi` (either may be infinite).
pub(crate) fn truncated(lo: f64, hi: f64) -> (f64, f64, f64) {
    // Mirrored so that the interval lies where `below` is precise.
    if lo > 0.0 {
        let (m, v, l) = truncated(-hi, -lo);
        return (-m, v, l);
    }
    let width = hi - lo;
    if width < 1e-3 {
        let middle = 0.5 * (lo + hi);
        return (middle, width * width / 12.0, (density(middle) * width.max(1e-300)).ln());
    }
    let chance = below(hi) - below(lo);
    if chance < 1e-280 || !chance.is_finite() {
        // So far out that only the nearer end matters.
        return (hi, 1.0 / (1.0 + hi * hi), -0.5 * hi * hi - 2.0);
    }
    let end = |z: f64| if z.is_finite() { (density(z), z * density(z)) } else { (0.0, 0.0) };
    let ((dl, zl), (dh, zh)) = (end(lo), end(hi));
    let mean = (dl - dh) / chance;
    let variance = 1.0 + (zl - zh) / chance - mean * mean;
    (mean, variance.clamp(1e-12, 1.0), chance.ln())
}

/// A joint normal belief.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Gaussian {
    pub mean: Vec<f64>,
    /// row by row
    pub cov: Vec<f64>,
}

impl Gaussian {
    pub fn len(&self) -> usize {
        self.mean.len()
    }

    pub fn independent(mean: &[f64], sd: &[f64]) -> Self {
        let n = mean.len();
        let mut cov = vec![0.0; n * n];
        for (i, s) in sd.iter().enumerate() {
            cov[i * n + i] = s * s;
        }
        Self { mean: mean.to_vec(), cov }
    }

    /// One more unknown, independent of those before it.
    pub fn push(&mut self, mean: f64, sd: f64) {
        let (old, n) = (self.len(), self.len() + 1);
        let mut cov = vec![0.0; n * n];
        for i in 0..old {
            cov[i * n..i * n + old].copy_from_slice(&self.cov[i * old..(i + 1) * old]);
        }
        cov[n * n - 1] = sd * sd;
        self.cov = cov;
        self.mean.push(mean);
    }

    /// Covariance of every unknown with the sum `h`; `h` may be shorter than the belief.
    pub fn with(&self, h: &[f64]) -> Vec<f64> {
        let parts = parts(h);
        (0..self.len()).map(|i| self.one_with(i, &parts)).collect()
    }

    fn one_with(&self, i: usize, parts: &[(usize, f64)]) -> f64 {
        parts.iter().map(|(j, hj)| self.cov[i * self.len() + j] * hj).sum()
    }

    /// Mean of the sum `h`.
    pub fn mean_of(&self, h: &[f64]) -> f64 {
        h.iter().zip(&self.mean).map(|(a, b)| a * b).sum()
    }

    /// Variance of the sum `h`.
    pub fn variance_of(&self, h: &[f64]) -> f64 {
        let parts = parts(h);
        parts.iter().map(|&(i, hi)| self.one_with(i, &parts) * hi).sum::<f64>().max(0.0)
    }

    /// Learns that the sum `h` plus noise of variance `noise` lies within `lo..=hi` (equal ends: it was seen
    /// exactly). Returns the log chance the belief gave to it. Exact for a point; for an interval the belief
    /// keeps the exact first two moments.
    pub fn observe(&mut self, h: &[f64], (lo, hi): (f64, f64), noise: f64) -> f64 {
        let n = self.len();
        let with = self.with(h);
        let mean = self.mean_of(h);
        let variance = with.iter().zip(h).map(|(a, b)| a * b).sum::<f64>().max(0.0) + noise;
        let sd = variance.sqrt();
        let (shift, shrink, ln) = if hi > lo {
            let (m, v, ln) = truncated((lo - mean) / sd, (hi - mean) / sd);
            (m * sd, 1.0 - v, ln)
        } else {
            let z = (lo - mean) / sd;
            (lo - mean, 1.0, (density(z) / sd).max(1e-300).ln())
        };
        for i in 0..n {
            self.mean[i] += with[i] / variance * shift;
            for j in 0..n {
                self.cov[i * n + j] -= with[i] * with[j] / variance * shrink;
            }
        }
        ln
    }
}

/// What a sum is made of: of a barn's many shelves a clutch has stood on one or two.
fn parts(h: &[f64]) -> Vec<(usize, f64)> {
    h.iter().copied().enumerate().filter(|(_, part)| *part != 0.0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn tails_agree_with_each_other() {
        for z in [-8.0, -3.0, -1.0, 0.0, 0.5, 2.0, 4.0] {
            assert!((quantile(below(z)) - z).abs() < 1e-6, "{z}");
        }
    }

    #[test]
    fn a_sighting_is_the_textbook_update() {
        // Prior N(0, 2²), seen 3 with noise variance 1: mean 3·4/5, variance 4/5.
        let mut g = Gaussian::independent(&[0.0], &[2.0]);
        g.observe(&[1.0], (3.0, 3.0), 1.0);
        assert!((g.mean[0] - 2.4).abs() < 1e-12 && (g.cov[0] - 0.8).abs() < 1e-12);
    }

    #[test]
    fn half_a_line_says_half_as_much() {
        // A standard normal known to be above 0 has mean √(2/π), variance 1 − 2/π.
        let mut g = Gaussian::independent(&[0.0], &[1.0]);
        let ln = g.observe(&[1.0], (0.0, f64::INFINITY), 0.0);
        assert!((ln - 0.5f64.ln()).abs() < 1e-9);
        assert!((g.mean[0] - (2.0 / PI).sqrt()).abs() < 1e-9);
        assert!((g.cov[0] - (1.0 - 2.0 / PI)).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn order_of_sightings_does_not_matter(a in -3.0f64..3.0, b in -3.0f64..3.0, x in -2.0f64..2.0) {
            let start = Gaussian::independent(&[0.0, 1.0], &[1.0, 0.5]);
            let (mut one, mut two) = (start.clone(), start);
            one.observe(&[1.0, x], (a, a), 0.3);
            one.observe(&[1.0, 0.0], (b, b), 0.2);
            two.observe(&[1.0, 0.0], (b, b), 0.2);
            two.observe(&[1.0, x], (a, a), 0.3);
            for (p, q) in one.mean.iter().chain(&one.cov).zip(two.mean.iter().chain(&two.cov)) {
                prop_assert!((p - q).abs() < 1e-9);
            }
        }

        #[test]
        fn a_narrow_interval_is_a_point(lo in -6.0f64..6.0) {
            let (mut narrow, mut point) = (Gaussian::independent(&[0.0], &[1.0]), Gaussian::independent(&[0.0], &[1.0]));
            narrow.observe(&[1.0], (lo, lo + 1e-4), 0.5);
            point.observe(&[1.0], (lo + 5e-5, lo + 5e-5), 0.5);
            prop_assert!((narrow.mean[0] - point.mean[0]).abs() < 1e-4);
            prop_assert!((narrow.cov[0] - point.cov[0]).abs() < 1e-4);
        }

        #[test]
        fn truncation_stays_inside(lo in -30.0f64..30.0, width in 1e-6f64..10.0) {
            let (m, v, ln) = truncated(lo, lo + width);
            prop_assert!(m >= lo - 1e-9 && m <= lo + width + 1e-9, "{m}");
            prop_assert!(v > 0.0 && v <= 1.0 && ln.is_finite());
        }
    }
}
