//! A swap of two animals found late, put right from the day it happened.

use super::moves;
use super::row::Row;
use super::{Act, Doubt, Mint, Refusal, draft, not_future, there};
use crate::book::Book;
use crate::ids::*;
use crate::records::{Move, Shape};
use chrono::NaiveDateTime;
use journal::{Draft, DraftSet};
use serde_json::{Map, Value};
use trade::when::When;

/// Two animals sat in each other's tubs from a moment on, unnoticed: what was noted of the one since then was seen of the
/// other. Weights, meals, moves, notes and photos since then change over, and each has stood in the other's place.
#[derive(Clone, Debug)]
pub struct Unswapped {
    pub one: AnimalId,
    pub other: AnimalId,
    /// When they were swapped. What happened earlier stays.
    pub from: When,
    /// They are put back now, each where it belongs.
    pub back: bool,
}

impl Act for Unswapped {
    fn draft(&self, book: &Book, now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.one.clone())?;
        there(book, self.other.clone())?;
        if self.one == self.other {
            return Err(Refusal::InItself { name: book.animal_name(&self.one) });
        }
        not_future("swap", self.from, now)?;
        let since = self.from.earliest();
        let mut sets: Vec<DraftSet> = Vec::new();
        for (from, to) in [(&self.one, &self.other), (&self.other, &self.one)] {
            self.observations(book, from, to, since, &mut sets);
        }
        self.moves(book, since, &mut sets);
        let at = |animal: &AnimalId| book.place_at(&animal.thing(), since);
        for (animal, place) in [(&self.one, at(&self.other)), (&self.other, at(&self.one))] {
            if let Some(place) = place {
                sets.push(moves::row(&[animal.thing()], &place, self.from));
            }
        }
        if self.back {
            for animal in [&self.one, &self.other] {
                if let Some(place) = book.whereabouts(&animal.thing()) {
                    sets.push(moves::row(&[animal.thing()], place, When::time(now)));
                }
            }
        }
        if sets.is_empty() {
            return Err(Refusal::NothingChanged);
        }
        draft("Unswapped", sets)
    }

    fn doubts(&self, book: &Book, _now: NaiveDateTime) -> Vec<Doubt> {
        // Whoever a medicine was ordered for, it went into the one that sat there: nothing that changes over says so.
        let since = self.from.earliest();
        let late = |when: Option<When>| when.is_some_and(|when| when.earliest() >= since);
        let ordered = [&self.one, &self.other].into_iter().flat_map(|animal| book.treatments(animal));
        let doses = ordered.flat_map(|treatment| book.doses(&treatment.id));
        let given = doses.filter(|dose| !dose.left_out && late(dose.when)).count();
        (given > 0).then_some(Doubt::DosesStay { doses: given }).into_iter().collect()
    }
}

impl Unswapped {
    fn observations(
        &self,
        book: &Book,
        from: &AnimalId,
        to: &AnimalId,
        since: NaiveDateTime,
        sets: &mut Vec<DraftSet>,
    ) {
        let late = |when: Option<When>| when.is_some_and(|when| when.earliest() >= since);
        let (from, to) = (from.thing(), to.thing());
        for &kind in Kind::ALL.iter().filter(|kind| kind.is_seen()) {
            let seen = book.rows(kind).filter(|(_, row)| late(row.at()) && row.about().as_ref() == Some(&from));
            sets.extend(seen.filter_map(|(id, _)| Some(book.set(kind, id, about(kind, &to)?))));
        }
    }

    /// What was moved as the one was the other; a move of both together stays.
    fn moves(&self, book: &Book, since: NaiveDateTime, sets: &mut Vec<DraftSet>) {
        let (one, other) = (self.one.thing(), self.other.thing());
        for (from, to) in [(&one, &other), (&other, &one)] {
            for mv in book.moves(from) {
                let late = mv.when.is_some_and(|when| when.earliest() > since);
                if !late || mv.things.contains(to) {
                    continue;
                }
                let things: Vec<Thing> =
                    mv.things.iter().map(|thing| if thing == from { to.clone() } else { thing.clone() }).collect();
                sets.extend(Row::new().with(Move::things, &things).change(book, mv.id.as_str()));
            }
        }
    }
}

/// The field of an observation that says what it was seen of, saying this.
fn about(kind: Kind, thing: &Thing) -> Option<Map<String, Value>> {
    let field = kind.fields().iter().find(|field| Some(field.name) == kind.declared().about)?;
    let id = (field.shape == Shape::Link(thing.kind)).then(|| thing.id.clone());
    let value = id.or_else(|| (field.shape == Shape::Thing).then(|| thing.to_string()))?;
    Some(Map::from_iter([(field.name.to_owned(), value.into())]))
}
