//! Fitting a family's slopes to published durations: what `examples/priors.rs` writes into the app.
//!
//! Each study of a species has its own (a, b, c), drawn from the family's; each of its rows lies off its curve by the
//! scatter. Fitted by expectation–maximisation, a textbook method (Dempster, Laird & Rubin 1977) whose inner step is
//! this crate's own exact update.

use crate::gauss::Gaussian;
use crate::published::{Row, kin_of, misleading};
use crate::response::{Slopes, basis};
use crate::species::Kin;
use statrs::distribution::{ContinuousCDF, StudentsT};
use std::collections::BTreeMap;

/// How ln D runs with temperature: three weights at a temperature.
pub type Shape = fn(f64) -> [f64; 3];

/// The shapes that were tried, by name; the first is the one in use.
pub const SHAPES: [(&str, Shape); 4] = [
    ("bend about 32 °C (in use)", basis),
    ("square (baseline)", |c| [1.0, c - 28.0, (c - 28.0).powi(2)]),
    ("straight line", |c| [1.0, c - 28.0, 0.0]),
    ("exponential bend", |c| {
        let (x, k) = (c - 28.0, 0.2);
        [1.0, x, 2.0 * ((-k * x).exp() - 1.0 + k * x) / (k * k)]
    }),
];

/// One study of one species: (°C, mean ln days) at each constant temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct Study {
    pub species: String,
    pub study: String,
    pub points: Vec<(f64, f64)>,
}

/// Gathers the usable constant rows by study; rows of one study and temperature become one, by their eggs.
pub fn studies<'a>(rows: impl Iterator<Item = &'a Row>, limits: (f64, f64)) -> Vec<Study> {
    let mut by: BTreeMap<(String, String), BTreeMap<i64, (f64, f64)>> = BTreeMap::new();
    for r in rows.filter(|r| r.constant && (limits.0..=limits.1).contains(&r.celsius) && misleading(r).is_none()) {
        let point = by
            .entry((r.species.clone(), r.study.clone()))
            .or_default()
            .entry((r.celsius * 100.0).round() as i64)
            .or_default();
        let n = r.n.unwrap_or(10.0);
        *point = (point.0 + n * r.days.ln(), point.1 + n);
    }
    by.into_iter()
        .map(|((species, study), points)| Study {
            species,
            study,
            points: points.into_iter().map(|(t, (sum, n))| (t as f64 / 100.0, sum / n)).collect(),
        })
        .collect()
}

/// Barns keep pythons at 31–32 °C where they keep colubrids near 28 °C (common practice).
pub const PYTHONS_WARMER_C: f64 = 3.5;

/// The slopes of a kin, fitted to a table without the species `but` (empty: to all of it), and what they stand on.
///
/// No python's table by temperature was found, nor an egg-laying viper's that serves: they take the colubrids' moved up
/// by [`PYTHONS_WARMER_C`], with three times the spread. Of geckos three species were found, which disagree: they take all lizards'
/// middle with twice the spread.
pub fn family(rows: &[Row], kin: Kin, but: &str, shape: Shape) -> Option<(Slopes, String)> {
    let (sources, widen, what): (&[Kin], f64, &str) = match kin {
        Kin::Snake => (&[Kin::Snake], 1.0, "colubrids and elapids"),
        Kin::Python => (&[Kin::Snake], 3.0, "colubrids and elapids moved up by 3.5 °C, with three times their spread"),
        Kin::Lizard => (&[Kin::Lizard], 1.0, "agamids and chameleons"),
        Kin::Gecko => (&[Kin::Lizard, Kin::Gecko], 2.0, "agamids, chameleons and geckos, with twice their spread"),
    };
    let mut all = Vec::new();
    for source in sources {
        let of = |r: &&Row| kin_of(&r.family).is_some_and(|k| k.0 == *source) && r.species != but;
        let limits = rows.iter().filter(of).find_map(|r| kin_of(&r.family))?.1;
        all.extend(studies(rows.iter().filter(of), limits));
    }
    let mut fit = slopes(&all, shape)?;
    fit.cov = fit.cov.map(|r| r.map(|v| v * widen * widen));
    if kin == Kin::Python {
        // The bend is nearly a square about its middle, and moving a square adds to its slope.
        fit.mean[0] -= 2.0 * PYTHONS_WARMER_C * fit.mean[1];
    }
    let points: usize = all.iter().map(|s| s.points.len()).sum();
    Some((fit, format!("{what}: {} studies, {points} temperatures", all.len())))
}

/// A weak opinion that keeps a fit to few studies from claiming certainty: as if two more studies had differed by
/// this much (1 % a °C in b, a tenth of the usual in c) and two rows by 3 %.
const WEAK: ([f64; 3], f64, f64) = ([0.3, 0.010, 0.002], 0.03, 2.0);

/// Fits a family. `None` for fewer than three studies.
///
/// The covariance returned is for a species not among them: the spread between species, widened for the mean's
/// own error and for how few species told it (a Student range brought to a normal one at 90 %).
pub fn slopes(studies: &[Study], shape: Shape) -> Option<Slopes> {
    let k = studies.len() as f64;
    if studies.len() < 3 {
        return None;
    }
    let (weak_sd, weak_scatter, weak) = WEAK;
    let mut mu = [4.0, -0.06, 0.006];
    let mut family = Gaussian::independent(&mu, &[1.0, 0.05, 0.01]);
    let mut scatter2 = 0.05f64.powi(2);
    for _ in 0..400 {
        let posts: Vec<Gaussian> = studies
            .iter()
            .map(|s| {
                let mut g = family.clone();
                for &(c, ln) in &s.points {
                    g.observe(&shape(c), (ln, ln), scatter2);
                }
                g
            })
            .collect();
        for (i, m) in mu.iter_mut().enumerate() {
            *m = posts.iter().map(|p| p.mean[i]).sum::<f64>() / k;
        }
        let mut cov = vec![0.0; 9];
        for i in 0..3 {
            for j in 0..3 {
                let sum: f64 = posts.iter().map(|p| (p.mean[i] - mu[i]) * (p.mean[j] - mu[j]) + p.cov[i * 3 + j]).sum();
                let own = if i == j { weak * weak_sd[i] * weak_sd[i] } else { 0.0 };
                cov[i * 3 + j] = (sum + own) / (k + weak);
            }
        }
        let (mut off, mut n) = (0.0, 0.0);
        for (s, p) in studies.iter().zip(&posts) {
            for &(c, ln) in &s.points {
                let h = shape(c);
                off += (ln - p.mean_of(&h)).powi(2) + p.variance_of(&h);
                n += 1.0;
            }
        }
        scatter2 = (off + weak * weak_scatter * weak_scatter) / (n + weak);
        family = Gaussian { mean: mu.to_vec(), cov };
    }
    let species = {
        let mut names: Vec<&str> = studies.iter().map(|s| s.species.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        names.len().max(3) as f64
    };
    let t = StudentsT::new(0.0, 1.0, species - 1.0).ok()?.inverse_cdf(0.95) / 1.644_853_6;
    let wide = (1.0 + 1.0 / species) * t * t;
    let c = &family.cov;
    Some(Slopes {
        mean: [mu[1], mu[2]],
        cov: [[c[4] * wide, c[5] * wide], [c[7] * wide, c[8] * wide]],
        scatter: scatter2.sqrt(),
    })
}
