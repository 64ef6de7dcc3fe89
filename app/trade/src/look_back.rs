//! The season behind: rates and means by dam, shelf, medium…, and whether they differ more than chance would.
//!
//! The unit is the clutch, since eggs of one clutch share their luck: clutches, not eggs, are shuffled between groups in
//! the test of difference, and intervals are widened by how much clutches vary. What is compared across groups is
//! compared within strata only (a species against itself), so that a shelf of easy species does not look like a good
//! shelf.
//!
//! Absent by design: causes. That two shelves differ does not say that the shelf did it.

use crate::forecast::draws::Draws;
use crate::rates::{Share, wilson_clustered};
use crate::response::Model;
use statrs::distribution::{ContinuousCDF, StudentsT};
use std::collections::BTreeMap;

/// One clutch's count in a comparison.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Counted {
    /// index of the dam, shelf, year… it belongs to
    pub group: usize,
    /// index of what it may be compared with: its species
    pub stratum: usize,
    /// such as hatched
    pub k: u32,
    /// such as shelled
    pub n: u32,
}

/// One clutch's measure in a comparison.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    pub group: usize,
    pub stratum: usize,
    pub value: f64,
}

/// A group's rate. `share` is `None` when nothing was counted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rate {
    pub k: u32,
    pub n: u32,
    pub clutches: u32,
    pub share: Option<Share>,
}

/// A group's mean over its clutches; the interval needs two.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mean {
    pub clutches: u32,
    pub mean: f64,
    pub interval: Option<(f64, f64)>,
}

/// Whether groups differ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Verdict {
    /// so few clutches can be exchanged that no test could tell
    TooFew,
    /// chance alone differs as much in this share of shuffles
    Alike { p: f64 },
    /// chance alone differs as much in at most one of twenty: only now may groups be ranked
    Differ { p: f64 },
}

impl Verdict {
    /// Whether the data can carry a ranking.
    pub fn ranks(self) -> bool {
        matches!(self, Self::Differ { .. })
    }
}

/// Confidence of every interval here.
pub const CONFIDENCE: f64 = 0.95;
const LEVEL: f64 = 0.05;
const SHUFFLES: u32 = 1999;

/// Rates of `groups` groups, and whether they differ.
pub fn rates(groups: usize, seen: &[Counted], seed: u64) -> (Vec<Rate>, Verdict) {
    let seen: Vec<&Counted> = seen.iter().filter(|c| c.group < groups && c.n > 0 && c.k <= c.n).collect();
    let mut strata: BTreeMap<usize, (u32, u32)> = BTreeMap::new();
    let mut own = vec![(0u32, 0u32, 0u32); groups];
    for c in &seen {
        let all = strata.entry(c.stratum).or_default();
        (all.0, all.1) = (all.0 + c.k, all.1 + c.n);
        let g = &mut own[c.group];
        (g.0, g.1, g.2) = (g.0 + c.k, g.1 + c.n, g.2 + 1);
    }
    let part = |c: &Counted| {
        let (k, n) = strata[&c.stratum];
        let p = f64::from(k) / f64::from(n);
        (f64::from(c.k) - f64::from(c.n) * p, f64::from(c.n) * p * (1.0 - p))
    };
    let pieces: Vec<Piece> = seen
        .iter()
        .map(|c| {
            let (off, variance) = part(c);
            Piece { group: c.group, stratum: c.stratum, off, variance }
        })
        .collect();
    let design = design(&seen, &own);
    let rates = own
        .iter()
        .map(|&(k, n, clutches)| {
            let share = wilson_clustered(k, n, design, CONFIDENCE).ok();
            Rate { k, n, clutches, share }
        })
        .collect();
    (rates, verdict(groups, pieces, seed))
}

/// How many times more clutches vary about their group's rate than eggs on their own would: Pearson's statistic by its
/// degrees of freedom.
fn design(seen: &[&Counted], own: &[(u32, u32, u32)]) -> f64 {
    let (mut chi, mut df) = (0.0, 0i64);
    for c in seen {
        let (k, n, clutches) = own[c.group];
        let p = f64::from(k) / f64::from(n);
        if clutches > 1 && p > 0.0 && p < 1.0 {
            chi += (f64::from(c.k) - f64::from(c.n) * p).powi(2) / (f64::from(c.n) * p * (1.0 - p));
            df += 1;
        }
    }
    df -= own.iter().filter(|(k, n, clutches)| *clutches > 1 && *k > 0 && k < n).count() as i64;
    if df > 0 { (chi / df as f64).max(1.0) } else { 1.0 }
}

/// Means of `groups` groups over their clutches, and whether they differ.
pub fn means(groups: usize, seen: &[Measured], seed: u64) -> (Vec<Mean>, Verdict) {
    let seen: Vec<&Measured> = seen.iter().filter(|m| m.group < groups && m.value.is_finite()).collect();
    let mut strata: BTreeMap<usize, (f64, f64)> = BTreeMap::new();
    let mut own: Vec<Vec<f64>> = vec![Vec::new(); groups];
    for m in &seen {
        let all = strata.entry(m.stratum).or_default();
        (all.0, all.1) = (all.0 + m.value, all.1 + 1.0);
        own[m.group].push(m.value);
    }
    let pieces = seen
        .iter()
        .map(|m| {
            let (sum, n) = strata[&m.stratum];
            Piece { group: m.group, stratum: m.stratum, off: m.value - sum / n, variance: 1.0 }
        })
        .collect();
    let means = own.iter().map(|values| mean(values)).collect();
    (means, verdict(groups, pieces, seed))
}

/// Mean with its t interval.
pub fn mean(values: &[f64]) -> Mean {
    let n = values.len() as f64;
    let clutches = values.len() as u32;
    if values.is_empty() {
        return Mean { clutches, mean: f64::NAN, interval: None };
    }
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
    let interval = t_quantile(n - 1.0).map(|t| {
        let half = t * (squares / (n - 1.0) / n).sqrt();
        (mean - half, mean + half)
    });
    Mean { clutches, mean, interval }
}

/// The t value of a two-sided interval; `None` without a degree of freedom.
fn t_quantile(df: f64) -> Option<f64> {
    if df < 1.0 {
        return None;
    }
    StudentsT::new(0.0, 1.0, df).ok().map(|t| t.inverse_cdf(0.5 + CONFIDENCE / 2.0))
}

/// A clutch in the test: how far it lies off its stratum, and the variance chance alone would give it.
struct Piece {
    group: usize,
    stratum: usize,
    off: f64,
    variance: f64,
}

/// Shuffles clutches between groups within their strata.
fn verdict(groups: usize, mut pieces: Vec<Piece>, seed: u64) -> Verdict {
    // A stratum of one group has nothing to exchange.
    let mut where_: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    pieces.iter().for_each(|p| where_.entry(p.stratum).or_default().push(p.group));
    where_.retain(|_, g| g.iter().any(|x| *x != g[0]));
    pieces.retain(|p| where_.contains_key(&p.stratum));
    pieces.sort_by_key(|p| p.stratum);
    // Fewer than twenty ways to deal the clutches out: no result could be rarer than one in twenty.
    let ln_ways: f64 = where_.values().map(|g| ln_ways(g)).sum();
    if ln_ways < 20f64.ln() || pieces.iter().all(|p| p.off.abs() < 1e-12) {
        return Verdict::TooFew;
    }
    let mut dealt: Vec<usize> = pieces.iter().map(|p| p.group).collect();
    let mut sums = vec![(0.0, 0.0); groups];
    let mut spread = |dealt: &[usize]| {
        sums.iter_mut().for_each(|s| *s = (0.0, 0.0));
        for (p, &g) in pieces.iter().zip(dealt) {
            let s: &mut (f64, f64) = &mut sums[g];
            (s.0, s.1) = (s.0 + p.off, s.1 + p.variance);
        }
        sums.iter().filter(|s| s.1 > 0.0).map(|s| s.0 * s.0 / s.1).sum::<f64>()
    };
    let seen = spread(&dealt);
    let mut draws = Draws::named(seed, "shuffle");
    let mut as_far = 1u32;
    for _ in 0..SHUFFLES {
        let mut from = 0;
        for g in where_.values() {
            for i in (1..g.len()).rev() {
                let j = (draws.next() % (i as u64 + 1)) as usize;
                dealt.swap(from + i, from + j);
            }
            from += g.len();
        }
        // A rounding in the last place must not turn "as far" into "less far".
        as_far += u32::from(spread(&dealt) >= seen * (1.0 - 1e-9));
    }
    let p = f64::from(as_far) / f64::from(SHUFFLES + 1);
    if p <= LEVEL { Verdict::Differ { p } } else { Verdict::Alike { p } }
}

/// Logarithm of the number of ways to deal these groups' clutches out.
fn ln_ways(groups: &[usize]) -> f64 {
    use statrs::function::gamma::ln_gamma;
    let mut counts: BTreeMap<usize, u32> = BTreeMap::new();
    groups.iter().for_each(|g| *counts.entry(*g).or_default() += 1);
    ln_gamma(groups.len() as f64 + 1.0) - counts.values().map(|n| ln_gamma(f64::from(*n) + 1.0)).sum::<f64>()
}

/// Days from lay to first pip against what the figures say for the clutch's temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AgainstCurve {
    /// clutches compared, and those left out for a temperature the figures do not cover
    pub clutches: u32,
    pub outside: u32,
    /// how much longer (a share: 0.03 is 3 %) they took than the curve says, with its interval
    pub longer: f64,
    pub longer_interval: Option<(f64, f64)>,
    /// by how much more for each °C, with its interval; `None` below three clutches or at one temperature
    pub per_degree: Option<(f64, (f64, f64))>,
}

/// Regression of ln days, less the published curve's, on temperature. `points`: mean °C, and days. `None` when no
/// point can be compared.
pub fn against_curve(points: &[(f64, f64)], curve: &Model) -> Option<AgainstCurve> {
    let off: Vec<(f64, f64)> = points
        .iter()
        .filter(|p| p.1 > 0.0 && p.1.is_finite())
        .filter_map(|&(c, days)| Some((c, days.ln() - curve.days_at(c)?.ln())))
        .collect();
    let values: Vec<f64> = off.iter().map(|p| p.1).collect();
    let n = off.len() as f64;
    let all = mean(&values);
    if values.is_empty() {
        return None;
    }
    let centre = off.iter().map(|p| p.0).sum::<f64>() / n;
    let sxx: f64 = off.iter().map(|p| (p.0 - centre).powi(2)).sum();
    let slope = off.iter().map(|p| (p.0 - centre) * (p.1 - all.mean)).sum::<f64>() / sxx;
    let per_degree = t_quantile(n - 2.0).filter(|_| sxx > 0.01).map(|t| {
        let rest: f64 = off.iter().map(|p| (p.1 - all.mean - slope * (p.0 - centre)).powi(2)).sum();
        let half = t * (rest / (n - 2.0) / sxx).sqrt();
        (slope, (slope - half, slope + half))
    });
    Some(AgainstCurve {
        clutches: all.clutches,
        outside: (points.len() - off.len()) as u32,
        longer: all.mean.exp() - 1.0,
        longer_interval: all.interval.map(|(a, b)| (a.exp() - 1.0, b.exp() - 1.0)),
        per_degree,
    })
}

#[cfg(test)]
mod tests;
