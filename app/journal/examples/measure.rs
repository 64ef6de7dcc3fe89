//! How long folding takes here: 100,000 acts of about 250 bytes on 25,000 records, by three devices.
//! `cargo run --release -p journal --example measure`

use journal::{Draft, Fold, Id, Identity, PublicKey, Tip, Wall, seal};
use serde_json::{Map, Value, json};
use std::time::Instant;

const ACTS: usize = 100_000;

fn main() {
    for records in [10_000, 25_000] {
        run(records);
    }
}

fn run(records: usize) {
    let book = Id::mint([7; 5]);
    let mut fold = Fold::new(book);
    let mut devices: Vec<(Identity, Tip)> = (0..3).map(|n| (identity(book, n), Tip::default())).collect();
    let start = Instant::now();
    let mut lines = Vec::with_capacity(ACTS);
    for n in 0..ACTS {
        let (identity, tip) = &mut devices[n % 3];
        let wall = Wall { ms: 1_780_000_000_000 + n as u64 * 1000, text: "2026-06-09T21:40+02:00".to_owned() };
        let set = fold.set("animal", &id(n % records), fields(n / records, n));
        let draft = Draft { act: "Noted".to_owned(), sets: vec![set], ..Draft::default() };
        let sealed = seal(draft, identity, tip, &wall).expect("a sound draft");
        *tip = sealed.tip;
        fold.take(&sealed.line).expect("a sealed line");
        lines.push(sealed.line);
    }
    let bytes: usize = lines.iter().map(String::len).sum();
    println!(
        "{ACTS} acts on {records} records, {} bytes an act: sealed and folded in {:?}",
        bytes / ACTS,
        start.elapsed()
    );
    let whole = best("fold all lines", || {
        let mut fold = Fold::new(book);
        lines.iter().for_each(|line| drop(fold.take(line)));
        fold
    });
    let text = best("write snapshot", || whole.snapshot());
    println!("  snapshot {} kB, {} bytes a record", text.len() / 1024, text.len() / records);
    let restored = best("restore snapshot", || Fold::restore(&text));
    let digest = best("state digest", || whole.digest());
    println!("  {} {}", digest.short(), restored.is_ok_and(|fold| fold.digest() == digest));
}

fn identity(book: Id, n: u8) -> Identity {
    let key = PublicKey([n; 32]);
    Identity { book, dev: Id::mint([0, 0, 0, 1, n]), by: "Moss".to_owned(), app: "0.1.0".to_owned(), key }
}

fn id(n: usize) -> String {
    let [.., a, b, c, d, e] = n.to_be_bytes();
    Id::mint([a, b, c, d, e]).to_string()
}

/// Each act in turn writes two of eight fields.
fn fields(round: usize, n: usize) -> Map<String, Value> {
    let pair = match round % 4 {
        0 => json!({"code": format!("AL-{n}"), "species": "corn"}),
        1 => json!({"name": "Bel", "mass_mg": n}),
        2 => json!({"sex": "f", "born": "2024-06-09"}),
        _ => json!({"note": "eats well", "line": "Alder Lane"}),
    };
    pair.as_object().cloned().unwrap_or_default()
}

/// The best of five, since other work on the machine only ever makes it slower.
fn best<T>(what: &str, work: impl Fn() -> T) -> T {
    let mut times = Vec::new();
    let mut run = || {
        let start = Instant::now();
        let result = work();
        times.push(start.elapsed());
        result
    };
    (0..4).for_each(|_| drop(run()));
    let result = run();
    println!("  {what}: {:?}", times.into_iter().min().unwrap_or_default());
    result
}
