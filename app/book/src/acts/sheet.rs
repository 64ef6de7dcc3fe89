//! Animals and clutches out of a spreadsheet: which column holds what, why a row will not do, and bringing the good
//! ones in as one act.

use super::clutches::ClutchCard;
use super::day::day;
use super::pull::letter;
use super::row::Row;
use super::{Act, AnimalCard, Mint, Refusal, draft, fresh};
use crate::book::Book;
use crate::ids::*;
use crate::lower::lower;
use crate::records::{Counts, Egg};
use crate::words::{Fate, LaidAs, Sex};
use chrono::NaiveDateTime;
use journal::{Draft, DraftSet};
use trade::when::When;

/// What the rows of a sheet are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SheetOf {
    Animals,
    Clutches,
}

/// What a column of a sheet holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Column {
    Code,
    Name,
    Species,
    Sex,
    Morph,
    Line,
    Locality,
    /// Day of birth or hatching.
    Born,
    Note,
    /// The clutch's number.
    Number,
    Dam,
    Sire,
    Laid,
    Good,
    Dud,
    Slug,
    /// How many eggs hatched.
    Hatched,
}

/// Each column with headings people give it, in lower case.
const HEADINGS: [(Column, &[&str]); 17] = [
    (Column::Code, &["code", "id", "animal id", "tag"]),
    (Column::Name, &["name", "animal"]),
    (Column::Species, &["species", "kind", "common name"]),
    (Column::Sex, &["sex", "gender"]),
    (Column::Morph, &["morph", "colour", "color", "phase", "genetics"]),
    (Column::Line, &["line", "bloodline"]),
    (Column::Locality, &["locality", "origin"]),
    (Column::Born, &["born", "hatched on", "hatch date", "birth", "dob", "date of birth"]),
    (Column::Note, &["note", "notes", "remarks", "comment", "comments"]),
    (Column::Number, &["number", "clutch", "clutch number", "clutch no", "clutch id"]),
    (Column::Dam, &["dam", "mother", "female"]),
    (Column::Sire, &["sire", "father", "male"]),
    (Column::Laid, &["laid", "laid on", "lay date", "date laid"]),
    (Column::Good, &["good", "good eggs", "fertile", "eggs"]),
    (Column::Dud, &["dud", "duds", "infertile"]),
    (Column::Slug, &["slug", "slugs"]),
    (Column::Hatched, &["hatched", "babies", "hatchlings"]),
];

impl Column {
    /// The columns a sheet of this sort may have.
    pub fn of(what: SheetOf) -> &'static [Column] {
        use Column::*;
        match what {
            SheetOf::Animals => &[Code, Name, Species, Sex, Morph, Line, Locality, Born, Dam, Sire, Note],
            SheetOf::Clutches => &[Number, Species, Dam, Sire, Laid, Good, Dud, Slug, Hatched, Note],
        }
    }

    /// What a heading probably means.
    pub fn guess(what: SheetOf, heading: &str) -> Option<Column> {
        let heading = lower(heading.trim()).replace('_', " ");
        let known = HEADINGS.iter().filter(|(column, _)| Column::of(what).contains(column));
        known.clone().find(|(_, names)| names.contains(&heading.as_str())).map(|(column, _)| *column)
    }
}

/// A row that can be brought in.
#[derive(Clone, Debug, PartialEq)]
pub enum SheetRow {
    Animal(Box<AnimalCard>),
    /// A clutch, and how many of its eggs hatched where that is known.
    Clutch(Box<ClutchCard>, Option<u32>),
}

/// Reads the rows of a sheet: `columns` says what each column holds. Each row gives what can be brought in, or a
/// sentence that says why it will not do. Rows are checked against the book, not against each other.
pub fn read_sheet(
    book: &Book,
    what: SheetOf,
    columns: &[Option<Column>],
    rows: &[Vec<String>],
    now: NaiveDateTime,
) -> Vec<Result<SheetRow, String>> {
    rows.iter()
        .map(|cells| {
            let row = read_row(book, what, columns, cells)?;
            let check = SheetBroughtIn { rows: vec![row.clone()] };
            // The id is thrown away: only whether it would be refused counts.
            check.draft(book, now, &mut || journal::Id::mint([0; 5])).map_err(|refusal| refusal.to_string())?;
            if let SheetRow::Animal(card) = &row
                && !card.code.is_empty()
                && book.animals_coded(&card.code).next().is_some()
            {
                return Err(format!("“{}” is here already. Leave it out, or give it another code.", card.code));
            }
            if let SheetRow::Clutch(card, _) = &row
                && book.clutches_numbered(&card.number).next().is_some()
            {
                return Err(format!("Clutch {} is here already. Leave it out, or number it otherwise.", card.number));
            }
            Ok(row)
        })
        .collect()
}

fn read_row(book: &Book, what: SheetOf, columns: &[Option<Column>], cells: &[String]) -> Result<SheetRow, String> {
    let cell = |wanted: Column| {
        let place = columns.iter().position(|column| *column == Some(wanted));
        place.and_then(|place| cells.get(place)).map_or("", |text| text.trim())
    };
    let text = |wanted: Column| cell(wanted).to_owned();
    let species = species(book, cell(Column::Species))?;
    let parent = |wanted: Column| animal(book, cell(wanted));
    match what {
        SheetOf::Animals => Ok(SheetRow::Animal(Box::new(AnimalCard {
            code: text(Column::Code),
            name: text(Column::Name),
            species,
            sex: sex(cell(Column::Sex))?,
            morph: text(Column::Morph),
            line: text(Column::Line),
            locality: text(Column::Locality),
            born: day(cell(Column::Born))?.map(When::day),
            dam: parent(Column::Dam)?,
            sire: parent(Column::Sire)?,
            note: text(Column::Note),
            ..AnimalCard::default()
        }))),
        SheetOf::Clutches => {
            let (good, dud, slug) = (Column::Good, Column::Dud, Column::Slug);
            let counts = [good, dud, slug].map(|column| count(cell(column)));
            let [good, dud, slug] = counts;
            let (good, dud, slug) = (good?, dud?, slug?);
            let counted = good.or(dud).or(slug).is_some();
            let counts =
                counted.then(|| Counts { good: good.unwrap_or(0), dud: dud.unwrap_or(0), slug: slug.unwrap_or(0) });
            let hatched = count(cell(Column::Hatched))?;
            if hatched.is_some_and(|hatched| hatched > counts.map_or(0, |counts| counts.good)) {
                return Err("More hatched than there were good eggs. Correct one of the two.".to_owned());
            }
            let laid = day(cell(Column::Laid))?.map(When::day);
            let card = ClutchCard {
                number: text(Column::Number),
                dams: parent(Column::Dam)?.into_iter().collect(),
                sires: parent(Column::Sire)?.into_iter().collect(),
                species,
                laid,
                found: laid,
                counts,
                note: text(Column::Note),
                ..ClutchCard::default()
            };
            Ok(SheetRow::Clutch(Box::new(card), hatched))
        }
    }
}

fn species(book: &Book, text: &str) -> Result<Option<String>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    let same = |name: &str| name.eq_ignore_ascii_case(text);
    let all = book.all_species();
    let found = all.into_iter().find(|(key, p)| same(key) || same(&p.name) || same(&p.latin) || same(&p.short));
    found.map(|(key, _)| Some(key)).ok_or_else(|| {
        format!("No species here is called “{text}”. Write it as the list of species does, or leave it empty.")
    })
}

fn sex(text: &str) -> Result<Option<Sex>, String> {
    match lower(text).as_str() {
        "" => Ok(None),
        "f" | "female" | "0.1" | "♀" => Ok(Some(Sex::Female)),
        "m" | "male" | "1.0" | "♂" => Ok(Some(Sex::Male)),
        "u" | "unknown" | "?" | "0.0.1" => Ok(Some(Sex::Unknown)),
        _ => Err(format!("“{text}” is no sex. Write f, m or u.")),
    }
}

fn count(text: &str) -> Result<Option<u32>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    let read = text.parse().ok().filter(|count| *count <= 200);
    read.map(Some).ok_or_else(|| format!("“{text}” is no number of eggs. Write digits, such as 12."))
}

/// An animal by its code or name.
fn animal(book: &Book, text: &str) -> Result<Option<AnimalId>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    let mut found: Vec<AnimalId> = book.animals_coded(text).map(|animal| animal.id.clone()).collect();
    if found.is_empty() {
        let named = |name: &Option<String>| name.as_ref().is_some_and(|name| name.trim().eq_ignore_ascii_case(text));
        found = book.all_animals().filter(|animal| named(&animal.name)).map(|animal| animal.id.clone()).collect();
    }
    match found.as_slice() {
        [one] => Ok(Some(one.clone())),
        [] => Err(format!("No animal here is called “{text}”. Bring the animals in first, or leave it empty.")),
        _ => Err(format!("More than one animal is called “{text}”. Use its code.")),
    }
}

/// Rows of a sheet as one act. An act holds a certain number of records, and the act that takes them back is longer than it
/// is: [`SheetBroughtIn::parts`] makes as many of a sheet as are needed.
#[derive(Clone, Debug)]
pub struct SheetBroughtIn {
    pub rows: Vec<SheetRow>,
}

/// Well below what a line holds ([`journal::MAX_LINE`]).
const MOST_BYTES: usize = journal::MAX_LINE / 4 * 3;
/// Below what an act holds ([`journal::MAX_SETS`]).
const MOST_RECORDS: usize = 1500;

impl SheetBroughtIn {
    /// Rows in as few acts as can each be done and undone. What names the first of them as one deed with it
    /// (`Draft::with`) is undone with it in one go.
    pub fn parts(rows: Vec<SheetRow>) -> Vec<SheetBroughtIn> {
        let mut parts: Vec<SheetBroughtIn> = Vec::new();
        let (mut records, mut bytes) = (0, 0);
        for row in rows {
            let (more, longer) = (row.records(), row.undo_bytes());
            match parts.last_mut() {
                Some(part) if records + more <= MOST_RECORDS && bytes + longer <= MOST_BYTES => part.rows.push(row),
                _ => {
                    parts.push(SheetBroughtIn { rows: vec![row] });
                    (records, bytes) = (0, 0);
                }
            }
            (records, bytes) = (records + more, bytes + longer);
        }
        parts
    }
}

impl SheetRow {
    /// How many records it makes.
    pub fn records(&self) -> usize {
        match self {
            SheetRow::Animal(_) => 1,
            SheetRow::Clutch(card, _) => 1 + card.counts.map_or(0, |counts| counts.all() as usize),
        }
    }

    fn undo_bytes(&self) -> usize {
        match self {
            SheetRow::Animal(card) => card.row().undo_bytes(),
            // An egg has four fields, all short.
            SheetRow::Clutch(card, _) => card.row().undo_bytes() + (self.records() - 1) * 800,
        }
    }
}

impl Act for SheetBroughtIn {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let mut sets: Vec<DraftSet> = Vec::new();
        for row in &self.rows {
            match row {
                SheetRow::Animal(card) => {
                    card.check(book, now, None)?;
                    sets.push(card.row().create(book, &fresh(book, mint)));
                }
                SheetRow::Clutch(card, hatched) => {
                    card.check(book, now)?;
                    let clutch = fresh(book, mint);
                    sets.push(card.row().create(book, &clutch));
                    eggs(book, card, &clutch, *hatched, now, mint, &mut sets);
                }
            }
        }
        draft("SheetBroughtIn", sets)
    }
}

/// Longer than any egg here incubates, in days: what was laid before that is history, hatched or not.
const HISTORY_DAYS: i64 = 300;

/// The eggs of a clutch. Of one long ago it is known how many hatched, and of the others only that they did not.
fn eggs(
    book: &Book,
    card: &ClutchCard,
    clutch: &str,
    hatched: Option<u32>,
    now: NaiveDateTime,
    mint: &mut Mint<'_>,
    sets: &mut Vec<DraftSet>,
) {
    let Some(counts) = card.counts else { return };
    let old = card.laid.is_some_and(|laid| (now.date() - laid.date()).num_days() > HISTORY_DAYS);
    for index in 0..counts.all() as usize {
        let laid_as = match index {
            i if i < counts.good as usize => LaidAs::Good,
            i if i < counts.shelled() as usize => LaidAs::Dud,
            _ => LaidAs::Slug,
        };
        let fate = match hatched {
            _ if laid_as == LaidAs::Slug => Some(Fate::Removed),
            Some(hatched) if index < hatched as usize => Some(Fate::Hatched),
            _ if old => Some(Fate::Unknown),
            _ => None,
        };
        let row = Row::new()
            .with(Egg::clutch, ClutchId::from(clutch))
            .with(Egg::letter, letter(index))
            .with(Egg::laid_as, laid_as)
            .with(Egg::fate, fate);
        sets.push(row.create(book, &fresh(book, mint)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_are_known_by_their_usual_names() {
        for (what, heading, expected) in [
            (SheetOf::Animals, "Code", Some(Column::Code)),
            (SheetOf::Animals, " animal_id ", Some(Column::Code)),
            (SheetOf::Animals, "DOB", Some(Column::Born)),
            (SheetOf::Animals, "Price", None),
            (SheetOf::Animals, "Laid", None),
            (SheetOf::Clutches, "Clutch", Some(Column::Number)),
            (SheetOf::Clutches, "Lay date", Some(Column::Laid)),
            (SheetOf::Clutches, "Hatched", Some(Column::Hatched)),
        ] {
            assert_eq!(Column::guess(what, heading), expected, "{heading}");
        }
        for (column, _) in HEADINGS {
            assert!(Column::of(SheetOf::Animals).contains(&column) || Column::of(SheetOf::Clutches).contains(&column));
        }
    }
}
