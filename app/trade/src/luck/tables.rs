//! What the chain looks up, in whole numbers: logits in sixteenths, log chances in 256ths.
//!
//! Logarithms and powers may differ in their last bit from one machine to another. Here they are rounded once, far above
//! that bit; from then on the chain only adds and compares whole numbers, so every machine walks the same way.

use crate::gauss::quantile;
use std::collections::BTreeMap;

/// Steps of one logit.
pub(crate) const LOGIT: i32 = 16;
/// Steps of one unit of a log chance.
const NAT: f64 = 256.0;
/// Effects lie within three logits of none, what they add up to within ten.
pub(crate) const FAR: i32 = 3 * LOGIT;
pub(crate) const EDGE: i32 = 10 * LOGIT;
const ETAS: usize = 2 * EDGE as usize + 1;
/// A clutch's chances are reckoned every quarter logit within seven; between them lie straight lines.
const COARSE: i32 = 4;
const REACH: i32 = 7 * LOGIT;
/// Values of a clutch's own luck that are added up.
const NODES: usize = 16;
/// A log chance so low that it is never drawn.
pub(crate) const NEVER: i32 = -80 * 256;

/// Standard deviations that an effect may have, in sixteenths of a logit.
pub(crate) const SDS: [i32; 9] = [2, 3, 4, 6, 8, 11, 16, 22, 30];
/// The same of a clutch's own luck.
pub(crate) const WIDTHS: [i32; 4] = [8, 16, 24, 32];

/// The share that a logit stands for.
pub(crate) fn share(logit: f64) -> f64 {
    1.0 / (1.0 + (-logit).exp())
}

pub(crate) fn steps(logit: f64) -> i32 {
    (logit * f64::from(LOGIT)).round().clamp(f64::from(-EDGE), f64::from(EDGE)) as i32
}

pub(crate) fn nats(weight: f64) -> i32 {
    if weight > 0.0 { (weight.ln() * NAT).round().max(f64::from(NEVER)) as i32 } else { NEVER }
}

/// Normal effects, by standard deviation: a log chance for each value within [`FAR`].
pub(crate) fn normal(sd: f64) -> Vec<i32> {
    let weights: Vec<f64> = (-FAR..=FAR).map(|v| (-0.5 * (f64::from(v) / sd).powi(2)).exp()).collect();
    let all: f64 = weights.iter().sum();
    weights.into_iter().map(|w| nats(w / all)).collect()
}

/// By the width of a clutch's luck: where its middle has to lie for clutches to have a mean rate on average.
///
/// A published or a learned rate is a mean over clutches. Luck that is even in logits is not in shares, so the middle
/// lies further out than the mean.
pub(crate) struct Middles(Vec<[i16; ETAS]>);

impl Middles {
    pub fn new() -> Self {
        let nodes = nodes();
        let of = |width: &i32| {
            let sd = f64::from(*width) / f64::from(LOGIT);
            let mean = |x: f64| nodes.iter().map(|z| share(x + sd * z)).sum::<f64>() / NODES as f64;
            let mut middles = [0; ETAS];
            let mut at = -EDGE - 2 * FAR;
            for (i, middle) in middles.iter_mut().enumerate() {
                let aim = share(f64::from(i as i32 - EDGE) / f64::from(LOGIT));
                // Means rise with the middle: the way goes on from where the last one was found.
                let mut before = mean(f64::from(at) / f64::from(LOGIT));
                loop {
                    let next = mean(f64::from(at + 1) / f64::from(LOGIT));
                    if next >= aim || at >= EDGE + 2 * FAR {
                        *middle = if aim - before < next - aim { at } else { at + 1 } as i16;
                        break;
                    }
                    (at, before) = (at + 1, next);
                }
            }
            middles
        };
        Self(WIDTHS.iter().map(of).collect())
    }

    pub fn at(&self, width: usize, eta: i32) -> i32 {
        i32::from(self.0[width][(eta.clamp(-EDGE, EDGE) + EDGE) as usize])
    }
}

/// Equally likely values of a standard normal, stretched to a variance of 1.
fn nodes() -> [f64; NODES] {
    let mut nodes: [f64; NODES] = std::array::from_fn(|i| quantile((i as f64 + 0.5) / NODES as f64));
    let sd = (nodes.iter().map(|z| z * z).sum::<f64>() / NODES as f64).sqrt();
    nodes.iter_mut().for_each(|z| *z /= sd);
    nodes
}

/// Log chances of what came of clutches, by mean rate: one row for each count and width. Turned about, since none is above 0:
/// a cost, which adds up without a sign.
pub(crate) struct Counts {
    known: BTreeMap<(u32, u32), usize>,
    rows: Vec<u32>,
}

impl Counts {
    pub fn of(middles: &Middles, seen: impl Iterator<Item = (u32, u32)>) -> Self {
        let nodes = nodes();
        let mut counts = Self { known: BTreeMap::new(), rows: Vec::new() };
        for (k, n) in seen {
            if counts.known.contains_key(&(k, n)) {
                continue;
            }
            counts.known.insert((k, n), counts.known.len());
            for (width, sd) in WIDTHS.iter().enumerate() {
                counts.rows.extend(row(k, n, |eta| {
                    let middle = f64::from(middles.at(width, eta));
                    nodes.map(|z| share((middle + f64::from(*sd) * z) / f64::from(LOGIT)))
                }));
            }
        }
        counts
    }

    pub fn row_of(&self, k: u32, n: u32) -> usize {
        self.known.get(&(k, n)).copied().unwrap_or(0)
    }

    /// Costs for `eta` − `reach` up to `eta` + `reach`.
    #[inline(always)]
    pub fn around(&self, row: usize, width: usize, eta: i32, reach: i32) -> &[u32] {
        let start = (row * WIDTHS.len() + width) * ETAS;
        let eta = eta.clamp(reach - EDGE, EDGE - reach) + EDGE;
        &self.rows.as_slice()[start + (eta - reach) as usize..start + (eta + reach + 1) as usize]
    }

    /// The log chance at `eta`.
    #[inline(always)]
    pub fn at(&self, row: usize, width: usize, eta: i32) -> i32 {
        let eta = eta.clamp(-EDGE, EDGE) + EDGE;
        -(self.rows.as_slice()[(row * WIDTHS.len() + width) * ETAS + eta as usize] as i32)
    }
}

fn row(k: u32, n: u32, rates: impl Fn(i32) -> [f64; NODES]) -> Vec<u32> {
    let at = |eta: i32| {
        let all: f64 = rates(eta).into_iter().map(|p| p.powi(k as i32) * (1.0 - p).powi((n - k) as i32)).sum::<f64>();
        // Where a count is so far from its rate that its chance is 0 to the last digit, it is never drawn.
        f64::from(nats(all / NODES as f64))
    };
    let ends: Vec<f64> = (-REACH / COARSE..=REACH / COARSE).map(|i| at(i * COARSE)).collect();
    (-EDGE..=EDGE)
        .map(|eta| {
            let x = eta.clamp(-REACH, REACH - 1) + REACH;
            let (i, part) = ((x / COARSE) as usize, f64::from(x % COARSE) / f64::from(COARSE));
            -(ends[i] + (ends[i + 1] - ends[i]) * part).round() as u32
        })
        .collect()
}

/// Draws one of several by their log chances.
pub(crate) struct Choice {
    /// e to the power of −i/256, of 2^20
    weights: Vec<u32>,
    upto: Vec<u32>,
}

const LEAST: usize = 13 * 256;

impl Choice {
    pub fn new() -> Self {
        let weight = |i: usize| ((-(i as f64) / NAT).exp() * f64::from(1 << 20)).round() as u32;
        Self { weights: (0..LEAST).map(weight).collect(), upto: Vec::new() }
    }

    pub fn draw(&mut self, chances: &[i32], r: u64) -> usize {
        let mut most = i32::MIN;
        for &c in chances {
            most = if c > most { c } else { most };
        }
        let (weights, mut sum) = (self.weights.as_slice(), 0);
        self.upto.resize(chances.len(), 0);
        for (upto, c) in self.upto.as_mut_slice().iter_mut().zip(chances) {
            if let Some(weight) = weights.get((most - c) as usize) {
                sum += weight;
            }
            *upto = sum;
        }
        let at = (((r >> 32) * u64::from(sum)) >> 32) as u32;
        self.upto.partition_point(|u| *u <= at).min(chances.len().saturating_sub(1))
    }
}
