//! What brings the good rows in.

use super::rows::{AnimalRow, Parent, PlaceFound, RowRead};
use super::{Comes, SheetForm, SheetFound};
use book::acts::{AnimalCard, Mint, PlaceCard, SheetAnimal, SheetBroughtIn, SheetRow, fresh};
use book::words::PlaceWhat;
use book::{AnimalId, Book, ClutchId, PlaceId, lower};
use std::collections::BTreeMap;

/// The most animals that are taken to share a tub.
const IN_A_TUB: usize = 2;

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
        let mut wanted: Vec<(NewPlace, Wanted)> = wanted(found).into_iter().collect();
        wanted.sort_by_cached_key(|(_, place)| {
            let order: Vec<Piece> = place.names.iter().flat_map(|name| pieces(name)).collect();
            (place.names.len(), order)
        });
        let mut rows = Vec::new();
        for (key, place) in wanted {
            let id = self.place_ids.entry(key.clone()).or_insert_with(|| PlaceId::from(fresh(book, mint).as_str()));
            let id = id.clone();
            let (around, mut outer) = key;
            outer.pop();
            let within = self.place_ids.get(&(around.clone(), outer)).cloned().or(around);
            let name = place.names.last().cloned().unwrap_or_default();
            rows.push(SheetRow::Place(id, PlaceCard { within, ..PlaceCard::new(place.what(), name) }));
        }
        rows
    }
}

/// A place to be made, as its rows tell of it.
#[derive(Default)]
struct Wanted {
    /// From the outermost to its own.
    names: Vec<String>,
    /// Animals right in it.
    animals: usize,
    /// How many places lie inside each other in it.
    levels: usize,
}

impl Wanted {
    /// What holds tubs, or more animals than a tub does, is a rack; what holds racks is a room.
    fn what(&self) -> PlaceWhat {
        match self.levels {
            0 if self.animals <= IN_A_TUB => PlaceWhat::Tub,
            0 | 1 => PlaceWhat::Rack,
            _ => PlaceWhat::Room,
        }
    }
}

fn wanted(found: &SheetFound) -> BTreeMap<NewPlace, Wanted> {
    let mut all: BTreeMap<NewPlace, Wanted> = BTreeMap::new();
    for turn in &found.order {
        let (Comes::New(RowRead::Animal(row)) | Comes::Changes(RowRead::Animal(row), _)) = &found.rows[*turn].comes
        else {
            continue;
        };
        let Some(PlaceFound::New(around, names)) = &row.place else { continue };
        for depth in 1..=names.len() {
            let (names, inside) = (&names[..depth], names.len() - depth);
            let place = all.entry((around.clone(), folded(names))).or_default();
            place.names = names.to_vec();
            place.levels = place.levels.max(inside);
            place.animals += usize::from(inside == 0);
        }
    }
    all
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
