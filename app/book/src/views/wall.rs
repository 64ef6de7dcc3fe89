//! The barn on paper: what stands where, in walking order, for the wall and for when phones are flat.

use super::boxes::{BoxRow, box_row};
use crate::book::Book;
use crate::ids::*;
use crate::words::PlaceWhat;
use chrono::NaiveDateTime;

/// What stands in one room, rack or incubator.
#[derive(Clone, Debug, PartialEq)]
pub struct WallPart {
    /// Names from the outermost in; empty for what is in no other place.
    pub path: Vec<String>,
    /// In walking order.
    pub spots: Vec<WallSpot>,
    /// Names of the tubs, slots and shelves with nothing in them.
    pub free: Vec<String>,
}

/// A place with what stands right there.
#[derive(Clone, Debug, PartialEq)]
pub struct WallSpot {
    pub name: String,
    pub boxes: Vec<BoxRow>,
    pub animals: Vec<AnimalId>,
}

/// Every place in use that holds something or could, then what stands nowhere known, as a part without a path whose
/// one spot has no name.
pub fn wall(book: &Book, now: NaiveDateTime) -> Vec<WallPart> {
    let mut parts: Vec<(Option<PlaceId>, WallPart)> = Vec::new();
    for place in book.places() {
        let things = book.things_at(&place.id);
        let could = matches!(place.what, Some(PlaceWhat::Tub | PlaceWhat::Slot | PlaceWhat::Shelf)) && !place.closed;
        if things.is_empty() && (!could || !book.places_in(Some(&place.id)).is_empty()) {
            continue;
        }
        let at = match parts.iter().position(|(within, _)| *within == place.within) {
            Some(at) => at,
            None => {
                let path = place.within.as_ref().map(|id| book.path_names(id)).unwrap_or_default();
                parts.push((place.within.clone(), WallPart { path, spots: Vec::new(), free: Vec::new() }));
                parts.len() - 1
            }
        };
        let name = book.place_name(place);
        if things.is_empty() {
            parts[at].1.free.push(name);
        } else {
            parts[at].1.spots.push(spot(book, name, &things, now));
        }
    }
    let mut parts: Vec<WallPart> = parts.into_iter().map(|(_, part)| part).collect();
    let boxes = book.open_fillings().into_iter().rev().map(|filling| filling.id.thing());
    let animals = book.animals().into_iter().map(|animal| animal.id.thing());
    let lost: Vec<Thing> = boxes.chain(animals).filter(|thing| book.place_of(thing).is_none()).collect();
    if !lost.is_empty() {
        let spots = vec![spot(book, String::new(), &lost, now)];
        parts.push(WallPart { path: Vec::new(), spots, free: Vec::new() });
    }
    parts
}

fn spot(book: &Book, name: String, things: &[Thing], now: NaiveDateTime) -> WallSpot {
    let of = |kind: Kind| things.iter().filter(move |thing| thing.kind == kind).map(|thing| thing.id.as_str());
    WallSpot {
        name,
        boxes: of(Kind::Filling).map(|id| box_row(book, &FillingId::from(id), now)).collect(),
        animals: of(Kind::Animal).map(AnimalId::from).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;
    use chrono::NaiveDate;
    use std::collections::BTreeSet;

    #[test]
    fn everything_in_the_barn_is_on_it_once() {
        let today = NaiveDate::from_ymd_opt(2026, 6, 9).expect("a day");
        let book = demo::book(today);
        let parts = wall(&book, today.and_hms_opt(12, 0, 0).expect("noon"));
        let spots = || parts.iter().flat_map(|part| &part.spots);
        let boxes: Vec<&FillingId> = spots().flat_map(|spot| &spot.boxes).map(|row| &row.id).collect();
        let animals: Vec<&AnimalId> = spots().flat_map(|spot| &spot.animals).collect();
        let open: BTreeSet<&FillingId> = book.open_fillings().into_iter().map(|filling| &filling.id).collect();
        let here: BTreeSet<&AnimalId> = book.animals().into_iter().map(|animal| &animal.id).collect();
        assert!(open.len() > 5 && here.len() > 40, "{} boxes, {} animals", open.len(), here.len());
        assert_eq!((boxes.len(), animals.len()), (open.len(), here.len()), "none twice");
        assert_eq!(boxes.into_iter().collect::<BTreeSet<_>>(), open);
        assert_eq!(animals.into_iter().collect::<BTreeSet<_>>(), here);
        assert!(parts.iter().any(|part| !part.free.is_empty()), "free tubs are named");
    }
}
