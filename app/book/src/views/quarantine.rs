//! Who and what is set apart.

use crate::book::Book;
use crate::ids::*;
use crate::records::Quarantine;
use chrono::NaiveDateTime;

/// Those that nobody has ended, of what is still in the barn.
pub(crate) fn open_quarantines(book: &Book) -> impl Iterator<Item = &Quarantine> {
    book.all_quarantines().filter(|quarantine| quarantine.ended.is_none() && is_here(book, quarantine.of.as_ref()))
}

fn is_here(book: &Book, of: Option<&Thing>) -> bool {
    // An animal that has left is set apart no longer; a place out of use is, as long as somebody is in it.
    let gone = |of: &Thing| book.animal(&of.id.as_str().into()).is_none_or(|animal| !animal.is_here());
    of.is_some_and(|of| if of.kind == Kind::Animal { !gone(of) } else { book.has(of) })
}

/// One quarantine in a list.
#[derive(Clone, Debug, PartialEq)]
pub struct QuarantineRow {
    pub quarantine: Quarantine,
    /// What is set apart is called.
    pub name: String,
    /// Days since it began, the first not counted.
    pub days: Option<i64>,
    /// The last day has come, and nobody has ended it.
    pub due: bool,
    /// Animals in it.
    pub animals: usize,
}

/// All of them: those that go on first, the soonest to end before the rest; then those that are over, the latest first.
pub fn quarantine_rows(book: &Book, now: NaiveDateTime) -> Vec<QuarantineRow> {
    let row = |quarantine: &Quarantine| {
        let of = quarantine.of.as_ref();
        let animals = match of {
            Some(place) if place.kind == Kind::Place => {
                let inside = |animal: &&crate::records::Animal| book.is_within(&animal.id.thing(), place);
                book.all_animals().filter(|animal| animal.is_here()).filter(inside).count()
            }
            Some(_) => 1,
            None => 0,
        };
        let end = quarantine.ended.map_or(now.date(), |ended| ended.date());
        QuarantineRow {
            name: of.map(|of| book.short_name(of)).unwrap_or_default(),
            days: quarantine.from.map(|from| (end - from.date()).num_days()),
            due: quarantine.ended.is_none() && quarantine.until.is_some_and(|until| until <= now.date()),
            animals,
            quarantine: quarantine.clone(),
        }
    };
    let mut rows: Vec<QuarantineRow> = book.all_quarantines().map(row).collect();
    crate::order::sort(&mut rows, |row| {
        let ended = row.quarantine.ended.map(|ended| std::cmp::Reverse(ended.latest()));
        (ended, row.quarantine.until.is_none(), row.quarantine.until, row.name.clone(), row.quarantine.id.clone())
    });
    rows
}
