//! What young have from their clutch, once it is put right.

use super::clutches::ClutchCard;
use super::row::Row;
use crate::book::Book;
use crate::ids::{AnimalId, ClutchId, EggId};
use crate::records::{Animal, Clutch};
use journal::DraftSet;

/// Dam and sire that young got when they hatched follow their clutch; what somebody entered of one of them since stays.
pub(super) fn young_follow(book: &Book, clutch: &ClutchId, card: &ClutchCard) -> Vec<DraftSet> {
    let Some(before) = ClutchCard::of(book, clutch).map(|card| card.only_parents()) else { return Vec::new() };
    let after = card.only_parents();
    if before == after {
        return Vec::new();
    }
    let told = [Clutch::dams.name, Clutch::sires.name, Clutch::unknown_male.name, Clutch::no_male.name];
    let told = told.map(|field| book.wrote(&clutch.thing(), field));
    let own = |egg: &EggId| book.egg(egg).is_some_and(|egg| egg.clutch.as_ref() == Some(clutch));
    let mut young: Vec<&Animal> = book.eggs_of(clutch).into_iter().flat_map(|egg| book.young_of(&egg.id)).collect();
    crate::order::keep_first(&mut young, |animal| animal.id.clone());
    let followed = young.into_iter().filter(|animal| animal.from_eggs.iter().all(own)).filter_map(|animal| {
        let born = book.wrote(&animal.id.thing(), Animal::from_eggs.name);
        let follows = |field: &str, stands: &Option<AnimalId>, was: &Option<AnimalId>| {
            let wrote = book.wrote(&animal.id.thing(), field);
            stands == was && (wrote == born || told.contains(&wrote) || wrote.reference.is_none())
        };
        // Nobody is its own parent, whatever its clutch says.
        let other = |parent: &Option<AnimalId>| parent.clone().filter(|id| *id != animal.id);
        let mut row = Row::new();
        if follows(Animal::dam.name, &animal.dam, &before.0) {
            row = row.with(Animal::dam, other(&after.0));
        }
        if follows(Animal::sire.name, &animal.sire, &before.1) {
            row = row.with(Animal::sire, other(&after.1));
        }
        row.change(book, animal.id.as_str())
    });
    followed.collect()
}
