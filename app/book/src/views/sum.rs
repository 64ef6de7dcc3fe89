//! The sum of a clutch, which must agree or the page asks.

use crate::book::Book;
use crate::ids::*;
use crate::records::Egg;
use crate::words::{Fate, LaidAs, Seen};
use trade::measures::Fertility;

/// laid = hatched + died + full-term dead + removed + sold + lost + eaten + unknown + still in.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sum {
    /// As counted when pulled; `None` when nobody counted.
    pub counted: Option<u32>,
    /// Eggs in the book.
    pub in_book: u32,
    pub hatched: u32,
    pub died: u32,
    pub full_term_dead: u32,
    pub removed: u32,
    pub sold: u32,
    pub lost: u32,
    pub eaten: u32,
    pub unknown: u32,
    pub still_in: u32,
    /// Good and dud eggs.
    pub shelled: u32,
    /// Of those.
    pub fertility: Fertility,
}

impl Sum {
    /// All eggs by what became of them.
    pub fn total(&self) -> u32 {
        self.hatched
            + self.died
            + self.full_term_dead
            + self.removed
            + self.sold
            + self.lost
            + self.eaten
            + self.unknown
            + self.still_in
    }

    /// Whether the eggs counted are the eggs in the book. (What became of those always adds up to them.)
    pub fn agrees(&self) -> bool {
        self.counted.is_none_or(|counted| counted == self.in_book) && self.total() == self.in_book
    }
}

/// The sum over all records of a clutch.
pub fn sum_of(book: &Book, clutch: &ClutchId) -> Sum {
    let mut sum = Sum::default();
    for record in book.same_clutch(clutch) {
        // Two records of one clutch each carry the count of the same eggs.
        if let Some(counts) = record.counts() {
            sum.counted = Some(sum.counted.unwrap_or(0).max(counts.all()));
        }
        for egg in book.eggs_of(&record.id) {
            sum.add(book, egg);
        }
    }
    sum
}

impl Sum {
    fn add(&mut self, book: &Book, egg: &Egg) {
        self.in_book += 1;
        *match egg.fate {
            Some(Fate::Hatched) => &mut self.hatched,
            Some(Fate::Died) => &mut self.died,
            Some(Fate::FullTermDead) => &mut self.full_term_dead,
            Some(Fate::Removed) => &mut self.removed,
            Some(Fate::Sold) => &mut self.sold,
            Some(Fate::Lost) => &mut self.lost,
            Some(Fate::Eaten) => &mut self.eaten,
            Some(Fate::Unknown) => &mut self.unknown,
            None => &mut self.still_in,
        } += 1;
        if egg.laid_as != Some(LaidAs::Slug) {
            self.shelled += 1;
            self.fertility.add(fertile(book, egg));
        }
    }
}

/// Whether a shelled egg was fertile, where somebody can tell: in it veins were seen, or it pipped, or a formed baby was in
/// it; it was laid as a dud, or was seen to be clear. An egg that nobody lit, or that was unsure,
/// dented, mouldy, dark or dead before anybody saw veins, tells nothing.
pub(super) fn fertile(book: &Book, egg: &Egg) -> Option<bool> {
    let alive_once = matches!(egg.fate, Some(Fate::Hatched | Fate::FullTermDead))
        || book.hatchings(&egg.id).next().is_some()
        || book.ever_seen(&egg.id, Seen::Veins);
    let infertile = egg.laid_as == Some(LaidAs::Dud) || book.ever_seen(&egg.id, Seen::Clear);
    if alive_once { Some(true) } else { infertile.then_some(false) }
}
