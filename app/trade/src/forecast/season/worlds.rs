//! Barns whose truth is known, and what goes wrong in them. They are made here, not by the forecast's own draws: a
//! clutch's rate is beta, as if the published share were worth [`WORTH`] eggs; troubles move it from there.

use super::*;
use crate::forecast::Timing;
use crate::forecast::{After, Eggs, MEAL_DAYS};
use crate::gauss::quantile;
use crate::journey::Leg;
use crate::luck::{ABOVE_MEAN, CLUTCHES_FAIL, Ended, Of, SHELVES_FAIL, SPREADS, Start};
use crate::path::days;
use crate::path::{Path, Reading, Track};
use crate::response::{Model, basis};
use crate::species::{Kin, Profile};
use crate::success::{Seen, published};
use crate::units::Temp;
use crate::when::When;
use crate::window::Question;

pub(super) const SPECIES: [&str; 3] = ["lampropeltis-getula", "pantherophis-guttatus", "lampropeltis-californiae"];
const SHELVES: [f64; 7] = [27.0, 27.4, 27.8, 28.1, 28.4, 28.7, 29.0];
const DAMS: usize = 10;
pub(super) const WEEKS: usize = 14;
/// How many eggs a published rate was worth in the model these worlds were first made for: kept, so that the worlds are the
/// same ones (our choice, no source).
const WORTH: f64 = 4.1;

/// What is true in a world beside what is believed.
#[derive(Clone, Copy, Default)]
pub(super) struct World {
    pub name: &'static str,
    /// seasons behind it, and clutches in each
    pub seasons: usize,
    pub clutches: usize,
    /// standard deviations, in logits, between dams and between seasons
    pub dams: f64,
    pub season: f64,
    /// shares of clutches and of a season's shelves that fail whole
    pub fails: f64,
    pub shelf_fails: f64,
    /// how much lower the mean rate is than published
    pub lower: f64,
    /// how much longer all days are, a share
    pub days: f64,
    /// °C that each shelf is off, to one side or the other
    pub shelf_c: f64,
    /// all of hatching is drawn from what is believed beforehand
    pub drawn: bool,
}

/// What a world knows and what came.
pub(super) struct Barn {
    pub behind: Vec<Ended>,
    pub groups: Vec<Group>,
    /// babies out in each week, in all, and females of the first species
    pub weeks: Vec<u32>,
    pub whole: u32,
    pub wished: u32,
}

pub(super) struct Luck(Draws);

impl Luck {
    pub fn unit(&mut self) -> f64 {
        ((self.0.next() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        quantile(self.unit())
    }

    fn upto(&mut self, n: usize) -> usize {
        (self.0.next() % n as u64) as usize
    }

    /// Marsaglia & Tsang 2000; below 1 by their boost.
    fn gamma(&mut self, shape: f64) -> f64 {
        if shape < 1.0 {
            let boost = self.unit().powf(1.0 / shape);
            return self.gamma(shape + 1.0) * boost;
        }
        let d = shape - 1.0 / 3.0;
        loop {
            let x = self.normal();
            let v = (1.0 + x / (9.0 * d).sqrt()).powi(3);
            if v > 0.0 && self.unit().ln() < 0.5 * x * x + d - d * v + d * v.ln() {
                return d * v;
            }
        }
    }

    fn beta(&mut self, mean: f64) -> f64 {
        self.beta_of((mean * WORTH, (1.0 - mean) * WORTH))
    }

    fn beta_of(&mut self, (yes, no): (f64, f64)) -> f64 {
        let (a, b) = (self.gamma(yes), self.gamma(no));
        if a + b > 0.0 { a / (a + b) } else { yes / (yes + no) }
    }
}

fn of(species: usize, dam: usize, shelf: usize, season: usize) -> Of {
    Of {
        start: Start::at(Kin::Snake, SHELVES[shelf]),
        species: SPECIES[species].to_owned(),
        dam: format!("dam {dam}"),
        pair: format!("dam {dam}"),
        shelf: format!("shelf {shelf}"),
        season: season.to_string(),
    }
}

/// The published mean rate of a shelf.
fn mean_at(celsius: f64) -> f64 {
    published(Kin::Snake).and_then(|r| r.at(celsius)).unwrap_or(0.7)
}

/// What [`crate::luck`] believes beforehand, as its documents say.
struct Believed {
    shift: f64,
    half: f64,
    spread: f64,
    season: f64,
    fails: (f64, f64),
    shelf_fails: (f64, f64),
}

fn believed() -> Believed {
    let studies = published(Kin::Snake).expect("a table").studies;
    let (half, shift) = (studies.between / 2f64.sqrt(), studies.shift + ABOVE_MEAN);
    Believed { shift, half, spread: SPREADS.0, season: SPREADS.1, fails: CLUTCHES_FAIL, shelf_fails: SHELVES_FAIL }
}

/// The truth of one barn that clutches are made from.
struct Truth {
    world: World,
    species: Vec<f64>,
    dams: Vec<f64>,
    shelves: Vec<f64>,
    season: f64,
    failed: Vec<bool>,
}

impl Truth {
    fn new(mut world: World, luck: &mut Luck) -> Self {
        let (mut keeper, mut pairs, mut shelves) = (0.0, 0.0, 0.0);
        if world.drawn {
            let Believed { shift, half, spread, season, fails, shelf_fails } = believed();
            // A t is a normal by the root of a chi-square over its degrees of freedom.
            let t = |luck: &mut Luck| luck.normal().abs() / (2.0 * luck.gamma(1.5) / 3.0).sqrt();
            (world.dams, pairs) = (spread * t(luck), spread * t(luck));
            (shelves, world.season) = (spread * t(luck), season * t(luck));
            (world.fails, world.shelf_fails) = (luck.beta_of(fails), luck.beta_of(shelf_fails));
            keeper = shift + half * luck.normal();
        }
        let half = if world.drawn { believed().half } else { 0.0 };
        let dams = (0..DAMS * SPECIES.len()).map(|_| world.dams.hypot(pairs) * luck.normal()).collect();
        let shelves = SHELVES.iter().map(|_| shelves * luck.normal()).collect();
        let species = SPECIES.iter().map(|_| keeper + half * luck.normal()).collect();
        Self { world, species, dams, shelves, season: 0.0, failed: Vec::new() }
    }

    fn new_season(&mut self, luck: &mut Luck) {
        self.season = self.world.season * luck.normal();
        self.failed = SHELVES.iter().map(|_| luck.unit() < self.world.shelf_fails).collect();
    }

    /// A clutch's own rate.
    fn rate(&self, dam: usize, shelf: usize, luck: &mut Luck) -> f64 {
        let mean = (mean_at(SHELVES[shelf]) - self.world.lower).clamp(0.02, 0.98);
        let logit =
            (mean / (1.0 - mean)).ln() + self.species[dam / DAMS] + self.dams[dam] + self.shelves[shelf] + self.season;
        let p = luck.beta((1.0 / (1.0 + (-logit).exp())).clamp(0.005, 0.995));
        if luck.unit() < self.world.fails || self.failed[shelf] { 0.0 } else { p }
    }
}

/// The built-in species as the worlds and the forecast believe them.
pub(super) fn models() -> Vec<(String, Model)> {
    let model = |key: &&str| ((*key).to_owned(), Model::of(&Profile::find(key).expect("built in")));
    SPECIES.iter().map(model).collect()
}

pub(super) fn barn(seed: u64, world: World, models: &[(String, Model)], clutches: usize) -> Barn {
    let mut luck = Luck(Draws::named(seed, world.name));
    let luck = &mut luck;
    let mut truth = Truth::new(world, luck);
    let mut behind = Vec::new();
    for season in 0..world.seasons {
        truth.new_season(luck);
        for i in 0..world.clutches {
            let species = i % SPECIES.len();
            let (dam, shelf) = (species * DAMS + luck.upto(DAMS), luck.upto(SHELVES.len()));
            let (rate, eggs) = (truth.rate(dam, shelf, luck), 5 + luck.upto(11) as u32);
            let hatched = (0..eggs).filter(|_| luck.unit() < rate).count() as u32;
            behind.push(Ended { of: of(species, dam, shelf, season), hatched, eggs });
        }
    }
    truth.new_season(luck);
    let now = super::tests::at(super::tests::NOW);
    let figures: Vec<Vec<f64>> = models.iter().map(|(_, m)| drawn_figures(m, luck)).collect();
    let side = |luck: &mut Luck| if luck.unit() < 0.5 { -world.shelf_c } else { world.shelf_c };
    let off: Vec<f64> = SHELVES.iter().map(|_| luck.normal() * models[0].1.thermometer_sd + side(luck)).collect();
    let mut barn = Barn { behind, groups: Vec::new(), weeks: vec![0; WEEKS], whole: 0, wished: 0 };
    for i in 0..clutches {
        let (species, shelf) = (luck.upto(SPECIES.len()), luck.upto(SHELVES.len()));
        let dam = species * DAMS + luck.upto(DAMS);
        let model = &models[species].1;
        let laid = now - TimeDelta::hours(luck.upto(24 * 68) as i64);
        let eggs = 5 + luck.upto(11);
        let x = basis(SHELVES[shelf] + off[shelf]);
        let ln: f64 = x.iter().zip(&figures[species]).map(|(x, t)| x * t).sum();
        let first = (ln + luck.normal() * model.between_var.sqrt()).exp() * (1.0 + world.days);
        if first <= days(now) - days(laid) {
            // Its hatching is under way or over: another story.
            continue;
        }
        let rate = truth.rate(dam, shelf, luck);
        let live = (0..eggs).filter(|_| luck.unit() < rate).count();
        let z: Vec<f64> = (0..live).map(|_| luck.normal()).collect();
        let least = z.iter().copied().fold(f64::INFINITY, f64::min);
        for z in z {
            let pip = first * (model.within_sd() * (z - least)).exp();
            let out = days(laid) + pip + (1.25 + 0.5852 * luck.normal()).max(0.0);
            let week = (out - days(now.date().and_time(chrono::NaiveTime::MIN))) / 7.0;
            if (0.0..WEEKS as f64).contains(&week) {
                barn.weeks[week as usize] += 1;
            }
            barn.whole += 1;
            barn.wished += u32::from(species == 0 && luck.unit() < 0.5);
        }
        barn.groups.push(group(i, models, of(species, dam, shelf, world.seasons), (species, shelf), laid, eggs, now));
    }
    barn
}

/// A clutch as the keeper knows it: the shelf steady and read every day, the truth behind its thermometer.
fn group(
    i: usize,
    models: &[(String, Model)],
    of: Of,
    (species, shelf): (usize, usize),
    laid: NaiveDateTime,
    eggs: usize,
    now: NaiveDateTime,
) -> Group {
    let model = &models[species].1;
    let set = Temp::from_celsius(SHELVES[shelf]).expect("a temperature");
    let readings: Vec<Reading> = (0..=68).map(|d| Reading { at: now - TimeDelta::days(68 - d), temp: set }).collect();
    let track = Track::new(Path::new(&readings, Some(set), Temp(0)).expect("readings"), model);
    let place = format!("shelf {shelf}");
    let legs = [Leg { from: laid, place: &place, track: &track }];
    let n = eggs as u32;
    let q = Question { laid: When::time(laid), legs: &legs, eggs: n, none_by: Some(now), first_pip: None, now };
    Group {
        key: format!("clutch {i}"),
        of,
        boxes: 1,
        laid: 1.0,
        eggs: Eggs::Seen { eggs: vec![Seen::NotYet; eggs], late: false },
        timing: Timing::of(model, &q).expect("a window"),
        after: After { out_h: (12.0, 48.0), shed_days: (5.0, 14.0), meal_days: MEAL_DAYS },
        pipped: Vec::new(),
        young: Vec::new(),
    }
}

/// True figures of a species, drawn from what is believed of them (Cholesky of three).
fn drawn_figures(m: &Model, luck: &mut Luck) -> Vec<f64> {
    let (mean, cov) = (&m.belief.mean, &m.belief.cov);
    let mut l = [[0.0f64; 3]; 3];
    for i in 0..3 {
        for j in 0..=i {
            let sum: f64 = (0..j).map(|k| l[i][k] * l[j][k]).sum();
            let rest = cov[i * 3 + j] - sum;
            l[i][j] = if i == j {
                rest.max(0.0).sqrt()
            } else if l[j][j] > 0.0 {
                rest / l[j][j]
            } else {
                0.0
            };
        }
    }
    let z = [luck.normal(), luck.normal(), luck.normal()];
    (0..3).map(|i| mean[i] + (0..=i).map(|k| l[i][k] * z[k]).sum::<f64>()).collect()
}
