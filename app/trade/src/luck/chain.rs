//! A walk through what may be true of a keeper's clutches: each step draws one unknown anew, given all others and what
//! came of the clutches (Gibbs sampling; Gelman et al., Bayesian Data Analysis). In whole numbers throughout: see
//! [`super::tables`].

use super::tables::{Choice, Counts, FAR, LOGIT, Middles, SDS, WIDTHS, nats, normal};
use super::{Ended, KINDS, Kind, Shape, State, shape};
use crate::forecast::draws::Draws;

/// How much lower a failing shelf's clutches lie.
pub(super) const FAILING: i32 = 5 * LOGIT;

/// Small: all of them are gone through for each kind.
struct Clutch {
    /// mean rate under the present state, a failing shelf left out
    eta: i32,
    /// how much lower it lies for a failing shelf
    drop: i32,
    row: usize,
    none: bool,
    failed: bool,
}

/// One dam, shelf, season….
struct Level {
    value: i32,
    clutches: Vec<usize>,
    /// of those with a spread of their own: index in `priors`
    prior: Option<usize>,
}

pub(super) struct Chain<'a> {
    shape: Shape,
    counts: &'a Counts,
    clutches: Vec<Clutch>,
    levels: [Vec<Level>; KINDS],
    /// of which kinds every clutch has a level
    everywhere: [bool; KINDS],
    /// a season on a shelf: whether it fails, and its clutches
    shelves: Vec<(bool, Vec<usize>)>,
    /// by [`SDS`], then the fixed ones
    priors: Vec<Prior>,
    /// index in [`SDS`] by kind, or of the fixed one
    sds: [usize; KINDS],
    width: usize,
    fails: usize,
    shelf_fails: usize,
    choice: Choice,
    draws: Draws,
    sums: Vec<i32>,
    costs: Costs,
}

impl<'a> Chain<'a> {
    pub fn new(
        ended: &[Ended],
        indexed: &[([Option<usize>; KINDS], Option<usize>)],
        counts: &'a Counts,
        seed: u64,
    ) -> Self {
        let shape = shape();
        let mut priors: Vec<Prior> =
            SDS.iter().map(|sd| Prior::new((7 * sd / 2 + 1).min(FAR), f64::from(*sd))).collect();
        let fixed: Vec<usize> = shape
            .fixed
            .iter()
            .map(|sd| {
                priors.push(Prior::new(FAR, sd * f64::from(LOGIT)));
                priors.len() - 1
            })
            .collect();
        let mut levels: [Vec<Level>; KINDS] = std::array::from_fn(|_| Vec::new());
        let mut shelves: Vec<(bool, Vec<usize>)> = Vec::new();
        let clutches = ended
            .iter()
            .zip(indexed)
            .enumerate()
            .map(|(i, (e, (own, shelf_season)))| {
                for (kind, level) in own.iter().enumerate() {
                    let Some(level) = *level else { continue };
                    while levels[kind].len() <= level {
                        levels[kind].push(Level { value: 0, clutches: Vec::new(), prior: None });
                    }
                    let at = &mut levels[kind][level];
                    at.clutches.push(i);
                    // What no table told is less known.
                    let untabled = kind == Kind::Species as usize && !e.of.start.tabled;
                    at.prior = if untabled { Some(fixed[2]) } else { at.prior };
                }
                if let Some(at) = *shelf_season {
                    shelves.resize_with(shelves.len().max(at + 1), Default::default);
                    shelves[at].1.push(i);
                }
                let row = counts.row_of(e.hatched, e.eggs);
                Clutch { eta: e.of.start.steps, drop: 0, row, none: e.hatched == 0, failed: false }
            })
            .collect();
        let everywhere = std::array::from_fn(|kind| indexed.iter().all(|(own, _)| own[kind].is_some()));
        let mut sds = [4; KINDS];
        (sds[Kind::Keeper as usize], sds[Kind::Species as usize]) = (fixed[0], fixed[1]);
        let (choice, draws) = (Choice::new(), Draws::named(seed, "luck"));
        let sums = Vec::new();
        Self {
            shape,
            counts,
            clutches,
            levels,
            everywhere,
            shelves,
            priors,
            sds,
            width: 1,
            fails: 2,
            shelf_fails: 1,
            choice,
            draws,
            sums,
            costs: Costs::default(),
        }
    }

    /// Draws every unknown once.
    pub fn sweep(&mut self) {
        for kind in 0..KINDS {
            for level in 0..self.levels[kind].len() {
                self.effect(kind, level);
            }
        }
        for kind in [Kind::Species, Kind::Dam, Kind::Shelf, Kind::Season] {
            self.shift(kind as usize);
        }
        for kind in [Kind::Dam, Kind::Pair, Kind::Shelf, Kind::Season] {
            self.spread(kind as usize);
        }
        self.clutch_width();
        self.failing();
    }

    pub fn state(&self) -> State {
        let levels = self.levels.iter().map(|of| of.iter().map(|level| level.value as i16).collect()).collect();
        let sd = |kind: usize| SDS.get(self.sds[kind]).copied().unwrap_or_default();
        State {
            levels,
            sds: std::array::from_fn(sd),
            failing: self.shelves.iter().map(|shelf| shelf.0).collect(),
            width: self.width,
            fails: self.shape.fails[self.fails].0,
            shelf_fails: self.shape.shelf_fails[self.shelf_fails].0,
        }
    }

    /// One dam's, shelf's, season's effect.
    fn effect(&mut self, kind: usize, level: usize) {
        let at = &self.levels[kind][level];
        let (old, prior) = (at.value, at.prior.unwrap_or(self.sds[kind]));
        let prior = &self.priors[prior];
        let reach = prior.reach;
        let mut costs = std::mem::take(&mut self.costs);
        costs.start(prior.around(0, reach));
        let clutches = self.clutches.as_slice();
        for &i in at.clutches.as_slice() {
            let clutch = &clutches[i];
            if clutch.failed {
                continue;
            }
            let without = clutch.eta - old - clutch.drop;
            costs.add(self.counts.around(clutch.row, self.width, without, reach));
        }
        let mut sums = std::mem::take(&mut self.sums);
        costs.log_chances(&mut sums);
        self.costs = costs;
        let new = self.choice.draw(&sums, self.draws.next()) as i32 - reach;
        self.sums = sums;
        let at = &mut self.levels[kind][level];
        at.value = new;
        let clutches = self.clutches.as_mut_slice();
        for &i in at.clutches.as_slice() {
            clutches[i].eta += new - old;
        }
    }

    /// Moves what all levels of a kind share to the keeper's own effect, or back: no clutch's rate changes by it, and the
    /// walk would take long to find the way one level at a time.
    fn shift(&mut self, kind: usize) {
        if !self.everywhere[kind] || self.levels[kind].is_empty() {
            return;
        }
        let keeper = self.levels[0][0].value;
        self.costs.start(self.priors[self.sds[0]].around(keeper, SHIFT));
        for level in &self.levels[kind] {
            // A prior is the same on both sides of none: of value − d it is what it is of d − value.
            self.costs.add(self.priors[level.prior.unwrap_or(self.sds[kind])].around(-level.value, SHIFT));
        }
        self.costs.log_chances(&mut self.sums);
        let d = self.choice.draw(&self.sums, self.draws.next()) as i32 - SHIFT;
        let fits = |v: i32| v.abs() <= FAR;
        if fits(keeper + d) && self.levels[kind].iter().all(|level| fits(level.value - d)) {
            self.levels[0][0].value += d;
            self.levels[kind].iter_mut().for_each(|level| level.value -= d);
        }
    }

    /// How much dams, shelves, seasons differ.
    fn spread(&mut self, kind: usize) {
        self.sums.clear();
        let beforehand = if kind == Kind::Season as usize { &self.shape.season } else { &self.shape.spreads };
        for (i, chance) in beforehand.iter().enumerate() {
            let prior = &self.priors[i];
            let costs = self.levels[kind].iter().map(|level| prior.around(level.value, 0)[0] as i32);
            self.sums.push(chance - costs.sum::<i32>());
        }
        self.sds[kind] = self.choice.draw(&self.sums, self.draws.next());
    }

    /// How much clutches differ that share everything else.
    fn clutch_width(&mut self) {
        self.sums.clear();
        for width in 0..WIDTHS.len() {
            let seen = self.clutches.iter().filter(|clutch| !clutch.failed);
            let seen: i32 = seen.map(|clutch| self.counts.at(clutch.row, width, clutch.eta - clutch.drop)).sum();
            self.sums.push(self.shape.widths[width] + seen);
        }
        self.width = self.choice.draw(&self.sums, self.draws.next());
    }

    /// Which clutches and which shelves failed as a whole, and how often that is.
    fn failing(&mut self) {
        let (fails, shelf_fails) = (self.shape.fails[self.fails].0, self.shape.shelf_fails[self.shelf_fails].0);
        let odds = |chance: u32| [nats(1.0 - f64::from(chance) / 65_536.0), nats(f64::from(chance) / 65_536.0)];
        let (clutch_odds, shelf_odds) = (odds(fails), odds(shelf_fails));
        for at in 0..self.shelves.len() {
            let mut chances = shelf_odds;
            for &i in &self.shelves[at].1 {
                let clutch = &self.clutches[i];
                if clutch.failed {
                    continue;
                }
                let of = |eta: i32| self.counts.at(clutch.row, self.width, eta);
                chances[0] += of(clutch.eta);
                chances[1] += of(clutch.eta - FAILING);
            }
            let fails = self.choice.draw(&chances, self.draws.next()) == 1;
            let shelf = &mut self.shelves[at];
            shelf.0 = fails;
            for &i in &shelf.1 {
                self.clutches[i].drop = if fails { FAILING } else { 0 };
            }
        }
        let mut failed = 0;
        for i in 0..self.clutches.len() {
            let clutch = &self.clutches[i];
            if !clutch.none {
                continue;
            }
            let seen = self.counts.at(clutch.row, self.width, clutch.eta - clutch.drop);
            let chances = [clutch_odds[0] + seen, clutch_odds[1]];
            let fails = self.choice.draw(&chances, self.draws.next()) == 1;
            self.clutches[i].failed = fails;
            failed += i32::from(fails);
        }
        self.fails = self.how_often(true, failed, self.clutches.len() as i32);
        let failing = self.shelves.iter().filter(|shelf| shelf.0).count() as i32;
        self.shelf_fails = self.how_often(false, failing, self.shelves.len() as i32);
    }

    fn how_often(&mut self, clutches: bool, yes: i32, all: i32) -> usize {
        let grid = if clutches { &self.shape.fails } else { &self.shape.shelf_fails };
        self.sums.clear();
        self.sums.extend(grid.iter().map(|(chance, prior)| {
            let p = f64::from(*chance) / 65_536.0;
            prior + yes * nats(p) + (all - yes) * nats(1.0 - p)
        }));
        self.choice.draw(&self.sums, self.draws.next())
    }
}

/// What is believed of an effect beforehand, as costs, even on both sides of none.
struct Prior {
    /// values beyond are not tried
    reach: i32,
    /// within [`FAR`], and as at its ends for [`SHIFT`] beyond
    costs: Vec<u32>,
}

/// How far levels are moved together.
const SHIFT: i32 = FAR / 2;

impl Prior {
    fn new(reach: i32, sd: f64) -> Self {
        let chances = normal(sd);
        let at = |v: i32| chances[(v.clamp(-FAR, FAR) + FAR) as usize].unsigned_abs();
        Self { reach, costs: (-FAR - SHIFT..=FAR + SHIFT).map(at).collect() }
    }

    /// Costs of `value` − `reach` up to `value` + `reach`.
    #[inline(always)]
    fn around(&self, value: i32, reach: i32) -> &[u32] {
        let from = value - reach + FAR + SHIFT;
        &self.costs.as_slice()[from as usize..(from + 2 * reach + 1) as usize]
    }
}

/// Sums of costs for an odd number of values of an effect, two to a word: most of the walk's time goes here. The halves of a word
/// stay apart while no sum passes 32 bits: the highest cost there is would need more than 200,000 clutches. A sum that an
/// `i32` does not hold (half as many) counts as the highest that it holds.
#[derive(Default)]
struct Costs {
    pairs: Vec<u64>,
    /// of the last value
    rest: u64,
}

impl Costs {
    fn start(&mut self, first: &[u32]) {
        self.pairs.clear();
        self.pairs.resize(first.len() / 2, 0);
        self.rest = 0;
        self.add(first);
    }

    /// As many as it was started with. Four words at a time: what is built small is not unrolled by itself.
    #[inline(always)]
    fn add(&mut self, seen: &[u32]) {
        let word = |a: u32, b: u32| u64::from(a) | u64::from(b) << 32;
        let (fours, few) = self.pairs.as_mut_slice().as_chunks_mut::<4>();
        let (eights, rest) = seen.as_chunks::<8>();
        for (to, from) in fours.iter_mut().zip(eights) {
            to[0] += word(from[0], from[1]);
            to[1] += word(from[2], from[3]);
            to[2] += word(from[4], from[5]);
            to[3] += word(from[6], from[7]);
        }
        let (twos, last) = rest.as_chunks::<2>();
        for (to, from) in few.iter_mut().zip(twos) {
            *to += word(from[0], from[1]);
        }
        if let [last] = last {
            self.rest += u64::from(*last);
        }
    }

    fn log_chances(&self, to: &mut Vec<i32>) {
        to.resize(2 * self.pairs.len() + 1, 0);
        let (twos, last) = to.as_mut_slice().as_chunks_mut::<2>();
        let log_chance = |cost: u64| -i32::try_from(cost).unwrap_or(i32::MAX);
        for (to, pair) in twos.iter_mut().zip(self.pairs.as_slice()) {
            *to = [log_chance(*pair & u64::from(u32::MAX)), log_chance(*pair >> 32)];
        }
        last.iter_mut().for_each(|last| *last = log_chance(self.rest));
    }
}

/// Builds the tables for looking up. Who walks keeps [`Middles`], which reading a state needs.
pub(super) fn tables(ended: &[Ended]) -> (Middles, Counts) {
    let middles = Middles::new();
    let counts = Counts::of(&middles, ended.iter().map(|e| (e.hatched, e.eggs)));
    (middles, counts)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn costs_two_to_a_word_add_up_as_one_by_one() {
        let mut draws = Draws::named(1, "costs");
        for reach in [0usize, 1, 4, 24, 48] {
            let mut one = || -> Vec<u32> { (0..=2 * reach).map(|_| (draws.next() % 20_481) as u32).collect() };
            let rows: Vec<Vec<u32>> = (0..500).map(|_| one()).collect();
            let (mut costs, mut sums) = (Costs::default(), vec![7; 3]);
            costs.start(&rows[0]);
            rows[1..].iter().for_each(|row| costs.add(row));
            costs.log_chances(&mut sums);
            let plain: Vec<i32> =
                (0..=2 * reach).map(|at| -rows.iter().map(|row| i64::from(row[at])).sum::<i64>() as i32).collect();
            assert_eq!(sums, plain, "{reach}");
        }
    }

    #[test]
    fn a_sum_that_is_too_large_is_the_least_likely_and_no_other_sign() {
        let (mut costs, mut sums) = (Costs::default(), Vec::new());
        costs.start(&[1 << 31, 5, u32::MAX]);
        costs.log_chances(&mut sums);
        assert_eq!(sums, [-i32::MAX, -5, -i32::MAX]);
    }

    #[test]
    fn a_prior_is_even_and_flat_beyond_its_ends() {
        let prior = Prior::new(FAR, 11.0);
        let chances = normal(11.0);
        for value in -FAR..=FAR {
            let around = prior.around(-value, SHIFT);
            for d in -SHIFT..=SHIFT {
                let at = (value - d).clamp(-FAR, FAR) + FAR;
                assert_eq!(-(around[(d + SHIFT) as usize] as i32), chances[at as usize], "{value} {d}");
            }
        }
    }
}
