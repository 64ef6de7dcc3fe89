//! What brings the good rows in.

use super::rows::{AnimalRow, Parent, PlaceFound, RowRead};
use super::{Comes, SheetForm, SheetFound};
use book::acts::{AnimalCard, Mint, PlaceCard, SheetAnimal, SheetBroughtIn, SheetRow, fresh};
use book::words::PlaceWhat;
use book::{AnimalId, Book, ClutchId, PlaceId, lower};
use std::collections::BTreeSet;

/// A place to be made: in which one of the book, and the way to it from there, in lower case.
type NewPlace = (Option<PlaceId>, Vec<String>);

impl SheetForm {
    /// What brings the good rows in: one deed, of as many acts as it takes. Asked again it gives the same records.
    pub fn acts(&mut self, found: &SheetFound, book: &Book, mint: &mut Mint<'_>) -> Vec<SheetBroughtIn> {
        let mut rows = self.places(found, book, mint);
        for turn in &found.order {
            let (Comes::New(row) | Comes::Changes(row, _)) = &found.rows[*turn].comes else { continue };
            rows.push(match row {
                RowRead::Clutch(card, hatched) => {
                    SheetRow::Clutch(ClutchId::from(self.ids[*turn].as_str()), card.clone(), *hatched)
                }
                RowRead::Animal(animal) => SheetRow::Animal(Box::new(self.animal(found, *turn, animal))),
            });
        }
        SheetBroughtIn::parts(rows)
    }

    fn id_of(&self, found: &SheetFound, turn: usize) -> AnimalId {
        match &found.rows[turn].comes {
            Comes::Changes(RowRead::Animal(animal), _) if animal.known.is_some() => {
                animal.known.clone().unwrap_or_default()
            }
            _ => AnimalId::from(self.ids[turn].as_str()),
        }
    }

    fn animal(&self, found: &SheetFound, turn: usize, row: &AnimalRow) -> SheetAnimal {
        let parent = |parent: &Option<Parent>| match parent {
            None => None,
            Some(Parent::Here(id)) => Some(id.clone()),
            Some(Parent::Row(other)) => Some(self.id_of(found, *other)),
        };
        let place = match &row.place {
            None => None,
            Some(PlaceFound::Here(place)) => Some(place.clone()),
            Some(PlaceFound::New(around, names)) => self.place_ids.get(&(around.clone(), folded(names))).cloned(),
        };
        let card = AnimalCard { dam: parent(&row.dam), sire: parent(&row.sire), ..row.card.clone() };
        SheetAnimal { id: self.id_of(found, turn), card, place, weight: row.weight, asked: row.asked }
    }

    /// The places that are to be made, those around others first, each after those whose name comes before it.
    fn places(&mut self, found: &SheetFound, book: &Book, mint: &mut Mint<'_>) -> Vec<SheetRow> {
        let mut new: BTreeSet<(usize, Vec<Piece>, NewPlace, Vec<String>)> = BTreeSet::new();
        for turn in &found.order {
            let (Comes::New(RowRead::Animal(row)) | Comes::Changes(RowRead::Animal(row), _)) = &found.rows[*turn].comes
            else {
                continue;
            };
            let Some(PlaceFound::New(around, names)) = &row.place else { continue };
            for depth in 1..=names.len() {
                let names = &names[..depth];
                let order = names.iter().flat_map(|name| pieces(name)).collect();
                if !new.iter().any(|(_, _, key, _)| *key == (around.clone(), folded(names))) {
                    new.insert((depth, order, (around.clone(), folded(names)), names.to_vec()));
                }
            }
        }
        let holds: BTreeSet<NewPlace> = new
            .iter()
            .filter_map(|(_, _, (around, names), _)| Some((around.clone(), names.split_last()?.1.to_vec())))
            .collect();
        let mut rows = Vec::new();
        for (_, _, key, names) in new {
            let id =
                self.place_ids.entry(key.clone()).or_insert_with(|| PlaceId::from(fresh(book, mint).as_str())).clone();
            let (around, folded) = &key;
            let outer = folded.split_last().map(|(_, outer)| outer.to_vec()).unwrap_or_default();
            let within = self.place_ids.get(&(around.clone(), outer)).cloned().or_else(|| around.clone());
            // What holds tubs is a rack; what holds racks is a room.
            let inner: Vec<&NewPlace> =
                holds.iter().filter(|(other, way)| other == around && way.starts_with(folded)).collect();
            let what = match inner.iter().map(|(_, way)| way.len() - folded.len()).max() {
                None => PlaceWhat::Tub,
                Some(0) => PlaceWhat::Rack,
                Some(_) => PlaceWhat::Room,
            };
            let name = names.last().cloned().unwrap_or_default();
            rows.push(SheetRow::Place(id, PlaceCard { within, ..PlaceCard::new(what, name) }));
        }
        rows
    }
}

fn folded(names: &[String]) -> Vec<String> {
    names.iter().map(|name| lower(name)).collect()
}

/// A piece of a name: `T10` comes after `T9`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Piece {
    Number(u64, String),
    Text(String),
}

pub(super) fn pieces(name: &str) -> Vec<Piece> {
    let mut pieces: Vec<Piece> = Vec::new();
    let mut rest = lower(name);
    while let Some(first) = rest.chars().next() {
        let digit = first.is_ascii_digit();
        let end = rest.find(|c: char| c.is_ascii_digit() != digit).unwrap_or(rest.len());
        let behind = rest.split_off(end);
        pieces.push(match rest.parse() {
            Ok(number) => Piece::Number(number, rest),
            Err(_) => Piece::Text(rest),
        });
        rest = behind;
    }
    pieces
}
