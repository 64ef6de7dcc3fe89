//! What every store has to do.

use crate::client::Ask;
use share::store::{Answer, Found, Verb};

fn put(path: &str, bytes: &[u8]) -> Verb {
    Verb::Put { path: path.to_owned(), bytes: bytes.to_vec() }
}

fn get(path: &str) -> Verb {
    Verb::Get { path: path.to_owned() }
}

fn list(folder: &str) -> Verb {
    Verb::List { folder: folder.to_owned() }
}

pub fn one_of_each() -> [Verb; 4] {
    let delete = Verb::Delete { path: "candlemark-1/verbs/heads/A.age".to_owned() };
    [
        put("candlemark-1/verbs/heads/B.age", b"b"),
        get("candlemark-1/verbs/heads/A.age"),
        list("candlemark-1/verbs/heads"),
        delete,
    ]
}

fn found(store: &impl Ask, folder: &str) -> Vec<Found> {
    match store.ask(list(folder)) {
        Answer::Listed(mut found) => {
            found.sort_by(|a, b| a.name.cmp(&b.name));
            found
        }
        other => panic!("a list of {folder}: {other:?}"),
    }
}

fn names(store: &impl Ask, folder: &str) -> Vec<String> {
    found(store, folder).into_iter().map(|found| found.name).collect()
}

pub fn verbs(store: &impl Ask) {
    let heads = "candlemark-1/verbs/heads";
    let a = "candlemark-1/verbs/heads/A.age";
    assert!(names(store, heads).is_empty(), "nothing is there yet");
    assert_eq!(store.ask(get(a)), Answer::Missing);
    // Bytes of every kind, none, and more than one packet.
    let every: Vec<u8> = (0..=255).collect();
    for bytes in [every.as_slice(), b"", &every.repeat(2_000)] {
        assert_eq!(store.ask(put(a, bytes)), Answer::Done);
        assert_eq!(store.ask(get(a)), Answer::Got(bytes.to_vec()));
    }
    assert_eq!(names(store, heads), ["A.age"]);
    assert_eq!(store.ask(put("candlemark-1/verbs/heads/B.age", b"b")), Answer::Done);
    assert_eq!(store.ask(put("candlemark-1/verbs/lines/DEV/C.00000001-00000002.ab.age", b"c")), Answer::Done);
    assert_eq!(names(store, heads), ["A.age", "B.age"], "of this folder alone");
    assert!(names(store, "candlemark-1/verbs").is_empty(), "folders are no objects");
    assert_eq!(names(store, "candlemark-1/verbs/lines/DEV"), ["C.00000001-00000002.ab.age"]);
    // What was written over is called otherwise, so that a list tells it.
    let before = found(store, heads);
    assert_eq!(store.ask(put(a, b"another one, of another length")), Answer::Done);
    let after = found(store, heads);
    assert!(before[0].tag.is_none() || before[0].tag != after[0].tag, "{before:?} {after:?}");
    assert_eq!(before[1], after[1]);
    let delete = Verb::Delete { path: a.to_owned() };
    assert_eq!(store.ask(delete.clone()), Answer::Done);
    assert_eq!(store.ask(delete), Answer::Done, "twice is as good as once");
    assert_eq!(store.ask(get(a)), Answer::Missing);
    assert_eq!(names(store, heads), ["B.age"]);
}

/// More than is told at once.
pub fn a_long_list(store: &impl Ask) {
    let name = |n: u32| format!("{n:04}.age");
    for n in 0..1_003 {
        assert_eq!(store.ask(put(&format!("candlemark-1/long/{}", name(n)), b"x")), Answer::Done);
    }
    assert_eq!(names(store, "candlemark-1/long"), (0..1_003).map(name).collect::<Vec<_>>());
}
