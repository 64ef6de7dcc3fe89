//! Spreadsheets, out and in; pictures and their room.

use super::count;
use book::acts::Column;
use book::views::PhotoSeason;
use chrono::NaiveDate;

pub const TITLE: &str = "Spreadsheets";
pub const SAID: &str =
    "All records as CSV, one file a kind, in one archive; or animals and clutches brought in from a spreadsheet.";
pub const OUT: &str = "Take everything out as CSV";
pub const IN: &str = "Bring a sheet in";

/// `barn-csv-2026-06-09.zip`.
pub fn file_name(today: NaiveDate) -> String {
    format!("barn-csv-{today}.zip")
}

pub const IN_TITLE: &str = "Bring a sheet in";
pub const IN_SAID: &str = "Save the sheet as CSV, its first row being headings. Nothing is saved before you have seen what comes of each row.";
pub const WHAT: &str = "What the rows are";
pub const ANIMALS: &str = "Animals";
pub const CLUTCHES: &str = "Clutches";
pub const CHOOSE: &str = "Choose the CSV file";
pub const COLUMNS: &str = "What the columns are";
pub const LEAVE_OUT: &str = "leave out";

pub fn heading(head: &str, example: &str) -> String {
    let head = if head.trim().is_empty() { "a column without heading" } else { head.trim() };
    if example.trim().is_empty() { head.to_owned() } else { format!("{head}: {}", example.trim()) }
}

pub fn column_key(column: Column) -> &'static str {
    match column {
        Column::Code => "code",
        Column::Name => "name",
        Column::Species => "species",
        Column::Sex => "sex",
        Column::Morph => "morph",
        Column::Line => "line",
        Column::Locality => "locality",
        Column::Born => "born",
        Column::Note => "note",
        Column::Number => "number",
        Column::Dam => "dam",
        Column::Sire => "sire",
        Column::Laid => "laid",
        Column::Good => "good",
        Column::Dud => "dud",
        Column::Slug => "slug",
        Column::Hatched => "hatched",
    }
}

pub fn column(column: Column) -> &'static str {
    match column {
        Column::Born => "born or hatched on",
        Column::Number => "clutch number",
        Column::Dam => "dam (code or name)",
        Column::Sire => "sire (code or name)",
        Column::Laid => "laid on",
        Column::Good => "good eggs",
        Column::Dud => "duds",
        Column::Slug => "slugs",
        Column::Hatched => "eggs hatched",
        other => column_key(other),
    }
}

pub fn found(good: usize, bad: usize) -> String {
    let good = count(good, "row can come in", "rows can come in");
    if bad == 0 { format!("{good}.") } else { format!("{good}; {bad} will not, and why:") }
}

pub fn bad_row(row: usize, why: &str) -> String {
    format!("Row {row}: {why}")
}

pub fn more(n: usize) -> String {
    format!("and {} more", count(n, "row", "rows"))
}

pub fn bring(good: usize) -> String {
    format!("Bring in {}", count(good, "row", "rows"))
}

pub fn brought_in(rows: usize) -> String {
    format!("{} brought in.", count(rows, "row", "rows"))
}

pub const PICTURES: &str = "Photos on this device";
pub const DROP: &str = "Free their room";
pub const DROP_NOW: &str = "Drop them";
pub const DROP_SURE: &str = "Only a bundle with photos brings them back.";

pub fn pictures(season: PhotoSeason, n: usize) -> String {
    let photos = count(n, "photo", "photos");
    match season {
        PhotoSeason::Laid(year) => format!("Season {year}, eggs and young: {photos}"),
        PhotoSeason::Taken(year) => format!("Everything else of {year}: {photos}"),
        PhotoSeason::Unknown => format!("Nobody knows when: {photos}"),
    }
}

pub fn dropped(n: usize) -> String {
    format!("{} dropped from this device.", count(n, "photo", "photos"))
}
