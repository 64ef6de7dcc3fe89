//! How a large barn's book does: `cargo run --release -p book --example season` prints numbers, one line a size;
//! `… --example season -- keep FOLDER` writes the season of 500 animals, 300 clutches, 2,400 babies and about 60,000 meals
//! as a browser keeps it (`tests/bench/history.mjs` puts it there).
//!
//! Live records are what Rounds has to look at: animals in the barn, boxes in use, and the eggs still in them.

mod barn;

use barn::{Size, season};
use book::views::{ahead, baby_rows, box_rows, rounds, search};
use book::{Book, Kind};
use chrono::TimeDelta;
use std::path::Path;
use std::time::Instant;

const SEASON: Size = Size { animals: 500, hatched: 240, boxes: 60, babies: 10, meals: 20 };

/// Milliseconds of processor, on average over so many times: on a busy machine the clock on the wall tells of others.
fn ms<T>(times: u32, mut what: impl FnMut(u32) -> T) -> f64 {
    let (clock, before) = (Instant::now(), on_processor());
    for time in 1..=times {
        let _ = std::hint::black_box(what(time));
    }
    let all = match (before, on_processor()) {
        (Some(before), Some(after)) => (after - before) as f64 / 1e6,
        _ => clock.elapsed().as_secs_f64() * 1e3,
    };
    all / f64::from(times)
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
    // As a start has it: nothing summed up yet. Then every minute anew, as the page asks.
    let fresh = Book::restore(&book.snapshot()).map_err(|why| why.to_string())?;
    let first = ms(1, |_| rounds(&fresh, now));
    let due = rounds(book, now).len();
    println!(
        "{name}: rounds_ms={:.2} first_ms={first:.1} due={due} boxes_ms={:.1} ahead_ms={:.1} babies_ms={:.1} search_ms={:.3}",
        ms(20, |minute| rounds(book, now + TimeDelta::minutes(minute.into()))),
        ms(5, |_| box_rows(book, now)),
        ms(2, |_| ahead(book, now, 7)),
        ms(3, |_| baby_rows(book, now)),
        ms(100, |_| search(book, "26-0031", 12)),
    );
    Ok(())
}

/// The season's lines, one each.
fn keep(folder: &Path) -> Result<(), String> {
    let told = |why: std::io::Error| why.to_string();
    let barn = season(SEASON)?;
    std::fs::create_dir_all(folder).map_err(told)?;
    std::fs::write(folder.join("lines.ndjson"), barn.lines.join("\n") + "\n").map_err(told)
}

fn main() -> Result<(), String> {
    let mut asked = std::env::args().skip(1);
    match (asked.next().as_deref(), asked.next()) {
        (Some("keep"), Some(folder)) => return keep(Path::new(&folder)),
        (Some("small"), _) => {
            return tell("small", Size { animals: 300, hatched: 40, boxes: 20, babies: 10, meals: 6 });
        }
        _ => {}
    }
    tell("season", SEASON)?;
    let sized = |n: usize| Size { animals: n * 3 / 10, hatched: n * 3 / 100, boxes: n * 3 / 100, babies: 10, meals: 6 };
    for live in [1_000, 10_000, 100_000] {
        tell(&format!("live_{live}"), sized(live))?;
    }
    Ok(())
}
