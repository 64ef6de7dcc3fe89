//! Who would like what, what is held for whom, and what goes with an animal that leaves.

use super::animal::{EventLine, MealLine, animal_view};
use super::babies::{BabyRow, baby_row};
use super::care::{TreatmentRow, treatments_of};
use crate::book::Book;
use crate::ids::*;
use crate::lower::lower;
use crate::records::*;
use crate::words::*;
use chrono::NaiveDateTime;
use trade::species::Profile;
use trade::units::Mass;
use trade::when::When;

/// A wish, and what could answer it.
#[derive(Clone, Debug, PartialEq)]
pub struct WishRow {
    pub wish: Wish,
    /// The mark of who wishes.
    pub mark: Option<String>,
    /// The species' name.
    pub species: Option<String>,
    /// Held for it by now.
    pub held: usize,
    /// Animals free, ready or not, that fit its species and sex; ready ones first.
    pub fit: Vec<BabyRow>,
}

/// Open wishes, oldest first, each with the young that could answer it.
pub fn wish_rows(book: &Book, young: &[BabyRow]) -> Vec<WishRow> {
    book.open_wishes().into_iter().map(|wish| wish_row(book, wish, young)).collect()
}

/// Whether an animal has what a wish says.
pub(super) fn answers(wish: &Wish, animal: &Animal) -> bool {
    let species = wish.species.is_none() || animal.species == wish.species;
    // Nobody can tell the sex of a hatchling: one not told yet may still be it.
    let sex = match (wish.sex, animal.sex) {
        (None | Some(Sex::Unknown), _) | (_, None | Some(Sex::Unknown)) => true,
        (wanted, sex) => wanted == sex,
    };
    let said = || {
        let words = lower(wish.what.as_deref().unwrap_or(""));
        let looks = lower(animal.morph.as_deref().unwrap_or(""));
        words.split_whitespace().any(|word| word.len() > 2 && looks.contains(word))
    };
    species && sex && (wish.species.is_some() || said())
}

fn wish_row(book: &Book, wish: &Wish, young: &[BabyRow]) -> WishRow {
    let fits = |row: &&BabyRow| {
        let free = row.hold.is_none() && row.state != super::BabyState::Left;
        free && book.animal(&row.id).is_some_and(|animal| answers(wish, animal))
    };
    let mut fit: Vec<BabyRow> = young.iter().filter(fits).cloned().collect();
    crate::order::sort(&mut fit, |row| !row.ready);
    WishRow {
        mark: wish.contact.as_ref().map(|id| book.contact_mark(id)),
        species: wish.species.as_ref().map(|key| book.species_of(Some(key)).name.into_owned()),
        held: held_for(book, wish),
        fit,
        wish: wish.clone(),
    }
}

/// How many are held for a wish now.
pub(super) fn held_for(book: &Book, wish: &Wish) -> usize {
    book.holds_for(&wish.id).filter(|hold| hold.ended.is_none()).count()
}

/// Something held.
#[derive(Clone, Debug, PartialEq)]
pub struct HoldRow {
    pub hold: Hold,
    pub animal: String,
    /// The mark of whom it is held for; none: kept back.
    pub mark: Option<String>,
    pub ready: bool,
}

/// What is held now, oldest first.
pub fn hold_rows(book: &Book, now: NaiveDateTime) -> Vec<HoldRow> {
    let row = |hold: &Hold| {
        let id = hold.animal.clone()?;
        Some(HoldRow {
            animal: book.animal_name(&id),
            mark: hold.contact.as_ref().map(|id| book.contact_mark(id)),
            ready: baby_row(book, &id, now).is_none_or(|row| row.ready),
            hold: hold.clone(),
        })
    };
    book.open_holds().into_iter().filter_map(row).collect()
}

impl Book {
    /// What the records call somebody outside: a mark.
    pub fn contact_mark(&self, id: &ContactId) -> String {
        self.short_name(&id.thing())
    }
}

/// What goes with an animal.
#[derive(Clone, Debug, PartialEq)]
pub struct Papers {
    pub animal: Animal,
    pub name: String,
    pub species: Profile,
    pub dam: Option<Parent>,
    pub sire: Option<Parent>,
    pub clutch: Option<String>,
    pub hatched: Option<When>,
    /// Oldest first.
    pub weights: Vec<(Mass, Option<When>)>,
    /// Oldest first.
    pub sheds: Vec<When>,
    /// Newest first.
    pub meals: Vec<MealLine>,
    pub taken: u32,
    pub refused: u32,
    /// Noted as treated, newest first.
    pub treatments: Vec<EventLine>,
    /// What a veterinarian ordered, newest first.
    pub ordered: Vec<TreatmentRow>,
    pub price: Option<String>,
    pub left: Option<When>,
}

/// A parent as its young's papers name it.
#[derive(Clone, Debug, PartialEq)]
pub struct Parent {
    pub name: String,
    pub looks: Option<String>,
    pub line: Option<String>,
}

/// The papers of an animal. `None` when there is no such animal.
pub fn papers(book: &Book, id: &AnimalId, now: NaiveDateTime) -> Option<Papers> {
    let view = animal_view(book, id, now)?;
    let parent = |id: &AnimalId| {
        let animal = book.animal(id);
        Parent {
            name: book.animal_name(id),
            looks: animal.and_then(|a| a.morph.clone()),
            line: animal.and_then(|a| a.line.clone()),
        }
    };
    let clutch = view.animal.from_eggs.first().and_then(|egg| book.egg(egg)?.clutch.clone());
    let sheds = view.sheds.iter().rev().filter_map(|shed| shed.when).collect();
    let count = |outcome| view.meals.iter().filter(|meal| meal.outcome == Some(outcome)).count();
    let hold = book.hold_on(id);
    Some(Papers {
        dam: view.animal.dam.as_ref().map(parent),
        sire: view.animal.sire.as_ref().map(parent),
        clutch: clutch.map(|id| book.clutch_number(&id)),
        hatched: view.animal.born,
        weights: view.weights,
        sheds,
        taken: u32::try_from(count(MealOutcome::Eaten)).unwrap_or(u32::MAX),
        refused: u32::try_from(count(MealOutcome::Refused)).unwrap_or(u32::MAX),
        treatments: view.events.iter().filter(|e| e.what == Some(AnimalEventWhat::Treatment)).cloned().collect(),
        ordered: treatments_of(book, id, now),
        price: view.animal.went_price.clone().or_else(|| hold.and_then(|hold| hold.price.clone())),
        left: view.animal.went_when,
        name: view.name,
        species: view.species,
        meals: view.meals,
        animal: view.animal,
    })
}
