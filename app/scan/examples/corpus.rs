//! How well the reader does on drawn camera frames: `cargo run --release -p scan --example corpus -- DIR [CATEGORY]`.
//!
//! DIR holds `frames.bin` (1280 × 720 grey frames, one after another) and `corpus.json` (for each its category `cat`
//! and `text`, or null where there is no code).

use std::collections::BTreeMap;
use std::io::Read as _;
use std::time::Instant;

const WIDTH: usize = 1280;
const HEIGHT: usize = 720;

#[derive(Default)]
struct Tally {
    frames: usize,
    read: usize,
    wrong: usize,
    ms: Vec<f64>,
}

fn part(sorted: &[f64], share: f64) -> f64 {
    sorted.get(((sorted.len() as f64 - 1.0) * share).round() as usize).copied().unwrap_or(0.0)
}

/// Times each frame is read: the least time counts, since the machine does other things too.
const TIMES: usize = 3;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let dir = args.next().ok_or("say which directory holds frames.bin and corpus.json")?;
    let only = args.next();
    let list: Vec<serde_json::Value> = serde_json::from_str(&std::fs::read_to_string(format!("{dir}/corpus.json"))?)?;
    let mut frames = std::io::BufReader::new(std::fs::File::open(format!("{dir}/frames.bin"))?);
    let mut grey = vec![0; WIDTH * HEIGHT];
    let mut reader = scan::Reader::new();
    let mut tallies: BTreeMap<String, Tally> = BTreeMap::new();
    for frame in &list {
        frames.read_exact(&mut grey)?;
        let category = frame["cat"].as_str().unwrap_or("?").to_string();
        if only.as_ref().is_some_and(|o| *o != category) {
            continue;
        }
        let (mut read, mut ms) = (None, f64::MAX);
        for _ in 0..TIMES {
            reader.forget();
            let start = Instant::now();
            read = reader.read(&grey, WIDTH, HEIGHT);
            ms = ms.min(start.elapsed().as_secs_f64() * 1e3);
        }
        let tally = tallies.entry(category).or_default();
        tally.frames += 1;
        tally.ms.push(ms);
        match (read, frame["text"].as_str()) {
            (Some(read), Some(text)) if read.text() == text => tally.read += 1,
            (Some(read), _) => {
                tally.wrong += 1;
                println!("misread: {} for {}", read.text(), frame);
            }
            (None, None) => {}
            (None, Some(_)) if only.is_some() => println!("missed: {frame}"),
            (None, Some(_)) => {}
        }
    }
    let mut all = Tally::default();
    println!("{:10} {:>9} {:>6} {:>8} {:>8}", "category", "read", "%", "med ms", "p95 ms");
    for (category, tally) in &mut tallies {
        tally.ms.sort_by(f64::total_cmp);
        let rate = 100.0 * tally.read as f64 / tally.frames as f64;
        let (median, p95) = (part(&tally.ms, 0.5), part(&tally.ms, 0.95));
        println!("{category:10} {:>4}/{:<4} {rate:6.1} {median:8.2} {p95:8.2}", tally.read, tally.frames);
        if category != "nocode" {
            all.frames += tally.frames;
            all.read += tally.read;
        }
        all.wrong += tally.wrong;
        all.ms.extend(&tally.ms);
    }
    all.ms.sort_by(f64::total_cmp);
    println!(
        "ours={:.1}% med_ms={:.2} p95_ms={:.2} misreads={}",
        100.0 * all.read as f64 / all.frames.max(1) as f64,
        part(&all.ms, 0.5),
        part(&all.ms, 0.95),
        all.wrong
    );
    Ok(())
}
