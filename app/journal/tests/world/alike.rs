//! Lines of form 1, and lines that its short references cannot tell apart.

use super::{Device, HOUR, NOON, book, entries_of, map};
use journal::{Draft, DraftId, DraftSet, Entry, Fold, Hash, Id, Named, Ref};
use serde_json::json;
use std::collections::BTreeMap;

/// A line as form 1 has it: its references are cut to the first eight digits of the hash.
pub fn form_1(line: &str) -> String {
    let mut pieces: Vec<String> = line.replacen(r#""v":2"#, r#""v":1"#, 1).split('"').map(str::to_owned).collect();
    for piece in &mut pieces {
        if let Ok(reference) = piece.parse::<Ref>() {
            *piece = reference.short().to_string();
        }
    }
    pieces.join("\"")
}

/// Two first lines of one device that share the eight digits. Found by trying numbers in the animal's name from 0 on,
/// until one met the digits of another: 89,794 tries in form 1 and 160,919 in form 2, half a second each.
pub fn two(form: i64) -> [String; 2] {
    let line = |n: u32| {
        format!(
            r#"{{"v":{form},"book":"0W3GE1R7","dev":"00000001","seq":1,"at":"019e70448800-0000","wall":"2026-06-09T21:40+02:00","by":"P1","app":"0.1.0","key":"{}","act":"Noted","sets":[{{"kind":"animal","id":"A1","f":{{"name":"Bel {n}"}}}}]}}"#,
            "01".repeat(32)
        )
    };
    if form == 1 { [line(74_990), line(89_793)] } else { [line(99_401), line(160_918)] }
}

/// What another device writes in the animal's name over those acts, in form 1 or 2.
pub fn over(old: bool, lines: &[&String]) -> String {
    let mut other = Device::new(2, NOON + HOUR);
    other.old = old;
    let refs = lines.iter().map(|line| Entry::read(line).expect("reads").reference).collect();
    let sets = vec![DraftSet {
        kind: "animal".into(),
        id: DraftId::Known("A1".into()),
        fields: map(json!({"name": "Moss"})),
        over: BTreeMap::from([("name".to_owned(), refs)]),
    }];
    other.act(Draft { act: "Noted".into(), sets, ..Draft::default() }, None);
    other.lines.remove(0)
}

/// The same entries with hashes made up, so that all of one device and number share the first eight digits: every copied
/// device then has lines that a short reference cannot tell apart.
pub fn alike(lines: &[String]) -> Vec<Entry> {
    let made_up = |dev: Id, seq: u32, hash: Hash| {
        let mut bytes = hash.0;
        bytes[..4].copy_from_slice(&Hash::of(format!("{dev}.{seq}").as_bytes()).0[..4]);
        Hash(bytes)
    };
    let whole = |Ref { dev, seq, hash }: Ref| Ref { dev, seq, hash: made_up(dev, seq, hash) };
    let named = |named: &mut Named| {
        *named = match *named {
            Named::Whole(reference) => Named::Whole(whole(reference)),
            Named::Short(short) => Named::Short(whole(Ref::least(short.dev, short.seq)).short()),
        }
    };
    let mut entries = entries_of(lines);
    for entry in &mut entries {
        entry.reference = whole(entry.reference);
        entry.hash = entry.reference.hash;
        entry.prev = entry.prev.map(|prev| made_up(entry.reference.dev, entry.reference.seq - 1, prev));
        entry.sets.iter_mut().flat_map(|set| set.over.values_mut().flatten()).for_each(named);
        entry.undoes.iter_mut().chain(&mut entry.with).chain(&mut entry.continues).for_each(named);
    }
    entries
}

pub fn fold_entries(entries: &[Entry]) -> Fold {
    let mut fold = Fold::new(book());
    entries.iter().for_each(|entry| drop(fold.take_entry(entry.clone()).expect("an entry of this book is taken")));
    fold
}
