//! Whether counts fit expected shares. On few young there is no verdict, and the test says so.

use super::Refusal;
use statrs::distribution::{ChiSquared, ContinuousCDF};

/// How a fit was tested.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum How {
    /// All ways in which as many could have fallen, counted (exact multinomial; of two looks, binomial).
    Exact,
    /// Pearson's chi-square; looks expected less than five times were counted together with others.
    ChiSquare { statistic: f64, df: u32 },
}

/// How well counts fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fair {
    pub how: How,
    /// The chance of counts as far off as these, or further, when the shares are right.
    pub p: f64,
    /// The smallest such chance that any counts of so many could have had: above 0.05 nothing could have been told.
    pub least: f64,
}

/// Ways of falling that are counted at most; beyond, chi-square is close.
const MOST_WAYS: f64 = 200_000.0;
/// Below this expected count chi-square misleads (Cochran 1954, Biometrics 10:417).
const EXPECTED: f64 = 5.0;

/// Tests counts against shares, which need not sum to exactly 1. A count where the share is 0 cannot be and gives 0.
///
/// # Errors
/// [`Refusal::Counts`]: lists of different lengths, fewer than two shares, nothing counted, shares that are none.
pub fn fair(shares: &[f64], counts: &[u32]) -> Result<Fair, Refusal> {
    let sum: f64 = shares.iter().sum();
    let n: u32 = counts.iter().sum();
    let bad = shares.iter().any(|s| !(*s >= 0.0 && s.is_finite())) || sum <= 0.0;
    if shares.len() != counts.len() || shares.len() < 2 || n == 0 || bad {
        return Err(Refusal::Counts);
    }
    let looks: Vec<(f64, u32)> = shares.iter().map(|s| s / sum).zip(counts.iter().copied()).collect();
    if looks.iter().any(|(share, count)| *share == 0.0 && *count > 0) {
        return Ok(Fair { how: How::Exact, p: 0.0, least: 0.0 });
    }
    let looks: Vec<(f64, u32)> = looks.into_iter().filter(|(share, _)| *share > 0.0).collect();
    if looks.len() < 2 {
        return Ok(Fair { how: How::Exact, p: 1.0, least: 1.0 });
    }
    // (n + k − 1 choose k − 1)
    let ways = (1..looks.len()).fold(1.0, |ways, i| ways * (f64::from(n) + i as f64) / i as f64);
    if ways <= MOST_WAYS { Ok(exact(&looks, n)) } else { Ok(chi_square(looks, n)) }
}

fn exact(looks: &[(f64, u32)], n: u32) -> Fair {
    let mut log_factorial = vec![0.0; n as usize + 1];
    for k in 1..=n as usize {
        log_factorial[k] = log_factorial[k - 1] + (k as f64).ln();
    }
    let term = |(share, count): (f64, u32)| f64::from(count) * share.ln() - log_factorial[count as usize];
    let base = log_factorial[n as usize];
    let seen = base + looks.iter().map(|look| term(*look)).sum::<f64>();
    let mut all: Vec<f64> = Vec::new();
    fn fall(looks: &[(f64, u32)], left: u32, so_far: f64, term: &dyn Fn((f64, u32)) -> f64, all: &mut Vec<f64>) {
        match looks {
            [] => {}
            [(share, _)] => all.push(so_far + term((*share, left))),
            [(share, _), rest @ ..] => {
                (0..=left).for_each(|k| fall(rest, left - k, so_far + term((*share, k)), term, all));
            }
        }
    }
    fall(looks, n, base, &term, &mut all);
    // Ways that are equally likely must not fall apart by rounding.
    let slack = 1e-7;
    let up_to = |most: f64| all.iter().filter(|log| **log <= most + slack).map(|log| log.exp()).sum::<f64>().min(1.0);
    let rarest = all.iter().copied().fold(f64::INFINITY, f64::min);
    Fair { how: How::Exact, p: up_to(seen), least: up_to(rarest) }
}

fn chi_square(mut looks: Vec<(f64, u32)>, n: u32) -> Fair {
    looks.sort_by(|a, b| b.0.total_cmp(&a.0));
    let few = |looks: &[(f64, u32)]| looks.last().is_some_and(|(share, _)| share * f64::from(n) < EXPECTED);
    while looks.len() > 2 && few(&looks) {
        if let (Some(last), Some(before)) = (looks.pop(), looks.last_mut()) {
            before.0 += last.0;
            before.1 += last.1;
        }
        looks.sort_by(|a, b| b.0.total_cmp(&a.0));
    }
    let off = |(share, count): &(f64, u32)| {
        let expected = share * f64::from(n);
        (f64::from(*count) - expected).powi(2) / expected
    };
    let statistic: f64 = looks.iter().map(off).sum();
    let df = looks.len() as u32 - 1;
    let p = ChiSquared::new(f64::from(df)).map_or(1.0, |d| d.sf(statistic));
    Fair { how: How::ChiSquare { statistic, df }, p, least: 0.0 }
}
