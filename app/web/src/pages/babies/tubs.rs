//! Where babies can be put.

use crate::words::{babies as said, names};
use book::views::is_tub;
use book::{Book, PlaceId};

/// Tubs that stand empty, in walking order; the first choice is none.
pub fn free_tubs(book: &Book) -> Vec<(String, String)> {
    let none = (String::new(), said::NO_TUB.to_owned());
    let free = tubs(book).into_iter().map(|id| {
        let name = names::place(book, &id);
        (id.to_string(), name)
    });
    std::iter::once(none).chain(free).collect()
}

fn tubs(book: &Book) -> Vec<PlaceId> {
    let free = |place: &&book::records::Place| is_tub(place) && book.things_at(&place.id).is_empty();
    book.places().into_iter().filter(free).map(|place| place.id.clone()).collect()
}

/// A tub and the free ones after it.
pub fn tubs_from(book: &Book, first: &str, count: usize) -> Vec<PlaceId> {
    if first.is_empty() {
        return Vec::new();
    }
    tubs(book).into_iter().skip_while(|tub| tub.as_str() != first).take(count).collect()
}
