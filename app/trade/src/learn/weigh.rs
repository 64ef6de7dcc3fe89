//! Weighing sightings that may be slips against each other.
//!
//! Each sighting says where one sum of the unknowns lies, by one of several explanations: as it was noted, or a slip.
//! Which holds is not known, so what a sighting says is kept as the one normal factor that gives the same mean and
//! variance in the light of all others (expectation propagation: Minka 2001). Whenever a sighting is added, all are
//! weighed anew. Exact where there is one explanation; `tests/checks/durations.py` adds up every combination.

use crate::gauss::{Gaussian, density, truncated};
use crate::response::World;

/// One way a sighting may have come about: its log weight, and the variance it blurs the sum by; `None` when it says
/// nothing at all of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Way {
    pub ln: f64,
    pub noise: Option<f64>,
}

/// One sighting: the sum `h` of the unknowns lies within `seen` (equal ends: there).
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Sight {
    pub h: Vec<f64>,
    pub seen: (f64, f64),
    /// the first is "as noted"
    pub ways: Vec<Way>,
    /// clutches differ: blurs each way by the spread between clutches
    pub clutch: bool,
}

/// What a sighting is taken for: a normal factor of its sum, as precision and precision × mean. A negative precision
/// widens.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Site {
    precision: f64,
    shift: f64,
}

/// A sum in the light of a sighting: log evidence, mean, variance, and how likely the first way is.
struct Tilted {
    ln: f64,
    mean: f64,
    variance: f64,
    noted: f64,
}

/// Sweeps over all sightings; few are needed, and all devices make the same number.
const SWEEPS: usize = 6;
/// How much of a step is taken: two sightings that accuse each other settle.
const DAMPED: f64 = 0.8;

fn tilt(sight: &Sight, between: f64, mean: f64, variance: f64) -> Tilted {
    let (lo, hi) = sight.seen;
    let mut all: Vec<(f64, f64, f64)> = Vec::with_capacity(sight.ways.len());
    for way in &sight.ways {
        let Some(noise) = way.noise else {
            all.push((way.ln, mean, variance));
            continue;
        };
        let total = variance + noise + if sight.clutch { between * between } else { 0.0 };
        let (sd, gain) = (total.sqrt(), variance / total);
        let (shift, shrink, ln) = if hi > lo {
            let (m, v, ln) = truncated((lo - mean) / sd, (hi - mean) / sd);
            (m * sd, 1.0 - v, ln)
        } else {
            let z = (lo - mean) / sd;
            (lo - mean, 1.0, density(z).max(1e-300).ln() - sd.ln())
        };
        all.push((way.ln + ln, mean + gain * shift, variance * (1.0 - gain * shrink)));
    }
    let top = all.iter().map(|a| a.0).fold(f64::NEG_INFINITY, f64::max);
    let total: f64 = all.iter().map(|a| (a.0 - top).exp()).sum();
    let share = |ln: f64| (ln - top).exp() / total;
    let middle: f64 = all.iter().map(|a| share(a.0) * a.1).sum();
    let spread = all.iter().map(|a| share(a.0) * (a.2 + (a.1 - middle).powi(2))).sum();
    Tilted { ln: top + total.ln(), mean: middle, variance: spread, noted: all.first().map_or(1.0, |a| share(a.0)) }
}

/// A sum under a belief: how every unknown goes with it, its mean and its variance.
fn sum(belief: &Gaussian, h: &[f64]) -> (Vec<f64>, f64, f64) {
    let with = belief.with(h);
    let variance = with.iter().zip(h).map(|(a, b)| a * b).sum();
    (with, belief.mean_of(h), variance)
}

/// The same without one sighting. `None` where nothing is left to tell.
fn without(site: &Site, mean: f64, variance: f64) -> Option<(f64, f64)> {
    let precision = 1.0 / variance - site.precision;
    (variance > 1e-16 && precision > 0.0).then(|| ((mean / variance - site.shift) / precision, 1.0 / precision))
}

/// Log integral of a normal times a factor.
fn ln_mass(site: &Site, mean: f64, variance: f64) -> f64 {
    let Site { precision: p, shift: q } = *site;
    let (left, pull) = (1.0 + p * variance, q - p * mean);
    q * mean - 0.5 * p * mean * mean - 0.5 * left.max(1e-300).ln() + 0.5 * pull * pull * variance / left
}

/// Brings a belief to another mean and variance of a sum.
fn bring(belief: &mut Gaussian, with: &[f64], (mean, variance): (f64, f64), to: (f64, f64)) {
    let n = belief.len();
    let shrink = (variance - to.1) / (variance * variance);
    for i in 0..n {
        let step = with[i] / variance * (to.0 - mean);
        belief.mean[i] += step;
        for j in 0..n {
            belief.cov[i * n + j] -= with[i] * with[j] * shrink;
        }
    }
}

/// Takes one sighting into a belief anew. Returns the log evidence the others gave it.
pub(super) fn revise(world: &mut World, sight: &Sight, site: &mut Site, damped: bool) -> f64 {
    let (with, mean, variance) = sum(&world.belief, &sight.h);
    let Some((m, v)) = without(site, mean, variance) else { return 0.0 };
    let tilted = tilt(sight, world.between, m, v);
    // A negative precision could make two contradictory sightings diverge. It is set to 0, and only the mean is matched.
    let precision = (1.0 / tilted.variance - 1.0 / v).max(0.0);
    let new = Site { precision, shift: tilted.mean * (1.0 / v + precision) - m / v };
    let part = if damped { DAMPED } else { 1.0 };
    let to = Site {
        precision: site.precision + part * (new.precision - site.precision),
        shift: site.shift + part * (new.shift - site.shift),
    };
    let precision = 1.0 / v + to.precision;
    if precision > 0.0 && precision.is_finite() && to.shift.is_finite() {
        bring(&mut world.belief, &with, (mean, variance), ((m / v + to.shift) / precision, 1.0 / precision));
        *site = to;
    }
    tilted.ln
}

/// Weighs all sightings against each other until they agree, and each opinion of the spread between clutches by how
/// well it foretold all of them.
pub(super) fn settle(world: &mut World, prior: &Gaussian, sights: &[Sight], sites: &mut [Site], ln_prior: f64) {
    for _ in 0..SWEEPS {
        for (sight, site) in sights.iter().zip(sites.iter_mut()) {
            revise(world, sight, site, true);
        }
    }
    // Each factor's missing constant: the evidence of its sighting divided by the factor's own integral.
    let mut ln = ln_prior;
    for (sight, site) in sights.iter().zip(sites.iter()) {
        let (_, mean, variance) = sum(&world.belief, &sight.h);
        if let Some((m, v)) = without(site, mean, variance) {
            ln += tilt(sight, world.between, m, v).ln - ln_mass(site, m, v);
        }
    }
    // Summed up from the start, so that rounding does not pile up. Factors of negative precision come last, so that the
    // variance stays positive.
    let mut belief = prior.clone();
    for widening in [false, true] {
        for (sight, site) in sights.iter().zip(sites.iter()).filter(|(_, site)| (site.precision < 0.0) == widening) {
            let (with, mean, variance) = sum(&belief, &sight.h);
            let precision = 1.0 / variance + site.precision;
            if variance > 1e-16 && precision > 0.0 {
                ln += ln_mass(site, mean, variance);
                let to = ((mean / variance + site.shift) / precision, 1.0 / precision);
                bring(&mut belief, &with, (mean, variance), to);
            }
        }
    }
    world.belief = belief;
    world.ln_weight = ln;
}

/// In the light of all others: how likely a sighting is as noted, and where its sum should lie.
pub(super) fn alone(world: &World, sight: &Sight, site: &Site) -> (f64, f64) {
    let (_, mean, variance) = sum(&world.belief, &sight.h);
    match without(site, mean, variance) {
        Some((m, v)) => (tilt(sight, world.between, m, v).noted, m),
        None => (1.0, mean),
    }
}
