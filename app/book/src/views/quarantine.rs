//! Who and what is set apart.

use crate::book::Book;
use crate::ids::*;
use crate::records::Quarantine;
use chrono::NaiveDateTime;
use trade::when::When;

/// Those that go on.
pub(crate) fn open_quarantines(book: &Book) -> impl Iterator<Item = &Quarantine> {
    book.all_quarantines().filter(|quarantine| is_open(book, quarantine))
}

/// Whether it goes on: nobody has ended it, and what it is of is still in the barn.
pub(crate) fn is_open(book: &Book, quarantine: &Quarantine) -> bool {
    quarantine.ended.is_none() && is_here(book, quarantine.of.as_ref())
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
    /// It goes on.
    pub open: bool,
    /// When it was over: ended, or the animal had left.
    pub over: Option<When>,
    /// Days since it began, the first not counted.
    pub days: Option<i64>,
    /// The last day has come, and nobody has ended it.
    pub due: bool,
    /// Animals in it.
    pub animals: usize,
}

fn row(book: &Book, quarantine: &Quarantine, now: NaiveDateTime) -> QuarantineRow {
    let of = quarantine.of.as_ref();
    let animals = match of {
        Some(place) if place.kind == Kind::Place => {
            let inside = |animal: &&crate::records::Animal| book.is_within(&animal.id.thing(), place);
            book.all_animals().filter(|animal| animal.is_here()).filter(inside).count()
        }
        Some(_) => 1,
        None => 0,
    };
    let open = is_open(book, quarantine);
    let went = of.filter(|of| !open && of.kind == Kind::Animal).and_then(|of| book.animal(&of.id.as_str().into()));
    let over = quarantine.ended.or_else(|| went?.went_when);
    // Of one that left, and nobody said when, nobody knows how long it was apart.
    let end = if open { Some(now.date()) } else { over.map(When::date) };
    QuarantineRow {
        name: of.map(|of| book.short_name(of)).unwrap_or_default(),
        open,
        over,
        days: quarantine.from.zip(end).map(|(from, end)| (end - from.date()).num_days()),
        due: open && quarantine.until.is_some_and(|until| until <= now.date()),
        animals,
        quarantine: quarantine.clone(),
    }
}

/// One of them.
pub fn quarantine_view(book: &Book, id: &QuarantineId, now: NaiveDateTime) -> Option<QuarantineRow> {
    Some(row(book, book.quarantine(id)?, now))
}

/// All of them: those that go on first, the soonest to end before the rest; then those that are over, the latest first.
pub fn quarantine_rows(book: &Book, now: NaiveDateTime) -> Vec<QuarantineRow> {
    let mut rows: Vec<QuarantineRow> = book.all_quarantines().map(|one| row(book, one, now)).collect();
    crate::order::sort(&mut rows, |row| {
        let over = std::cmp::Reverse(row.over.filter(|_| !row.open).map(When::latest));
        (
            !row.open,
            over,
            row.quarantine.until.is_none(),
            row.quarantine.until,
            row.name.clone(),
            row.quarantine.id.clone(),
        )
    });
    rows
}
