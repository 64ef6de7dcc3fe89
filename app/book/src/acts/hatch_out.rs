//! A box hatched out in one go: its babies, one after the other, and what became of every other egg.

use super::hatch::{early, end, fate_row, in_time, out_once, since_last_look};
use super::moves::{can_hold, occupied, row as move_row};
use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, draft, fresh, not_future, real_mass_if, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Animal, AnimalEvent, Egg, Filling};
use crate::views::sum_of;
use crate::words::{AnimalEventWhat, Came, Fate, LaidAs, Sex, Went};
use chrono::NaiveDateTime;
use journal::{Draft, DraftSet};
use std::collections::{BTreeMap, BTreeSet};
use trade::units::Mass;
use trade::when::When;

/// One baby. Its sex is not asked: nobody can tell it at hatching.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct NewBaby {
    /// The egg it came from; several when it is not known which of them. Two babies of one egg are twins.
    pub eggs: Vec<EggId>,
    pub code: String,
    pub mass: Option<Mass>,
    /// The morph as seen.
    pub looks: String,
    pub faults: String,
    /// Its tub.
    pub place: Option<PlaceId>,
    /// Escaped or died before it was in a tub.
    pub went: Option<Went>,
}

/// A box hatched out, in whole or in part. Every egg a baby names has hatched; the box closes itself when no egg is
/// left in it.
#[derive(Clone, Debug)]
pub struct HatchedOut {
    pub filling: FillingId,
    /// `None`: between the last look into the box and now.
    pub when: Option<When>,
    pub babies: Vec<NewBaby>,
    /// What became of other eggs, and why.
    pub others: BTreeMap<EggId, (Fate, String)>,
}

/// Out of one egg come at most this many.
const TWINS: usize = 2;

impl HatchedOut {
    /// Eggs that the babies came out of, each once, in the order they are named.
    fn hatched(&self) -> Vec<&EggId> {
        let mut eggs: Vec<&EggId> = Vec::new();
        for egg in self.babies.iter().flat_map(|baby| &baby.eggs) {
            if !eggs.contains(&egg) {
                eggs.push(egg);
            }
        }
        eggs
    }

    /// The eggs left in the box afterwards.
    fn left<'a>(&self, book: &'a Book) -> Vec<&'a Egg> {
        let hatched = self.hatched();
        let mut left = book.eggs_in(&self.filling);
        left.retain(|egg| !hatched.contains(&&egg.id) && !self.others.contains_key(&egg.id));
        left
    }

    fn check(&self, book: &Book) -> Result<(), Refusal> {
        there(book, self.filling.clone())?;
        if self.babies.is_empty() && self.others.is_empty() {
            return Err(Refusal::NoEggs);
        }
        let tray = book.tray(&self.filling);
        let letter = |id: &EggId| book.egg(id).and_then(|egg| egg.letter.clone()).unwrap_or_default();
        let mut alone: BTreeMap<&EggId, usize> = BTreeMap::new();
        let mut codes: BTreeSet<&str> = BTreeSet::new();
        for baby in &self.babies {
            real_mass_if("A baby's mass", baby.mass)?;
            let code = baby.code.trim();
            if code.is_empty() {
                return Err(Refusal::Missing { what: "a code for each baby" });
            }
            if !codes.insert(code) {
                return Err(Refusal::Twice { what: code.to_owned() });
            }
            if baby.eggs.is_empty() {
                return Err(Refusal::NoEggs);
            }
            if let Some(place) = &baby.place {
                can_hold(book, &Where::Place(place.clone()))?;
            }
            if let [only] = baby.eggs.as_slice() {
                *alone.entry(only).or_default() += 1;
            }
        }
        for (egg, new) in alone {
            if new + book.young_of(egg).count() > TWINS {
                return Err(Refusal::TooManyOfOne { letter: letter(egg) });
            }
        }
        for id in self.hatched() {
            let egg = tray.iter().find(|egg| egg.id == *id);
            let egg = egg.ok_or_else(|| Refusal::EggElsewhere { letter: letter(id) })?;
            if egg.fate.is_some_and(|fate| fate != Fate::Hatched) || self.others.contains_key(id) {
                return Err(Refusal::EggGone { letter: letter(id) });
            }
        }
        for (id, (fate, _)) in &self.others {
            let egg = tray.iter().find(|egg| egg.id == *id);
            let egg = egg.ok_or_else(|| Refusal::EggElsewhere { letter: letter(id) })?;
            if egg.fate.is_some() || *fate == Fate::Hatched {
                return Err(Refusal::EggGone { letter: letter(id) });
            }
        }
        Ok(())
    }

    /// Tubs that would hold more than one animal, and babies left without one where others get one.
    fn tub_doubts(&self, book: &Book) -> Vec<Doubt> {
        let here = || self.babies.iter().filter(|baby| baby.went.is_none());
        let mut coming: BTreeMap<&PlaceId, usize> = BTreeMap::new();
        here().filter_map(|baby| baby.place.as_ref()).for_each(|place| *coming.entry(place).or_default() += 1);
        let shared = coming.iter().filter(|(place, babies)| {
            **babies > 1 || book.things_at(place).iter().any(|thing| thing.kind == Kind::Animal)
        });
        let shared = shared.filter_map(|(place, _)| book.place(place));
        let mut doubts: Vec<Doubt> = shared.map(|place| occupied(book, place)).collect();
        let without: Vec<String> =
            here().filter(|baby| baby.place.is_none()).map(|baby| baby.code.trim().to_owned()).collect();
        if !coming.is_empty() && !without.is_empty() {
            doubts.push(Doubt::NoTub { codes: without });
        }
        doubts
    }

    /// Less than half or more than twice what the middle one of the others weighs, these and its siblings that are here: a
    /// slipped digit rather than a baby. Of two alone the heavier is told.
    fn masses_far(&self, book: &Book) -> Vec<Doubt> {
        let clutches: BTreeSet<&ClutchId> =
            self.hatched().into_iter().filter_map(|egg| book.egg(egg)?.clutch.as_ref()).collect();
        let eggs = clutches.into_iter().flat_map(|clutch| book.eggs_of(clutch));
        let siblings =
            eggs.flat_map(|egg| book.young_of(&egg.id)).filter_map(|animal| Some(book.weights(&animal.id).first()?.0));
        let mut masses: Vec<Mass> = self.babies.iter().filter_map(|baby| baby.mass).chain(siblings).collect();
        masses.sort_unstable();
        let others = |mass: Mass| {
            let mut others = masses.clone();
            others.remove(others.iter().position(|other| *other == mass)?);
            others.get(others.len().saturating_sub(1) / 2).copied()
        };
        let mut far: Vec<Doubt> = Vec::new();
        for mass in self.babies.iter().filter_map(|baby| baby.mass) {
            let Some(usual) = others(mass).filter(|usual| super::animals::far(mass, *usual)) else { continue };
            let doubt = Doubt::BabyFar { mass, others: usual };
            if (masses.len() > 2 || mass > usual) && !far.contains(&doubt) {
                far.push(doubt);
            }
        }
        far
    }

    /// What an egg's baby weighed: its own, twins together; of babies not told apart an even share.
    fn mass_out(&self, egg: &EggId) -> Option<Mass> {
        let mut sum = 0i64;
        for baby in self.babies.iter().filter(|baby| baby.eggs.contains(egg)) {
            // Thousandths of a milligram, so that the shares add up to the whole again.
            sum += baby.mass?.0 * 1000 / i64::try_from(baby.eggs.len()).unwrap_or(1).max(1);
        }
        (sum > 0).then_some(Mass((sum + 500) / 1000))
    }
}

/// What all eggs named say of their clutch; nothing when they differ.
fn agreed<T: PartialEq>(book: &Book, eggs: &[EggId], of: impl Fn(&crate::records::Clutch) -> Option<T>) -> Option<T> {
    let mut said = eggs.iter().map(|egg| of(book.clutch(book.egg(egg)?.clutch.as_ref()?)?));
    let first = said.next()??;
    said.all(|other| other.as_ref() == Some(&first)).then_some(first)
}

fn only<T: Clone>(candidates: &[T]) -> Option<T> {
    match candidates {
        [one] => Some(one.clone()),
        _ => None,
    }
}

fn baby_row(book: &Book, baby: &NewBaby, when: When) -> Row<Animal> {
    let eggs = &baby.eggs;
    Row::new()
        .with(Animal::code, &baby.code)
        .with(Animal::species, agreed(book, eggs, |clutch| book.clutch_species(clutch)))
        .with(Animal::sex, Sex::Unknown)
        .with(Animal::morph, &baby.looks)
        .with(Animal::faults, &baby.faults)
        .with(Animal::line, agreed(book, eggs, |clutch| book.animal(&only(&clutch.dams)?)?.line.clone()))
        .with(Animal::born, when)
        .with(Animal::came, if eggs.len() == 1 { Came::Egg } else { Came::OneOf })
        .with(Animal::from_eggs, eggs)
        .with(Animal::dam, agreed(book, eggs, |clutch| only(&clutch.dams)))
        .with(Animal::sire, agreed(book, eggs, |clutch| only(clutch.only_of())))
        .with(Animal::went, baby.went)
        .with(Animal::went_when, baby.went.map(|_| when))
}

impl Act for HatchedOut {
    fn draft(&self, book: &Book, now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        self.check(book)?;
        let hatched: Vec<EggId> = self.hatched().into_iter().cloned().collect();
        let when = self.when.unwrap_or_else(|| since_last_look(book, &hatched, now));
        not_future("hatching", when, now)?;
        let filling = book.filling(&self.filling).ok_or_else(|| Refusal::NoSuch { thing: self.filling.thing() })?;
        let mut sets: Vec<DraftSet> = Vec::new();
        let mut fates: Vec<DraftSet> = Vec::new();
        for id in &hatched {
            in_time(book, id, "the hatching", when)?;
            if book.egg(id).is_some_and(|egg| egg.fate.is_some()) {
                continue;
            }
            if filling.to.is_some() {
                return Err(Refusal::BoxClosed);
            }
            sets.extend(out_once(book, id, when)?);
            let row = fate_row(Fate::Hatched, end(when), "", self.mass_out(id).as_ref());
            fates.extend(row.change(book, id.as_str()));
        }
        for (id, (fate, why)) in &self.others {
            in_time(book, id, "its end", when)?;
            fates.extend(fate_row(*fate, end(when), why, None).change(book, id.as_str()));
        }
        sets.extend(fates);
        let mut tubs: BTreeMap<&PlaceId, Vec<Thing>> = BTreeMap::new();
        let mut weights = Vec::new();
        let mut ids: BTreeSet<String> = BTreeSet::new();
        for baby in &self.babies {
            let id = fresh(book, mint);
            if !ids.insert(id.clone()) {
                return Err(Refusal::IdTaken { id });
            }
            sets.push(baby_row(book, baby, when).create(book, &id));
            if let Some(mass) = baby.mass {
                let weight = Row::new()
                    .with(AnimalEvent::animal, AnimalId::from(id.as_str()))
                    .with(AnimalEvent::what, AnimalEventWhat::Weight);
                weights.push(weight.with(AnimalEvent::when, end(when)).with(AnimalEvent::mass, mass).observe());
            }
            if let Some(place) = baby.place.as_ref().filter(|_| baby.went.is_none()) {
                tubs.entry(place).or_default().push(Thing::new(Kind::Animal, id));
            }
        }
        sets.extend(weights);
        sets.extend(tubs.into_iter().map(|(place, things)| move_row(&things, &Where::Place(place.clone()), end(when))));
        if filling.to.is_none() && self.left(book).is_empty() {
            sets.extend(Row::new().with(Filling::to, end(when)).change(book, self.filling.as_str()));
        }
        draft("HatchedOut", sets)
    }

    fn doubts(&self, book: &Book, now: NaiveDateTime) -> Vec<Doubt> {
        let still: Vec<EggId> = self
            .hatched()
            .into_iter()
            .filter(|id| book.egg(id).is_some_and(|egg| egg.fate.is_none()))
            .cloned()
            .collect();
        let mut doubts = early(book, &still, self.when, now);
        // Babies not told apart are as many as the shells they came from, or somebody is missing.
        let mut groups: BTreeMap<Vec<&EggId>, usize> = BTreeMap::new();
        for baby in self.babies.iter().filter(|baby| baby.eggs.len() > 1) {
            let mut eggs: Vec<&EggId> = baby.eggs.iter().collect();
            eggs.sort();
            *groups.entry(eggs).or_default() += 1;
        }
        for (eggs, babies) in groups {
            if eggs.len() != babies {
                doubts.push(Doubt::BabiesOff { babies, eggs: eggs.len() });
            }
        }
        for id in self.hatched() {
            let letter = || book.egg(id).and_then(|egg| egg.letter.clone()).unwrap_or_default();
            if book.young_of(id).next().is_some() {
                doubts.push(Doubt::Twin { letter: letter() });
            }
            if book.egg(id).is_some_and(|egg| egg.laid_as == Some(LaidAs::Slug)) {
                doubts.push(Doubt::SlugHatched { letter: letter() });
            }
        }
        doubts.extend(self.masses_far(book));
        for baby in &self.babies {
            if book.animals_coded(&baby.code).next().is_some() {
                doubts.push(Doubt::CodeTaken { code: baby.code.trim().to_owned() });
            }
        }
        doubts.extend(self.tub_doubts(book));
        if self.left(book).is_empty() {
            for clutch in book.clutches_in(&self.filling) {
                let sum = sum_of(book, &clutch.id);
                if let Some(counted) = sum.counted.filter(|_| !sum.agrees()) {
                    doubts.push(Doubt::SumOff { counted, in_book: sum.in_book });
                }
            }
        }
        doubts
    }
}
