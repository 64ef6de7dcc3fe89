//! What was noted and can be put right or taken back: when it happened, and whose page it stands on.

use crate::page::{Page, Walking};
use book::{Book, Kind, Thing};
use trade::when::When;

/// When an observation happened, a wish or promise was noted or money spent, and the page it stands on. `None`: it is not
/// here, or it is put right on a page of its own.
pub fn about(book: &Book, thing: &Thing) -> Option<(Option<When>, Page)> {
    // A wish, a promise and a cost are no observations, and are put right in the same way.
    let promise = matches!(thing.kind, Kind::Wish | Kind::Hold).then_some(Page::Wishes);
    let page = promise.or_else(|| (thing.kind == Kind::Cost).then_some(Page::Costs));
    if !(page.is_some() || thing.kind.is_seen()) || !book.has(thing) {
        return None;
    }
    if let Some(page) = page {
        return Some((book.happened(thing), page));
    }
    let of = book.about(thing);
    let page = match (thing.kind, &of) {
        (Kind::StockTaking, _) => Page::Walk(Walking::Stock),
        (Kind::Photo, Some(of)) if of.kind == Kind::Animal => Page::Photos(of.id.clone()),
        _ => of.and_then(|of| Page::of(&of)).unwrap_or(Page::Daybook),
    };
    Some((book.happened(thing), page))
}
