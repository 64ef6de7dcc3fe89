//! What belongs to what. Every record yields rows by itself alone, so a changed record takes its old rows out
//! and puts its new ones in, and the index is the same whatever the way there.

use crate::ids::{Thing, Where};
use crate::lower::lower;
use crate::memo::{Read, note};
use crate::order::Order;
use crate::tables::Row as Kept;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::hash::{BuildHasherDefault, Hasher};
use std::sync::Arc;

/// What a row says: of the key's thing, these are the …
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Link {
    Moves,
    Eggs,
    /// Eggs first set in a filling.
    FirstEggs,
    /// Moves into a filling.
    MovedIn,
    Candlings,
    Waters,
    Taken,
    Hatchings,
    Notes,
    Photos,
    Prints,
    Readings,
    ReadingLogs,
    SetPoints,
    Incidents,
    Events,
    /// Those that tell when a female lays.
    LayEvents,
    Meals,
    /// Pairings by either parent.
    Pairings,
    Locks,
    /// Clutches by dam or sire.
    Clutches,
    /// Both ways.
    Same,
    /// Animals out of an egg.
    Young,
    /// Animals by dam or sire.
    Offspring,
    /// What is said of an animal's traits.
    Genotypes,
    /// Places inside a place; key "" for those in none.
    Inside,
    /// Fillings of a physical box.
    Fillings,
    /// Fillings that are nests, by clutch.
    Nests,
    /// Clutches by number, animals by code, normalised.
    Number,
    Code,
    /// Holds by animal, by who it is held for, and by wish.
    Holds,
    HeldFor,
    WishHolds,
    /// Wishes by who wishes, and animals by whom they went to.
    Wishes,
    WentTo,
    /// Treatments by animal, doses by treatment.
    Treatments,
    Doses,
    /// By who or what is set apart.
    Quarantines,
    /// By animal.
    Coolings,
    /// By tub, or by animal.
    Cleanings,
}

/// Of the thing `of`, the record `id` is one.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Row {
    link: Link,
    of: String,
    order: Order,
    id: String,
}

impl Row {
    /// What an answer read that has it, or lacks it.
    pub(crate) fn read(&self) -> Read {
        Read::link(self.link, &self.of)
    }

    /// Whether both say that of the same key there is the same.
    pub(crate) fn is_like(&self, other: &Row) -> bool {
        (self.link, &self.of) == (other.link, &other.of)
    }

    pub(crate) fn link(&self) -> Link {
        self.link
    }
}

/// What belongs to one key: by order, then id, each with the record itself.
type Linked = BTreeMap<(Order, String), Arc<dyn Kept>>;

#[derive(Clone, Debug, Default)]
pub(crate) struct Index {
    rows: BTreeMap<Link, ByHash<String, Linked>>,
    place_of: ByHash<Thing, Where>,
    held: ByHash<Where, BTreeSet<Thing>>,
}

impl Index {
    pub(crate) fn add(&mut self, row: Row, record: &Arc<dyn Kept>) {
        let linked = self.rows.entry(row.link).or_default().entry(row.of).or_default();
        linked.insert((row.order, row.id), record.clone());
    }

    pub(crate) fn remove(&mut self, row: &Row) {
        let Some(by_key) = self.rows.get_mut(&row.link) else { return };
        let Some(linked) = by_key.get_mut(&row.of) else { return };
        linked.remove(&(row.order, row.id.clone()));
        if linked.is_empty() {
            by_key.remove(&row.of);
        }
        if by_key.is_empty() {
            self.rows.remove(&row.link);
        }
    }

    /// Oldest first.
    pub(crate) fn of<'a>(&'a self, link: Link, key: &str) -> impl DoubleEndedIterator<Item = &'a str> + use<'a> {
        self.rows(link, key).map(|((_, id), _)| id.as_str())
    }

    /// With the order and the record. Oldest first.
    pub(crate) fn rows<'a>(
        &'a self,
        link: Link,
        key: &str,
    ) -> impl DoubleEndedIterator<Item = (&'a (Order, String), &'a Arc<dyn Kept>)> + use<'a> {
        note(|| Read::link(link, key));
        self.rows.get(&link).and_then(|by_key| by_key.get(key)).into_iter().flatten()
    }

    /// Keys with more than one record, in no order that means anything.
    pub(crate) fn doubled(&self, link: Link) -> impl Iterator<Item = &str> {
        note(|| Read::keys(link));
        let by_key = self.rows.get(&link).into_iter().flatten();
        by_key.filter(|(_, linked)| linked.len() > 1).map(|(key, _)| key.as_str())
    }

    pub(crate) fn put(&mut self, thing: &Thing, to: Option<Where>) {
        let old = match &to {
            Some(to) => self.place_of.insert(thing.clone(), to.clone()),
            None => self.place_of.remove(thing),
        };
        if let Some(old) = old
            && let Some(set) = self.held.get_mut(&old)
        {
            set.remove(thing);
            if set.is_empty() {
                self.held.remove(&old);
            }
        }
        if let Some(to) = to {
            self.held.entry(to).or_default().insert(thing.clone());
        }
    }

    pub(crate) fn whereabouts(&self, thing: &Thing) -> Option<&Where> {
        note(|| Read::place_of(thing));
        self.place_of.get(thing)
    }

    /// Whether a link has any record at all.
    pub(crate) fn any(&self, link: Link) -> bool {
        note(|| Read::keys(link));
        self.rows.contains_key(&link)
    }

    /// Everything that is anywhere but in an egg box.
    pub(crate) fn unboxed(&self) -> impl Iterator<Item = &Thing> {
        note(Read::unboxed);
        self.held.iter().filter(|(at, _)| !matches!(at, Where::Filling(_))).flat_map(|(_, things)| things)
    }

    pub(crate) fn held<'a>(&'a self, at: &Where) -> impl Iterator<Item = &'a Thing> + use<'a> {
        note(|| Read::held(at));
        self.held.get(at).into_iter().flatten()
    }
}

/// A map that nobody goes through in order: a look-up in it costs a tenth of one in an ordered map.
pub(crate) type ByHash<K, V> = HashMap<K, V, BuildHasherDefault<Fnv>>;

/// The Fowler–Noll–Vo hash (FNV-1a, 64 bits): a few steps for an id of a few letters. Whoever can write ids into a barn's
/// records can do worse than to make them collide.
pub(crate) struct Fnv(u64);

impl Default for Fnv {
    fn default() -> Fnv {
        Fnv(0xcbf2_9ce4_8422_2325)
    }
}

impl Hasher for Fnv {
    fn write(&mut self, bytes: &[u8]) {
        for &byte in bytes {
            self.0 = (self.0 ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
        }
    }

    fn finish(&self) -> u64 {
        // The low bits choose the bucket, the high ones tell entries of it apart: both have to be mixed.
        self.0 ^ (self.0 >> 32)
    }
}

/// How a number or code is compared: case and spaces do not matter to a keeper.
pub(crate) fn normal(text: &str) -> String {
    let close: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    lower(&close)
}

/// Takes a link, the key of what it belongs to, and when it happened.
pub(crate) type Add<'a> = dyn FnMut(Link, &str, Option<trade::when::When>) + 'a;

/// The rows of a record under an id.
pub(crate) fn rows_of(record: &dyn Kept, id: &str) -> Vec<Row> {
    let mut rows = Vec::new();
    let written = record.written();
    record.links(&mut |link, of, when| {
        rows.push(Row { link, of: of.to_owned(), order: written.dated(when), id: id.to_owned() });
    });
    rows
}
