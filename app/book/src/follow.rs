//! Who shows something of a book, and what each of them read for it: after a change only those look again of whom
//! something changed.

use crate::book::Book;
use crate::memo::Watch;

/// Those who look at a book; what `W` is, is the page's business.
#[derive(Debug)]
pub struct Followers<W> {
    all: Vec<(Watch, W)>,
    /// So many there may be before those that are gone are looked for.
    room: usize,
}

impl<W> Default for Followers<W> {
    fn default() -> Self {
        Followers { all: Vec::new(), room: 64 }
    }
}

impl<W> Followers<W> {
    /// One more, with what it read ([`Book::watch`]). `gone` tells of one whether nobody sees it any more.
    pub fn add(&mut self, watch: Watch, who: W, gone: impl Fn(&W) -> bool) {
        if self.all.len() >= self.room {
            self.all.retain(|(_, who)| !gone(who));
            self.room = (self.all.len() * 2).max(64);
        }
        self.all.push((watch, who));
    }

    /// Takes out those who read something that changed since: each is added again by looking again. Those that are
    /// [gone](Followers::add) go first: nothing is worked out for a page that nobody sees.
    pub fn take_changed(&mut self, book: &Book, gone: impl Fn(&W) -> bool) -> Vec<W> {
        self.all.retain(|(_, who)| !gone(who));
        let (changed, same): (Vec<_>, Vec<_>) =
            std::mem::take(&mut self.all).into_iter().partition(|(watch, _)| book.has_changed(watch));
        self.all = same;
        changed.into_iter().map(|(_, who)| who).collect()
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.all.len()
    }

    /// Whether nobody looks.
    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }
}
