//! What clutches share: how a keeper's eggs hatch, and what is not known of it.
//!
//! The mean rate of a clutch, in logits, is the published one at its temperature, moved by what is not known (how this
//! keeper's eggs fare, how this species' do) and by what differs (dam, pair, shelf, season). Around that mean clutches
//! have luck of their own. Apart from it a clutch may fail whole, and a shelf may fail for a season. How much dams,
//! pairs, shelves, seasons and clutches differ, and how often things fail, is itself unknown, and learned.
//!
//! Guarantees: the same clutches and seed give the same answer on every machine. With no clutch of the keeper's own the
//! answer is what is believed beforehand; what no clutch tells of (a new dam, the coming season) is drawn from how much
//! its like differ.
//! Absent by design: causes beyond the ones named, and deaths of babies.
//!
//! What is believed beforehand comes from published hatch rates where they tell it ([`crate::success::HatchRates`]); the
//! rest is marked.

mod chain;
mod tables;
#[cfg(test)]
mod tests;

use crate::forecast::draws::{Draws, Normals};
use crate::priors;
use crate::species::Kin;
use crate::success;
use chain::{Chain, FAILING};
use std::collections::BTreeMap;
use std::sync::Arc;
pub(crate) use tables::{LOGIT, Middles, share, steps};

/// What moves a clutch's mean rate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Keeper,
    Species,
    Dam,
    Pair,
    Shelf,
    Season,
}

pub(crate) const KINDS: usize = 6;

/// The rate to begin with.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Start {
    /// sixteenths of a logit
    pub(crate) steps: i32,
    /// from a published table; else less is known of the species
    pub(crate) tabled: bool,
}

/// The mean rate where no table by temperature serves: about seven in ten (common practice, no source).
pub const UNTABLED: f64 = 0.7;

impl Start {
    /// Published for a kin at a mean temperature, or [`UNTABLED`].
    pub fn at(kin: Kin, celsius: f64) -> Self {
        let table = success::published(kin).and_then(|rates| rates.typical(celsius));
        let middle = table.unwrap_or((UNTABLED / (1.0 - UNTABLED)).ln()) + ABOVE_MEAN;
        Self { steps: steps(middle), tabled: table.is_some() }
    }

    /// A clutch in the middle has this rate, a logit.
    pub fn middle(logit: f64) -> Self {
        Self { steps: steps(logit), tabled: true }
    }
}

/// Whose luck a clutch shares. Texts are ids; empty: not known, and shared with no other clutch.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Of {
    pub start: Start,
    pub species: String,
    pub dam: String,
    pub pair: String,
    pub shelf: String,
    pub season: String,
}

/// A clutch whose story has ended.
#[derive(Clone, Debug, PartialEq)]
pub struct Ended {
    pub of: Of,
    pub hatched: u32,
    pub eggs: u32,
}

/// How much is believed beforehand of each spread. The tests' independent program has the same figures.
struct Shape {
    /// standard deviations, in logits: the keeper's effect, a species', that of a species without a table
    fixed: [f64; 3],
    /// log chances of [`tables::SDS`], for dams, pairs and shelves and for seasons, and of [`tables::WIDTHS`]
    spreads: Vec<i32>,
    season: Vec<i32>,
    widths: Vec<i32>,
    /// chances of failing, of 65 536, with their log chances
    fails: Vec<(u32, i32)>,
    shelf_fails: Vec<(u32, i32)>,
}

/// Dams, pairs and shelves differ by a half-t of three degrees of freedom and the first scale, in logits, seasons by the
/// second. Together that is 1.35 logits (median of draws), wider than the 0.77 by which published treatments of one study
/// differ: too wide is safer here than too narrow (our choice, no source).
pub(crate) const SPREADS: (f64, f64) = (0.6, 0.8);
/// A published share is a mean over dams, pairs and clutches that failed; a clutch in the middle lies so much higher, in
/// logits, that what is expected of a keeper nobody knows is the published mean within a tenth (a test compares them).
pub(crate) const ABOVE_MEAN: f64 = 0.6;
/// Clutches that share everything else differ by about a logit (common practice, no source).
const WIDTH_CHANCES: [f64; 4] = [0.2, 0.4, 0.25, 0.15];
/// Chances of failing whole that are told apart.
const FAILS: [f64; 13] = [0.003, 0.01, 0.02, 0.035, 0.05, 0.07, 0.1, 0.13, 0.17, 0.22, 0.28, 0.35, 0.43];
/// What is believed of them, as if so many had failed and so many not: one clutch of twenty, and of a season's shelves one
/// of thirteen (common practice, no source).
pub(crate) const CLUTCHES_FAIL: (f64, f64) = (0.6, 11.4);
pub(crate) const SHELVES_FAIL: (f64, f64) = (0.7, 8.3);

fn shape() -> Shape {
    // No study keeps a species apart from the hands it was in: half each. Snakes' studies stand for all kin: no others were
    // found that serve.
    let half = priors::SNAKE_HATCH.studies.between * std::f64::consts::FRAC_1_SQRT_2;
    // Steps are uneven: each stands for as much as lies around it.
    let around = |at: &[f64], i: usize| {
        let (first, last) = (if i == 0 { 0.0 } else { at[i - 1] }, at.get(i + 1).unwrap_or(&at[i]));
        0.5 * (last - first)
    };
    let sds = tables::SDS.map(|sd| f64::from(sd) / f64::from(LOGIT));
    let spread = |scale: f64| {
        let half_t = |sd: f64| (1.0 + (sd / scale).powi(2) / 3.0).powi(-2);
        (0..sds.len()).map(|i| tables::nats(around(&sds, i) * half_t(sds[i]))).collect()
    };
    let grid = |(yes, no): (f64, f64)| {
        let density = |p: f64| p.powf(yes - 1.0) * (1.0 - p).powf(no - 1.0);
        let chance = |p: f64| (p * 65_536.0).round() as u32;
        (0..FAILS.len()).map(|i| (chance(FAILS[i]), tables::nats(around(&FAILS, i) * density(FAILS[i])))).collect()
    };
    let widths = WIDTH_CHANCES.map(tables::nats).to_vec();
    Shape {
        fixed: [half, half, 1.0],
        spreads: spread(SPREADS.0),
        season: spread(SPREADS.1),
        widths,
        fails: grid(CLUTCHES_FAIL),
        shelf_fails: grid(SHELVES_FAIL),
    }
}

/// One thing that may be true.
#[derive(Clone, Debug)]
struct State {
    levels: Vec<Vec<i16>>,
    sds: [i32; KINDS],
    failing: Vec<bool>,
    width: usize,
    fails: u32,
    shelf_fails: u32,
}

/// What is believed of a keeper's hatch rates: 400 to 1,500 equally likely samples of the unknowns.
#[derive(Clone)]
pub struct Luck {
    known: Arc<Known>,
    seed: u64,
}

struct Known {
    names: [BTreeMap<String, usize>; KINDS],
    shelf_seasons: BTreeMap<(String, String), usize>,
    states: Vec<State>,
    middles: Middles,
    fixed: [f64; 3],
}

impl std::fmt::Debug for Luck {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Luck of {} states", self.known.states.len())
    }
}

/// Samples kept, at least and at most. Between these the work stays the same however many clutches there are (from 166 to
/// 624); above, it grows with them.
const STATES: (usize, usize) = (400, 1500);
const WORK: usize = 250_000;

impl Luck {
    /// What is believed once these clutches' stories have ended. Counts that contradict themselves teach nothing.
    pub fn learned(ended: &[Ended], seed: u64) -> Self {
        let ended: Vec<Ended> = ended.iter().filter(|e| e.eggs > 0 && e.hatched <= e.eggs).cloned().collect();
        let states = (WORK / (ended.len() + 1)).clamp(STATES.0, STATES.1);
        Self::walked(&ended, states, seed)
    }

    fn walked(ended: &[Ended], states: usize, seed: u64) -> Self {
        let mut names: [BTreeMap<String, usize>; KINDS] = Default::default();
        let mut shelf_seasons = BTreeMap::new();
        let indexed: Vec<_> = ended
            .iter()
            .map(|e| {
                let own = texts(&e.of).map(|text| text.to_owned());
                let levels = std::array::from_fn(|kind| {
                    let known = names[kind].len();
                    let named = kind == Kind::Keeper as usize || !own[kind].is_empty();
                    named.then(|| *names[kind].entry(own[kind].clone()).or_insert(known))
                });
                let known = shelf_seasons.len();
                let named = !e.of.shelf.is_empty();
                let at =
                    named.then(|| *shelf_seasons.entry((e.of.shelf.clone(), e.of.season.clone())).or_insert(known));
                (levels, at)
            })
            .collect();
        let (middles, counts) = chain::tables(ended);
        let mut chain = Chain::new(ended, &indexed, &counts, seed);
        (0..states / 5).for_each(|_| chain.sweep());
        let states = (0..states)
            .map(|_| {
                chain.sweep();
                chain.state()
            })
            .collect();
        let known = Known { names, shelf_seasons, states, middles, fixed: shape().fixed };
        Self { known: Arc::new(known), seed }
    }
}

/// What a season's clutches share, draw by draw: each dam's, shelf's… effects are drawn once.
pub(crate) struct Shares<'a> {
    luck: Luck,
    normals: &'a Normals,
    draws: usize,
    /// of each draw, index of the width of clutches' own luck, and chance of 65 536 that a clutch fails whole
    widths: Arc<[u8]>,
    fails: Arc<[u32]>,
    effects: BTreeMap<(usize, String), Arc<[i16]>>,
    failing: BTreeMap<(String, String), Arc<[bool]>>,
}

impl<'a> Shares<'a> {
    pub fn new(luck: &Luck, draws: usize, normals: &'a Normals) -> Self {
        let states = || luck.known.states.iter().cycle().take(draws);
        let (widths, fails) = (states().map(|s| s.width as u8).collect(), states().map(|s| s.fails).collect());
        let (effects, failing) = Default::default();
        Self { luck: luck.clone(), normals, draws, widths, fails, effects, failing }
    }

    /// Those of one clutch; `key` names what it shares with no other.
    pub fn of(&mut self, of: &Of, key: &str) -> Shared {
        let texts = texts(of);
        let or_key = |text: &str| if text.is_empty() { key.to_owned() } else { text.to_owned() };
        let parts = std::array::from_fn(|kind| match kind {
            0 => self.effects_of(kind, String::new(), of.start.tabled),
            _ => self.effects_of(kind, or_key(texts[kind]), of.start.tabled),
        });
        Shared {
            start: of.start.steps,
            parts,
            failing: self.failing_of(or_key(&of.shelf), &of.season),
            widths: self.widths.clone(),
            fails: self.fails.clone(),
            luck: self.luck.clone(),
        }
    }

    fn effects_of(&mut self, kind: usize, name: String, tabled: bool) -> Arc<[i16]> {
        let (known, seed, draws, normals) = (&self.luck.known, self.luck.seed, self.draws, self.normals);
        let drawn = self.effects.entry((kind, name)).or_insert_with_key(|(_, name)| {
            let states = known.states.iter().cycle().take(draws);
            if let Some(level) = known.names[kind].get(name) {
                return states.map(|state| state.levels[kind][*level]).collect();
            }
            let fixed = match kind {
                0 => Some(known.fixed[0]),
                1 => Some(known.fixed[if tabled { 1 } else { 2 }]),
                _ => None,
            };
            let mut fresh = Draws::named(seed, &format!("{kind}:{name}"));
            let sd = |state: &State| fixed.map_or(f64::from(state.sds[kind]), |sd| sd * f64::from(LOGIT));
            states.map(|state| (sd(state) * normals.at(fresh.next())).round() as i16).collect()
        });
        drawn.clone()
    }

    fn failing_of(&mut self, shelf: String, season: &str) -> Arc<[bool]> {
        let (known, seed, draws) = (&self.luck.known, self.luck.seed, self.draws);
        let drawn = self.failing.entry((shelf, season.to_owned())).or_insert_with_key(|at| {
            let states = known.states.iter().cycle().take(draws);
            if let Some(&at) = known.shelf_seasons.get(at) {
                return states.map(|state| state.failing[at]).collect();
            }
            let mut fresh = Draws::named(seed, &format!("fails:{}:{}", at.0, at.1));
            states.map(|state| ((fresh.next() >> 48) as u32) < state.shelf_fails).collect()
        });
        drawn.clone()
    }
}

fn texts(of: &Of) -> [&str; KINDS] {
    ["", &of.species, &of.dam, &of.pair, &of.shelf, &of.season]
}

/// To the nearest whole number, halves away from zero. `f64::round` is a function call for each draw. Exact for an `f32` times a
/// small whole number: adding a half to that loses nothing.
#[inline(always)]
fn rounded(x: f64) -> i32 {
    (x + if x < 0.0 { -0.5 } else { 0.5 }) as i32
}

/// One clutch's share of what may be true, by draw.
#[derive(Clone, Debug)]
pub(crate) struct Shared {
    start: i32,
    parts: [Arc<[i16]>; KINDS],
    failing: Arc<[bool]>,
    widths: Arc<[u8]>,
    fails: Arc<[u32]>,
    luck: Luck,
}

impl Shared {
    /// The effect of a kind in a draw, sixteenths of a logit.
    pub fn effect(&self, kind: Kind, draw: usize) -> i32 {
        i32::from(self.parts[kind as usize][draw])
    }

    pub fn shelf_fails(&self, draw: usize) -> bool {
        self.failing[draw]
    }

    /// Where the clutch's rate lies by its own luck `z`, in sixteenths of a logit; `begun`: its shelf did not fail.
    #[inline(always)]
    pub fn rate(&self, draw: usize, z: f64, begun: bool) -> (i32, i32) {
        let eta = self.start + self.parts.iter().map(|part| i32::from(part[draw])).sum::<i32>();
        let eta = eta - if self.failing[draw] && !begun { FAILING } else { 0 };
        let width = usize::from(self.widths[draw]);
        let own = rounded(f64::from(tables::WIDTHS[width]) * z);
        (self.luck.known.middles.at(width, eta) + own, own)
    }

    /// Chance, of 65 536, that a clutch fails whole, before anything was seen of it.
    pub fn fails(&self, draw: usize) -> u32 {
        self.fails[draw]
    }
}
