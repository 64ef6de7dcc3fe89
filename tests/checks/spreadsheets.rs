//! The spreadsheets read by Python's own `zipfile` and `csv`: every record of the demonstration season is a row, every
//! text comes back as it was typed, however full of the format's own signs.
//!
//! Needs a Python, named in CANDLEMARK_PYTHON or `python3`.

use book::demo;
use chrono::NaiveDate;
use journal::bundle::Ledger;
use journal::{Draft, Id, Identity, Keypair, Tip, Wall, seal};
use serde_json::{Map, Value};
use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

/// What keepers type, and what strangers may: signs of the format, line ends, other scripts, formulas.
const TEXTS: [&str; 6] = [
    "red, \"the old one\"; 12 g",
    "two\nlines",
    "a return\r\nand a tab\there",
    "Größe ✓ 卵 👁",
    "=HYPERLINK(\"https://example.org\")",
    "  blanks at both ends ",
];

/// The season's lines, and one more act of a device of its own with a note of each text.
fn lines() -> Vec<String> {
    let mut lines = demo::season(NaiveDate::from_ymd_opt(2026, 6, 9).expect("a day"));
    let book = Id::mint(demo::BOOK);
    let ledger = Ledger::of(book, [], lines.iter().map(String::as_str));
    let sets = TEXTS.iter().enumerate().map(|(n, text)| {
        let fields = Map::from_iter([("text".to_owned(), Value::from(*text))]);
        ledger.fold().set("note", &format!("SHEET00{n}"), fields)
    });
    let draft = Draft { act: "noted".to_owned(), sets: sets.collect(), ..Draft::default() };
    let identity = Identity {
        book,
        dev: Id::mint([9; 5]),
        by: "Ines Harrow".to_owned(),
        app: "test".to_owned(),
        key: Keypair::from_secret(&[9; 32]).public(),
    };
    let wall = Wall { ms: 1_781_000_000_000, text: "2026-06-09T10:00+00:00".to_owned() };
    lines.push(seal(draft, &identity, &Tip::default(), &wall).expect("a sound draft").line);
    lines
}

/// Rows by file, each a map from heading to cell.
fn read(archive: &[u8]) -> BTreeMap<String, Vec<BTreeMap<String, String>>> {
    let file = std::env::temp_dir().join(format!("candlemark-sheets-{}.zip", std::process::id()));
    std::fs::write(&file, archive).expect("a place for the archive");
    let program = std::env::var_os("CANDLEMARK_PYTHON").unwrap_or_else(|| "python3".into());
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("read_sheets.py");
    let run = Command::new(program).arg(script).arg(&file).output().expect("Python starts");
    std::fs::remove_file(&file).expect("tidied");
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    let sheet = |line: &str| {
        let mut sheet: Value = serde_json::from_str(line).expect("JSON");
        let rows = serde_json::from_value(sheet["rows"].take()).expect("rows of texts, none too long");
        (sheet["name"].as_str().expect("a name").to_owned(), rows)
    };
    String::from_utf8_lossy(&run.stdout).lines().map(sheet).collect()
}

#[test]
fn an_outside_reader_reads_every_record() {
    let lines = lines();
    let book = Id::mint(demo::BOOK);
    let archive = carry::sheets(&(book, Vec::new()), &(lines.join("\n") + "\n")).expect("the spreadsheets");
    let sheets = read(&archive);
    let ledger = Ledger::of(book, [], lines.iter().map(String::as_str));
    let mut texts = 0;
    for kind in ledger.fold().kinds() {
        let records: Vec<_> = ledger.fold().records(kind).collect();
        let rows = sheets.get(&format!("{kind}.csv")).map(Vec::as_slice).unwrap_or_default();
        assert_eq!(rows.len(), records.len(), "{kind}");
        for ((id, record), row) in records.iter().zip(rows) {
            assert_eq!(row["id"], *id);
            for (name, value) in record.fields() {
                let Value::String(text) = value else { continue };
                // An apostrophe keeps a spreadsheet from taking it for a formula.
                let kept = row[name].strip_prefix('\'').unwrap_or(&row[name]);
                assert_eq!(kept, text, "{kind} {id} {name}");
                texts += 1;
            }
        }
    }
    assert!(texts > 1000, "only {texts} texts compared");
    let notes: Vec<&str> = sheets["note.csv"].iter().map(|row| row["text"].as_str()).collect();
    for text in TEXTS {
        let guarded = if text.starts_with('=') { format!("'{text}") } else { text.to_owned() };
        assert!(notes.contains(&guarded.as_str()), "{text:?}");
    }
}
