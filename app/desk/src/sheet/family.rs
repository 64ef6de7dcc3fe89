//! Rows beside each other: codes that stand twice, and parents who come in with the same sheet.

use super::rows::{AnimalRow, Parent, RowRead};
use super::{Comes, RowFound, SheetForm, SheetOf};
use book::words::Sex;
use book::{AnimalId, Book, lower};
use std::collections::{BTreeMap, VecDeque};
use trade::when::When;

/// The names of a sheet's rows, and those of the book.
pub(super) struct File {
    what: SheetOf,
    /// Animals of the book by name, in lower case.
    here: BTreeMap<String, Vec<AnimalId>>,
    /// Code or clutch number, and the turns of the rows that have it.
    codes: BTreeMap<String, Vec<usize>>,
    names: BTreeMap<String, Vec<usize>>,
    ids: BTreeMap<String, Vec<usize>>,
    /// The rows' numbers, by turn.
    numbers: Vec<usize>,
}

impl File {
    pub(super) fn of(form: &SheetForm, book: &Book, places: [Option<usize>; 4]) -> File {
        let [code, name, number, id] = places;
        let by = |place: Option<usize>| {
            let mut by: BTreeMap<String, Vec<usize>> = BTreeMap::new();
            for (turn, cell) in place.into_iter().flat_map(|place| form.cells(place).enumerate()) {
                if !cell.is_empty() {
                    by.entry(lower(cell)).or_default().push(turn);
                }
            }
            by
        };
        let codes = by(if form.what == SheetOf::Animals { code } else { number });
        let names = by(name.filter(|_| form.what == SheetOf::Animals));
        let mut here: BTreeMap<String, Vec<AnimalId>> = BTreeMap::new();
        for (animal, name) in book.all_animals().filter_map(|animal| Some((animal, animal.name.as_ref()?))) {
            here.entry(lower(name.trim())).or_default().push(animal.id.clone());
        }
        let numbers = form.rows.iter().map(|(number, _)| *number).collect();
        File { what: form.what, here, codes, names, ids: by(id), numbers }
    }

    /// That an earlier row has the same code, or number.
    pub(super) fn twice(&self, code: &str, turn: usize) -> Option<String> {
        let of = if self.what == SheetOf::Animals { "Code" } else { "Clutch number" };
        self.earlier(&self.codes, of, code.trim(), turn)
    }

    /// That an earlier row is the same animal.
    pub(super) fn id_twice(&self, id: &AnimalId, turn: usize) -> Option<String> {
        self.earlier(&self.ids, "Candlemark id", id.as_str(), turn)
    }

    /// That an earlier row has the same name.
    pub(super) fn name_twice(&self, name: &str, turn: usize) -> Option<String> {
        self.earlier(&self.names, "Name", name.trim(), turn)
    }

    /// The only animal of the book that is called so.
    pub(super) fn only_named(&self, name: &str) -> Option<AnimalId> {
        match self.here.get(&lower(name))?.as_slice() {
            [one] => Some(one.clone()),
            _ => None,
        }
    }

    fn earlier(&self, by: &BTreeMap<String, Vec<usize>>, of: &str, text: &str, turn: usize) -> Option<String> {
        let first = *by.get(&lower(text))?.first()?;
        (first < turn).then(|| {
            let row = self.numbers[first];
            format!("{of} “{text}” is already in row {row}. Leave one of the two out, or write another.")
        })
    }

    /// By code, else by name. None or one.
    fn in_book(&self, book: &Book, text: &str) -> Result<Vec<AnimalId>, String> {
        let coded = |text: &str| book.animals_coded(text).map(|animal| animal.id.clone()).collect::<Vec<AnimalId>>();
        // As it is written out: Bel · B07.
        let mut found = text.rsplit_once(" · ").map(|(_, code)| coded(code)).unwrap_or_default();
        if found.is_empty() {
            found = coded(text);
        }
        if found.is_empty() {
            found = self.here.get(&lower(text)).cloned().unwrap_or_default();
        }
        if found.len() > 1 {
            Err(format!("More than one animal is called “{text}”. Use its code."))
        } else {
            Ok(found)
        }
    }

    /// An animal of the book, by its code or else its name.
    pub(super) fn here(&self, book: &Book, text: &str) -> Result<Option<AnimalId>, String> {
        if text.is_empty() {
            return Ok(None);
        }
        match self.in_book(book, text)?.as_slice() {
            [one] => Ok(Some(one.clone())),
            _ => Err(format!("No animal here is called “{text}”. Bring the animals in first, or leave it empty.")),
        }
    }

    /// An animal of the book or of the sheet, by its code or else its name.
    pub(super) fn parent(&self, book: &Book, text: &str, turn: usize) -> Result<Option<Parent>, String> {
        if text.is_empty() {
            return Ok(None);
        }
        if let [one] = self.in_book(book, text)?.as_slice() {
            return Ok(Some(Parent::Here(one.clone())));
        }
        let rows = |by: &BTreeMap<String, Vec<usize>>| by.get(&lower(text)).cloned().unwrap_or_default();
        let coded = rows(&self.codes);
        let found = if coded.is_empty() { rows(&self.names) } else { coded };
        match found.as_slice() {
            [own] if *own == turn => Err(format!("“{text}” is the row itself.")),
            [one] => Ok(Some(Parent::Row(*one))),
            [] => Err(format!("No animal here or in the sheet is called “{text}”.")),
            _ => Err(format!("More than one animal of the sheet is called “{text}”. Use its code.")),
        }
    }
}

fn animal(row: &RowFound) -> Option<&AnimalRow> {
    match &row.comes {
        Comes::New(RowRead::Animal(animal)) | Comes::Changes(RowRead::Animal(animal), _) => Some(animal),
        _ => None,
    }
}

/// Rows that come in, parents before their young. What hangs on a row that does not come in does not either.
pub(super) fn settle(book: &Book, rows: &mut [RowFound]) -> Vec<usize> {
    let parents_of = |row: &RowFound| -> Vec<usize> {
        let both = animal(row).map_or([None, None], |animal| [animal.dam.as_ref(), animal.sire.as_ref()]);
        both.into_iter()
            .flatten()
            .filter_map(|parent| if let Parent::Row(turn) = parent { Some(*turn) } else { None })
            .collect()
    };
    let mut waits: Vec<usize> = rows.iter().map(|row| parents_of(row).len()).collect();
    let mut young: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (turn, row) in rows.iter().enumerate() {
        for parent in parents_of(row) {
            young.entry(parent).or_default().push(turn);
        }
    }
    let mut ready: VecDeque<usize> = (0..rows.len()).filter(|turn| waits[*turn] == 0).collect();
    let mut order = Vec::new();
    while let Some(turn) = ready.pop_front() {
        if let Some(why) = unfit(book, rows, turn) {
            rows[turn].comes = Comes::Bad(vec![why]);
        }
        if matches!(rows[turn].comes, Comes::New(_) | Comes::Changes(..)) {
            order.push(turn);
        }
        for child in young.get(&turn).into_iter().flatten() {
            waits[*child] -= 1;
            if waits[*child] == 0 {
                ready.push_back(*child);
            }
        }
    }
    for (row, _) in rows.iter_mut().zip(&waits).filter(|(_, waits)| **waits > 0) {
        row.comes = Comes::Bad(vec!["By its dam or sire it descends from itself. Correct one of them.".to_owned()]);
    }
    order
}

/// Why a row will not do beside its parents, of the sheet or of the book.
fn unfit(book: &Book, rows: &[RowFound], turn: usize) -> Option<String> {
    let row = animal(&rows[turn])?;
    if row.dam.is_some() && row.dam == row.sire {
        return Some("Dam and sire are one animal. Correct one of the two.".to_owned());
    }
    for (parent, what, wrong) in [(&row.dam, "dam", Sex::Male), (&row.sire, "sire", Sex::Female)] {
        let (sex, born, name) = match parent {
            None => continue,
            Some(Parent::Here(id)) => {
                let animal = book.animal(id)?;
                (animal.sex, None, book.animal_name(id))
            }
            Some(Parent::Row(other)) => {
                let other = &rows[*other];
                let name = format!("{} in row {}", other.called, other.number);
                let Some(parent) = animal(other) else {
                    return Some(format!("Its {what}, {name}, does not come in."));
                };
                (parent.card.sex, parent.card.born, name)
            }
        };
        if sex == Some(wrong) {
            let is = if wrong == Sex::Male { "male" } else { "female" };
            return Some(format!("Its {what}, {name}, is {is}. Correct one of the two."));
        }
        if let (Some(parent), Some(own)) = (born, row.card.born)
            && parent.earliest() > When::latest(own)
        {
            return Some(format!("Its {what}, {name}, was born after it. Correct one of the two."));
        }
    }
    None
}
