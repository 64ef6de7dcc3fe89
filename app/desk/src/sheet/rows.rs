//! What rows say, and what is asked of their columns first.

use super::cells;
use super::columns::{self, Column};
use super::days::DayColumn;
use super::family::File;
use super::places::Places;
use super::row::Row;
use super::{ColumnWay, Comes, Question, RowFound, SheetForm, SheetFound, SheetLine, Unclear, family};
use crate::measure::Units;
use book::acts::{AnimalCard, ClutchCard};
use book::{AnimalId, Book, PlaceId};
use chrono::NaiveDateTime;
use std::collections::BTreeMap;
use trade::money::Money;
use trade::species::Profile;
use trade::units::Mass;
use trade::when::When;

/// What a row says.
#[derive(Clone, Debug, PartialEq)]
pub enum RowRead {
    Animal(Box<AnimalRow>),
    /// How many of its eggs hatched.
    Clutch(Box<ClutchCard>, Option<u32>),
}

/// An animal, its parents and place as the sheet names them.
#[derive(Clone, Debug, PartialEq)]
pub struct AnimalRow {
    /// Of one that is here.
    pub known: Option<AnimalId>,
    /// Without parents; an animal that is here has those that it has.
    pub card: AnimalCard,
    pub dam: Option<Parent>,
    pub sire: Option<Parent>,
    pub place: Option<PlaceFound>,
    pub weight: Option<(Mass, When)>,
    pub asked: Option<Money>,
}

/// Whom a cell names.
#[derive(Clone, Debug, PartialEq)]
pub enum Parent {
    Here(AnimalId),
    /// A row of the sheet, by its turn.
    Row(usize),
}

/// Which place a cell names.
#[derive(Clone, Debug, PartialEq)]
pub enum PlaceFound {
    Here(PlaceId),
    /// To be made: in which place that is here, and the names from the outermost to the innermost.
    New(Option<PlaceId>, Vec<String>),
}

/// Why a cell has no value.
pub(super) enum Fault {
    /// It says so itself.
    Cell(String),
    /// It depends on what its column is asked; a sentence for the row.
    Column(&'static str),
}

/// What all rows are read beside.
pub(super) struct Reader<'a> {
    pub(super) form: &'a SheetForm,
    pub(super) book: &'a Book,
    pub(super) units: Units,
    pub(super) now: NaiveDateTime,
    pub(super) places_of: BTreeMap<Column, Vec<usize>>,
    pub(super) days: BTreeMap<usize, DayColumn>,
    pub(super) mark: Result<Option<char>, String>,
    pub(super) species: Vec<(String, Profile)>,
    pub(super) places: Places,
    pub(super) file: File,
}

pub(super) fn read(form: &SheetForm, book: &Book, units: Units, now: NaiveDateTime) -> SheetFound {
    let reader = Reader::new(form, book, units, now);
    let mut found = SheetFound::default();
    let mut unclear: BTreeMap<(usize, String), Unclear> = BTreeMap::new();
    let mut changed: BTreeMap<AnimalId, usize> = BTreeMap::new();
    for (turn, line) in form.rows.iter().enumerate() {
        let mut row = Row { reader: &reader, line, turn, open: Vec::new(), bad: Vec::new(), unclear: &mut unclear };
        let mut comes = row.comes();
        // By its id, its code or its only name: each may name it.
        if let Comes::Changes(RowRead::Animal(animal), _) = &comes
            && let Some(first) = animal.known.clone().and_then(|id| changed.insert(id, line.0))
        {
            comes =
                Comes::Bad(vec![format!("This animal is changed by row {first} already. Leave one of the two out.")]);
        }
        found.rows.push(RowFound { number: line.0, called: row.called(), comes });
    }
    found.order = family::settle(book, &mut found.rows);
    found.unclear = unclear.into_values().collect();
    found.unclear.sort_by(|a, b| (b.rows, a.first, a.place).cmp(&(a.rows, b.first, b.place)));
    reader.ask(&mut found);
    found
}

impl<'a> Reader<'a> {
    fn new(form: &'a SheetForm, book: &'a Book, units: Units, now: NaiveDateTime) -> Reader<'a> {
        let mut places_of: BTreeMap<Column, Vec<usize>> = BTreeMap::new();
        let mut days = BTreeMap::new();
        for (place, column) in form.columns.iter().enumerate() {
            let Some(column) = column else { continue };
            places_of.entry(*column).or_default().push(place);
            if column.is_day() {
                days.insert(place, DayColumn::of(form.cells(place), form.way(place).day, now.date()));
            }
        }
        let first = |column: Column| places_of.get(&column).and_then(|places| places.first()).copied();
        let weight = first(Column::Weight);
        let mark = match weight.map(|place| (form.way(place), place)) {
            Some((ColumnWay { mark: Some(mark), .. }, _)) => Ok(Some(mark)),
            Some((_, place)) => cells::decimal_mark(form.cells(place)),
            None => Ok(None),
        };
        let file = File::of(form, book, [Column::Code, Column::Name, Column::Number, Column::Id].map(first));
        let places = if first(Column::Place).is_some() { Places::of(book) } else { Places::default() };
        Reader { form, book, units, now, places_of, days, mark, species: book.all_species(), places, file }
    }

    /// What is open, column by column; and how days that were not plain are read.
    fn ask(&self, found: &mut SheetFound) {
        for (place, day) in &self.days {
            if let Some((cell, ways)) = &day.open {
                found.questions.push((*place, Question::Order(cell.clone(), ways.clone())));
            }
            if let (Some(cell), Some(order)) = (&day.settled_by, day.order) {
                found.settled.push((*place, cell.clone(), order));
            }
            if let Some(cell) = &day.no_year {
                found.questions.push((*place, Question::Year(cell.clone())));
            }
        }
        let filled = |column: Column| {
            let places = self.places_of.get(&column)?;
            places.first().copied().filter(|place| self.form.cells(*place).any(|cell| !cell.is_empty()))
        };
        if let Some(place) = filled(Column::Weight) {
            let open = cells::decimal_mark(self.form.cells(place)).err();
            found.questions.extend(open.map(|cell| (place, Question::Mark(cell))));
            let bare = |cell: &str| cell.ends_with(|c: char| c.is_ascii_digit());
            // A heading such as `Weight (g)` says it.
            let said = columns::unit_of(&self.form.heads[place]).is_some();
            if !said && self.form.cells(place).any(bare) {
                found.questions.push((place, Question::Unit));
            }
            let day = filled(Column::Weighed);
            let without = |(_, cells): &SheetLine| {
                let at = |place: usize| self.form.cell(cells, place);
                !at(place).is_empty() && day.is_none_or(|day| at(day).is_empty())
            };
            if self.form.rows.iter().any(without) {
                found.questions.push((place, Question::WeighedOn));
            }
        }
        if let Some(place) = filled(Column::Price) {
            let unsaid = |cell: &str| !cell.is_empty() && crate::money::of(cell, None).is_none();
            let said = self.book.currency().or_else(|| columns::currency_of(&self.form.heads[place])).is_some();
            if !said && self.form.cells(place).any(unsaid) {
                found.questions.push((place, Question::Currency));
            }
        }
        if let Some(place) = filled(Column::Place) {
            let mut new: Vec<&str> = self.form.cells(place).filter(|cell| self.places.is_new(cell)).collect();
            new.sort_unstable();
            new.dedup();
            if let Some(first) = new.first() {
                found.questions.push((place, Question::Places(new.len(), (*first).to_owned())));
            }
        }
        found.questions.sort_by_key(|(place, _)| *place);
    }
}
