//! Animals cooled for some weeks: planned, due on Rounds step by step, weighed before and after, asked about before they
//! are fed or paired. Who is ready to breed by the barn's own rule.

mod breeders;
#[path = "../common/mod.rs"]
mod common;
mod steps;
mod told;

use book::acts::*;
use book::views::*;
use book::words::{AnimalEventWhat, MealOutcome};
use book::*;
use common::*;

fn animals(d: &mut Device, names: &[&str]) -> Vec<AnimalId> {
    let one = |name: &&str| {
        let card = AnimalCard { name: (*name).into(), ..AnimalCard::default() };
        d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new)
    };
    names.iter().map(one).collect()
}

fn card(from: &str, until: &str) -> CoolingCard {
    let from = Some(when(from));
    CoolingCard { from, until: until.parse().ok(), temp: Some(cc(1200)), fast_days: Some(14), ..CoolingCard::default() }
}

fn cooled(d: &mut Device, animals: &[AnimalId], card: CoolingCard) -> Vec<CoolingId> {
    let things = d.all(Kind::Cooling, &CoolingSet { animals: animals.to_vec(), card });
    things.into_iter().map(|thing| CoolingId::new(thing.id)).collect()
}

/// As they stand, each with something changed.
fn edited(d: &Device, coolings: &[CoolingId], change: impl Fn(&mut CoolingCard)) -> CoolingEdited {
    let card = |id: &CoolingId| {
        let mut card = CoolingCard::of(&d.book, id).expect("there");
        change(&mut card);
        (id.clone(), card)
    };
    CoolingEdited { cards: coolings.iter().map(card).collect() }
}

fn weighed(d: &mut Device, animals: &[AnimalId], grams: &[i64], at: &str) {
    let weights = animals.iter().cloned().zip(grams.iter().map(|&grams| g(grams))).collect();
    d.act(&AnimalsWeighed { weights, when: when(at) });
}

fn fed(animals: &[AnimalId], at: &str) -> MealOffered {
    MealOffered {
        animals: animals.to_vec(),
        offered: when(at),
        outcome: Some(MealOutcome::Eaten),
        prey: "mouse".into(),
        size: String::new(),
        how: String::new(),
    }
}

fn shed(animal: &AnimalId, at: &str) -> AnimalsSeen {
    let (animals, what) = (vec![animal.clone()], AnimalEventWhat::Shed);
    AnimalsSeen { animals, what, when: when(at), shed: None, note: String::new() }
}

fn paired(dam: &AnimalId, sire: &AnimalId, at: &str) -> Paired {
    Paired { dams: vec![dam.clone()], sires: vec![sire.clone()], when: when(at), note: String::new() }
}

/// What Rounds says of coolings: the step, of how many, and the day it was planned for.
fn due(d: &Device) -> Vec<(CoolingStep, usize, String)> {
    let rows = rounds(&d.book, d.now).into_iter().filter(|due| matches!(due.fact, Fact::Cooling { .. }));
    let said = |due: Due| match due.fact {
        Fact::Cooling { step, animals, day, .. } => (step, animals, day.to_string()),
        other => panic!("{other:?}"),
    };
    rows.map(said).collect()
}
