//! How a large barn's book does: `cargo run --release -p book --example season` prints numbers, one line a size;
//! `… --example season -- keep FOLDER` writes the season of 500 animals, 300 clutches, 2,400 babies and about 60,000 meals
//! as a browser keeps it (`tests/bench/history.mjs` puts it there); `… -- pages` tells what each page asks of it.
//!
//! Live records are what Rounds has to look at: animals in the barn, boxes in use, and the eggs still in them.

mod barn;
mod pages;

use barn::{Barn, Size, season};
use book::acts::{Act, BoxCandled, MealOffered, ReadingTaken};
use book::views::{ahead, baby_rows, box_rows, rounds, search};
use book::words::MealOutcome;
use book::{Book, Kind};
use chrono::TimeDelta;
use std::path::Path;
use std::time::Instant;
use trade::units::Temp;
use trade::when::When;

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
    let first = wall_ms(|| rounds(&fresh, now));
    let due = rounds(book, now).len();
    println!(
        "{name}: rounds_ms={:.2} first_ms={first:.1} due={due} boxes_ms={:.1} ahead_ms={:.1} babies_ms={:.1} search_ms={:.3}",
        ms(20, |minute| rounds(book, now + TimeDelta::minutes(minute.into()))),
        ms(5, |_| box_rows(book, now)),
        ms(2, |_| ahead(book, now, 7)),
        ms(3, |_| baby_rows(book, now)),
        ms(100, |_| search(book, "26-0031", 12)),
    );
    after(name, barn)
}

/// Milliseconds by the clock on the wall, once: what is too short for the processor's own count is told by the median
/// of many.
fn wall_ms<T>(what: impl FnOnce() -> T) -> f64 {
    let clock = Instant::now();
    let _ = std::hint::black_box(what());
    clock.elapsed().as_secs_f64() * 1e3
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// What a look at Rounds, and a search, cost right after an act: medians; the acts themselves are not counted.
fn after(name: &str, mut barn: Barn) -> Result<(), String> {
    const TIMES: usize = 25;
    let fillings: Vec<_> = barn.book.open_fillings().iter().map(|filling| filling.id.clone()).collect();
    let animals: Vec<_> = barn.book.animals().iter().map(|animal| animal.id.clone()).collect();
    let shelves: Vec<_> = barn.book.shelves().iter().map(|shelf| shelf.id.clone()).collect();
    let mut looks = Vec::new();
    let (mut sought, note) = (Vec::new(), String::new());
    for what in 0..3 {
        let mut spent = Vec::new();
        for n in 0..TIMES {
            barn.now += TimeDelta::minutes(1);
            let (now, when) = (barn.now, When::time(barn.now));
            let act: Box<dyn Act> = match what {
                0 => {
                    let filling = fillings[n * 7 % fillings.len()].clone();
                    Box::new(BoxCandled { filling, when, changes: Default::default(), note: note.clone() })
                }
                1 => Box::new(MealOffered {
                    animals: vec![animals[n * 7 % animals.len()].clone()],
                    offered: when,
                    outcome: Some(MealOutcome::Refused),
                    prey: "mouse".to_owned(),
                    size: note.clone(),
                    how: note.clone(),
                }),
                _ => {
                    let place = shelves[n * 7 % shelves.len()].clone();
                    Box::new(ReadingTaken { place, when, temp: Temp(2790), humidity: None, source: note.clone() })
                }
            };
            barn.act(&*act)?;
            spent.push(wall_ms(|| rounds(&barn.book, now)));
            sought.push(wall_ms(|| search(&barn.book, "26-0031", 12)));
        }
        looks.push(median(spent));
    }
    println!(
        "{name}: rounds_after_ms candled={:.2} meal={:.2} reading={:.2} search_after_ms={:.3}",
        looks[0],
        looks[1],
        looks[2],
        median(sought)
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
        (Some("pages"), days) => return pages::tell(days.and_then(|days| days.parse().ok()).unwrap_or(0)),
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
