//! The range of n equal draws: how long after the first egg of a clutch the last one pips.

use crate::gauss::{below, density};
use std::sync::OnceLock;

/// Clutches larger than this are taken as this large: the range hardly grows beyond.
const MOST: usize = 64;

/// Chance that the range of `n` standard normals is at most `r`.
pub(crate) fn below_range(n: u32, r: f64) -> f64 {
    if r <= 0.0 {
        return 0.0;
    }
    let n = n.clamp(2, MOST as u32);
    // F(r) = n ∫ φ(x) [Φ(x + r) − Φ(x)]^(n−1) dx, x the lowest draw.
    let (lo, steps) = (-6.0, 96);
    let step = 12.0 / f64::from(steps);
    let sum: f64 = (0..=steps)
        .map(|i| {
            let x = lo + f64::from(i) * step;
            density(x) * (below(x + r) - below(x)).max(0.0).powi(n as i32 - 1)
        })
        .sum();
    (f64::from(n) * sum * step).clamp(0.0, 1.0)
}

/// The range not exceeded with chance `p`, given that it is more than `over`.
pub(crate) fn range_quantile(n: u32, p: f64, over: f64) -> f64 {
    let gone = below_range(n, over);
    let aim = gone + p * (1.0 - gone);
    let (mut lo, mut hi) = (over.max(0.0), over.max(0.0) + 12.0);
    for _ in 0..40 {
        let mid = 0.5 * (lo + hi);
        if below_range(n, mid) < aim { lo = mid } else { hi = mid }
    }
    0.5 * (lo + hi)
}

/// Mean and standard deviation of the range of `n` standard normals; 0 for fewer than two.
pub(crate) fn range_moments(n: u32) -> (f64, f64) {
    static TABLE: OnceLock<Vec<(f64, f64)>> = OnceLock::new();
    let table = TABLE.get_or_init(|| {
        (2..=MOST as u32)
            .map(|n| {
                let (steps, step) = (60, 0.15);
                let (mut mean, mut square) = (0.0, 0.0);
                for i in 0..steps {
                    let r = (f64::from(i) + 0.5) * step;
                    let more = 1.0 - below_range(n, r);
                    mean += more * step;
                    square += 2.0 * r * more * step;
                }
                (mean, (square - mean * mean).max(0.0).sqrt())
            })
            .collect()
    });
    match n {
        0 | 1 => (0.0, 0.0),
        n => table[(n as usize).min(MOST) - 2],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_range_of_a_few_is_the_published_one() {
        // d2 and d3 of the control-chart tables (ASTM E2587; Montgomery, appendix VI).
        for (n, d2, d3) in
            [(2, 1.128, 0.853), (3, 1.693, 0.888), (5, 2.326, 0.864), (10, 3.078, 0.797), (25, 3.931, 0.708)]
        {
            let (mean, sd) = range_moments(n);
            assert!((mean - d2).abs() < 2e-3 && (sd - d3).abs() < 2e-3, "{n}: {mean} {sd}");
        }
    }

    #[test]
    fn a_pair_is_half_normal() {
        for p in [0.1, 0.5, 0.9] {
            let expected = 2f64.sqrt() * crate::gauss::quantile(0.5 + p / 2.0);
            assert!((range_quantile(2, p, 0.0) - expected).abs() < 1e-4, "{p}");
        }
        assert!(range_quantile(8, 0.5, 6.0) > 6.0);
    }
}
