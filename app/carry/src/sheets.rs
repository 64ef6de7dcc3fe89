//! Everything as spreadsheets, and a spreadsheet's rows: CSV as RFC 4180 has it.

use journal::bundle::pack_files;
use serde_json::Value;
use std::collections::BTreeMap;

/// The most rows read of a spreadsheet.
pub const MAX_ROWS: usize = 20_000;
/// The largest spreadsheet read, in bytes.
const MAX_BYTES: usize = 16 << 20;

/// Sheets as CSV files in one archive, each under its name: UTF-8 with a byte order mark, by which spreadsheets know it.
///
/// # Errors
/// A sentence; there is no file then.
pub fn sheets(sheets: &[(String, Vec<Vec<Value>>)]) -> Result<Vec<u8>, String> {
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    for (name, rows) in sheets {
        let mut out =
            csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer("\u{feff}".as_bytes().to_vec());
        for row in rows {
            out.write_record(row.iter().map(cell)).map_err(|error| error.to_string())?;
        }
        let bytes = out.into_inner().map_err(|error| error.to_string())?;
        files.push((format!("{name}.csv"), bytes));
    }
    let files: Vec<(&str, &[u8])> = files.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice())).collect();
    pack_files(&files)
}

/// A value as one cell. Numbers stand as they are; of all else, what a spreadsheet would take
/// for a formula gets an apostrophe before it, since these files hold what strangers wrote.
fn cell(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::Number(number) => number.to_string(),
        Value::String(text) => plain(text.clone()),
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

/// A row with its number as a spreadsheet counts, blank rows among them.
pub type Line = (usize, Vec<String>);

/// The rows of a spreadsheet's CSV file that are not blank; see [`text_of`] for its letters. Cells are parted by what a
/// first line `sep=;` says, else by the comma, semicolon, tab or bar that parts most rows alike.
///
/// # Errors
/// A sentence that says what to do.
pub fn table(bytes: &[u8]) -> Result<Vec<Line>, String> {
    if bytes.len() > MAX_BYTES {
        return Err("The file is larger than 16 MB. Split it, and bring it in piece by piece.".to_owned());
    }
    if bytes.starts_with(b"PK") || bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]) {
        return Err(
            "This is the spreadsheet program's own file. Save the sheet as CSV there, then choose that.".to_owned()
        );
    }
    let text = text_of(bytes);
    if text.contains('\0') {
        return Err("This is not a CSV file. Save the sheet as CSV, then choose that.".to_owned());
    }
    let (said, text, skipped) = match said_mark(&text) {
        Some((mark, rest)) => (Some(mark), rest, 1),
        None => (None, text.as_str(), 0),
    };
    let mark = said.unwrap_or_else(|| mark_of(text));
    if let Some(line) = open_quote(text, mark) {
        let line = line + skipped;
        return Err(format!(
            "A quotation mark that opens a cell in line {line} is never closed, so all below it would be one cell. Close it or \
             take it out."
        ));
    }
    let mut rows: Vec<Line> = Vec::new();
    // The reader passes over empty lines; lines within quotes are no rows of their own.
    let (mut reader, mut record, mut number) = (reader(text, mark), csv::StringRecord::new(), skipped);
    let unreadable = |error: csv::Error| format!("The file cannot be read as CSV ({error}). Save it anew as CSV.");
    loop {
        let before = reader.position().line();
        if !reader.read_record(&mut record).map_err(unreadable)? {
            break;
        }
        let passed = usize::try_from(reader.position().line() - before).unwrap_or(0);
        let within: usize = record.iter().map(|cell| cell.matches('\n').count()).sum();
        number += passed.saturating_sub(within).max(1);
        let row: Vec<String> = record.iter().map(str::to_owned).collect();
        if row.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        if rows.len() > MAX_ROWS {
            return Err(format!("The file has more than {MAX_ROWS} rows. Split it, and bring it in piece by piece."));
        }
        rows.push((number, row));
    }
    if rows.len() < 2 {
        return Err("The file has no rows below its headings.".to_owned());
    }
    Ok(rows)
}

/// The line of a quotation mark that begins a cell and is not closed before the end. One within a cell is a plain letter.
fn open_quote(text: &str, mark: char) -> Option<usize> {
    let (mut line, mut opened, mut begins) = (1, None, true);
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        line += usize::from(letter == '\n');
        match (opened, letter) {
            (Some(_), '"') if letters.peek() == Some(&'"') => {
                letters.next();
            }
            (Some(_), '"') => opened = None,
            (Some(_), _) => continue,
            (None, '"') if begins => opened = Some(line),
            (None, _) => {}
        }
        begins = opened.is_none() && (letter == mark || letter == '\n' || letter == '\r');
    }
    opened
}

fn reader(text: &str, mark: char) -> csv::Reader<&[u8]> {
    let mut builder = csv::ReaderBuilder::new();
    builder.has_headers(false).flexible(true).delimiter(u8::try_from(mark).unwrap_or(b',')).from_reader(text.as_bytes())
}

/// The mark that a first line says, and what comes below it.
fn said_mark(text: &str) -> Option<(char, &str)> {
    let (first, rest) = text.split_once('\n')?;
    let first = first.trim_end_matches('\r').trim_matches('"');
    let said = first.get(..4).filter(|word| word.eq_ignore_ascii_case("sep="))?;
    let mut marks = first[said.len()..].chars();
    let mark = marks.next().filter(char::is_ascii)?;
    marks.next().is_none().then_some((mark, rest))
}

/// Rows looked at to find what parts their cells.
const LOOKED_AT: usize = 60;

/// What parts most rows into the same number of cells; of marks alike the one that makes more of them.
fn mark_of(text: &str) -> char {
    let alike = |mark: char| {
        let mut widths: BTreeMap<usize, usize> = BTreeMap::new();
        for record in reader(text, mark).records().take(LOOKED_AT).flatten() {
            *widths.entry(record.len()).or_default() += 1;
        }
        widths.into_iter().filter(|(width, _)| *width > 1).map(|(width, rows)| (rows, width)).max().unwrap_or_default()
    };
    [',', ';', '\t', '|'].into_iter().max_by_key(|mark| (alike(*mark), *mark == ',')).unwrap_or(',')
}

/// A file's text. UTF-8 and UTF-16 by their byte order marks; UTF-16 without one by its zeros; what is valid UTF-8 as
/// that; everything else as Windows-1252, which is what older spreadsheets write.
fn text_of(bytes: &[u8]) -> String {
    let utf_16 = |bytes: &[u8], unit: fn([u8; 2]) -> u16| {
        let units = bytes.chunks_exact(2).map(|pair| unit([pair[0], pair[1]]));
        char::decode_utf16(units).map(|letter| letter.unwrap_or(char::REPLACEMENT_CHARACTER)).collect()
    };
    match bytes {
        [0xef, 0xbb, 0xbf, rest @ ..] => String::from_utf8_lossy(rest).into_owned(),
        [0xff, 0xfe, rest @ ..] => utf_16(rest, u16::from_le_bytes),
        [0xfe, 0xff, rest @ ..] => utf_16(rest, u16::from_be_bytes),
        [first, 0, _, 0, ..] if *first != 0 => utf_16(bytes, u16::from_le_bytes),
        [0, second, 0, ..] if *second != 0 => utf_16(bytes, u16::from_be_bytes),
        _ => match std::str::from_utf8(bytes) {
            Ok(text) => text.to_owned(),
            Err(_) => bytes.iter().map(|byte| windows_1252(*byte)).collect(),
        },
    }
}

/// The letters of Windows-1252 that are not those of ISO 8859-1 (WHATWG Encoding Standard, index windows-1252).
const AT_0X80: [char; 32] = [
    '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž', '\u{8f}', '\u{90}', '‘', '’',
    '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}', 'ž', 'Ÿ',
];

fn windows_1252(byte: u8) -> char {
    let high = byte.checked_sub(0x80).and_then(|at| AT_0X80.get(usize::from(at)));
    high.copied().unwrap_or(char::from(byte))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &[u8], expected: Result<&[(usize, &[&str])], &str>) {
        match (table(text), expected) {
            (Ok(rows), Ok(expected)) => {
                let rows: Vec<(usize, Vec<&str>)> =
                    rows.iter().map(|(n, row)| (*n, row.iter().map(String::as_str).collect())).collect();
                let expected: Vec<(usize, Vec<&str>)> = expected.iter().map(|(n, row)| (*n, row.to_vec())).collect();
                assert_eq!(rows, expected);
            }
            (Err(said), Err(part)) => assert!(said.contains(part), "{said}"),
            (read, expected) => panic!("{read:?}, not {expected:?}"),
        }
    }

    #[test]
    fn tables_of_any_usual_shape_are_read() {
        check(b"code,name\r\nB07,Bel\r\n", Ok(&[(1, &["code", "name"]), (2, &["B07", "Bel"])]));
        check(
            "\u{feff}code;name\nB07;\"Bel; the \"\"old\"\" one\"\n".as_bytes(),
            Ok(&[(1, &["code", "name"]), (2, &["B07", "Bel; the \"old\" one"])]),
        );
        check(b"code\tname\nB07\n\n\t\nB08\tAsh\n", Ok(&[(1, &["code", "name"]), (2, &["B07"]), (5, &["B08", "Ash"])]));
        check(b"code|name\nB07|Bel\n", Ok(&[(1, &["code", "name"]), (2, &["B07", "Bel"])]));
        // An inch is no opening mark, and a quotation within a cell is closed where it ends.
        check(
            b"name,tub\nAsh,4\" deep\nBel,\"a \"\"b\"\"\"\n",
            Ok(&[(1, &["name", "tub"]), (2, &["Ash", "4\" deep"]), (3, &["Bel", "a \"b\""])]),
        );
        check(b"name,species\n\"Broken,corn\nSue,corn\n", Err("in line 2 is never closed"));
        check(b"sep=;\nname;species\nAsh;corn\nBel;\"corn\nSue;corn\n", Err("in line 4 is never closed"));
        check(b"sep=;\r\ncode;weight\r\nB07;1,5\r\n", Ok(&[(2, &["code", "weight"]), (3, &["B07", "1,5"])]));
        check(b"\"SEP=,\"\ncode,name\nB07,Bel\n", Ok(&[(2, &["code", "name"]), (3, &["B07", "Bel"])]));
        // Decimals with commas do not part the cells of a sheet that is parted by semicolons.
        check(
            b"code;weight;length\nB07;1,5;2,5\nB08;1,25;3\n",
            Ok(&[(1, &["code", "weight", "length"]), (2, &["B07", "1,5", "2,5"]), (3, &["B08", "1,25", "3"])]),
        );
        // A title above, a note of two lines within quotes, and the rows below keep their numbers.
        check(
            b"My animals\n\ncode,note\nB07,\"one\ntwo\"\n\nB08,x\n",
            Ok(&[(1, &["My animals"]), (3, &["code", "note"]), (4, &["B07", "one\ntwo"]), (6, &["B08", "x"])]),
        );
        check(b"code,name\n", Err("no rows"));
        check(b"", Err("no rows"));
        check(b"PK\x03\x04", Err("Save the sheet as CSV"));
        check(b"\xd0\xcf\x11\xe0\xa1\xb1", Err("Save the sheet as CSV"));
        check(b"ab\0b\nc\n", Err("not a CSV"));
        check("a\n".repeat(MAX_ROWS + 3).as_bytes(), Err("more than 20000 rows"));
    }

    /// The same text in each way it may be written down. Windows-1252 beside Python's own table (cp1252), which maps
    /// these bytes so.
    #[test]
    fn letters_are_read_in_any_usual_encoding() {
        let text = "code,name\nB07,Grün “Žižka” 5 €\n";
        let expected: &[(usize, &[&str])] = &[(1, &["code", "name"]), (2, &["B07", "Grün “Žižka” 5 €"])];
        let marked = format!("\u{feff}{text}");
        check(text.as_bytes(), Ok(expected));
        check(marked.as_bytes(), Ok(expected));
        for text in [text, &marked] {
            let little: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
            let big: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
            check(&little, Ok(expected));
            check(&big, Ok(expected));
        }
        check(b"code,name\nB07,Gr\xfcn \x93\x8ei\x9eka\x94 5 \x80\n", Ok(expected));
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
            (serde_json::json!([1, "=1"]), "[1,\"=1\"]"),
            (serde_json::json!(640_000), "640000"),
            (serde_json::json!(-5), "-5"),
            (serde_json::json!(28.1), "28.1"),
            (serde_json::json!(true), "true"),
            (serde_json::json!({"a": 1}), "{\"a\":1}"),
        ] {
            assert_eq!(cell(&value), expected);
        }
    }
}
