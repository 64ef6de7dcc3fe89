//! The spreadsheets read by Python's own `zipfile` and `csv`: every record of the demonstration season is a row, every
//! text comes back as it was typed, however full of the format's own signs, masses are numbers of grams.
//!
//! Needs a Python, named in CANDLEMARK_PYTHON or `python3`.

use book::{Book, demo};
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
fn read(of: &str, archive: &[u8]) -> BTreeMap<String, Vec<BTreeMap<String, String>>> {
    let file = std::env::temp_dir().join(format!("candlemark-sheets-{of}-{}.zip", std::process::id()));
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
    let mut book = Book::new(Id::mint(demo::BOOK));
    for line in &lines {
        book.take(line).expect(line);
    }
    let tables: Vec<_> = desk::sheet::tables(&book).into_iter().map(|sheet| (sheet.word, sheet.rows)).collect();
    let sheets = read("all", &carry::sheets(&tables).expect("the spreadsheets"));
    let kinds: Vec<&str> = book.journal().kinds().collect();
    let mut texts = 0;
    for kind in kinds {
        let records = book.journal().records(kind).count();
        let rows = sheets.get(&format!("{kind}.csv")).map(Vec::as_slice).unwrap_or_default();
        assert_eq!(rows.len(), records, "{kind}");
        for row in rows {
            let id = row["Candlemark id"].as_str();
            let record = book.journal().record(kind, id).unwrap_or_else(|| panic!("{kind} {id}"));
            // What somebody typed comes back to the letter, wherever it stands.
            for name in ["text", "note", "name", "code", "number"] {
                let Some(text) = record.text(name) else { continue };
                let kept = |cell: &str| cell == text || cell.strip_prefix('\'') == Some(text);
                assert!(row.values().any(|cell| kept(cell)), "{kind} {id} {name}: {text:?}");
                texts += 1;
            }
        }
    }
    assert!(texts > 300, "only {texts} texts compared");
    let notes: Vec<&str> = sheets["note.csv"].iter().map(|row| row["Text"].as_str()).collect();
    for text in TEXTS {
        let guarded = if text.starts_with('=') { format!("'{text}") } else { text.to_owned() };
        assert!(notes.contains(&guarded.as_str()), "{text:?}");
    }
}

/// An animal's row says what its page does, by numbers that a program outside reads as numbers.
#[test]
fn masses_are_grams_and_names_stand_for_ids() {
    let mut book = Book::new(Id::mint(demo::BOOK));
    for line in demo::season(NaiveDate::from_ymd_opt(2026, 6, 9).expect("a day")) {
        book.take(&line).expect("a line of the season");
    }
    let tables: Vec<_> = desk::sheet::tables(&book).into_iter().map(|sheet| (sheet.word, sheet.rows)).collect();
    let sheets = read("animals", &carry::sheets(&tables).expect("the spreadsheets"));
    let mut weighed = 0;
    for row in &sheets["animal.csv"] {
        let id = row["Candlemark id"].as_str().into();
        let (Some((mass, _)), animal) = (book.weight(&id), book.animal(&id).expect("an animal")) else { continue };
        let grams: f64 = row["Weight (g)"].parse().expect("a number");
        assert!((grams * 1000.0 - mass.0 as f64).abs() < 0.5, "{grams} g, not {} mg", mass.0);
        if let Some(dam) = animal.dam.as_ref().and_then(|dam| book.animal(dam)) {
            let name = dam.name.as_ref().or(dam.code.as_ref()).expect("a name");
            assert!(row["Dam"].contains(name.as_str()), "{} {name}", row["Dam"]);
        }
        weighed += 1;
    }
    assert!(weighed > 20, "{weighed}");
}
