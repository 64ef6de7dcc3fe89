//! Opens harmed bundles for as long as told: `cargo run --release -p journal --example shake -- SECONDS [SEED]`.
//! A fault shows its seed; put a row for it into `tests/hostile.rs`.

#[path = "../tests/parcel/mod.rs"]
mod parcel;
#[path = "../tests/world/mod.rs"]
mod world;

use std::time::{Duration, Instant};

fn main() {
    let mut words = std::env::args().skip(1).map(|word| word.parse::<u64>().unwrap_or_default());
    let time = Duration::from_secs(words.next().unwrap_or(60));
    let first = words.next().unwrap_or(1);
    let start = Instant::now();
    let (mut seed, mut harmed, mut opened) = (first, 0_u64, 0_u64);
    while start.elapsed() < time {
        let told = std::panic::catch_unwind(|| parcel::shake(&mut parcel::Dice(seed), 500));
        match told {
            Ok(count) => opened += count as u64,
            Err(_) => {
                eprintln!("a fault with seed {seed}");
                std::process::exit(1);
            }
        }
        harmed += 500;
        seed += 1;
    }
    println!(
        "{harmed} harmed bundles in {:?}: {opened} opened, none did harm (seeds {first} to {})",
        start.elapsed(),
        seed - 1
    );
}
