//! An animal added or edited.

use super::kept::kept;
use crate::day::in_field;
use crate::entry::{Entry, Gather, Wrong};
use crate::forms::money;
use crate::measure::Units;
use book::acts::AnimalCard;
use book::words::{Came, Sex, Went};
use book::{AnimalId, EggId};
use chrono::NaiveDate;
use trade::money::Currency;

/// Names of its fields for days.
pub const BORN: &str = "Hatched on";
pub const LEFT_ON: &str = "Left on";

/// All that the page asks, as its fields hold it: days as date fields give them, ids and keys as text.
#[derive(Clone, Debug)]
pub struct AnimalForm {
    /// As it stood when the page was opened.
    pub before: AnimalCard,
    pub code: String,
    pub name: String,
    pub species: String,
    pub sex: Sex,
    pub morph: String,
    pub sex_how: String,
    pub sex_sure: String,
    pub line: String,
    pub locality: String,
    pub hybrid: String,
    pub born: String,
    pub came: Option<Came>,
    pub eggs: Vec<String>,
    pub dam: String,
    pub sire: String,
    pub went: Option<Went>,
    pub went_when: String,
    pub went_why: String,
    pub price: Entry,
    pub note: String,
}

impl AnimalForm {
    /// `currency`: the barn's own, if it writes amounts down.
    pub fn new(before: AnimalCard, currency: Option<Currency>) -> AnimalForm {
        let id = |id: &Option<AnimalId>| id.as_ref().map(ToString::to_string).unwrap_or_default();
        AnimalForm {
            code: before.code.clone(),
            name: before.name.clone(),
            species: before.species.clone().unwrap_or_default(),
            sex: before.sex.unwrap_or(Sex::Unknown),
            morph: before.morph.clone(),
            sex_how: before.sex_how.clone(),
            sex_sure: before.sex_sure.clone(),
            line: before.line.clone(),
            locality: before.locality.clone(),
            hybrid: before.hybrid.clone(),
            born: in_field(before.born),
            came: before.came,
            eggs: before.from_eggs.iter().map(ToString::to_string).collect(),
            dam: id(&before.dam),
            sire: id(&before.sire),
            went: before.went,
            went_when: in_field(before.went_when),
            went_why: before.went_why.clone(),
            price: money::price(&before.price, currency),
            note: before.note.clone(),
            before,
        }
    }

    fn take(&self, gather: &mut Gather, today: NaiveDate) -> AnimalCard {
        let some = |text: &String| Some(text.clone()).filter(|text| !text.is_empty());
        // When and why are asked only of one that left.
        let here = self.went.is_none();
        let came_back = here && self.before.went.is_some();
        let went_when = match here {
            true => self.before.went_when.filter(|_| !came_back),
            false => gather.dated(LEFT_ON, &self.went_when, self.before.went_when, today),
        };
        AnimalCard {
            code: self.code.clone(),
            name: self.name.clone(),
            species: some(&self.species),
            sex: Some(self.sex),
            sex_how: self.sex_how.clone(),
            sex_sure: self.sex_sure.clone(),
            morph: self.morph.clone(),
            line: self.line.clone(),
            locality: self.locality.clone(),
            hybrid: self.hybrid.clone(),
            born: gather.dated(BORN, &self.born, self.before.born, today),
            came: self.came,
            from_eggs: self.eggs.iter().map(|egg| EggId::from(egg.as_str())).collect(),
            dam: some(&self.dam).map(AnimalId::new),
            sire: some(&self.sire).map(AnimalId::new),
            went: self.went,
            went_when,
            went_why: if came_back { String::new() } else { self.went_why.clone() },
            price: if came_back { String::new() } else { gather.price(&self.price, &self.before.price) },
            note: self.note.clone(),
        }
    }

    /// `now`: as it stands when *Save* is tapped; of a new one, as it was offered.
    ///
    /// # Errors
    /// Days that are not finished or to come, each with its field's name.
    pub fn card(&self, now: &AnimalCard, today: NaiveDate) -> Result<AnimalCard, Wrong> {
        let mut gather = Gather::new(Units::default());
        let typed = self.take(&mut gather, today);
        let opened = AnimalForm::new(self.before.clone(), None).take(&mut Gather::new(Units::default()), today);
        gather.done(kept!(AnimalCard {
            code, name, species, sex, sex_how, sex_sure, morph, line, locality, hybrid, born, came, from_eggs, dam, sire,
            went, went_when, went_why, price, note,
        }: typed, opened, now))
    }
}
