//! Animals, their events and their meals.

use super::cooling::food_doubts;
use super::correct::said_of;
use super::money::first_amount;
use super::row::Row;
use super::{
    Act, Doubt, Mint, Refusal, all_there, draft, id_or_fresh, in_order, is_before, not_future, real_mass_if, there,
};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Animal, AnimalEvent, Meal};
use crate::words::{AnimalEventWhat, Came, MealOutcome, Sex, ShedAs, Went};
use chrono::NaiveDateTime;
use journal::{Draft, DraftSet};
use trade::units::Mass;
use trade::when::When;

/// All of an animal that a form edits.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AnimalCard {
    pub code: String,
    pub name: String,
    /// A species record's id or a shipped profile's key.
    pub species: Option<String>,
    pub sex: Option<Sex>,
    pub sex_how: String,
    pub sex_sure: String,
    pub morph: String,
    pub line: String,
    pub locality: String,
    pub hybrid: String,
    pub born: Option<When>,
    pub came: Option<Came>,
    pub from_eggs: Vec<EggId>,
    pub dam: Option<AnimalId>,
    pub sire: Option<AnimalId>,
    pub went: Option<Went>,
    pub went_when: Option<When>,
    pub went_why: String,
    /// What it went for, with its currency.
    pub price: String,
    pub note: String,
}

impl AnimalCard {
    /// As it stands in the book.
    pub fn of(book: &Book, animal: &AnimalId) -> Option<AnimalCard> {
        let a = book.animal(animal)?;
        let text = |text: &Option<String>| text.clone().unwrap_or_default();
        Some(AnimalCard {
            code: text(&a.code),
            name: text(&a.name),
            species: a.species.clone(),
            sex: a.sex,
            sex_how: text(&a.sex_how),
            sex_sure: text(&a.sex_sure),
            morph: text(&a.morph),
            line: text(&a.line),
            locality: text(&a.locality),
            hybrid: text(&a.hybrid),
            born: a.born,
            came: a.came,
            from_eggs: a.from_eggs.clone(),
            dam: a.dam.clone(),
            sire: a.sire.clone(),
            went: a.went,
            went_when: a.went_when,
            went_why: text(&a.went_why),
            price: text(&a.went_price),
            note: text(&a.note),
        })
    }

    /// Its name, or its code where it has none.
    pub fn called(&self) -> &str {
        if self.name.trim().is_empty() { self.code.trim() } else { self.name.trim() }
    }

    pub(super) fn row(&self) -> Row<Animal> {
        Row::new()
            .with(Animal::code, &self.code)
            .with(Animal::name, &self.name)
            .with(Animal::species, self.species.as_ref())
            .with(Animal::sex, self.sex)
            .with(Animal::sex_how, &self.sex_how)
            .with(Animal::sex_sure, &self.sex_sure)
            .with(Animal::morph, &self.morph)
            .with(Animal::line, &self.line)
            .with(Animal::locality, &self.locality)
            .with(Animal::hybrid, &self.hybrid)
            .with(Animal::born, self.born)
            .with(Animal::came, self.came)
            .with(Animal::from_eggs, &self.from_eggs)
            .with(Animal::dam, self.dam.as_ref())
            .with(Animal::sire, self.sire.as_ref())
            .with(Animal::went, self.went)
            .with(Animal::went_when, self.went_when)
            .with(Animal::went_why, &self.went_why)
            .with(Animal::went_price, &self.price)
            .with(Animal::note, &self.note)
    }

    pub(super) fn check(&self, book: &Book, now: NaiveDateTime, own: Option<&AnimalId>) -> Result<(), Refusal> {
        if self.code.trim().is_empty() && self.name.trim().is_empty() {
            return Err(Refusal::Missing { what: "a code or a name" });
        }
        for (what, when) in [("birth", self.born), ("leaving", self.went_when)] {
            if let Some(when) = when {
                not_future(what, when, now)?;
            }
        }
        in_order(("birth", self.born), ("leaving", self.went_when))?;
        all_there(book, &self.from_eggs)?;
        for egg in self.from_eggs.iter().filter_map(|id| book.egg(id)) {
            in_order(("laying", book.laid(egg)), ("hatching", self.born))?;
        }
        for parent in self.dam.iter().chain(&self.sire).filter_map(|id| book.animal(id)) {
            in_order(("a parent's birth", parent.born), ("birth", self.born))?;
        }
        for parent in self.dam.iter().chain(&self.sire) {
            there(book, parent.clone())?;
            if own == Some(parent) {
                return Err(Refusal::InItself { name: self.called().to_owned() });
            }
        }
        if self.dam.is_some() && self.dam == self.sire {
            return Err(Refusal::SireIsDam {
                name: self.dam.as_ref().map_or_else(String::new, |id| book.animal_name(id)),
            });
        }
        Ok(())
    }

    fn doubts(&self, book: &Book, own: Option<&AnimalId>) -> Vec<Doubt> {
        let mut doubts = Vec::new();
        if !self.code.trim().is_empty() && book.animals_coded(&self.code).any(|other| Some(&other.id) != own) {
            doubts.push(Doubt::CodeTaken { code: self.code.trim().to_owned() });
        }
        doubts.extend(sex_doubts(book, self.dam.as_slice(), self.sire.as_slice()));
        doubts
    }
}

/// Dams recorded as males, sires recorded as females.
pub(super) fn sex_doubts(book: &Book, dams: &[AnimalId], sires: &[AnimalId]) -> Vec<Doubt> {
    let wrong = |ids: &[AnimalId], wrong: Sex| -> Vec<Doubt> {
        let of_wrong_sex = ids.iter().filter(|id| book.animal(id).and_then(|animal| animal.sex) == Some(wrong));
        of_wrong_sex.map(|id| Doubt::OtherSex { name: book.animal_name(id) }).collect()
    };
    let mut doubts = wrong(dams, Sex::Male);
    doubts.extend(wrong(sires, Sex::Female));
    doubts
}

/// Asks when an animal had left the barn before `when`.
pub(super) fn gone_doubts<'a>(
    book: &Book,
    animals: impl Iterator<Item = &'a AnimalId>,
    when: Option<When>,
) -> Vec<Doubt> {
    let gone = animals.filter(|id| {
        book.animal(id).filter(|animal| !animal.is_here()).is_some_and(|animal| match (animal.went_when, when) {
            (Some(went), Some(when)) => is_before(went, when),
            _ => true,
        })
    });
    gone.map(|id| Doubt::Gone { name: book.animal_name(id) }).collect()
}

/// Refuses what would have happened to an animal before its birth.
pub(super) fn born_by(book: &Book, animal: &AnimalId, what: &'static str, when: When) -> Result<(), Refusal> {
    in_order(("birth", book.animal(animal).and_then(|animal| animal.born)), (what, Some(when)))
}

/// A new animal.
#[derive(Clone, Debug, Default)]
pub struct AnimalAdded {
    /// From a scanned blank label.
    pub id: Option<AnimalId>,
    pub card: AnimalCard,
    /// Where it is kept.
    pub place: Option<PlaceId>,
}

impl Act for AnimalAdded {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        self.card.check(book, now, None)?;
        let preset = self.id.as_ref().map(AnimalId::as_str);
        let (id, used) = id_or_fresh(book, Kind::Animal, preset, mint)?;
        let mut sets = vec![self.card.row().create(book, &id)];
        sets.extend(used);
        if let Some(place) = &self.place {
            there(book, place.clone())?;
            sets.push(super::moves::row(
                &[Thing::new(Kind::Animal, id)],
                &Where::Place(place.clone()),
                When::time(now),
            ));
        }
        draft("AnimalAdded", sets)
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let mut doubts = self.card.doubts(book, None);
        let new = Thing::new(Kind::Animal, "");
        doubts.extend(self.place.as_ref().and_then(|place| super::moves::crowded(book, &[&new], place)));
        doubts
    }
}

/// Anything of an animal corrected or completed; only what differs is written.
#[derive(Clone, Debug)]
pub struct AnimalEdited {
    pub animal: AnimalId,
    pub card: AnimalCard,
}

impl Act for AnimalEdited {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.animal.clone())?;
        self.card.check(book, now, Some(&self.animal))?;
        let mut sets: Vec<DraftSet> = self.card.row().change(book, self.animal.as_str()).into_iter().collect();
        if !sets.is_empty() {
            sets.extend(first_amount(book, self.card.price.parse().ok()));
        }
        draft("AnimalEdited", sets)
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        self.card.doubts(book, Some(&self.animal))
    }
}

/// A weight, a shed, straining…
#[derive(Clone, Debug)]
pub struct AnimalEventNoted {
    pub animal: AnimalId,
    pub what: AnimalEventWhat,
    pub when: When,
    pub mass: Option<Mass>,
    /// Of a shed only; `None`: nobody looked.
    pub shed: Option<ShedAs>,
    pub note: String,
}

impl Act for AnimalEventNoted {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.animal.clone())?;
        not_future("event", self.when, now)?;
        born_by(book, &self.animal, "the event", self.when)?;
        real_mass_if("A weight", self.mass)?;
        if self.what == AnimalEventWhat::Weight && self.mass.is_none() {
            return Err(Refusal::Missing { what: "the weight" });
        }
        let event = Row::new()
            .with(AnimalEvent::animal, &self.animal)
            .with(AnimalEvent::what, self.what)
            .with(AnimalEvent::when, self.when)
            .with(AnimalEvent::mass, self.mass)
            .with(AnimalEvent::shed, self.shed.filter(|_| self.what.is_shed()))
            .with(AnimalEvent::note, &self.note)
            .observe();
        draft("AnimalEventNoted", vec![event])
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let mut doubts = far_doubts(book, &self.animal, self.mass);
        doubts.extend(gone_doubts(book, std::iter::once(&self.animal), Some(self.when)));
        doubts
    }
}

pub(super) fn far_doubts(book: &Book, animal: &AnimalId, mass: Option<Mass>) -> Vec<Doubt> {
    let before = book.weight(animal).map(|(mass, _)| mass);
    match (mass, before) {
        (Some(now), Some(before)) if far(now, before) => vec![Doubt::MassFar { what: "The weight", now, before }],
        _ => Vec::new(),
    }
}

/// Less than half or more than twice: a slipped digit rather than an animal.
pub(super) fn far(now: Mass, before: Mass) -> bool {
    now.0.saturating_mul(2) < before.0 || now.0 > before.0.saturating_mul(2)
}

/// A meal offered to one or many, the outcome known or not yet.
#[derive(Clone, Debug)]
pub struct MealOffered {
    pub animals: Vec<AnimalId>,
    pub offered: When,
    pub outcome: Option<MealOutcome>,
    pub prey: String,
    pub size: String,
    pub how: String,
}

impl Act for MealOffered {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        not_future("meal", self.offered, now)?;
        all_once(book, &self.animals)?;
        self.animals.iter().try_for_each(|animal| born_by(book, animal, "the meal", self.offered))?;
        let meals = self.animals.iter().map(|animal| -> DraftSet {
            Row::new()
                .with(Meal::animal, animal)
                .with(Meal::offered, self.offered)
                .with(Meal::outcome, self.outcome)
                .with(Meal::outcome_when, self.outcome.map(|_| self.offered))
                .with(Meal::prey, &self.prey)
                .with(Meal::size, &self.size)
                .with(Meal::how, &self.how)
                .observe()
        });
        draft("MealOffered", meals.collect())
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        let mut doubts = gone_doubts(book, self.animals.iter(), Some(self.offered));
        doubts.extend(food_doubts(book, &self.animals, self.offered));
        doubts
    }
}

pub(super) fn all_once(book: &Book, animals: &[AnimalId]) -> Result<(), Refusal> {
    for (i, animal) in animals.iter().enumerate() {
        there(book, animal.clone())?;
        if animals[..i].contains(animal) {
            return Err(Refusal::Twice { what: book.animal_name(animal) });
        }
    }
    if animals.is_empty() { Err(Refusal::Missing { what: "the animal" }) } else { Ok(()) }
}

/// What became of a meal.
#[derive(Clone, Debug)]
pub struct MealOutcomeSeen {
    pub meal: MealId,
    pub outcome: MealOutcome,
    pub when: When,
}

impl Act for MealOutcomeSeen {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let meal = book.meal(&self.meal).ok_or_else(|| Refusal::NoSuch { thing: self.meal.thing() })?;
        not_future("outcome", self.when, now)?;
        in_order(("the offer", meal.offered), ("its outcome", Some(self.when)))?;
        let row = Row::new()
            .with(Meal::outcome, self.outcome)
            .with(Meal::outcome_when, self.when)
            // Seen, it is assumed no more, and stays a meal of that feeding.
            .with(Meal::assumed, said_of(meal));
        let change = row.change(book, self.meal.as_str());
        draft("MealOutcomeSeen", change.into_iter().collect())
    }
}
