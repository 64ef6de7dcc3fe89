//! Fitting hatch rates to published ones: what `examples/priors.rs` writes into the app.

use crate::gauss::density;
use crate::luck::share;
use crate::success::Studies;

/// Eggs of one study kept alike.
#[derive(Clone, Debug, PartialEq)]
pub struct Treatment {
    pub study: String,
    pub celsius: f64,
    /// share hatched, 0–1
    pub hatched: f64,
    pub eggs: f64,
}

/// Hatch rates smoothed over temperature (a bell of 1 °C; a treatment counts by its eggs, up to 50), from 20 to 33 °C.
/// `None` for fewer than ten treatments.
pub fn hatch_rates(treatments: &[Treatment]) -> Option<Vec<(f64, f64)>> {
    if treatments.len() < 10 {
        return None;
    }
    let smooth = |at: f64| {
        let (mut sum, mut weight) = (0.0, 0.0);
        for t in treatments {
            let w = (-0.5 * (t.celsius - at).powi(2)).exp() * t.eggs.min(50.0);
            (sum, weight) = (sum + w * t.hatched, weight + w);
        }
        sum / weight
    };
    Some((20..=33).map(|c| (f64::from(c), smooth(f64::from(c)))).collect())
}

/// Values of a normal within five deviations that are added up by their density: the chances are smooth, so this is exact
/// to more digits than are shipped.
const NODES: usize = 61;

/// How studies and their treatments lie about `mean` (a logit at a temperature): the likeliest shift and standard
/// deviations, eggs being binomial given their treatment's rate. Treatments without a mean are left aside.
///
/// `tests/checks/forecast.py` finds the same by scipy.
pub fn studies(treatments: &[Treatment], mean: impl Fn(f64) -> Option<f64>) -> Studies {
    let known: Vec<(&Treatment, f64)> = treatments.iter().filter_map(|t| Some((t, mean(t.celsius)?))).collect();
    let mut names: Vec<&str> = known.iter().map(|(t, _)| t.study.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    let step = 10.0 / (NODES - 1) as f64;
    let z: Vec<(f64, f64)> = (0..NODES).map(|i| i as f64 * step - 5.0).map(|z| (z, density(z) * step)).collect();
    let chance = |s: &Studies| {
        let of_study = |name: &&str| {
            let own: Vec<&(&Treatment, f64)> = known.iter().filter(|(t, _)| t.study == **name).collect();
            let at = |effect: f64| -> f64 {
                let of = |(t, mean): &&(&Treatment, f64)| {
                    let k = (t.hatched * t.eggs).round();
                    let one = |(z, weight): &(f64, f64)| {
                        let p = share(mean + s.shift + effect + s.within * z);
                        weight * (k * p.ln() + (t.eggs - k) * (1.0 - p).ln()).exp()
                    };
                    z.iter().map(one).sum::<f64>().max(1e-300).ln()
                };
                own.iter().map(of).sum()
            };
            let all: Vec<f64> = z.iter().map(|(z, weight)| at(s.between * z) + weight.ln()).collect();
            let most = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            most + all.iter().map(|l| (l - most).exp()).sum::<f64>().ln()
        };
        names.iter().map(of_study).sum::<f64>()
    };
    let mut best = Studies { shift: 0.0, between: 0.8, within: 0.8, studies: names.len() as u32 };
    let mut most = chance(&best);
    // One figure at a time, in steps that get shorter: slow and sure.
    let mut step = 0.4;
    while step > 0.004 {
        let before = most;
        for part in 0..3 {
            for by in [-step, step] {
                let mut tried = best;
                match part {
                    0 => tried.shift += by,
                    1 => tried.between = (tried.between + by).max(0.0),
                    _ => tried.within = (tried.within + by).max(0.0),
                }
                let found = chance(&tried);
                if found > most {
                    (best, most) = (tried, found);
                }
            }
        }
        if most <= before {
            step /= 2.0;
        }
    }
    best
}
