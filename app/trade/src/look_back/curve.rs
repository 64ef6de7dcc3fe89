//! Days from lay to first pip against what the figures say for the clutch's temperature.
//!
//! Clutches of one dam share her pace. So the mean's interval goes by dams, and what is shuffled in the test of the slope is
//! the temperature a dam was kept at: hers as a whole where all of her clutches had one, else among her own clutches. The
//! slope's interval holds the slopes that such a test would not call wrong.

use super::{CONFIDENCE, Deal, FEWEST_WAYS, LEVEL, Measured, Piece, Verdict, ln_ways, mean};
use crate::response::Model;
use statrs::distribution::{ContinuousCDF, StudentsT};
use std::collections::{BTreeMap, BTreeSet};

/// One clutch's days from lay to first pip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lasted {
    /// mean of the way
    pub celsius: f64,
    pub days: f64,
    /// variance of the days that comes of how they were noted: see [`super::rounding`]
    pub rounding: f64,
    /// index of the unit that shares its pace: the dam, or the clutch
    pub unit: usize,
}

/// How days compare with a curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AgainstCurve {
    /// clutches compared, the units they are of, and those left out for a temperature the figures do not cover
    pub clutches: u32,
    pub units: u32,
    pub outside: u32,
    /// how much longer (a share: 0.03 is 3 %) they took than the curve says, with its interval by units
    pub longer: f64,
    pub longer_interval: Option<(f64, f64)>,
    /// whether that is more than chance would
    pub verdict: Verdict,
    /// by how much more for each °C; `None` where so few can be exchanged that no test could tell, or all were kept alike
    pub slope: Option<Slope>,
    /// questions that could be asked, among which the level was shared out
    pub asked: usize,
}

/// How much longer than the curve says for each °C more.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope {
    /// a share: 0.01 is 1 % more
    pub per_degree: f64,
    /// `None` where shuffles are too few to bound it
    pub interval: Option<(f64, f64)>,
    pub verdict: Verdict,
}

/// A dam whose clutches were kept within so many °C of each other was kept at one temperature (our choice, no source).
const ALIKE_C: f64 = 0.1;
/// Below this mean square of °C within what is exchanged all were kept alike (our choice, no source).
const LEAST_SQUARE: f64 = 0.0025;

/// How many questions such clutches could answer: whether they took longer, and whether more so with temperature.
pub fn questions(seen: &[Lasted], curve: &Model) -> usize {
    let off = off(seen, curve);
    let units: BTreeSet<usize> = off.iter().map(|clutch| clutch.unit).collect();
    usize::from(units.len() > 1) + usize::from(Kept::of(&off).is_some())
}

/// Compares days with what a curve says for their temperatures. `asked`: how many questions could be, of all such curves.
/// `None` when no clutch can be compared.
pub fn against_curve(seen: &[Lasted], curve: &Model, asked: usize, seed: u64) -> Option<AgainstCurve> {
    let off = off(seen, curve);
    let measured = |clutch: &Off| {
        let Off { off: value, rounding, unit, .. } = *clutch;
        Measured { group: 0, stratum: 0, unit, value, rounding }
    };
    let values: Vec<Measured> = off.iter().map(measured).collect();
    if values.is_empty() {
        return None;
    }
    let all = mean(&values);
    Some(AgainstCurve {
        clutches: all.clutches,
        units: all.units,
        outside: seen.iter().filter(|clutch| curve.days_at(clutch.celsius).is_none()).count() as u32,
        longer: all.mean.exp() - 1.0,
        longer_interval: all.interval.map(|(a, b)| (a.exp() - 1.0, b.exp() - 1.0)),
        verdict: all.interval.map_or(Verdict::TooFew, |(low, high)| {
            Verdict::of(chance_of_zero(all.mean, 0.5 * (high - low), f64::from(all.units) - 1.0), asked)
        }),
        slope: Kept::of(&off).map(|kept| kept.slope(asked, seed)),
        asked,
    })
}

/// A clutch and ln of its days less the curve's, with the variance that comes of rounding.
struct Off {
    celsius: f64,
    off: f64,
    rounding: f64,
    unit: usize,
}

fn off(seen: &[Lasted], curve: &Model) -> Vec<Off> {
    let real = seen.iter().filter(|clutch| clutch.days > 0.0 && clutch.days.is_finite());
    let off = real.filter_map(|&Lasted { celsius, days, rounding, unit }| {
        let off = days.ln() - curve.days_at(celsius)?.ln();
        Some(Off { celsius, off, rounding: rounding / (days * days), unit })
    });
    off.collect()
}

/// How likely a mean at least so far from 0 is by chance, from half of its 95 % interval.
fn chance_of_zero(mean: f64, half: f64, df: f64) -> f64 {
    let Ok(t) = StudentsT::new(0.0, 1.0, df) else { return 1.0 };
    let error = half / t.inverse_cdf(0.5 + CONFIDENCE / 2.0);
    match mean.abs() {
        0.0 => 1.0,
        mean if mean / error > 1e6 => 0.0,
        mean => 2.0 * t.cdf(-mean / error),
    }
}

/// Clutches by the temperatures that may be exchanged.
struct Kept {
    deal: Deal,
    /// °C by group
    celsius: Vec<f64>,
    /// of each hand and thing in it: its mean, less the hand's
    off: Vec<Vec<f64>>,
    /// sum of squares of °C within hands
    squares: f64,
}

impl Kept {
    fn of(seen: &[Off]) -> Option<Kept> {
        let mut units: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
        seen.iter().for_each(|clutch| units.entry(clutch.unit).or_default().push(clutch.celsius));
        let mut celsius: Vec<f64> = Vec::new();
        let pieces = seen.iter().map(|clutch| {
            let own = &units[&clutch.unit];
            let (low, high) = own.iter().fold((f64::MAX, f64::MIN), |(low, high), c| (low.min(*c), high.max(*c)));
            let kept = if high - low <= ALIKE_C { own.iter().sum::<f64>() / own.len() as f64 } else { clutch.celsius };
            let group = celsius.iter().position(|known| *known == kept).unwrap_or_else(|| {
                celsius.push(kept);
                celsius.len() - 1
            });
            Piece { group, stratum: 0, unit: clutch.unit, off: clutch.off, variance: 1.0 }
        });
        let deal = Deal::of(pieces.collect());
        let ways: f64 = deal.hands.iter().map(|hand| ln_ways(&deal.groups(hand))).sum();
        let off: Vec<Vec<f64>> =
            deal.hands.iter().map(|hand| centred(hand.iter().map(|thing| deal.mean(thing)))).collect();
        let mut kept = Kept { deal, celsius, off, squares: 0.0 };
        let now: Vec<Vec<f64>> = kept.centred_celsius();
        kept.squares = now.iter().flatten().map(|c| c * c).sum();
        let things = now.iter().map(Vec::len).sum::<usize>() as f64;
        (ways >= FEWEST_WAYS.ln() && kept.squares > LEAST_SQUARE * things).then_some(kept)
    }

    /// °C of each thing as it was, less its hand's mean.
    fn centred_celsius(&self) -> Vec<Vec<f64>> {
        let of = |hand: &Vec<Vec<usize>>| centred(self.deal.groups(hand).into_iter().map(|group| self.celsius[group]));
        self.deal.hands.iter().map(of).collect()
    }

    fn slope(&self, asked: usize, seed: u64) -> Slope {
        let own = self.centred_celsius();
        let celsius = |dealt: &[usize]| -> Vec<Vec<f64>> {
            let thing = |thing: &Vec<usize>| self.celsius[dealt[thing[0]]];
            self.deal.hands.iter().map(|hand| hand.iter().map(thing).collect()).collect()
        };
        let product = |a: &[Vec<f64>], b: &[Vec<f64>]| -> f64 {
            a.iter().zip(b).flat_map(|(a, b)| a.iter().zip(b)).map(|(a, b)| a * b).sum()
        };
        let seen = product(&own, &self.off);
        let (mut lows, mut highs, mut as_far) = (Vec::new(), Vec::new(), 0u32);
        self.deal.shuffle(seed, |dealt| {
            let dealt = celsius(dealt);
            let (off, square) = (product(&dealt, &self.off), product(&dealt, &own));
            as_far += u32::from(off.abs() >= seen.abs() * (1.0 - 1e-9));
            // Slopes at which what this shuffle leaves is as far from none as what was seen leaves.
            let (left, right) = (self.squares - square, self.squares + square);
            let ends = if left.min(right) > 1e-9 * self.squares {
                let (a, b) = ((seen - off) / left, (seen + off) / right);
                (a.min(b), a.max(b))
            } else {
                (f64::NEG_INFINITY, f64::INFINITY)
            };
            lows.push(ends.0);
            highs.push(-ends.1);
            true
        });
        let bound = |ends: &mut Vec<f64>| {
            crate::order::sort_by(ends, f64::total_cmp);
            let at = (LEVEL * (ends.len() + 1) as f64).ceil() as usize;
            ends.get(at.saturating_sub(1)).copied().filter(|end| end.is_finite())
        };
        let p = f64::from(as_far + 1) / (lows.len() + 1) as f64;
        Slope {
            per_degree: seen / self.squares,
            interval: bound(&mut lows).zip(bound(&mut highs).map(|high| -high)),
            verdict: Verdict::of(p, asked),
        }
    }
}

impl Deal {
    fn mean(&self, thing: &[usize]) -> f64 {
        thing.iter().map(|at| self.pieces[*at].off).sum::<f64>() / thing.len() as f64
    }
}

fn centred(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let values: Vec<f64> = values.collect();
    let mean = values.iter().sum::<f64>() / values.len().max(1) as f64;
    values.into_iter().map(|value| value - mean).collect()
}

#[cfg(test)]
mod tests;
