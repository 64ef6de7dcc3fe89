//! What the format page shows: an example bundle, and lines with what they add up to, for programs in any language.

use super::{files, sound};
use crate::world::alike::{over, two};
use crate::world::{Device, HOUR, NOON, book, map, record_id};
use journal::{Draft, DraftSet, Entry, Fold, Hash};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// Lines, and what a reader must make of them.
fn vector(name: &str, lines: &[String]) -> Value {
    let mut fold = Fold::new(book());
    for line in lines {
        fold.take(line).expect("a line of the example");
    }
    let hashes: Vec<String> = lines.iter().map(|line| Hash::of(line.as_bytes()).to_string()).collect();
    let records: BTreeMap<&str, usize> = fold.kinds().map(|kind| (kind, fold.records(kind).count())).collect();
    let clashes: Vec<String> = fold.clashes().map(|clash| format!("{} {}", clash.key, clash.field)).collect();
    let missing: u32 = fold.missing().map(|chain| chain.missing).sum();
    let values: BTreeMap<String, Value> = fold
        .kinds()
        .flat_map(|kind| fold.records(kind).map(move |(id, record)| (kind, id, record)))
        .map(|(kind, id, record)| {
            let fields: BTreeMap<&str, &Value> = record.fields().collect();
            (format!("{kind}:{id}"), json!(fields))
        })
        .collect();
    json!({
        "name": name, "lines": lines, "hashes": hashes, "digest": fold.digest(), "short": fold.digest().short(),
        "records": records, "values": values, "clashes": clashes, "missing": missing,
    })
}

/// The vectors, as `public/format/vectors.json` holds them.
pub fn vectors() -> String {
    let mut bel = Device::new(1, NOON);
    bel.set("animal", &record_id(1), json!({"name": "Bel", "mass_mg": 640_000}));
    bel.set("animal", &record_id(1), json!({"mass_mg": 655_000, "note": null}));
    let plain = bel.lines.clone();

    let mut moss = Device::new(2, NOON + HOUR);
    plain.iter().for_each(|line| moss.receive(line));
    moss.set("animal", &record_id(1), json!({"name": "Belle"}));
    bel.set("animal", &record_id(1), json!({"name": "Bela"}));
    let clash: Vec<String> = bel.lines.iter().chain(&moss.lines[2..]).cloned().collect();

    let mut settled = bel.clone();
    settled.receive(&moss.lines[2]);
    settled.set("animal", &record_id(1), json!({"name": "Belle"}));
    let withdrawn = {
        let mut device = settled.clone();
        let set = device.fold.withdraw("animal", &record_id(1));
        device.act(Draft { act: "Withdrawn".into(), sets: vec![set], ..Draft::default() }, None);
        let sets = vec![DraftSet::observation("note", map(json!({"text": "Bel is not here. “Quotes”, ü and 蛇."})))];
        device.act(Draft { act: "Noted".into(), sets, ..Draft::default() }, None);
        device.lines
    };
    let reversed: Vec<String> = settled.lines.iter().rev().cloned().collect();
    let gap: Vec<String> = plain.iter().skip(1).cloned().collect();

    let mut copy = moss.clone();
    moss.set("egg", "E1", json!({"seen": "veins"}));
    copy.wall += HOUR;
    copy.set("egg", "E1", json!({"seen": "clear"}));
    let forked: Vec<String> = plain.iter().chain(&moss.lines[2..]).chain(&copy.lines[3..]).cloned().collect();

    let mut newer = Device::new(3, NOON);
    let set = newer.fold.set("kind_of_next_year", "K1", map(json!({"field_of_next_year": [1, {"a": null}]})));
    newer.act(Draft { act: "ActOfNextYear".into(), sets: vec![set], ..Draft::default() }, Some(r#""part":{"x":15}"#));
    let mut updated = Device::new(4, NOON);
    updated.old = true;
    updated.set("animal", &record_id(1), json!({"name": "Bel", "note": "calm"}));
    updated.set("animal", &record_id(1), json!({"name": "Bela"}));
    updated.old = false;
    updated.set("animal", &record_id(1), json!({"name": "Belle"}));
    let written_over = |old: bool| {
        let [one, other] = two(1);
        let over = over(old, &[&one]);
        [one, other, over]
    };
    let vectors = [
        vector("no lines", &[]),
        vector("one device", &plain),
        vector("two devices that did not know of each other: a clash", &clash),
        vector("the clash settled", &settled.lines),
        vector("the same lines backwards", &reversed),
        vector("a record withdrawn, and an observation", &withdrawn),
        vector("the first line missing: the second waits", &gap),
        vector("a device that was copied", &forked),
        vector("of a newer version", &newer.lines),
        vector("lines of form 1, then of form 2", &updated.lines),
        vector("two lines that share the first eight digits of their hashes", &two(2)),
        vector("a line of form 1 written over both", &written_over(true)),
        vector("a line of form 2 written over one of them", &written_over(false)),
    ];
    serde_json::to_string_pretty(&vectors).expect("JSON") + "\n"
}

/// The example, as `public/format/example.zip` holds it.
pub fn example() -> Vec<u8> {
    sound()
}

/// Every line of a bundle, as a stranger would find them.
pub fn lines_of(bytes: &[u8]) -> Vec<String> {
    let text = |(name, content): (String, Vec<u8>)| {
        name.starts_with("entries/").then(|| String::from_utf8(content).expect("UTF-8"))
    };
    let lines: Vec<String> = files(bytes)
        .into_iter()
        .filter_map(text)
        .flat_map(|t| t.lines().map(str::to_owned).collect::<Vec<_>>())
        .collect();
    lines.iter().for_each(|line| drop(Entry::read(line).expect("an entry")));
    lines
}
