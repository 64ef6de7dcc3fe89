//! A spreadsheet brought in: what its columns are, and what comes of each row.

use book::Book;
use book::acts::{Column, SheetBroughtIn, SheetOf, SheetRow, read_sheet};
use chrono::NaiveDateTime;
use std::collections::BTreeMap;

/// A sheet as the page has it.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetForm {
    pub what: SheetOf,
    pub heads: Vec<String>,
    pub rows: Vec<Vec<String>>,
    /// What each column is; `None`: left out.
    pub columns: Vec<Option<Column>>,
}

/// What comes of the rows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SheetFound {
    pub good: Vec<SheetRow>,
    /// Why a row will not do, by its number as the spreadsheet counts: the headings are row 1.
    pub bad: Vec<(usize, String)>,
}

impl SheetForm {
    /// The first row is headings; each is guessed at, the first of two alike.
    pub fn new(what: SheetOf, table: Vec<Vec<String>>) -> SheetForm {
        let mut rows = table.into_iter();
        let heads = rows.next().unwrap_or_default();
        let mut columns: Vec<Option<Column>> = Vec::new();
        for head in &heads {
            let guess = Column::guess(what, head).filter(|guess| !columns.contains(&Some(*guess)));
            columns.push(guess);
        }
        SheetForm { what, heads, rows: rows.collect(), columns }
    }

    /// What stands in the first row below a heading.
    pub fn example(&self, column: usize) -> &str {
        self.rows.first().and_then(|row| row.get(column)).map_or("", String::as_str)
    }

    /// Rows are looked at beside the book, and beside each other.
    pub fn read(&self, book: &Book, now: NaiveDateTime) -> SheetFound {
        let mut found = SheetFound::default();
        let mut first: BTreeMap<String, usize> = BTreeMap::new();
        for (row, read) in (2..).zip(read_sheet(book, self.what, &self.columns, &self.rows, now)) {
            match read.and_then(|good| twice(&mut first, good, row)) {
                Ok(good) => found.good.push(good),
                Err(why) => found.bad.push((row, why)),
            }
        }
        found
    }
}

impl SheetFound {
    /// What brings the good rows in: one deed, of as many acts as it takes.
    pub fn acts(self) -> Vec<SheetBroughtIn> {
        SheetBroughtIn::parts(self.good)
    }
}

/// A code or a number that an earlier row has already.
fn twice(first: &mut BTreeMap<String, usize>, good: SheetRow, row: usize) -> Result<SheetRow, String> {
    let (of, name) = match &good {
        SheetRow::Animal(card) => ("Code", &card.code),
        SheetRow::Clutch(card, _) => ("Clutch number", &card.number),
    };
    let name = name.trim();
    match first.get(&name.to_lowercase()) {
        Some(earlier) if !name.is_empty() => {
            Err(format!("{of} “{name}” stands in row {earlier} already. Leave one of the two out, or write another."))
        }
        _ => {
            first.insert(name.to_lowercase(), row);
            Ok(good)
        }
    }
}
