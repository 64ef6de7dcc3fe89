//! Ten thousand boxes on forty shelves with sixty days of hourly readings: every shelf summed up and every window
//! given, and what one more reading costs.
//!
//! Run on this machine it prints milliseconds. Built for wasm32 it sums everything once and leaves the timing to who
//! calls it. `cargo xtask bench` does both.

use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};
use trade::journey::Leg;
use trade::path::{Path, Reading, Track};
use trade::response::Model;
use trade::species::Profile;
use trade::units::Temp;
use trade::when::When;
use trade::window::{Question, window};

const BOXES: usize = 10_000;
const SHELVES: usize = 40;
const DAYS: i64 = 60;
const SET: Option<Temp> = Some(Temp(2800));

struct Barn {
    model: Model,
    readings: Vec<Vec<Reading>>,
    places: Vec<String>,
    start: NaiveDateTime,
    now: NaiveDateTime,
}

fn barn() -> Option<Barn> {
    let start = NaiveDate::from_ymd_opt(2026, 5, 1)?.and_time(NaiveTime::MIN);
    let model = Model::of(&Profile::find("lampropeltis-getula")?);
    let shelf = |shelf: usize| {
        let at = |h: i64| {
            let wave = (h as f64 / 24.0 * std::f64::consts::TAU + shelf as f64).sin();
            Reading { at: start + TimeDelta::hours(h), temp: Temp(2750 + shelf as i32 * 3 + (wave * 40.0) as i32) }
        };
        (0..DAYS * 24).map(at).collect()
    };
    let places = (0..SHELVES).map(|i| i.to_string()).collect();
    Some(Barn { model, readings: (0..SHELVES).map(shelf).collect(), places, start, now: start + TimeDelta::days(DAYS) })
}

fn shelves(barn: &Barn) -> Vec<Track> {
    let path = |r: &Vec<Reading>| Path::new(r, SET, Temp(0)).ok();
    barn.readings.iter().filter_map(path).map(|path| Track::new(path, &barn.model)).collect()
}

/// Hours to the median pips, added up: proof that there was something to sum.
fn windows(barn: &Barn, tracks: &[Track]) -> i64 {
    let one = |i: usize| {
        let laid = When::day((barn.start + TimeDelta::days((i % 55) as i64)).date());
        let legs =
            [Leg { from: laid.earliest(), place: &barn.places[i % SHELVES], track: tracks.get(i % SHELVES)? }];
        let (now, none_by) = (barn.now, Some(barn.now));
        let q = Question { laid, legs: &legs, eggs: 5 + (i % 12) as u32, none_by, first_pip: None, now };
        Some((window(&barn.model, &q).ok()?.first.median - barn.start).num_hours())
    };
    (0..BOXES).filter_map(one).sum()
}

/// Everything once.
fn whole() -> i64 {
    barn().map_or(0, |barn| windows(&barn, &shelves(&barn)))
}

#[cfg(target_family = "wasm")]
fn main() {
    // The caller times this; what it gives must not be thought away.
    std::hint::black_box(whole());
}

#[cfg(not(target_family = "wasm"))]
fn main() {
    use std::time::Instant;
    let ms = |clock: Instant| clock.elapsed().as_secs_f64() * 1e3;
    let mut best = [f64::INFINITY; 4];
    let Some(mut barn) = barn() else { return };
    for _ in 0..9 {
        let clock = Instant::now();
        let mut tracks = shelves(&barn);
        let summed = ms(clock);
        let clock = Instant::now();
        assert_ne!(windows(&barn, &tracks), 0);
        let given = ms(clock);
        barn.readings[0].push(Reading { at: barn.now, temp: Temp(2790) });
        let clock = Instant::now();
        if let Ok(path) = Path::new(&barn.readings[0], SET, Temp(0)) {
            tracks[0].extend(path);
        }
        let extended = ms(clock);
        barn.readings[0].pop();
        let clock = Instant::now();
        assert_ne!(whole(), 0);
        let all = ms(clock);
        for (best, new) in best.iter_mut().zip([summed, given, extended, all]) {
            *best = best.min(new);
        }
    }
    println!("{best:?}");
}
