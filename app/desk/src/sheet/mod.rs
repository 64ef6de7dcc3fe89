//! A spreadsheet brought in: which row has the headings, what its columns are, what its cells say, and what comes of each
//! row. What is not plain is asked once for a column, or once for all equal cells. Nothing is saved before.

mod bring;
mod cells;
mod columns;
mod days;
mod family;
mod out;
mod places;
mod row;
mod rows;

pub use columns::{Column, SheetOf};
pub use days::{DayColumn, DayOrder, DayWay};
pub use out::{SheetOut, tables};
pub use rows::{AnimalRow, Parent, PlaceFound, RowRead};

use crate::measure::Units;
use book::acts::Mint;
use book::{Book, PlaceId, lower};
use chrono::{NaiveDate, NaiveDateTime};
use std::collections::BTreeMap;
use trade::money::Currency;

/// A row with its number as the spreadsheet counts.
pub type SheetLine = (usize, Vec<String>);

/// What is done with cells that cannot be read.
#[derive(Clone, Debug, PartialEq)]
pub enum Fix {
    /// They are read as if this stood there.
    As(String),
    /// Their rows stay out.
    LeaveOut,
}

/// How a column is read where its cells do not tell.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ColumnWay {
    pub day: DayWay,
    /// What stands before decimals: a comma or a point.
    pub mark: Option<char>,
}

/// A sheet as the page has it.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetForm {
    pub what: SheetOf,
    pub heads: Vec<String>,
    /// Rows that stand above the headings.
    pub above: usize,
    pub rows: Vec<SheetLine>,
    /// What each column is; `None`: left out.
    pub columns: Vec<Option<Column>>,
    pub ways: BTreeMap<usize, ColumnWay>,
    /// By the column and what stands in the cells.
    pub fixes: BTreeMap<(usize, String), Fix>,
    /// Of weights without a day of their own, as a date field gives it.
    pub weighed_on: String,
    /// Of weights without a unit, where the heading has none either.
    pub unit: String,
    /// Of prices without one, where the heading has none either.
    pub currency: Option<Currency>,
    /// Places that are not here yet are made.
    pub make_places: bool,
    /// One for each row, so that the same row tapped twice is the same record.
    ids: Vec<String>,
    place_ids: BTreeMap<(Option<PlaceId>, Vec<String>), PlaceId>,
}

/// What has to be said of a column before its cells can be read.
#[derive(Clone, Debug, PartialEq)]
pub enum Question {
    /// Which figure is the day: the first cell that leaves it open, and what each order makes of it.
    Order(String, Vec<(DayOrder, NaiveDate)>),
    /// The year of days without one; such a cell.
    Year(String),
    /// Whether a mark before three digits parts thousands; such a cell.
    Mark(String),
    /// The day of the weights.
    WeighedOn,
    /// The unit of the weights.
    Unit,
    /// The currency of the prices.
    Currency,
    /// Places that are not here: how many, and the first of them.
    Places(usize, String),
}

/// Equal cells of one column that cannot be read, or could not before they were put right.
#[derive(Clone, Debug, PartialEq)]
pub struct Unclear {
    pub place: usize,
    pub column: Column,
    pub cell: String,
    /// How many rows have it, and the number of the first.
    pub rows: usize,
    pub first: usize,
    /// Why it will not do; none once it will.
    pub why: Option<String>,
}

/// What comes of a row.
#[derive(Clone, Debug, PartialEq)]
pub enum Comes {
    New(RowRead),
    /// Of an animal that is here: what is another by the sheet.
    Changes(RowRead, Vec<Column>),
    /// It is here already, and the sheet says nothing else of it.
    Here,
    LeftOut,
    /// Why it will not do.
    Bad(Vec<String>),
}

#[derive(Clone, Debug, PartialEq)]
pub struct RowFound {
    pub number: usize,
    pub called: String,
    pub comes: Comes,
}

/// What comes of a sheet as it is read now.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SheetFound {
    pub rows: Vec<RowFound>,
    /// By column.
    pub questions: Vec<(usize, Question)>,
    /// Why days are read as they are: column, the cell that tells, the order.
    pub settled: Vec<(usize, String, DayOrder)>,
    /// Those of the most rows first.
    pub unclear: Vec<Unclear>,
    /// Rows that come in, parents before their young.
    pub(crate) order: Vec<usize>,
}

impl SheetFound {
    /// How many rows come in, and how many will not do.
    pub fn counts(&self) -> (usize, usize) {
        let bad = self.rows.iter().filter(|row| matches!(row.comes, Comes::Bad(_))).count();
        (self.order.len(), bad)
    }
}

/// What is remembered of headings: what each was said to be, by [`SheetForm::said`].
pub type Remembered = BTreeMap<String, String>;

/// Rows at the top among which the headings are looked for.
const HEADINGS_WITHIN: usize = 20;

impl SheetForm {
    /// The headings are the row of the first few in which most are known. Each column is what was said of that heading
    /// before, else what the heading usually means, the first of two alike.
    pub fn new(
        table: Vec<SheetLine>,
        remembered: &Remembered,
        book: &Book,
        units: Units,
        today: NaiveDate,
        mint: &mut Mint<'_>,
    ) -> SheetForm {
        let known = |row: &SheetLine, what: SheetOf| {
            row.1.iter().filter(|cell| guess(what, cell, remembered).flatten().is_some()).count()
        };
        let both = [SheetOf::Animals, SheetOf::Clutches];
        let best = |row: &SheetLine| both.map(|what| known(row, what)).into_iter().max().unwrap_or(0);
        let filled = |row: &SheetLine| row.1.iter().filter(|cell| !cell.trim().is_empty()).count();
        let near = || table.iter().take(HEADINGS_WITHIN).enumerate();
        // Of rows alike the first; without a known heading the first that is no title.
        let most = near().map(|(_, row)| best(row)).max().unwrap_or(0);
        let head =
            near().find(|(_, row)| if most > 0 { best(row) == most } else { filled(row) > 1 }).map_or(0, |(at, _)| at);
        let mut rows = table;
        let below = rows.split_off((head + 1).min(rows.len()));
        let heads = rows.pop().map(|(_, cells)| cells).unwrap_or_default();
        let row = (0, heads.clone());
        let what = if known(&row, SheetOf::Clutches) > known(&row, SheetOf::Animals) {
            SheetOf::Clutches
        } else {
            SheetOf::Animals
        };
        let ids = below.iter().map(|_| book::acts::fresh(book, mint)).collect();
        let widest = below.iter().map(|(_, cells)| cells.len()).max().unwrap_or(0).max(heads.len());
        let heads = heads.into_iter().chain(std::iter::repeat(String::new())).take(widest).collect();
        let mut form = SheetForm {
            what,
            heads,
            above: rows.len(),
            rows: below,
            columns: Vec::new(),
            ways: BTreeMap::new(),
            fixes: BTreeMap::new(),
            weighed_on: today.to_string(),
            unit: if units.ounces { "oz" } else { "g" }.to_owned(),
            currency: book.currency(),
            make_places: true,
            ids,
            place_ids: BTreeMap::new(),
        };
        form.is_of(what, remembered);
        form
    }

    /// The rows are of another sort.
    pub fn is_of(&mut self, what: SheetOf, remembered: &Remembered) {
        self.what = what;
        let mut columns: Vec<Option<Column>> = Vec::new();
        for (place, head) in self.heads.iter().enumerate() {
            let empty = self.rows.iter().all(|(_, cells)| cells.get(place).is_none_or(|cell| cell.trim().is_empty()));
            let guess = guess(what, head, remembered).flatten().filter(|_| !empty);
            columns.push(guess.filter(|guess| *guess == Column::Note || !columns.contains(&Some(*guess))));
        }
        self.columns = columns;
    }

    /// What each heading was said to be, for the next sheet that has it.
    pub fn said(&self) -> Remembered {
        let said = |column: &Option<Column>| column.map(Column::key).unwrap_or_default().to_owned();
        self.heads
            .iter()
            .zip(&self.columns)
            .enumerate()
            // Nobody said anything of a column in which nothing stands.
            .filter(|(place, (head, column))| {
                !head.trim().is_empty() && (column.is_some() || !self.example(*place).is_empty())
            })
            .map(|(_, (head, column))| (remembered_as(self.what, head), said(column)))
            .collect()
    }

    /// Something that stands below a heading.
    pub fn example(&self, place: usize) -> &str {
        let cells = self.rows.iter().filter_map(|(_, cells)| cells.get(place));
        cells.map(|cell| cell.trim()).find(|cell| !cell.is_empty()).unwrap_or_default()
    }

    fn way(&self, place: usize) -> ColumnWay {
        self.ways.get(&place).copied().unwrap_or_default()
    }

    /// What stands in a cell, or what was said instead.
    fn cell<'a>(&'a self, cells: &'a [String], place: usize) -> &'a str {
        let cell = cells.get(place).map_or("", |cell| cell.trim());
        if self.fixes.is_empty() {
            return cell;
        }
        match self.fixes.get(&(place, cell.to_owned())) {
            Some(Fix::As(said)) => said.trim(),
            _ => cell,
        }
    }

    /// All cells of a column.
    fn cells(&self, place: usize) -> impl Iterator<Item = &str> {
        self.rows.iter().map(move |(_, cells)| self.cell(cells, place))
    }

    /// Rows are read beside the book, and beside each other.
    pub fn read(&self, book: &Book, units: Units, now: NaiveDateTime) -> SheetFound {
        rows::read(self, book, units, now)
    }
}

fn remembered_as(what: SheetOf, head: &str) -> String {
    format!("{}:{}", if what == SheetOf::Animals { "animals" } else { "clutches" }, lower(head.trim()))
}

/// `None`: nothing is known of it. `Some(None)`: it was left out before.
fn guess(what: SheetOf, head: &str, remembered: &Remembered) -> Option<Option<Column>> {
    let said = remembered.get(&remembered_as(what, head));
    let own = said.map(|key| Column::of(what).iter().copied().find(|column| column.key() == key));
    own.or_else(|| Column::guess(what, head).map(Some))
}
