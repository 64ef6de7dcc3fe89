//! Keepers whose truth is known: do the windows hold what they say?

mod slips;

use super::*;
use crate::path::{Path, Reading, Track, moment};
use crate::species::Profile;
use crate::units::Temp;
use crate::window::{Question, window};
use chrono::TimeDelta;

/// A small generator with a seed (Steele et al. 2014, SplitMix64), and normal draws by inverse.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        crate::gauss::quantile(self.next().clamp(1e-12, 1.0 - 1e-12))
    }

    fn between(&mut self, lo: f64, hi: f64) -> f64 {
        lo + (hi - lo) * self.next()
    }

    /// A draw from a three-dimensional belief, by its Cholesky factor.
    fn from(&mut self, g: &Gaussian) -> [f64; 3] {
        let n = g.len();
        let mut l = [[0.0; 3]; 3];
        for i in 0..3 {
            for j in 0..=i {
                let s: f64 = (0..j).map(|k| l[i][k] * l[j][k]).sum();
                let c = g.cov[i * n + j] - s;
                l[i][j] = if i == j { c.max(1e-18).sqrt() } else { c / l[j][j] };
            }
        }
        let z = [self.normal(), self.normal(), self.normal()];
        std::array::from_fn(|i| g.mean[i] + (0..=i).map(|k| l[i][k] * z[k]).sum::<f64>())
    }
}

/// A keeper: the species as it truly is here, and two shelves with thermometers that are off.
struct Keeper {
    dice: Dice,
    truth: Model,
    between: f64,
    within: f64,
    offsets: [f64; 2],
}

const SHELVES: [(&str, f64); 2] = [("upper", 28.2), ("lower", 26.8)];

/// One clutch as it truly went, and as the keeper's records have it.
struct Clutch {
    place: usize,
    laid: When,
    /// shelf as read over all its time
    read: Vec<Reading>,
    first: NaiveDateTime,
    last: NaiveDateTime,
    eggs: u32,
}

impl Keeper {
    fn new(seed: u64) -> (Self, Model) {
        let model = Model::of(&Profile::find("lampropeltis-californiae").expect("built in"));
        let mut dice = Dice(seed);
        let mut truth = model.clone();
        truth.start = dice.from(&model.belief);
        let mut pick = dice.next();
        let between = model
            .worlds
            .iter()
            .find(|w| {
                pick -= w.ln_weight.exp();
                pick <= 0.0
            })
            .map_or(0.019, |w| w.between);
        let offsets = [0, 1].map(|_| dice.normal() * model.thermometer_sd);
        (Self { dice, truth, between, within: model.within_sd(), offsets }, model)
    }

    /// A clutch laid on about day `n`, its shelf wandering about its set point all season long.
    fn clutch(&mut self, n: i64) -> Clutch {
        let d = &mut self.dice;
        let place = usize::from(d.next() < 0.5);
        let truly_laid = n as f64 * 0.7 + 20_000.0 + d.next();
        let hour = (truly_laid.fract() * 24.0).floor() / 24.0;
        let vague = if d.next() < 0.3 { 2.0 } else { 0.5 };
        let before = d.between(0.0, vague);
        let laid = When::span(
            crate::when::Point::Time(moment(truly_laid - before)),
            crate::when::Point::Time(moment(truly_laid - before + vague)),
        );
        let drift = d.normal() * crate::journey::ASSUMED_C;
        let (mut wander, mut truly, mut read) = (0.0, Vec::new(), Vec::new());
        for k in 0..112 {
            wander = 0.7 * wander + 0.2 * d.normal();
            let t = truly_laid.floor() - 2.0 + hour + f64::from(k);
            // A keeper sets a shelf by its thermometer, so the set point is off with it.
            let c = SHELVES[place].1 + drift + wander;
            let temp = |c: f64| Temp((c * 100.0).round() as i32);
            truly.push(Reading { at: moment(t), temp: temp(c + self.offsets[place]) });
            read.push(Reading { at: moment(t), temp: temp(c) });
        }
        let track = Track::new(Path::new(&truly, None, Temp(0)).expect("read"), &self.truth);
        let own = self.between * d.normal();
        let eggs = 3 + (d.next() * 10.0) as u32;
        let start = track.until(truly_laid).dev;
        // The first pip is what D counts to; the last comes by the range of the clutch's draws.
        let draws: Vec<f64> = (0..eggs).map(|_| d.normal()).collect();
        let (lo, hi) = draws.iter().fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(*v), b.max(*v)));
        let pip = |eps: f64| moment(track.when_reaches(start + eps.exp()));
        Clutch { place, laid, read, first: pip(own), last: pip(own + self.within * (hi - lo)), eggs }
    }
}

impl Clutch {
    /// The shelf as known at `now`.
    fn track(&self, now: NaiveDateTime, model: &Model) -> Track {
        let known: Vec<Reading> = self.read.iter().copied().filter(|r| r.at <= now).collect();
        let set = Temp((SHELVES[self.place].1 * 100.0) as i32);
        Track::new(Path::new(&known, Some(set), Temp(0)).expect("set"), model)
    }

    fn look(&self, t: NaiveDateTime) -> When {
        // Looked at twice a day.
        let half = (days(t) * 2.0).floor() / 2.0;
        When::span(crate::when::Point::Time(moment(half)), crate::when::Point::Time(moment(half + 0.5)))
    }
}

#[derive(Default, Debug)]
struct Tally {
    likely: f64,
    outer: f64,
    last_likely: f64,
    last_outer: f64,
    width: f64,
    n: f64,
}

fn season(keepers: u64, own: i64, asked: i64) -> Tally {
    let mut tally = Tally::default();
    for seed in 0..keepers {
        let (mut keeper, model) = Keeper::new(seed * 7919 + 11);
        let mut learner = Learner::new(model.clone());
        for n in 0..own {
            let c = keeper.clutch(n);
            let track = c.track(c.last, &model);
            let legs = [Leg { from: c.laid.earliest(), place: SHELVES[c.place].0, track: &track }];
            let lesson = learner.add(&Hatched {
                laid: c.laid,
                legs: &legs,
                pip: Pip::Between(c.look(c.first)),
                eggs: c.eggs,
                last_pip: Some(c.look(c.last)),
            });
            assert!(lesson.is_ok(), "{lesson:?}");
        }
        learner.settle();
        let model = learner.into_model();
        for n in 0..asked {
            let c = keeper.clutch(400 + n);
            let now = c.laid.latest() + TimeDelta::days(20);
            let track = c.track(now, &model);
            let legs = [Leg { from: c.laid.earliest(), place: SHELVES[c.place].0, track: &track }];
            let q = Question { laid: c.laid, legs: &legs, eggs: c.eggs, none_by: Some(now), first_pip: None, now };
            let w = window(&model, &q).expect("a window");
            let held = |t: NaiveDateTime, r: (NaiveDateTime, NaiveDateTime)| f64::from(u8::from(r.0 <= t && t <= r.1));
            tally.likely += held(c.first, w.first.likely);
            tally.outer += held(c.first, w.first.outer);
            tally.last_likely += held(c.last, w.last.likely);
            tally.last_outer += held(c.last, w.last.outer);
            tally.width += days(w.first.likely.1) - days(w.first.likely.0);
            tally.n += 1.0;
        }
    }
    for v in [&mut tally.likely, &mut tally.outer, &mut tally.last_likely, &mut tally.last_outer, &mut tally.width] {
        *v /= tally.n;
    }
    tally
}

#[test]
fn windows_hold_what_they_say_and_narrow_with_own_clutches() {
    let mut widths = Vec::new();
    for (own, keepers, asked) in [(0, 1800, 1), (5, 600, 3), (20, 300, 6), (100, 200, 9)] {
        let t = season(keepers, own, asked);
        println!("{own:3} own clutches: {t:?}");
        for (seen, nominal) in [(t.likely, 0.8), (t.outer, 0.95), (t.last_likely, 0.8), (t.last_outer, 0.95)] {
            assert!((seen - nominal).abs() <= 0.03, "{own} own clutches: {seen} for {nominal}");
        }
        widths.push(t.width);
    }
    assert!(widths.windows(2).all(|w| w[1] < w[0]), "{widths:?}");
}

/// A clutch laid at 28 °C, by the records, that pipped `days_on` days later.
fn told(learner: &mut Learner, laid: &str, pip: impl Fn(NaiveDateTime) -> Pip) -> Result<Lesson, NotLearned> {
    let laid: When = laid.parse().expect("a fixture");
    let track = Track::new(Path::steady(Temp(2800)), learner.model());
    let legs = [Leg { from: laid.earliest(), place: "shelf", track: &track }];
    let start = laid.middle();
    let lesson = learner.add(&Hatched { laid, legs: &legs, pip: pip(start), eggs: 8, last_pip: None });
    learner.settle();
    lesson
}

fn king() -> Learner {
    Learner::new(Model::of(&Profile::find("lampropeltis-californiae").expect("built in")))
}

fn after(days_on: i64) -> impl Fn(NaiveDateTime) -> Pip {
    move |t| Pip::Between(When::time(t + TimeDelta::days(days_on)))
}

fn days_now(learner: &Learner) -> f64 {
    learner.model().days_at(28.0).expect("inside")
}

#[test]
fn the_keepers_own_numbers_come_to_dominate() {
    let mut king = king();
    let mut last = (days_now(&king) - 66.0).abs();
    for n in 1..=8 {
        told(&mut king, "2026-05-01T12:00", after(66)).expect("learned");
        let off = (days_now(&king) - 66.0).abs();
        assert!(off < last, "after {n}: {off}");
        last = off;
        assert_eq!(king.model().basis(), crate::response::Basis::Own { clutches: n });
    }
    assert!(king.doubts().iter().all(Option::is_none), "{:?}", king.doubts());
    // What one thermometer cannot tell from the species stays between them: on its own shelf the window is right.
    let model = king.into_model();
    let track = Track::new(Path::steady(Temp(2800)), &model);
    let laid: When = "2026-05-01T12:00".parse().expect("a fixture");
    let legs = [Leg { from: laid.earliest(), place: "shelf", track: &track }];
    let q = Question { laid, legs: &legs, eggs: 8, none_by: None, first_pip: None, now: laid.earliest() };
    let median = days(window(&model, &q).expect("a window").first.median) - days(laid.earliest());
    assert!((median - 66.0).abs() < 1.0, "{median}");
    assert!(model.offset_of("shelf").is_some_and(|(_, sd)| sd > 0.05));
    assert_eq!(model.offset_of("another"), None);
}

#[test]
fn a_vague_clutch_weighs_less() {
    let (mut sharp, mut vague) = (king(), king());
    told(&mut sharp, "2026-05-01T12:00", after(66)).expect("learned");
    told(&mut vague, "2026-04-21T12:00/2026-05-11T12:00", after(66)).expect("learned");
    assert!(days_now(&sharp) > days_now(&vague) + 0.3, "{} {}", days_now(&sharp), days_now(&vague));
    assert!(days_now(&vague) > days_now(&king()));
}

#[test]
fn a_cut_egg_says_only_that_it_had_not_pipped() {
    let start = days_now(&king());
    let cut = |n: i64| {
        let mut m = king();
        told(&mut m, "2026-05-01T12:00", |t| Pip::NotBefore(t + TimeDelta::days(n))).expect("learned");
        days_now(&m)
    };
    let mut pipped = king();
    told(&mut pipped, "2026-05-01T12:00", after(50)).expect("learned");
    assert!((cut(40) - start).abs() < 0.05, "an early cut says nothing: {}", cut(40));
    assert!(cut(66) > start + 1.0, "a late one says that it takes longer: {}", cut(66));
    assert!(days_now(&pipped) < start - 1.0, "a pip is no cut");
}

#[test]
fn what_cannot_be_is_refused_and_changes_nothing() {
    let mut king = king();
    let before = king.model().clone();
    let told_ = told(&mut king, "2026-05-01T12:00", after(-3)).expect_err("refused").to_string();
    assert!(told_.contains("before"), "{told_}");
    let vague = told(&mut king, "2026-03-01/2026-05-10", after(60));
    assert!(matches!(vague, Err(NotLearned::LaidTooVaguely { .. })), "{vague:?}");
    assert!((days_now(&king) - before.days_at(28.0).expect("inside")).abs() < 1e-9);
    assert_eq!(king.model().own_clutches(), 0);
}

#[test]
fn past_windows_are_scored() {
    let day = |n: i64| moment(20_000.0) + TimeDelta::days(n);
    let foretold = Range { median: day(60), likely: (day(57), day(63)), outer: (day(54), day(66)) };
    for (n, expected) in [
        (53, Fell::TooEarly),
        (55, Fell::Early),
        (57, Fell::Likely),
        (63, Fell::Likely),
        (65, Fell::Late),
        (70, Fell::TooLate),
    ] {
        assert_eq!(fell(&foretold, When::time(day(n))), expected, "day {n}");
    }
}
