//! A walk through what may be true of a keeper's clutches: each step draws one unknown anew, given all others and what
//! came of the clutches (Gibbs sampling; Gelman et al., Bayesian Data Analysis). In whole numbers throughout: see
//! [`super::tables`].

use super::tables::{Choice, Counts, FAR, LOGIT, Middles, SDS, WIDTHS, nats, normal};
use super::{Ended, KINDS, Kind, Shape, State, shape};
use crate::forecast::draws::Draws;

/// How much lower a failing shelf's clutches lie.
pub(super) const FAILING: i32 = 5 * LOGIT;

struct Clutch {
    /// mean rate under the present state, a failing shelf left out
    eta: i32,
    levels: [Option<usize>; KINDS],
    shelf_season: Option<usize>,
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
    /// a season on a shelf: whether it fails, and its clutches
    shelves: Vec<(bool, Vec<usize>)>,
    /// log chances of values: by [`SDS`], then the fixed ones
    priors: Vec<(i32, Vec<i32>)>,
    /// index in [`SDS`] by kind, or of the fixed one
    sds: [usize; KINDS],
    width: usize,
    fails: usize,
    shelf_fails: usize,
    choice: Choice,
    draws: Draws,
    sums: Vec<i32>,
}

impl<'a> Chain<'a> {
    pub fn new(
        ended: &[Ended],
        indexed: &[([Option<usize>; KINDS], Option<usize>)],
        counts: &'a Counts,
        seed: u64,
    ) -> Self {
        let shape = shape();
        let mut priors: Vec<(i32, Vec<i32>)> =
            SDS.iter().map(|sd| ((7 * sd / 2 + 1).min(FAR), normal(f64::from(*sd)))).collect();
        let fixed: Vec<usize> = shape
            .fixed
            .iter()
            .map(|sd| {
                priors.push((FAR, normal(sd * f64::from(LOGIT))));
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
                let levels = *own;
                Clutch {
                    eta: e.of.start.steps,
                    levels,
                    shelf_season: *shelf_season,
                    row,
                    none: e.hatched == 0,
                    failed: false,
                }
            })
            .collect();
        let mut sds = [4; KINDS];
        (sds[Kind::Keeper as usize], sds[Kind::Species as usize]) = (fixed[0], fixed[1]);
        let (choice, draws) = (Choice::new(), Draws::named(seed, "luck"));
        let sums = Vec::new();
        Self {
            shape,
            counts,
            clutches,
            levels,
            shelves,
            priors,
            sds,
            width: 1,
            fails: 2,
            shelf_fails: 1,
            choice,
            draws,
            sums,
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

    fn drop_of(&self, clutch: &Clutch) -> i32 {
        if clutch.shelf_season.is_some_and(|at| self.shelves[at].0) { FAILING } else { 0 }
    }

    /// One dam's, shelf's, season's effect.
    fn effect(&mut self, kind: usize, level: usize) {
        let at = &self.levels[kind][level];
        let (old, prior) = (at.value, at.prior.unwrap_or(self.sds[kind]));
        let (reach, chances) = &self.priors[prior];
        let reach = *reach;
        self.sums.clear();
        self.sums.extend(&chances[(FAR - reach) as usize..=(FAR + reach) as usize]);
        for &i in &at.clutches {
            let clutch = &self.clutches[i];
            if clutch.failed {
                continue;
            }
            let without = clutch.eta - old - self.drop_of(clutch);
            let seen = self.counts.around(clutch.row, self.width, without, reach);
            self.sums.iter_mut().zip(seen).for_each(|(sum, seen)| *sum += seen);
        }
        let new = self.choice.draw(&self.sums, self.draws.next()) as i32 - reach;
        self.levels[kind][level].value = new;
        for &i in &self.levels[kind][level].clutches {
            self.clutches[i].eta += new - old;
        }
    }

    /// Moves what all levels of a kind share to the keeper's own effect, or back: no clutch's rate changes by it, and the
    /// walk would take long to find the way one level at a time.
    fn shift(&mut self, kind: usize) {
        const REACH: i32 = FAR / 2;
        let everywhere = self.clutches.iter().all(|clutch| clutch.levels[kind].is_some());
        if !everywhere || self.levels[kind].is_empty() {
            return;
        }
        let keeper = self.levels[0][0].value;
        self.sums.clear();
        let inside = |v: i32| (v + FAR).clamp(0, 2 * FAR) as usize;
        self.sums.extend((-REACH..=REACH).map(|d| {
            let own: i32 = self.levels[kind]
                .iter()
                .map(|level| self.priors[level.prior.unwrap_or(self.sds[kind])].1[inside(level.value - d)])
                .sum();
            self.priors[self.sds[0]].1[inside(keeper + d)] + own
        }));
        let d = self.choice.draw(&self.sums, self.draws.next()) as i32 - REACH;
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
            let values = self.levels[kind].iter().map(|level| self.priors[i].1[(level.value + FAR) as usize]);
            self.sums.push(chance + values.sum::<i32>());
        }
        self.sds[kind] = self.choice.draw(&self.sums, self.draws.next());
    }

    /// How much clutches differ that share everything else.
    fn clutch_width(&mut self) {
        self.sums.clear();
        for width in 0..WIDTHS.len() {
            let seen = self.clutches.iter().filter(|clutch| !clutch.failed);
            let seen: i32 =
                seen.map(|clutch| self.counts.around(clutch.row, width, clutch.eta - self.drop_of(clutch), 0)[0]).sum();
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
                let of = |eta: i32| self.counts.around(clutch.row, self.width, eta, 0)[0];
                chances[0] += of(clutch.eta);
                chances[1] += of(clutch.eta - FAILING);
            }
            self.shelves[at].0 = self.choice.draw(&chances, self.draws.next()) == 1;
        }
        let mut failed = 0;
        for i in 0..self.clutches.len() {
            let clutch = &self.clutches[i];
            if !clutch.none {
                continue;
            }
            let seen = self.counts.around(clutch.row, self.width, clutch.eta - self.drop_of(clutch), 0)[0];
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

/// Builds the tables for looking up. Who walks keeps [`Middles`], which reading a state needs.
pub(super) fn tables(ended: &[Ended]) -> (Middles, Counts) {
    let middles = Middles::new();
    let counts = Counts::of(&middles, ended.iter().map(|e| (e.hatched, e.eggs)));
    (middles, counts)
}
