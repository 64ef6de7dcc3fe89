//! The season behind: rates and means by dam, shelf, medium…, and whether they differ more than chance would.
//!
//! Eggs of one clutch share their luck, and clutches of one dam theirs. So what is shuffled between groups in the test of
//! difference is the unit that was put there: a dam whose clutches all lay on one shelf goes to another as a whole, a
//! dam's clutches on several shelves are shuffled among those. Intervals are widened by how much units vary. What is
//! compared across groups is compared within strata only (a species against itself), so that a shelf of easy species does
//! not look like a good shelf. Who may ask many questions gets a difference by chance in one of twenty: the level is shared
//! out among the questions that the records could answer.
//!
//! Absent by design: causes. That two shelves differ does not say that the shelf did it.

mod curve;

pub use curve::{AgainstCurve, Lasted, Slope, against_curve, questions};

use crate::forecast::draws::Draws;
use crate::rates::{Share, wilson_clustered};
use crate::when::When;
use statrs::distribution::{ContinuousCDF, StudentsT};
use std::collections::BTreeMap;

/// One clutch's count in a comparison.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Counted {
    /// index of the dam, shelf, year… it belongs to
    pub group: usize,
    /// index of what it may be compared with: its species
    pub stratum: usize,
    /// index of the unit that was put into a group, and shares its luck: the dam, or the clutch
    pub unit: usize,
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
    pub unit: usize,
    pub value: f64,
    /// variance that comes of how it was noted alone, such as whole days; 0 where nobody can say
    pub rounding: f64,
}

/// A group's rate. `share` is `None` when nothing was counted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rate {
    pub k: u32,
    pub n: u32,
    pub clutches: u32,
    /// units they are of
    pub units: u32,
    pub share: Option<Share>,
}

/// A group's mean over its units, each by the mean of its clutches; the interval needs two units that differ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mean {
    pub clutches: u32,
    pub units: u32,
    pub mean: f64,
    pub interval: Option<(f64, f64)>,
}

/// Whether groups differ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Verdict {
    /// so few can be exchanged that no test could tell
    TooFew,
    /// chance alone differs as much in this share of shuffles
    Alike { p: f64 },
    /// p is below 0.05 divided among all questions that could be asked: only now may groups be ranked
    Differ { p: f64 },
}

impl Verdict {
    fn of(p: f64, asked: usize) -> Self {
        if p <= LEVEL / asked.max(1) as f64 { Self::Differ { p } } else { Self::Alike { p } }
    }

    /// Whether the data can carry a ranking.
    pub fn ranks(self) -> bool {
        matches!(self, Self::Differ { .. })
    }
}

/// Confidence of every interval here.
pub const CONFIDENCE: f64 = 0.95;
const LEVEL: f64 = 0.05;
/// Shuffles at most; no more are needed once so many were as far apart as what was seen (Besag & Clifford 1991).
const SHUFFLES: u32 = 9999;
const ENOUGH: u32 = 20;

/// Whether clutches so grouped could tell of a difference at all: (group, stratum, unit) each. What counts as a question.
pub fn could_tell(seen: &[(usize, usize, usize)]) -> bool {
    let pieces = seen.iter().map(|&(group, stratum, unit)| Piece { group, stratum, unit, off: 0.0, variance: 1.0 });
    Deal::of(pieces.collect()).ln_ways() >= FEWEST_WAYS.ln()
}

/// Rates of `groups` groups, and whether they differ; `asked`: how many questions could be.
pub fn rates(groups: usize, seen: &[Counted], asked: usize, seed: u64) -> (Vec<Rate>, Verdict) {
    let seen: Vec<&Counted> = seen.iter().filter(|c| c.group < groups && c.n > 0 && c.k <= c.n).collect();
    let mut strata: BTreeMap<usize, (u32, u32)> = BTreeMap::new();
    let mut own = vec![(0u32, 0u32, 0u32); groups];
    let mut units: BTreeMap<(usize, usize), (u32, u32)> = BTreeMap::new();
    for c in &seen {
        let all = strata.entry(c.stratum).or_default();
        (all.0, all.1) = (all.0 + c.k, all.1 + c.n);
        let g = &mut own[c.group];
        (g.0, g.1, g.2) = (g.0 + c.k, g.1 + c.n, g.2 + 1);
        let unit = units.entry((c.group, c.unit)).or_default();
        (unit.0, unit.1) = (unit.0 + c.k, unit.1 + c.n);
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
            Piece { group: c.group, stratum: c.stratum, unit: c.unit, off, variance }
        })
        .collect();
    let clutches: Vec<(usize, u32, u32)> = seen.iter().map(|c| (c.group, c.k, c.n)).collect();
    let by_unit: Vec<(usize, u32, u32)> = units.iter().map(|(at, unit)| (at.0, unit.0, unit.1)).collect();
    let designs = design(&clutches, groups).into_iter().zip(design(&by_unit, groups));
    let rates = own
        .iter()
        .zip(designs)
        .enumerate()
        .map(|(group, (&(k, n, clutches), (by_clutch, by_unit)))| {
            let share = wilson_clustered(k, n, by_clutch.max(by_unit), CONFIDENCE).ok();
            let units = units.keys().filter(|at| at.0 == group).count() as u32;
            Rate { k, n, clutches, units, share }
        })
        .collect();
    (rates, verdict(groups, pieces, asked, seed))
}

/// How many times more each group's rate varies than that of as many eggs on their own would. How far eggs of one clutch, or
/// unit, go together is what makes Pearson's statistic as large as it is; it counts by how many eggs each of the group's
/// own has, since a large one sways the rate more. Each is (group, k, n).
fn design(seen: &[(usize, u32, u32)], groups: usize) -> Vec<f64> {
    // Eggs that were of use, k, n, and the sum of squares of n.
    let mut own = vec![(0.0, 0.0, 0.0); groups];
    for &(group, k, n) in seen {
        let (k, n) = (f64::from(k), f64::from(n));
        own[group] = (own[group].0 + k, own[group].1 + n, own[group].2 + n * n);
    }
    // Pearson's statistic, and what it comes to where eggs do not go together, and where they wholly do.
    let (mut chi, mut apart, mut as_one) = (0.0, 0.0, 0.0);
    for &(group, k, n) in seen {
        let ((all_k, all_n, squares), k, n) = (own[group], f64::from(k), f64::from(n));
        let (p, share) = (all_k / all_n, n / all_n);
        if p > 0.0 && p < 1.0 {
            chi += (k - n * p).powi(2) / (n * p * (1.0 - p));
            apart += 1.0 - share;
            as_one += n * (1.0 - 2.0 * share + squares / (all_n * all_n));
        }
    }
    let together = if as_one > apart { ((chi - apart) / (as_one - apart)).clamp(0.0, 1.0) } else { 0.0 };
    own.iter().map(|&(_, n, squares)| if n > 0.0 { 1.0 + together * (squares / n - 1.0) } else { 1.0 }).collect()
}

/// Means of `groups` groups over their clutches, and whether they differ.
pub fn means(groups: usize, seen: &[Measured], asked: usize, seed: u64) -> (Vec<Mean>, Verdict) {
    let seen: Vec<&Measured> = seen.iter().filter(|m| m.group < groups && m.value.is_finite()).collect();
    let mut strata: BTreeMap<usize, (f64, f64)> = BTreeMap::new();
    let mut own: Vec<Vec<Measured>> = vec![Vec::new(); groups];
    for &&m in &seen {
        let all = strata.entry(m.stratum).or_default();
        (all.0, all.1) = (all.0 + m.value, all.1 + 1.0);
        own[m.group].push(m);
    }
    let pieces = seen
        .iter()
        .map(|m| {
            let (sum, n) = strata[&m.stratum];
            Piece { group: m.group, stratum: m.stratum, unit: m.unit, off: m.value - sum / n, variance: 1.0 }
        })
        .collect();
    let means = own.iter().map(|own| mean(own)).collect();
    (means, verdict(groups, pieces, asked, seed))
}

/// Mean of units, each by the mean of its clutches, with a t interval: none of them counts for more by having more clutches,
/// so what the interval goes by is what the mean is of. Units that come out alike differ by no less than rounding says.
/// Group and stratum do not count.
pub fn mean(seen: &[Measured]) -> Mean {
    let clutches = seen.len() as u32;
    let mut units: BTreeMap<usize, (f64, f64, f64)> = BTreeMap::new();
    for m in seen {
        let own = units.entry(m.unit).or_default();
        *own = (own.0 + m.value, own.1 + m.rounding, own.2 + 1.0);
    }
    if units.is_empty() {
        return Mean { clutches, units: 0, mean: f64::NAN, interval: None };
    }
    let n = units.len() as f64;
    let mean = units.values().map(|(sum, _, several)| sum / several).sum::<f64>() / n;
    let squares: f64 = units.values().map(|(sum, _, several)| (sum / several - mean).powi(2)).sum();
    let rounding = units.values().map(|(_, rounding, several)| rounding / (several * several)).sum::<f64>() / n;
    let interval = t_quantile(n - 1.0).and_then(|t| {
        let variance = (squares / (n - 1.0)).max(rounding);
        let half = t * (variance / n).sqrt();
        // Not told apart from none at all: what they differ by is not known.
        (half > 1e-9 * mean.abs()).then_some((mean - half, mean + half))
    });
    Mean { clutches, units: units.len() as u32, mean, interval }
}

/// Variance of the days between two moments that comes of how those were noted: each as likely at any time of what it can
/// mean, in days².
pub fn rounding(from: When, to: When) -> f64 {
    let of = |when: When| {
        let days = (when.latest() - when.earliest()).num_minutes().max(1) as f64 / 1440.0;
        days * days / 12.0
    };
    of(from) + of(to)
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
    unit: usize,
    off: f64,
    variance: f64,
}

/// With fewer ways to deal things out than this no result could be rarer than one in twenty.
const FEWEST_WAYS: f64 = 20.0;

/// How clutches are dealt out anew: hands within which groups are exchanged.
struct Deal {
    pieces: Vec<Piece>,
    /// things exchanged for one another, each the places of its pieces
    hands: Vec<Vec<Vec<usize>>>,
}

impl Deal {
    fn of(pieces: Vec<Piece>) -> Self {
        let mut units: BTreeMap<(usize, usize), Vec<usize>> = BTreeMap::new();
        for (at, p) in pieces.iter().enumerate() {
            units.entry((p.stratum, p.unit)).or_default().push(at);
        }
        let group = |at: &usize| pieces[*at].group;
        let mut whole: BTreeMap<usize, Vec<Vec<usize>>> = BTreeMap::new();
        let mut hands = Vec::new();
        for ((stratum, _), places) in units {
            if places.iter().all(|at| group(at) == group(&places[0])) {
                whole.entry(stratum).or_default().push(places);
            } else {
                hands.push(places.into_iter().map(|at| vec![at]).collect());
            }
        }
        hands.extend(whole.into_values());
        // Where all are of one group there is nothing to exchange.
        hands.retain(|hand: &Vec<Vec<usize>>| hand.iter().any(|thing| group(&thing[0]) != group(&hand[0][0])));
        Self { pieces, hands }
    }

    fn groups(&self, hand: &[Vec<usize>]) -> Vec<usize> {
        hand.iter().map(|thing| self.pieces[thing[0]].group).collect()
    }

    /// Logarithm of the number of ways to deal out anew that can be told apart: groups that get as many from every hand
    /// may change their names.
    fn ln_ways(&self) -> f64 {
        use statrs::function::gamma::ln_gamma;
        let mut sizes: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (at, hand) in self.hands.iter().enumerate() {
            for group in self.groups(hand) {
                sizes.entry(group).or_insert_with(|| vec![0; self.hands.len()])[at] += 1;
            }
        }
        let mut alike: BTreeMap<&[usize], u32> = BTreeMap::new();
        sizes.values().for_each(|sizes| *alike.entry(sizes).or_default() += 1);
        let names: f64 = alike.values().map(|n| ln_gamma(f64::from(*n) + 1.0)).sum();
        self.hands.iter().map(|hand| ln_ways(&self.groups(hand))).sum::<f64>() - names
    }

    /// Deals the groups out anew, time and again, until it was looked at often enough: `look` is given each piece's group, and
    /// says whether to go on.
    fn shuffle(&self, seed: u64, mut look: impl FnMut(&[usize]) -> bool) {
        let mut dealt: Vec<usize> = self.pieces.iter().map(|p| p.group).collect();
        let mut hands: Vec<Vec<usize>> = self.hands.iter().map(|hand| self.groups(hand)).collect();
        let mut draws = Draws::named(seed, "shuffle");
        for _ in 0..SHUFFLES {
            for (hand, groups) in self.hands.iter().zip(&mut hands) {
                for i in (1..groups.len()).rev() {
                    groups.swap(i, (draws.next() % (i as u64 + 1)) as usize);
                }
                for (thing, group) in hand.iter().zip(groups.iter()) {
                    thing.iter().for_each(|at| dealt[*at] = *group);
                }
            }
            if !look(&dealt) {
                return;
            }
        }
    }

    /// How far groups lie apart, when pieces are dealt out so.
    fn spread(&self, dealt: &[usize], sums: &mut [(f64, f64)]) -> f64 {
        sums.iter_mut().for_each(|s| *s = (0.0, 0.0));
        for hand in &self.hands {
            for &at in hand.iter().flatten() {
                let s = &mut sums[dealt[at]];
                (s.0, s.1) = (s.0 + self.pieces[at].off, s.1 + self.pieces[at].variance);
            }
        }
        sums.iter().filter(|s| s.1 > 0.0).map(|s| s.0 * s.0 / s.1).sum()
    }
}

/// Shuffles units between groups within their strata.
fn verdict(groups: usize, pieces: Vec<Piece>, asked: usize, seed: u64) -> Verdict {
    let deal = Deal::of(pieces);
    let varies = deal.hands.iter().flatten().flatten().any(|at| deal.pieces[*at].off.abs() >= 1e-12);
    if deal.ln_ways() < FEWEST_WAYS.ln() || !varies {
        return Verdict::TooFew;
    }
    let dealt: Vec<usize> = deal.pieces.iter().map(|p| p.group).collect();
    let mut sums = vec![(0.0, 0.0); groups];
    let seen = deal.spread(&dealt, &mut sums);
    let (mut as_far, mut shuffles) = (0u32, 0u32);
    deal.shuffle(seed, |dealt| {
        shuffles += 1;
        // A rounding in the last place must not turn "as far" into "less far".
        as_far += u32::from(deal.spread(dealt, &mut sums) >= seen * (1.0 - 1e-9));
        as_far < ENOUGH
    });
    let p = if as_far >= ENOUGH {
        f64::from(as_far) / f64::from(shuffles)
    } else {
        f64::from(as_far + 1) / f64::from(shuffles + 1)
    };
    Verdict::of(p, asked)
}

/// Logarithm of the number of ways to deal these groups' clutches out.
fn ln_ways(groups: &[usize]) -> f64 {
    use statrs::function::gamma::ln_gamma;
    let mut counts: BTreeMap<usize, u32> = BTreeMap::new();
    groups.iter().for_each(|g| *counts.entry(*g).or_default() += 1);
    ln_gamma(groups.len() as f64 + 1.0) - counts.values().map(|n| ln_gamma(f64::from(*n) + 1.0)).sum::<f64>()
}

#[cfg(test)]
mod tests;
