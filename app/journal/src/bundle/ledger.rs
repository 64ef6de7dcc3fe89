//! Lines with the state they add up to: what a bundle is made from, and what one is compared with.

use crate::entry::Entry;
use crate::fold::Fold;
use crate::id::{DeviceId, Hash, Id, Ref};
use std::collections::{BTreeMap, BTreeSet};

/// How far somebody knows each device's acts: the last number and its hash.
pub type Heads = BTreeMap<DeviceId, (u32, Hash)>;

/// All lines a device holds. Unlike a state out of a snapshot it knows every line again, so it can tell for
/// certain what is new.
#[derive(Clone, Debug)]
pub struct Ledger<'a> {
    pub(crate) fold: Fold,
    /// In the order of files: device, number, hash.
    pub(crate) lines: BTreeMap<Ref, Kept<'a>>,
    unread: usize,
}

/// A line and what of it is asked again and again.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Kept<'a> {
    pub(crate) text: &'a str,
    pub(crate) hash: Hash,
    pub(crate) prev: Option<Hash>,
    pub(crate) book: Id,
}

impl<'a> Kept<'a> {
    pub(crate) fn of(entry: &Entry, text: &'a str) -> Kept<'a> {
        Kept { text, hash: entry.hash, prev: entry.prev, book: entry.book }
    }
}

impl<'a> Ledger<'a> {
    /// Lines this version cannot read stay out of it; [`Ledger::unread`] counts them.
    pub fn of(book: Id, joined: impl IntoIterator<Item = Id>, lines: impl IntoIterator<Item = &'a str>) -> Ledger<'a> {
        let mut fold = Fold::new(book);
        joined.into_iter().for_each(|other| fold.join(other));
        let mut ledger = Ledger { fold, lines: BTreeMap::new(), unread: 0 };
        for line in lines {
            let taken = Entry::read(line).and_then(|entry| {
                let (reference, kept) = (entry.reference, Kept::of(&entry, line));
                ledger.fold.take_entry(entry).map(|_| (reference, kept))
            });
            match taken {
                Ok((reference, kept)) => {
                    ledger.lines.insert(reference, kept);
                }
                Err(_) => ledger.unread += 1,
            }
        }
        ledger
    }

    pub fn fold(&self) -> &Fold {
        &self.fold
    }

    /// How many lines could not be read.
    pub fn unread(&self) -> usize {
        self.unread
    }

    /// The book a device writes in: its own, which may be one that was joined.
    pub(crate) fn book_of(&self, dev: DeviceId) -> Id {
        let own = self.lines.range(Ref::least(dev, 1)..).next().filter(|(reference, _)| reference.dev == dev);
        own.map_or(self.fold.book(), |(_, kept)| kept.book)
    }

    /// How far each device is known: what to tell the other side.
    pub fn heads(&self) -> Heads {
        let head = |chain: crate::Chain| Some((chain.dev, (chain.seq, chain.hash?)));
        self.fold.chains().filter_map(head).collect()
    }

    /// The lines somebody with these heads lacks. A device whose head does not match, or that was copied, is sent
    /// whole.
    pub(crate) fn lacking(&self, heads: Option<&Heads>) -> BTreeMap<Ref, Kept<'a>> {
        let Some(heads) = heads else { return self.lines.clone() };
        let forked: BTreeSet<DeviceId> = self.fold.forks().map(|fork| fork.dev).collect();
        let from = |dev: DeviceId| match heads.get(&dev) {
            Some((seq, hash)) if !forked.contains(&dev) && self.fold.holds(dev, *seq, hash) => *seq,
            _ => 0,
        };
        let from: BTreeMap<DeviceId, u32> = self.fold.chains().map(|chain| (chain.dev, from(chain.dev))).collect();
        let lacked = |reference: &Ref| from.get(&reference.dev).is_none_or(|from| reference.seq > *from);
        self.lines.iter().filter(|(reference, _)| lacked(reference)).map(|(r, line)| (*r, *line)).collect()
    }
}
