//! Spreadsheets, out and in; pictures and their room.

use super::{animals, count, dates, names, units};
use crate::prefs::Prefs;
use book::Book;
use book::views::PhotoSeason;
use chrono::NaiveDate;
use desk::sheet::{AnimalRow, Column, Comes, DayOrder, Parent, PlaceFound, Question, RowFound, RowRead, Unclear};

pub const TITLE: &str = "Spreadsheets";
pub const SAID: &str =
    "All records as CSV, one file a kind, in one archive; or animals and clutches from a spreadsheet of yours.";
pub const OUT: &str = "Export everything as CSV";
pub const IN: &str = "Import a spreadsheet";

/// `barn-csv-2026-06-09.zip`.
pub fn file_name(today: NaiveDate) -> String {
    format!("barn-csv-{today}.zip")
}

/// What the file of a kind's records is called, without its ending.
pub fn file(word: &str) -> String {
    super::bundles::kind_name(word).replace(' ', "-").replace('\'', "").to_lowercase()
}

pub const IN_TITLE: &str = "Import a spreadsheet";
pub const IN_SAID: &str = "Save the sheet as CSV and choose it here. You see what comes of each row before anything is saved, and all of it is undone in one tap.";
pub const WHAT: &str = "What the rows are";
pub const ANIMALS: &str = "Animals";
pub const CLUTCHES: &str = "Clutches";
pub const CHOOSE: &str = "Choose the CSV file";
pub const CHOOSE_ANOTHER: &str = "Choose another file";
pub const UNREADABLE: &str = "The file could not be read. Choose it again.";
pub const HERE: &str = "here";
pub const READING: &str = "Reading the file…";
pub const COLUMNS_HOW: &str = "This device remembers what you choose for the next sheet with the same headings.";
pub const LEAVE_OUT: &str = "leave out";
pub const QUESTIONS: &str = "What the sheet leaves open";
pub const UNCLEAR: &str = "Cells that can't be read";
pub const UNCLEAR_HOW: &str = "Equal cells are fixed together. The file itself stays as it is.";
pub const LEAVE_EMPTY: &str = "Leave empty";
pub const ROWS_OUT: &str = "Leave these rows out";
pub const TAKE_BACK: &str = "As it was";
pub const CHOOSE_ONE: &str = "choose";
pub const LEFT_EMPTY: &str = "Left empty.";
pub const LEFT_OUT: &str = "These rows stay out.";
pub const PLACES_MADE: &str = "Make them";
pub const PLACES_NOT: &str = "Only those that are here";
pub const WEIGHED_ON: &str = "The animals were weighed on";
pub const UNIT: &str = "Weights without a unit are in";
pub const CURRENCY: &str = "Prices are in";
pub const BAD_ROWS: &str = "Rows that do not come in";
pub const GOOD_ROWS: &str = "Rows that come in";
pub const OTHER_ROWS: &str = "Rows that change nothing";

pub fn above(n: usize) -> String {
    format!("{} above the headings left out.", count(n, "row", "rows"))
}

/// `What the columns are: 10 of 12 known`.
pub fn columns(known: usize, all: usize) -> String {
    if known == all {
        format!("What the columns are: all {all} known")
    } else {
        format!("What the columns are: {known} of {all} known")
    }
}

pub fn heading(head: &str, example: &str) -> String {
    let head = called(head);
    if example.trim().is_empty() { head.to_owned() } else { format!("{head}: {}", example.trim()) }
}

fn called(head: &str) -> &str {
    if head.trim().is_empty() { "a column without heading" } else { head.trim() }
}

pub fn column(column: Column) -> &'static str {
    match column {
        Column::Code => "code",
        Column::Name => "name",
        Column::Species => "species",
        Column::Sex => "sex",
        Column::Morph => "look or morph",
        Column::Line => "line",
        Column::Locality => "locality",
        Column::Born => "born or hatched on",
        Column::Dam => "dam (code or name)",
        Column::Sire => "sire (code or name)",
        Column::Weight => "weight",
        Column::Weighed => "weighed on",
        Column::Place => "place",
        Column::Status => "status: here, sold, died…",
        Column::Left => "left on",
        Column::Price => "price",
        Column::Note => "note",
        Column::Id => "Candlemark id",
        Column::Number => "clutch number",
        Column::Laid => "laid on",
        Column::Eggs => "all eggs",
        Column::Good => "good eggs",
        Column::Dud => "bad eggs",
        Column::Slug => "slugs",
        Column::Hatched => "eggs hatched",
    }
}

/// `Born: “5/3/26” is`.
pub fn question(head: &str, question: &Question) -> String {
    let head = called(head);
    match question {
        Question::Order(cell, _) => format!("{head}: “{cell}” is"),
        Question::Year(cell) => format!("{head}: the year of “{cell}” and others without one"),
        Question::Mark(cell) => format!("{head}: “{cell}” is"),
        Question::WeighedOn => WEIGHED_ON.to_owned(),
        Question::Unit => UNIT.to_owned(),
        Question::Currency => CURRENCY.to_owned(),
        Question::Places(1, first) => format!("{head}: “{first}” is not here yet"),
        Question::Places(n, first) => format!("{head}: {n} places such as “{first}” are not here yet"),
    }
}

/// What a figure with a mark before three digits comes to: `1,240` with a comma that parts thousands is 1240.
pub fn marked(cell: &str, decimals: char) -> String {
    let digits: String = cell.chars().filter(|c| c.is_ascii_digit() || matches!(c, ',' | '.')).collect();
    digits.chars().filter_map(|c| if c == decimals { Some('.') } else { c.is_ascii_digit().then_some(c) }).collect()
}

pub fn order(order: DayOrder) -> &'static str {
    match order {
        DayOrder::DayFirst => "day before month",
        DayOrder::MonthFirst => "month before day",
        DayOrder::YearFirst => "year first",
    }
}

/// `DOB: read with the day before the month, since “25/6/2020” can be nothing else.`
pub fn settled(head: &str, cell: &str, how: DayOrder) -> String {
    format!("{}: read {}, as “{cell}” can be nothing else.", called(head), order(how))
}

/// `“Dragon” · 12 rows, the first is row 7`
pub fn unclear(cells: &Unclear) -> String {
    match cells.rows {
        1 => format!("“{}” in row {}", cells.cell, cells.first),
        n => format!("“{}” in {n} rows, the first is row {}", cells.cell, cells.first),
    }
}

pub fn read_as(head: &str, cell: &str) -> String {
    format!("{}: read “{cell}” as", called(head))
}

pub fn more_cells(n: usize) -> String {
    format!("{} more; they show once some of these are fixed.", count(n, "other", "others"))
}

pub fn found(good: usize, bad: usize) -> String {
    let good = count(good, "row comes in", "rows come in");
    match bad {
        0 => format!("{good}."),
        1 => format!("{good}, 1 does not."),
        bad => format!("{good}, {bad} do not."),
    }
}

pub fn row(row: &RowFound) -> String {
    if row.called.is_empty() { format!("Row {}", row.number) } else { format!("Row {} · {}", row.number, row.called) }
}

/// What comes of a row.
pub fn comes(row: &RowFound, rows: &[RowFound], book: &Book, prefs: &Prefs) -> String {
    match &row.comes {
        Comes::New(RowRead::Animal(animal)) => said(animal, rows, book, prefs).join(" · "),
        Comes::New(RowRead::Clutch(card, hatched)) => {
            let species = card.species.as_deref().map(|key| names::species(book, key));
            let parents = card.dams.iter().chain(&card.sires).map(|id| names::animal(book, id));
            let laid = card.laid.map(|laid| format!("laid {}", dates::full_when(laid)));
            let eggs = card.counts.map(|counts| count(counts.all() as usize, "egg", "eggs"));
            let hatched = hatched.map(|hatched| format!("{hatched} hatched"));
            species.into_iter().chain(parents).chain(laid).chain(eggs).chain(hatched).collect::<Vec<_>>().join(" · ")
        }
        Comes::Changes(RowRead::Animal(animal), columns) => {
            let changed: Vec<&str> = columns.iter().map(|own| short(*own)).collect();
            format!("changes {}: {}", changed.join(", "), said(animal, rows, book, prefs).join(" · "))
        }
        Comes::Changes(RowRead::Clutch(..), _) | Comes::Here => "is here already; nothing changes".to_owned(),
        Comes::LeftOut => "left out".to_owned(),
        Comes::Bad(why) => why.join(" "),
    }
}

fn short(own: Column) -> &'static str {
    match own {
        Column::Dam => "dam",
        Column::Sire => "sire",
        Column::Status => "status",
        other => column(other),
    }
}

fn said(animal: &AnimalRow, rows: &[RowFound], book: &Book, prefs: &Prefs) -> Vec<String> {
    let card = &animal.card;
    let text = |text: &str| Some(text.trim().to_owned()).filter(|text| !text.is_empty());
    let parent = |what: &str, parent: &Option<Parent>| {
        let name = match parent.as_ref()? {
            Parent::Here(id) => names::animal(book, id),
            Parent::Row(turn) => rows.get(*turn).map(|row| row.called.clone()).unwrap_or_default(),
        };
        Some(format!("{what} {name}"))
    };
    let place = animal.place.as_ref().map(|place| match place {
        PlaceFound::Here(id) => names::place(book, id),
        PlaceFound::New(around, inner) => {
            let outer = around.iter().map(|id| names::place(book, id));
            let way: Vec<String> = outer.chain(inner.iter().cloned()).collect();
            format!("{} (new)", names::path(&way))
        }
    });
    let left = card.went.map(|went| {
        let when = card.went_when.map(|when| format!(" {}", dates::full_when(when))).unwrap_or_default();
        format!("{}{when}", animals::went(went))
    });
    [
        card.species.as_deref().map(|key| names::species(book, key)),
        card.sex.map(|sex| animals::sex(sex).to_owned()),
        text(&card.morph),
        text(&card.line).map(|line| format!("line {line}")),
        text(&card.locality),
        card.born.map(|born| format!("born {}", dates::full_when(born))),
        parent("dam", &animal.dam),
        parent("sire", &animal.sire),
        animal.weight.map(|(mass, when)| format!("{} on {}", units::mass(mass, prefs), dates::full_when(when))),
        place,
        left,
        animal.asked.map(|asked| format!("for sale at {asked}")),
        text(&card.price).map(|price| format!("for {price}")),
        text(&card.note).map(|note| format!("“{note}”")),
    ]
    .into_iter()
    .flatten()
    .collect()
}

pub fn more(n: usize) -> String {
    format!("and {} more", count(n, "row", "rows"))
}

pub fn bring(good: usize) -> String {
    format!("Import {}", count(good, "row", "rows"))
}

pub fn brought_in(rows: usize) -> String {
    format!("{} imported.", count(rows, "row", "rows"))
}

pub const PICTURES: &str = "Photos on this device";
pub const DROP: &str = "Free up space";
pub const DROP_NOW: &str = "Delete them";
pub const DROP_SURE: &str = "Only a bundle with photos brings them back.";

pub fn pictures(season: PhotoSeason, n: usize) -> String {
    let photos = count(n, "photo", "photos");
    match season {
        PhotoSeason::Laid(year) => format!("Season {year}, eggs and hatchlings: {photos}"),
        PhotoSeason::Taken(year) => format!("Everything else of {year}: {photos}"),
        PhotoSeason::Unknown => format!("Date unknown: {photos}"),
    }
}

pub fn dropped(n: usize) -> String {
    format!("{} deleted from this device.", count(n, "photo", "photos"))
}
