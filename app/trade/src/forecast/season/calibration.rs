//! Simulated barns whose truth is known: do the ranges hold what they say? The barns are made here from the model of the
//! world (durations, thermometers, clutches, eggs), not by the forecast's own draws.

use super::*;
use crate::forecast::{After, Eggs, MEAL_DAYS, survival};
use crate::gauss::quantile;
use crate::journey::Leg;
use crate::path::{Path, Track};
use crate::rates::{Belief, count_range, poisson_binomial};
use crate::response::{Model, basis};
use crate::species::{Kin, Profile};
use crate::success::Seen;
use crate::units::Temp;
use crate::when::When;
use crate::window::Question;

const SEASONS: u64 = 200;
const CLUTCHES: usize = 36;
const SHELVES: [f64; 4] = [27.0, 27.8, 28.4, 29.0];
const WEEKS: usize = 14;
/// Weeks in which fewer are expected say little of a range.
const AT_LEAST: f64 = 6.0;

struct World {
    draws: Draws,
}

impl World {
    fn unit(&mut self) -> f64 {
        ((self.draws.next() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        quantile(self.unit())
    }

    fn upto(&mut self, n: u64) -> u64 {
        self.draws.next() % n
    }
}

/// Quantiles of a belief, made once: drawing from it is then one look-up.
struct Rates(Vec<f64>);

impl Rates {
    fn of(b: Belief) -> Self {
        Self((0..400).map(|i| b.quantile((f64::from(i) + 0.5) / 400.0).expect("a chance")).collect())
    }
}

/// A season as the keeper sees it on a day, and what then came out in each week.
fn barn(seed: u64, models: &[(String, Model)], rates: &[(Belief, Rates)]) -> (Vec<Group>, Vec<u32>) {
    let mut world = World { draws: Draws::named(seed, "world") };
    let now = super::tests::at(super::tests::NOW);
    let truths: Vec<Vec<f64>> = models.iter().map(|(_, m)| drawn_figures(m, &mut world)).collect();
    let error = |world: &mut World, sd: f64| world.normal() * sd;
    let off: Vec<f64> = SHELVES.iter().map(|_| error(&mut world, models[0].1.thermometer_sd)).collect();
    let (mut groups, mut came) = (Vec::new(), vec![0; WEEKS]);
    for i in 0..CLUTCHES {
        let (which, shelf) = (world.upto(models.len() as u64) as usize, world.upto(4) as usize);
        let (key, model) = &models[which];
        let laid = now - TimeDelta::hours(world.upto(24 * 68) as i64);
        let eggs = 5 + world.upto(11) as usize;
        let x = basis(SHELVES[shelf] + off[shelf]);
        let ln: f64 = x.iter().zip(&truths[which]).map(|(x, t)| x * t).sum();
        let first = (ln + world.normal() * model.between_var.sqrt()).exp();
        let after = After { out_h: (12.0, 48.0), shed_days: (5.0, 14.0), meal_days: MEAL_DAYS };
        let age = days(now) - days(laid);
        if first <= age {
            // Its hatching is under way or over: another story.
            continue;
        }
        let p = rates[shelf].1.0[world.upto(400) as usize];
        let live = (0..eggs).filter(|_| world.unit() < p).count();
        let z: Vec<f64> = (0..live).map(|_| world.normal()).collect();
        let least = z.iter().copied().fold(f64::INFINITY, f64::min);
        for z in z {
            let pip = first * (model.within_sd() * (z - least)).exp();
            let out = days(laid) + pip + (1.25 + 0.5852 * world.normal()).max(0.0);
            let week = (out - days(now.date().and_time(chrono::NaiveTime::MIN))) / 7.0;
            if (0.0..WEEKS as f64).contains(&week) {
                came[week as usize] += 1;
            }
        }
        // Steady and read every day: the true temperature hides behind the thermometer only.
        let set = Temp::from_celsius(SHELVES[shelf]).expect("a temperature");
        let readings: Vec<crate::path::Reading> =
            (0..=68).map(|d| crate::path::Reading { at: now - TimeDelta::days(68 - d), temp: set }).collect();
        let track = Track::new(Path::new(&readings, Some(set), Temp(0)).expect("readings"), model);
        let place = format!("shelf {shelf}");
        let legs = [Leg { from: laid, place: &place, track: &track }];
        let n = eggs as u32;
        let q = Question { laid: When::time(laid), legs: &legs, eggs: n, none_by: Some(now), first_pip: None, now };
        groups.push(Group {
            key: format!("clutch {i}"),
            species: key.clone(),
            shelf: place.clone(),
            boxes: 1,
            laid: 1.0,
            eggs: Eggs::Seen { eggs: vec![Seen::NotYet; eggs], late: false },
            rate: rates[shelf].0,
            timing: Timing::of(model, &q).expect("a window"),
            after,
            pipped: Vec::new(),
            young: Vec::new(),
        });
    }
    (groups, came)
}

/// True figures of a species, drawn from what is believed of them (Cholesky of three).
fn drawn_figures(m: &Model, world: &mut World) -> Vec<f64> {
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
    let z = [world.normal(), world.normal(), world.normal()];
    (0..3).map(|i| mean[i] + (0..=i).map(|k| l[i][k] * z[k]).sum::<f64>()).collect()
}

/// What a week's range would be if every egg of the barn were a coin of its own with the right chance.
fn independent(season: &Season, groups: &[Group], week: usize) -> (u32, u32) {
    let mut coins = Vec::new();
    for maker in season.makers(Event::Out, week) {
        let Eggs::Seen { eggs, .. } = &groups[maker.group].eggs else { continue };
        coins.extend(std::iter::repeat_n((maker.mean / eggs.len() as f64).min(1.0), eggs.len()));
    }
    let all = poisson_binomial(&coins).expect("chances");
    count_range(&all, 0.8).map_or((0, 0), |(a, b)| (a as u32, b as u32))
}

/// A whole number on the rim of a range is in it only as far as the range's share of it goes; counting half of each rim
/// keeps a range of whole numbers from looking wider than it is.
fn inside(n: u32, low: u32, high: u32) -> f64 {
    match n {
        n if low < n && n < high => 1.0,
        n if n == low || n == high => {
            if low == high {
                0.8
            } else {
                0.5
            }
        }
        _ => 0.0,
    }
}

#[test]
fn eight_weeks_of_ten_come_as_foretold_and_independent_coins_fail() {
    let models: Vec<(String, Model)> = ["lampropeltis-getula", "pantherophis-guttatus", "lampropeltis-californiae"]
        .iter()
        .map(|key| ((*key).to_owned(), Model::of(&Profile::find(key).expect("built in"))))
        .collect();
    let rates: Vec<(Belief, Rates)> = SHELVES
        .iter()
        .map(|c| {
            let b = survival::believed(Kin::Snake, *c, (0, 0), (0, 0));
            (b, Rates::of(b))
        })
        .collect();
    let (mut held, mut held_coins, mut weeks) = (0.0, 0.0, 0u32);
    for seed in 0..SEASONS {
        let (groups, came) = barn(seed, &models, &rates);
        let drawn = season_of(&groups, super::tests::at(super::tests::NOW), WEEKS, 400, seed);
        for (week, &n) in came.iter().enumerate() {
            let count = drawn.week(Event::Out, week);
            if count.mean < AT_LEAST {
                continue;
            }
            weeks += 1;
            held += inside(n, count.low, count.high);
            let (low, high) = independent(&drawn, &groups, week);
            held_coins += inside(n, low, high);
        }
    }
    let (held, coins) = (held / f64::from(weeks), held_coins / f64::from(weeks));
    println!("weeks {weeks}: ranges held {:.1} %, independent coins {:.1} %", held * 100.0, coins * 100.0);
    assert!(weeks > 1000);
    assert!((0.77..=0.83).contains(&held), "80 % ranges held {held:.3} of {weeks} weeks");
    assert!(coins < 0.70, "independent coins would pass: {coins:.3}");
}
