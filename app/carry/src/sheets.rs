//! Everything as spreadsheets, and a spreadsheet's rows: CSV as RFC 4180 has it.

use journal::bundle::{Ledger, pack_files};
use journal::{Id, Record};
use serde_json::Value;
use std::collections::BTreeSet;

/// The most rows read of a spreadsheet.
pub const MAX_ROWS: usize = 20_000;
/// The largest spreadsheet read, in bytes.
const MAX_BYTES: usize = 16 << 20;

/// One CSV file a kind, in one archive: `id`, every field that any record of the kind has, in order of name, and who
/// wrote last. Masses are in milligrams where a name ends in `_mg`, temperatures in 0.01 °C (`_cc`), lengths in
/// micrometres (`_um`), times in minutes (`_min`). Records taken back are left out.
///
/// # Errors
/// A sentence; there is no file then.
pub fn sheets((book, joined): &(Id, Vec<Id>), lines: &str) -> Result<Vec<u8>, String> {
    let ledger = Ledger::of(*book, joined.iter().copied(), lines.lines());
    let fold = ledger.fold();
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    for kind in fold.kinds() {
        let records: Vec<(&str, &Record)> = fold.records(kind).collect();
        if records.is_empty() {
            continue;
        }
        let names: BTreeSet<&str> =
            records.iter().flat_map(|(_, record)| record.fields().map(|(name, _)| name)).collect();
        let mut out = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
        let head = ["id"].into_iter().chain(names.iter().copied());
        out.write_record(head).map_err(|error| error.to_string())?;
        for (id, record) in records {
            let cells = names.iter().map(|name| record.get(name).map(cell).unwrap_or_default());
            let row = std::iter::once(cell(&Value::String(id.to_owned()))).chain(cells);
            out.write_record(row).map_err(|error| error.to_string())?;
        }
        let bytes = out.into_inner().map_err(|error| error.to_string())?;
        files.push((format!("{kind}.csv"), bytes));
    }
    let files: Vec<(&str, &[u8])> = files.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice())).collect();
    pack_files(&files)
}

/// A value as one cell. Lists are parted by blanks. Numbers stand as they are; of all else, what a spreadsheet would take
/// for a formula gets an apostrophe before it, since these files hold what strangers wrote.
fn cell(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::Number(number) => number.to_string(),
        Value::String(text) => plain(text.clone()),
        Value::Array(list) if list.iter().all(Value::is_string) => {
            plain(list.iter().filter_map(Value::as_str).collect::<Vec<_>>().join(" "))
        }
        other => plain(other.to_string()),
    }
}

/// Begins a formula, in some spreadsheet; the wide forms are read as the plain ones where text is written in Chinese,
/// Japanese or Korean.
const FORMULA: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];

/// A text that stays text. Blanks and signs that are not seen may be left off before a cell is read, and a tab or a new
/// line may begin another.
fn plain(text: String) -> String {
    let unseen =
        |c: char| c.is_whitespace() || c.is_control() || matches!(c, '\u{200b}'..='\u{200f}' | '\u{2060}' | '\u{feff}');
    let seen = text.trim_start_matches(unseen);
    if seen.starts_with(FORMULA) || text.starts_with(['\t', '\r', '\n']) { format!("'{text}") } else { text }
}

/// The rows of a spreadsheet's CSV file, parted by commas, semicolons or tabs, whichever its first line has most of.
///
/// # Errors
/// A sentence that says what to do.
pub fn table(bytes: &[u8]) -> Result<Vec<Vec<String>>, String> {
    if bytes.len() > MAX_BYTES {
        return Err("The file is larger than 16 MB. Split it, and bring it in piece by piece.".to_owned());
    }
    if bytes.starts_with(b"PK") {
        return Err(
            "This is the spreadsheet program's own file. Save the sheet as CSV there, then choose that.".to_owned()
        );
    }
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.trim_start_matches('\u{feff}').to_owned(),
        // Older spreadsheets write one byte a letter (ISO 8859-1), which maps onto the same code points.
        Err(_) => bytes.iter().map(|byte| char::from(*byte)).collect(),
    };
    if text.contains('\0') {
        return Err("This is not a CSV file. Save the sheet as CSV, then choose that.".to_owned());
    }
    let first = text.lines().next().unwrap_or_default();
    let count = |mark: char| first.matches(mark).count();
    let mark = [',', ';', '\t'].into_iter().max_by_key(|mark| (count(*mark), *mark == ',')).unwrap_or(',');
    let mut reader =
        csv::ReaderBuilder::new().has_headers(false).flexible(true).delimiter(mark as u8).from_reader(text.as_bytes());
    let mut rows = Vec::new();
    for record in reader.records() {
        let record =
            record.map_err(|error| format!("The file cannot be read as CSV ({error}). Save it anew as CSV."))?;
        let row: Vec<String> = record.iter().map(str::to_owned).collect();
        if row.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        if rows.len() > MAX_ROWS {
            return Err(format!("The file has more than {MAX_ROWS} rows. Split it, and bring it in piece by piece."));
        }
        rows.push(row);
    }
    if rows.len() < 2 {
        return Err("The file has no rows below its headings.".to_owned());
    }
    Ok(rows)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &[u8], expected: Result<&[&[&str]], &str>) {
        match (table(text), expected) {
            (Ok(rows), Ok(expected)) => assert_eq!(rows, expected),
            (Err(said), Err(part)) => assert!(said.contains(part), "{said}"),
            (read, expected) => panic!("{read:?}, not {expected:?}"),
        }
    }

    #[test]
    fn tables_of_any_usual_shape_are_read() {
        check(b"code,name\r\nB07,Bel\r\n", Ok(&[&["code", "name"], &["B07", "Bel"]]));
        check(
            "\u{feff}code;name\nB07;\"Bel; the \"\"old\"\" one\"\n".as_bytes(),
            Ok(&[&["code", "name"], &["B07", "Bel; the \"old\" one"]]),
        );
        check(b"code\tname\nB07\n\n\t\n", Ok(&[&["code", "name"], &["B07"]]));
        check(b"code,name\nB07,Gr\xfcn\n", Ok(&[&["code", "name"], &["B07", "Grün"]]));
        check(b"code,name\n", Err("no rows"));
        check(b"", Err("no rows"));
        check(b"PK\x03\x04", Err("Save the sheet as CSV"));
        check(b"a\0b\nc\n", Err("not a CSV"));
        check("a\n".repeat(MAX_ROWS + 3).as_bytes(), Err("more than 20000 rows"));
    }

    #[test]
    fn cells_are_text_and_never_formulas() {
        for (value, expected) in [
            (serde_json::json!("Bel"), "Bel"),
            (serde_json::json!("=1+1"), "'=1+1"),
            (serde_json::json!("@x"), "'@x"),
            (serde_json::json!("+1"), "'+1"),
            (serde_json::json!("-1"), "'-1"),
            (serde_json::json!(" =1+1"), "' =1+1"),
            (serde_json::json!("\u{a0}\u{feff}=1+1"), "'\u{a0}\u{feff}=1+1"),
            (serde_json::json!("\t1"), "'\t1"),
            (serde_json::json!("\n=1"), "'\n=1"),
            (serde_json::json!("\rx"), "'\rx"),
            (serde_json::json!("＝1+1"), "'＝1+1"),
            (serde_json::json!("＋1"), "'＋1"),
            (serde_json::json!("－1"), "'－1"),
            (serde_json::json!("＠SUM(1)"), "'＠SUM(1)"),
            (serde_json::json!("a = b"), "a = b"),
            (serde_json::json!("B-07"), "B-07"),
            (serde_json::json!(["=HYPERLINK(\"https://a.example\")", "A2"]), "'=HYPERLINK(\"https://a.example\") A2"),
            (serde_json::json!(["", "=1+1"]), "' =1+1"),
            (serde_json::json!([]), ""),
            (serde_json::json!([1, "=1"]), "[1,\"=1\"]"),
            (serde_json::json!(["A1", "A2"]), "A1 A2"),
            (serde_json::json!(640_000), "640000"),
            (serde_json::json!(-5), "-5"),
            (serde_json::json!(true), "true"),
            (serde_json::json!({"a": 1}), "{\"a\":1}"),
        ] {
            assert_eq!(cell(&value), expected);
        }
    }
}
