//! Places, animals and clutches out of a spreadsheet, brought in as one deed.

use super::clutches::ClutchCard;
use super::money::{first_amount, real_amount};
use super::moves;
use super::places::next_order;
use super::pull::letter;
use super::row::Row;
use super::{Act, AnimalCard, Mint, PlaceCard, Refusal, draft, fresh, in_order, not_future, real_mass_if, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Animal, AnimalEvent, Egg};
use crate::words::{AnimalEventWhat, Fate, LaidAs};
use chrono::NaiveDateTime;
use journal::{Draft, DraftSet};
use std::collections::BTreeMap;
use trade::money::Money;
use trade::units::Mass;
use trade::when::When;

/// A row that can be brought in. What it names is in the book, or in a row before it. A row whose id is in the book, since an
/// act before this one was stored and the next was not, makes nothing twice.
#[derive(Clone, Debug, PartialEq)]
pub enum SheetRow {
    Place(PlaceId, PlaceCard),
    Animal(Box<SheetAnimal>),
    /// A clutch, and how many of its eggs hatched where that is known.
    Clutch(ClutchId, Box<ClutchCard>, Option<u32>),
}

/// All that a sheet says of an animal. One that is in the book is changed where the card differs.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetAnimal {
    pub id: AnimalId,
    pub card: AnimalCard,
    /// Where it is now.
    pub place: Option<PlaceId>,
    pub weight: Option<(Mass, When)>,
    /// Its asking price.
    pub asked: Option<Money>,
}

impl SheetAnimal {
    /// # Errors
    /// What would be refused of it. Its parents and its place are in the book, or in rows before it.
    fn check(&self, book: &Book, now: NaiveDateTime, rows: &Earlier<'_>) -> Result<(), Refusal> {
        let mut card = self.card.clone();
        for parent in [&mut card.dam, &mut card.sire] {
            if let Some(earlier) = parent.as_ref().and_then(|id| rows.animals.get(id)) {
                in_order(("a parent's birth", earlier.born), ("birth", self.card.born))?;
                *parent = None;
            }
        }
        if let (Some(dam), true) = (&self.card.dam, self.card.dam == self.card.sire) {
            let name = rows.animals.get(dam).map_or_else(|| book.animal_name(dam), |card| card.called().to_owned());
            return Err(Refusal::SireIsDam { name });
        }
        card.check(book, now, Some(&self.id))?;
        if let Some((mass, when)) = self.weight {
            not_future("weighing", when, now)?;
            in_order(("birth", self.card.born), ("weighing", Some(when)))?;
            real_mass_if("A weight", Some(mass))?;
        }
        real_amount("a price above nothing", self.asked)?;
        match &self.place {
            Some(place) if !rows.places.contains_key(place) => there(book, place.clone()),
            _ => Ok(()),
        }
    }

    fn sets(&self, book: &Book, now: NaiveDateTime, sets: &mut Vec<DraftSet>) {
        let row = self.card.row();
        let row = if self.asked.is_some() { row.with(Animal::asked, self.asked) } else { row };
        if book.animal(&self.id).is_some() {
            sets.extend(row.change(book, self.id.as_str()));
        } else {
            sets.push(row.create(book, self.id.as_str()));
        }
        if let Some((mass, when)) = self.weight {
            let event = Row::new()
                .with(AnimalEvent::animal, &self.id)
                .with(AnimalEvent::what, AnimalEventWhat::Weight)
                .with(AnimalEvent::when, when)
                .with(AnimalEvent::mass, mass);
            sets.push(event.observe());
        }
        if let Some(place) = &self.place {
            sets.push(moves::row(&[self.id.thing()], &Where::Place(place.clone()), When::time(now)));
        }
    }
}

/// Rows of the same act that stand before.
#[derive(Default)]
struct Earlier<'a> {
    animals: BTreeMap<&'a AnimalId, &'a AnimalCard>,
    /// With how many places are in each by then.
    places: BTreeMap<&'a PlaceId, i64>,
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

/// More than the records take that have a few short fields: an egg, a weight, a move.
const SHORT_RECORD: usize = 800;

impl SheetRow {
    /// How many records it makes.
    pub fn records(&self) -> usize {
        match self {
            SheetRow::Place(..) => 1,
            SheetRow::Animal(row) => 1 + usize::from(row.weight.is_some()) + usize::from(row.place.is_some()),
            SheetRow::Clutch(_, card, _) => 1 + card.counts.map_or(0, |counts| counts.all() as usize),
        }
    }

    fn undo_bytes(&self) -> usize {
        let own = match self {
            SheetRow::Place(_, card) => card.row().undo_bytes(),
            SheetRow::Animal(row) => row.card.row().undo_bytes(),
            SheetRow::Clutch(_, card, _) => card.row().undo_bytes(),
        };
        own + (self.records() - 1) * SHORT_RECORD
    }
}

impl Act for SheetBroughtIn {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let mut sets: Vec<DraftSet> = Vec::new();
        let mut earlier = Earlier::default();
        let mut currency = None;
        for row in &self.rows {
            match row {
                SheetRow::Place(id, card) => {
                    sets.extend(place(book, id, card, &mut earlier)?);
                }
                SheetRow::Animal(animal) => {
                    animal.check(book, now, &earlier)?;
                    animal.sets(book, now, &mut sets);
                    currency = currency.or(animal.asked).or_else(|| animal.card.price.parse().ok());
                    earlier.animals.insert(&animal.id, &animal.card);
                }
                SheetRow::Clutch(id, card, hatched) => {
                    card.check(book, now)?;
                    if book.clutch(id).is_some() {
                        continue;
                    }
                    sets.push(card.row().create(book, id.as_str()));
                    eggs(book, card, id, *hatched, now, mint, &mut sets);
                }
            }
        }
        sets.extend(first_amount(book, currency));
        draft("SheetBroughtIn", sets)
    }
}

/// A place, in one of the book or of a row before it, behind those that are there.
fn place<'a>(
    book: &Book,
    id: &'a PlaceId,
    card: &'a PlaceCard,
    earlier: &mut Earlier<'a>,
) -> Result<Option<DraftSet>, Refusal> {
    let around = card.within.as_ref().and_then(|within| earlier.places.get_mut(within));
    let new = match around {
        Some(inside) => {
            *inside += 1;
            let alone = PlaceCard { within: None, ..card.clone() };
            alone.check(book, None)?;
            PlaceCard { order: Some(*inside), ..card.clone() }
        }
        None => {
            card.check(book, None)?;
            let before = earlier.places.len();
            let order = next_order(book, card.within.as_ref()).saturating_add(i64::try_from(before).unwrap_or(0));
            PlaceCard { order: Some(order), ..card.clone() }
        }
    };
    earlier.places.insert(id, 0);
    Ok(book.place(id).is_none().then(|| new.row().create(book, id.as_str())))
}

/// Longer than any egg here incubates, in days: what was laid before that is history, hatched or not.
const HISTORY_DAYS: i64 = 300;

/// The eggs of a clutch. Of one long ago it is known how many hatched, and of the others only that they did not.
fn eggs(
    book: &Book,
    card: &ClutchCard,
    clutch: &ClutchId,
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
            .with(Egg::clutch, clutch)
            .with(Egg::letter, letter(index))
            .with(Egg::laid_as, laid_as)
            .with(Egg::fate, fate);
        sets.push(row.create(book, &fresh(book, mint)));
    }
}
