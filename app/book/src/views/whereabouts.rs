//! What is where, at a glance: racks with their tubs, incubators with their shelves, and which are free.

use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use crate::words::PlaceWhat;

/// A rack, an incubator, or a room with tubs or shelves of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Bay {
    /// `None` for those in no other place.
    pub place: Option<PlaceId>,
    /// Names from the outermost in.
    pub path: Vec<String>,
    pub what: Option<PlaceWhat>,
    /// In walking order.
    pub spots: Vec<Spot>,
}

/// A tub, slot or shelf.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    pub id: PlaceId,
    pub name: String,
    pub what: PlaceWhat,
    /// Boxes and animals right there, by name.
    pub held: Vec<(Thing, String)>,
}

impl Spot {
    pub fn is_free(&self) -> bool {
        self.held.is_empty()
    }
}

impl Bay {
    pub fn free(&self) -> usize {
        self.spots.iter().filter(|spot| spot.is_free()).count()
    }
}

/// Whether a baby can have it.
pub fn is_tub(place: &Place) -> bool {
    matches!(place.what, Some(PlaceWhat::Tub | PlaceWhat::Slot)) && !place.closed
}

/// Where the next baby goes: the first free tub behind those of the babies that hatched last, else the first free one beside
/// them. `None`: no babies are in tubs, or none is free there.
pub fn next_tub(book: &Book) -> Option<PlaceId> {
    let home = |animal: &Animal| Some((animal.born?.days().1, book.place_of(&animal.id.thing())?));
    let young = book.animals().into_iter().filter(|animal| animal.is_here() && !animal.from_eggs.is_empty());
    let mut homes: Vec<_> = young.filter_map(home).filter(|(_, place)| is_tub(place)).collect();
    let latest = homes.iter().map(|(born, _)| *born).max()?;
    homes.retain(|(born, _)| *born == latest);
    let last = book.places().into_iter().rfind(|place| homes.iter().any(|(_, home)| home.id == place.id))?;
    let row: Vec<&Place> = book.places_in(last.within.as_ref()).into_iter().filter(|place| is_tub(place)).collect();
    let at = row.iter().position(|place| place.id == last.id)?;
    let (before, behind) = row.split_at(at);
    behind.iter().chain(before).find(|place| book.things_at(&place.id).is_empty()).map(|place| place.id.clone())
}

/// All bays in use, in walking order.
pub fn bays(book: &Book) -> Vec<Bay> {
    let mut found: Vec<Bay> = Vec::new();
    for place in book.places() {
        let what = match place.what {
            Some(what @ (PlaceWhat::Tub | PlaceWhat::Slot | PlaceWhat::Shelf)) if !place.closed => what,
            _ => continue,
        };
        let spot = spot(book, place, what);
        match found.iter_mut().find(|bay| bay.place == place.within) {
            Some(bay) => bay.spots.push(spot),
            None => {
                let outer = place.within.as_ref();
                found.push(Bay {
                    path: outer.map(|id| book.path_names(id)).unwrap_or_default(),
                    what: outer.and_then(|id| book.place(id)).and_then(|place| place.what),
                    place: place.within.clone(),
                    spots: vec![spot],
                });
            }
        }
    }
    found
}

fn spot(book: &Book, place: &Place, what: PlaceWhat) -> Spot {
    let things = book.things_at(&place.id);
    let held = things.into_iter().map(|thing| {
        let name = book.short_name(&thing);
        (thing, name)
    });
    Spot { id: place.id.clone(), name: book.place_name(place), what, held: held.collect() }
}
