//! How a large barn's book does: `cargo run --release -p book --example season` prints numbers, one line a size;
//! `… --example season lines` prints the lines of the season of 500 animals, 300 clutches, 2,400 babies and about
//! 60,000 meals, one a line, for whoever wants to fill a browser with it.
//!
//! Live records are what Rounds has to look at: animals in the barn, boxes in use, and the eggs still in them.

mod barn;

use barn::{Size, season};
use book::Kind;
use book::views::{ahead, baby_rows, box_rows, rounds, search};
use std::io::Write;
use std::time::Instant;

const SEASON: Size = Size { animals: 500, hatched: 240, boxes: 60, babies: 10, meals: 20 };

/// Milliseconds of processor, the least of so many times: on a busy machine the clock on the wall tells of others.
fn ms<T>(times: u32, mut what: impl FnMut() -> T) -> f64 {
    let best = (0..times).map(|_| {
        let (clock, before) = (Instant::now(), on_processor());
        let _ = std::hint::black_box(what());
        match (before, on_processor()) {
            (Some(before), Some(after)) => (after - before) as f64 / 1e6,
            _ => clock.elapsed().as_secs_f64() * 1e3,
        }
    });
    best.fold(f64::INFINITY, f64::min)
}

/// Nanoseconds this thread has run, where the system tells (Linux).
fn on_processor() -> Option<u64> {
    std::fs::read_to_string("/proc/thread-self/schedstat").ok()?.split(' ').next()?.parse().ok()
}

fn tell(name: &str, size: Size) -> Result<(), String> {
    let clock = Instant::now();
    let barn = season(size)?;
    let made = clock.elapsed().as_secs_f64();
    let (book, now) = (&barn.book, barn.now);
    let count = |kind: Kind| book.journal().records(kind.word()).count();
    let here = book.animals().len();
    let open = book.open_fillings();
    let eggs: usize = open.iter().map(|filling| book.eggs_in(&filling.id).len()).sum();
    let records: usize = Kind::ALL.iter().map(|&kind| count(kind)).sum();
    println!(
        "{name}: live={} records={records} lines={} animals={here} clutches={} boxes={} meals={} made_s={made:.1}",
        here + open.len() + eggs,
        barn.lines.len(),
        count(Kind::Clutch),
        open.len(),
        count(Kind::Meal),
    );
    let due = rounds(book, now).len();
    println!(
        "{name}: rounds_ms={:.2} due={due} boxes_ms={:.1} ahead_ms={:.1} babies_ms={:.1} search_ms={:.3}",
        ms(5, || rounds(book, now)),
        ms(2, || box_rows(book, now)),
        ms(1, || ahead(book, now, 7)),
        ms(3, || baby_rows(book, now)),
        ms(5, || search(book, "26-0031", 12)),
    );
    Ok(())
}

fn main() -> Result<(), String> {
    if std::env::args().nth(1).as_deref() == Some("lines") {
        let barn = season(SEASON)?;
        let mut out = std::io::stdout().lock();
        return barn.lines.iter().try_for_each(|line| writeln!(out, "{line}")).map_err(|why| why.to_string());
    }
    if std::env::args().nth(1).as_deref() == Some("small") {
        return tell("small", Size { animals: 300, hatched: 40, boxes: 20, babies: 10, meals: 6 });
    }
    tell("season", SEASON)?;
    let sized = |n: usize| Size { animals: n * 3 / 10, hatched: n * 3 / 100, boxes: n * 3 / 100, babies: 10, meals: 6 };
    for live in [1_000, 10_000, 100_000] {
        tell(&format!("live_{live}"), sized(live))?;
    }
    Ok(())
}
