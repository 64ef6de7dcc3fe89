//! Bundles read by a program in another language, written from `public/format.html` alone: it counts the same records
//! and computes the same digests. Its hashes and archives are those of Python's own library.
//!
//! Needs a Python, named in CANDLEMARK_PYTHON or `python3`.

use journal::bundle::{Ledger, read};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

fn at(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn python(what: &str, file: &Path) -> Vec<Value> {
    let program = std::env::var_os("CANDLEMARK_PYTHON").unwrap_or_else(|| "python3".into());
    let run = Command::new(program).arg(at("read_bundle.py")).arg(what).arg(file).output().expect("Python starts");
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    let text = String::from_utf8(run.stdout).expect("UTF-8");
    text.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect()
}

#[test]
fn a_stranger_reads_the_same_bundle() {
    for file in [
        "../../public/format/example.zip",
        "../../app/journal/tests/fixtures/bundle-1.zip",
        "../../app/journal/tests/fixtures/bundle-2.zip",
    ] {
        let bytes = std::fs::read(at(file)).expect("the bundle");
        let bundle = read(&bytes, &mut |_, _| {}).expect("a sound bundle");
        let ledger = Ledger::of(bundle.manifest.book, [], bundle.lines.iter().map(String::as_str));
        let fold = ledger.fold();
        let records: BTreeMap<&str, usize> = fold.kinds().map(|kind| (kind, fold.records(kind).count())).collect();
        let ours = json!({
            "acts": bundle.lines.len(), "devices": bundle.manifest.devices.len(), "photos": bundle.photos.len(),
            "people": bundle.people.len(), "short": fold.digest().short(), "records": records,
            "clashes": fold.clashes().count(),
        });
        assert_eq!(python("bundle", &at(file)), [ours], "{file}");
    }
}

#[test]
fn a_stranger_adds_the_vectors_up_alike() {
    let path = at("../../public/format/vectors.json");
    let text = std::fs::read_to_string(&path).expect("the vectors");
    let vectors: Vec<Value> = serde_json::from_str(&text).expect("JSON");
    assert!(!vectors.is_empty());
    for (vector, theirs) in vectors.iter().zip(python("vectors", &path)) {
        let told = theirs.as_object().expect("an object");
        assert!(!told.is_empty());
        for (name, value) in told {
            assert_eq!(value, &vector[name], "{}: {name}", vector["name"]);
        }
    }
}
