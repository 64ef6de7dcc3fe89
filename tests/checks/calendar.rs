//! The calendar file (check 23) read by the Python package icalendar, which follows RFC 5545: identifiers, days and
//! texts come back as they were given, however long, accented or full of the format's own signs.
//!
//! Needs a Python with `icalendar`, named in CANDLEMARK_PYTHON or `python3`. `cargo xtask test checks` fetches it.

use book::calendar::{Event, write};
use chrono::{NaiveDate, NaiveDateTime};
use std::ffi::OsString;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

fn day(text: &str) -> NaiveDate {
    text.parse().expect(text)
}

fn event(uid: &str, from: &str, to: &str, title: &str, about: &str) -> Event {
    Event { uid: uid.into(), from: day(from), to: day(to), title: title.into(), about: about.into() }
}

fn moment(text: &str) -> NaiveDateTime {
    text.parse().expect(text)
}

/// One line an event, as the package read it.
fn read(text: &str) -> Vec<Vec<String>> {
    let program: OsString = std::env::var_os("CANDLEMARK_PYTHON").unwrap_or_else(|| "python3".into());
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("read_calendar.py");
    let child = Command::new(&program)
        .arg(script)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .env("PYTHONIOENCODING", "utf-8")
        .spawn();
    let mut child = child.unwrap_or_else(|why| {
        panic!("{} could not be started ({why}): run `cargo xtask test checks`", program.display())
    });
    child.stdin.take().expect("piped").write_all(text.as_bytes()).expect("Python reads");
    let out = child.wait_with_output().expect("Python ends");
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let parts = |line: &str| line.split('\t').map(str::to_owned).collect();
    String::from_utf8_lossy(&out.stdout).lines().map(parts).collect()
}

#[test]
fn an_outside_reader_reads_what_was_written() {
    let long = "Wilhelmina of the Upper Orchard, called Minna; 26-014 × Figaro – très long, ".repeat(4);
    let events = [
        event("hatch.filling:7K3QX2M9@ALDER123.candlemark", "2026-06-08", "2026-06-14", "26-014: hatching likely", ""),
        event(
            "water.filling:7K3QX2M9@ALDER123.candlemark",
            "2026-02-28",
            "2026-02-28",
            "Water; fill to 1486 g",
            "N, 2",
        ),
        event(
            "eggs.animal:0000000Z@ALDER123.candlemark",
            "2025-12-31",
            "2026-01-02",
            &long,
            "line one\nline two \\ end",
        ),
    ];
    let found = read(&write("Alder Lane", &events, moment("2026-06-01T10:20:30")));
    let expected: Vec<Vec<String>> = events
        .iter()
        .map(|event| {
            let after = event.to.succ_opt().expect("a day");
            let about = event.about.replace('\n', "\\n");
            [&event.uid, "3374540", &event.from.to_string(), &after.to_string(), &event.title, &about]
                .map(str::to_owned)
                .into()
        })
        .collect();
    assert_eq!(found, expected);
}

#[test]
fn a_newer_file_has_the_same_identifiers_and_a_higher_number() {
    let one = [event("look.filling:7K3QX2M9@ALDER123.candlemark", "2026-06-08", "2026-06-08", "Look", "")];
    let number = |at: &str| -> (String, i64) {
        let row = read(&write("Alder Lane", &one, moment(at))).remove(0);
        (row[0].clone(), row[1].parse().expect("a number"))
    };
    let (earlier, later) = (number("2026-06-01T10:20:30"), number("2026-06-01T10:21:30"));
    assert_eq!(earlier.0, later.0);
    assert!(later.1 > earlier.1);
}
