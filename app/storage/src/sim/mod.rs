//! A simulator of devices, tabs and storage: seeded, without a clock or a browser. It tries what nobody would think of,
//! and compares what is shown with what is stored after every quiet moment.
//!
//! `CANDLEMARK_SEED=n cargo test -p storage one_seed -- --nocapture` replays a seed and prints what happened;
//! `CANDLEMARK_SEEDS=n` tries so many seeds instead of the suite's, `CANDLEMARK_MINUTES=n` goes on for so long.

mod brought;
mod chance;
mod compare;
mod deed;
mod happen;
mod harm;
mod storage;
mod world;

use crate::planted::{Fault, plant};
use chance::Chance;
use std::cell::RefCell;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::pin::pin;
use std::rc::Rc;
use std::task::{Context, Poll, Waker};
use std::time::{Duration, Instant};
use storage::{Bits, Device, SimDisk, Ticks};
use world::{Step, World};

/// Seeds that once failed.
const KEPT: &[u64] = &[2618];
const SEEDS: u64 = 500;
/// Seeds within which every planted fault must be found.
const FOUND_WITHIN: u64 = 500;

/// One device where nothing goes wrong.
pub struct Alone {
    pub disk: Rc<SimDisk>,
}

impl Alone {
    pub fn new() -> Alone {
        let device = Rc::new(RefCell::new(Device::new(Bits::new(), 0, Chance::new(1))));
        Alone { disk: Rc::new(SimDisk { device, ticks: Ticks::default() }) }
    }

    /// The answer, once it is there; time goes on meanwhile.
    pub fn wait<T>(&self, asked: impl Future<Output = T>) -> T {
        let mut asked = pin!(asked);
        loop {
            if let Poll::Ready(answer) = asked.as_mut().poll(&mut Context::from_waker(Waker::noop())) {
                return answer;
            }
            self.disk.ticks.set(self.disk.ticks.get() + 1);
        }
    }
}

fn steps(seed: u64) -> Vec<Step> {
    let mut chance = Chance::new(seed ^ 0x5eed);
    let count = 20 + chance.below(100);
    let mut steps: Vec<Step> = (0..count)
        .map(|_| match chance.below(16) {
            0..=6 => Step::Begin(chance.next()),
            7..=12 => Step::Wait(chance.next()),
            13 | 14 => Step::Happen(chance.next()),
            _ => Step::Quiet,
        })
        .collect();
    steps.push(Step::Quiet);
    steps
}

/// Plays a world; what went wrong, and what had happened.
fn play(seed: u64, steps: &[Step]) -> Result<(), (String, Vec<String>)> {
    let mut world = World::new(seed);
    for step in steps {
        // What would trap in the browser is as wrong as a wrong answer.
        let done = catch_unwind(AssertUnwindSafe(|| world.step(*step)));
        let done = done.unwrap_or_else(|panic| {
            let said = panic.downcast_ref::<String>().cloned();
            Err(format!("panic: {}", said.unwrap_or_else(|| "?".to_owned())))
        });
        if let Err(why) = done {
            return Err((why, std::mem::take(&mut world.trace)));
        }
    }
    Ok(())
}

/// The fewest steps that still go wrong.
fn shrunk(seed: u64, mut steps: Vec<Step>) -> Vec<Step> {
    let mut size = steps.len() / 2;
    while size > 0 {
        let mut from = 0;
        while from < steps.len() {
            let mut fewer = steps.clone();
            fewer.drain(from..(from + size).min(steps.len()));
            fewer.push(Step::Quiet);
            if play(seed, &fewer).is_err() {
                fewer.pop();
                steps = fewer;
            } else {
                from += size;
            }
        }
        size /= 2;
    }
    steps.push(Step::Quiet);
    steps
}

fn fails(seed: u64) -> Option<String> {
    play(seed, &steps(seed)).err()?;
    let fewer = shrunk(seed, steps(seed));
    let (why, trace) = play(seed, &fewer).err()?;
    Some(format!("seed {seed}: {why}\n{}", trace.join("\n")))
}

fn asked(name: &str) -> Option<u64> {
    std::env::var(name).ok()?.parse().ok()
}

#[test]
fn what_is_shown_is_what_is_stored_whatever_happens() {
    let seeds = asked("CANDLEMARK_SEEDS").unwrap_or(SEEDS);
    let minutes = asked("CANDLEMARK_MINUTES").map(|minutes| Duration::from_secs(60 * minutes));
    let (begun, mut tried) = (Instant::now(), 0u64);
    for seed in KEPT.iter().copied().chain(0..) {
        let over = minutes.map_or(seed >= seeds && tried >= seeds, |minutes| begun.elapsed() > minutes);
        if over {
            break;
        }
        tried += 1;
        if let Some(failed) = fails(seed) {
            panic!("{failed}");
        }
    }
    println!("{tried} seeds");
}

#[test]
fn one_seed() {
    let seed = asked("CANDLEMARK_SEED").unwrap_or(1);
    if let Some(failed) = fails(seed) {
        panic!("{failed}");
    }
}

#[test]
fn every_planted_fault_is_found() {
    let mut hidden = Vec::new();
    for fault in Fault::ALL {
        plant(Some(fault));
        let found = (0..FOUND_WITHIN).find(|seed| play(*seed, &steps(*seed)).is_err());
        plant(None);
        match found {
            Some(seed) => println!("{fault:?}: found by seed {seed}"),
            None => hidden.push(fault),
        }
    }
    assert!(hidden.is_empty(), "not found within {FOUND_WITHIN} seeds: {hidden:?}");
}
