//! Four hundred clutches of four species on twenty shelves, laid over ten weeks: how long one forecast takes, windows
//! and hatch rates included; and how long it takes to weigh four hundred that hatched against each other, which a book does
//! once and keeps.
//!
//! Run on this machine it prints the milliseconds of both. Built for wasm32 it draws one season and leaves the timing to who calls
//! it. `cargo xtask bench` does both.

use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};
use trade::forecast::{After, Eggs, Event, Group, MEAL_DAYS, Timing, season};
use trade::journey::Leg;
use trade::luck::{Ended, Luck, Of, Start};
use trade::path::{Path, Track};
use trade::response::Model;
use trade::species::Profile;
use trade::success::Seen;
use trade::units::Temp;
use trade::when::When;
use trade::window::Question;

const CLUTCHES: usize = 400;
const SHELVES: usize = 20;
const SPECIES: [&str; 4] =
    ["lampropeltis-getula", "pantherophis-guttatus", "lampropeltis-californiae", "heterodon-nasicus"];

/// Of a hundred dams, each with one male.
fn of(i: usize, profile: &Profile, year: i32) -> Of {
    let shelf = i / 7 % SHELVES;
    Of {
        start: Start::at(profile.kin, 27.0 + 0.1 * shelf as f64),
        species: SPECIES[i % SPECIES.len()].to_owned(),
        dam: (i % 100).to_string(),
        pair: (i % 100).to_string(),
        shelf: shelf.to_string(),
        season: year.to_string(),
    }
}

/// A season behind of as many clutches teaches hatch rates.
fn rates() -> Luck {
    let ended = (0..CLUTCHES).filter_map(|i| {
        let eggs = 6 + i as u32 % 9;
        let of = of(i, &Profile::find(SPECIES[i % SPECIES.len()])?, 2025);
        Some(Ended { of, hatched: eggs - i as u32 % 4, eggs })
    });
    Luck::learned(&ended.collect::<Vec<_>>(), 1)
}

/// One forecast; gives the babies expected in all.
fn forecast() -> Option<f64> {
    let now: NaiveDateTime = NaiveDate::from_ymd_opt(2026, 6, 9)?.and_time(NaiveTime::MIN);
    let profiles: Vec<Profile> = SPECIES.iter().filter_map(|key| Profile::find(key)).collect();
    let models: Vec<Model> = profiles.iter().map(Model::of).collect();
    let tracks: Vec<Vec<Track>> = models
        .iter()
        .map(|m| (0..SHELVES).map(|s| Track::new(Path::steady(Temp(2700 + 10 * s as i32)), m)).collect())
        .collect();
    let groups: Vec<Group> = (0..CLUTCHES)
        .filter_map(|i| {
            let (species, shelf) = (i % SPECIES.len(), i / 7 % SHELVES);
            let laid = When::day((now - TimeDelta::days((i % 53) as i64)).date());
            let place = shelf.to_string();
            let legs = [Leg { from: laid.earliest(), place: &place, track: tracks.get(species)?.get(shelf)? }];
            let eggs = 6 + i % 9;
            let (none_by, now) = (Some(now), now);
            let q = Question { laid, legs: &legs, eggs: eggs as u32, none_by, first_pip: None, now };
            let profile = profiles.get(species)?;
            Some(Group {
                key: format!("clutch {i}"),
                of: of(i, profile, 2026),
                boxes: 1,
                laid: 1.0,
                eggs: Eggs::Seen { eggs: vec![Seen::NotYet; eggs], late: false },
                timing: Timing::of(models.get(species)?, &q).ok()?,
                after: After { out_h: profile.pip_out_h, shed_days: profile.first_shed_days, meal_days: MEAL_DAYS },
                pipped: Vec::new(),
                young: Vec::new(),
            })
        })
        .collect();
    let drawn = season(&groups, &rates(), now, 26, 1);
    let weeks: f64 = (0..26).map(|w| drawn.week(Event::Out, w).mean + f64::from(drawn.week(Event::Out, w).high)).sum();
    Some(weeks + drawn.whole(Event::Out).mean * groups.len() as f64)
}

#[cfg(target_family = "wasm")]
fn main() {
    // The caller times this; what it gives must not be thought away.
    std::hint::black_box(forecast());
}

#[cfg(not(target_family = "wasm"))]
mod native {
    use super::*;
    use std::time::Instant;
    use trade::learn::{Hatched, Learner, Pip};

    /// Durations learned from as many clutches, a species each; gives the days at 28 °C, summed.
    pub fn durations() -> Option<f64> {
        let start: NaiveDateTime = NaiveDate::from_ymd_opt(2025, 4, 1)?.and_time(NaiveTime::MIN);
        let mut days = 0.0;
        for (species, key) in SPECIES.iter().enumerate() {
            let model = Model::of(&Profile::find(key)?);
            let tracks: Vec<Track> =
                (0..SHELVES).map(|s| Track::new(Path::steady(Temp(2700 + 10 * s as i32)), &model)).collect();
            let mut learner = Learner::new(model.clone());
            for i in (0..CLUTCHES).filter(|i| i % SPECIES.len() == species) {
                let shelf = i / 7 % SHELVES;
                let place = shelf.to_string();
                let laid = start + TimeDelta::days((i % 53) as i64);
                let legs = [Leg { from: laid, place: &place, track: tracks.get(shelf)? }];
                // Three per cent either way, in no order.
                let off = 0.97 + 0.01 * (i * 5 % 7) as f64;
                let length = model.days_at(27.0 + 0.1 * shelf as f64)? * off;
                let pip = Pip::Between(When::time(laid + TimeDelta::minutes((length * 1440.0) as i64)));
                let hatched = Hatched { laid: When::time(laid), legs: &legs, pip, eggs: 8, last_pip: None };
                learner.add(&hatched).ok()?;
            }
            learner.settle();
            days += learner.model().days_at(28.0)?;
        }
        Some(days)
    }

    /// Nanoseconds this thread has had of a processor: on a busy machine the clock on the wall tells of others.
    fn on_processor() -> Option<f64> {
        std::fs::read_to_string("/proc/thread-self/schedstat").ok()?.split(' ').next()?.parse().ok()
    }

    /// Milliseconds by the clock on the wall and of processor, each the least of seven.
    pub fn best(of: fn() -> Option<f64>) -> [f64; 2] {
        let mut best = [f64::INFINITY; 2];
        for _ in 0..7 {
            let (clock, before) = (Instant::now(), on_processor());
            let found = std::hint::black_box(of());
            let wall = clock.elapsed().as_secs_f64() * 1e3;
            let own = before.zip(on_processor()).map_or(wall, |(before, after)| (after - before) / 1e6);
            best = [best[0].min(wall), best[1].min(own)];
            // Nothing forecast would be fast, and worth nothing.
            assert!(found.is_some_and(|found| found > 0.0));
        }
        best
    }
}

#[cfg(not(target_family = "wasm"))]
fn main() {
    let told = [
        native::best(forecast),
        native::best(|| {
            std::hint::black_box(rates());
            Some(1.0)
        }),
        native::best(native::durations),
    ];
    println!("{told:.2?}");
}
