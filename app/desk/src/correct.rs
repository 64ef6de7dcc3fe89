//! What was noted and can be put right or taken back: when it happened, and whose page it stands on.

use crate::page::{Page, Walking};
use book::{Book, Kind, Thing};
use trade::when::When;

/// When an observation happened, or a wish or promise was noted, and the page it stands on. `None`: it is not here, or it is put right on a page of its
/// own.
pub fn about(book: &Book, thing: &Thing) -> Option<(Option<When>, Page)> {
    // A wish and a promise are no observations, and are put right in the same way.
    let promise = matches!(thing.kind, Kind::Wish | Kind::Hold);
    if !(promise || thing.kind.is_seen()) || !book.has(thing) {
        return None;
    }
    if promise {
        return Some((book.happened(thing), Page::Wishes));
    }
    let of = book.about(thing);
    let page = match (thing.kind, &of) {
        (Kind::StockTaking, _) => Page::Walk(Walking::Stock),
        (Kind::Photo, Some(of)) if of.kind == Kind::Animal => Page::Photos(of.id.clone()),
        _ => of.and_then(|of| Page::of(&of)).unwrap_or(Page::Daybook),
    };
    Some((book.happened(thing), page))
}
