//! Devices, a store and everything that can go wrong between them, from a seed. At the end all faults cease, and all devices
//! come to one digest that holds every act anybody still has.
//!
//! `CANDLEMARK_SEED=n cargo test -p share --test simulation one_seed -- --nocapture` replays a seed and prints what happened
//! where it fails, with `CANDLEMARK_TRACE=1` as it happens;
//! `CANDLEMARK_SEEDS=n` tries so many seeds instead of the suite's, `CANDLEMARK_MINUTES=n` goes on for so long.
//! `CANDLEMARK_ACTS=200000 CANDLEMARK_DEVICES=50 cargo test --release -p share --test simulation many -- --nocapture` plays one
//! large barn.

/// The same dice as in the simulator of `storage`.
#[path = "../../../storage/src/sim/chance.rs"]
mod chance;
mod check;
mod device;
mod happen;
mod lost;
mod safe;
mod store;
mod stories;
mod world;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::{Duration, Instant};
use world::{Size, World};

/// Seeds that once failed.
const KEPT: &[u64] = &[1007, 1704, 3556, 5871, 6935];
const SEEDS: u64 = 200;

fn asked(name: &str) -> Option<u64> {
    std::env::var(name).ok()?.parse().ok()
}

/// What went wrong, and what had happened.
fn fails(seed: u64, size: Size) -> Option<String> {
    let mut world = World::new(seed, size);
    let played = catch_unwind(AssertUnwindSafe(|| world.play()));
    let played = played.unwrap_or_else(|panic| {
        let said = panic.downcast_ref::<String>().cloned();
        Err(format!("panic: {}", said.unwrap_or_else(|| "?".to_owned())))
    });
    let why = played.err()?;
    let last = world.trace.len().saturating_sub(400);
    Some(format!("seed {seed}: {why}\n{}", world.trace[last..].join("\n")))
}

#[test]
fn all_come_to_one_digest_whatever_happens() {
    let seeds = asked("CANDLEMARK_SEEDS").unwrap_or(SEEDS);
    let minutes = asked("CANDLEMARK_MINUTES").map(|minutes| Duration::from_secs(60 * minutes));
    let (begun, mut tried) = (Instant::now(), 0u64);
    for seed in KEPT.iter().copied().chain(0..) {
        if minutes.map_or(tried >= seeds + KEPT.len() as u64, |minutes| begun.elapsed() > minutes) {
            break;
        }
        tried += 1;
        if let Some(failed) = fails(seed, Size::small(seed)) {
            panic!("{failed}");
        }
    }
    println!("{tried} seeds in {} ms", begun.elapsed().as_millis());
}

#[test]
fn one_seed() {
    let seed = asked("CANDLEMARK_SEED").unwrap_or(1);
    if let Some(failed) = fails(seed, Size::small(seed)) {
        panic!("{failed}");
    }
}

/// A barn as large as is asked for; a small one in the suite.
#[test]
fn many_devices_and_acts() {
    let devices = asked("CANDLEMARK_DEVICES").unwrap_or(12);
    let acts = asked("CANDLEMARK_ACTS").unwrap_or(1_500);
    let seed = asked("CANDLEMARK_SEED").unwrap_or(7);
    let begun = Instant::now();
    let mut world = World::new(seed, Size { devices, acts, steps: 600 });
    if let Err(why) = world.play() {
        let last = world.trace.len().saturating_sub(400);
        panic!("{why}\n{}", world.trace[last..].join("\n"));
    }
    println!("{} in {} s", world.numbers(), begun.elapsed().as_secs());
}
