//! The state: what all lines taken so far add up to.

mod chain;
mod record;

pub use chain::{Chain, Fork};
pub use record::{Head, Record, WITHDRAWN};

pub(crate) use chain::{Standing, Tree};
pub(crate) use record::Field;

use crate::entry::{Entry, Set};
use crate::error::Refused;
use crate::id::{DeviceId, Hash, Id, Named, Ref};
use crate::seal::{DraftId, DraftSet};
use crate::stamp::Stamp;
use serde_json::{Map, Value};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::sync::Arc;

/// Names a record. Ordered by kind, then id; as text `kind:id`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key {
    pub kind: Arc<str>,
    pub id: Arc<str>,
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.kind, self.id)
    }
}

/// What became of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Taken {
    /// Folded, with all the held ones it freed.
    New {
        /// The records they set, in order, each once.
        changed: Vec<Key>,
        /// The entries folded, the line's own first.
        folded: Vec<Ref>,
        /// Whether a second branch of a device came to light: the device was copied or restored.
        forked: bool,
    },
    /// It was here before.
    Already,
    /// Kept, to be folded when the acts before it arrive. A snapshot does not hold it.
    Held,
    /// After [`Fold::restore`] this line, older than the snapshot, cannot be told from one already folded. If it
    /// is in storage it is in the snapshot too; if it is not, fold everything anew from the lines.
    NeedsHistory,
}

/// Writes of one field that differ and did not know of each other. Settled by writing over all of them,
/// which [`Fold::set`] and [`Fold::withdraw`] do.
#[derive(Clone, Debug, PartialEq)]
pub struct Clash<'a> {
    pub key: Key,
    pub field: &'a str,
    /// Oldest stamp first; the last is the value shown.
    pub heads: &'a [Head],
    /// That the record was withdrawn by somebody who had not seen these writes.
    pub withdrawn: Option<&'a Head>,
}

/// A device whose stamps are more than 24 hours ahead.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OddClock {
    pub dev: DeviceId,
    pub latest: Stamp,
}

/// All lines taken so far, added up. A clone takes lines without touching the original: that is a preview.
#[derive(Clone, Debug)]
pub struct Fold {
    pub(crate) book: Id,
    pub(crate) joined: BTreeSet<Id>,
    pub(crate) trees: BTreeMap<DeviceId, Tree>,
    pub(crate) kinds: BTreeMap<Arc<str>, BTreeMap<Arc<str>, Record>>,
    /// Field and `crit` names, each kept once.
    pub(crate) names: BTreeSet<Arc<str>>,
    pub(crate) clashing: BTreeSet<Key>,
    /// The greatest stamp of each day (UTC) that has one.
    pub(crate) days: BTreeMap<u64, Stamp>,
}

impl Fold {
    /// The empty state of a book.
    pub fn new(book: Id) -> Fold {
        Fold {
            book,
            joined: BTreeSet::new(),
            trees: BTreeMap::new(),
            kinds: BTreeMap::new(),
            names: BTreeSet::new(),
            clashing: BTreeSet::new(),
            days: BTreeMap::new(),
        }
    }

    pub fn book(&self) -> Id {
        self.book
    }

    /// From now on takes entries of `other` too: somebody said that the two are one barn's.
    pub fn join(&mut self, other: Id) {
        if other != self.book {
            self.joined.insert(other);
        }
    }

    /// The books joined to this one.
    pub fn joined(&self) -> impl Iterator<Item = Id> {
        self.joined.iter().copied()
    }

    /// Whether this very act of a device is folded. After [`Fold::restore`] acts before the last are not known again.
    pub fn holds(&self, dev: DeviceId, seq: u32, hash: &Hash) -> bool {
        self.trees.get(&dev).and_then(|tree| tree.known.get(&seq)).is_some_and(|known| known.contains(hash))
    }

    /// The acts that are here but wait for one before them. A snapshot does not hold them: keep their lines beside it.
    pub fn waiting(&self) -> impl Iterator<Item = Ref> {
        self.trees.values().flat_map(|tree| tree.held.values().flatten().map(|entry| entry.reference))
    }

    /// Takes one line, without its line end, from anywhere.
    ///
    /// # Errors
    /// Refused lines change nothing.
    pub fn take(&mut self, line: &str) -> Result<Taken, Refused> {
        self.take_entry(Entry::read(line)?)
    }

    /// Takes an entry already read.
    ///
    /// # Errors
    /// As [`Fold::take`].
    pub fn take_entry(&mut self, entry: Entry) -> Result<Taken, Refused> {
        if entry.book != self.book && !self.joined.contains(&entry.book) {
            return Err(Refused::OtherBook { book: entry.book });
        }
        let tree = self.trees.get(&entry.dev());
        match tree.map_or_else(|| Tree::default().standing(&entry), |tree| tree.standing(&entry)) {
            Standing::Already => Ok(Taken::Already),
            Standing::NeedsHistory => Ok(Taken::NeedsHistory),
            Standing::Waits => {
                self.trees.entry(entry.dev()).or_default().hold(entry);
                Ok(Taken::Held)
            }
            Standing::Next => Ok(self.fold_on(vec![entry])),
        }
    }

    /// What the acts that are here and wait, wait for: device, number and hash of each act that is not here.
    pub fn waits_for(&self) -> impl Iterator<Item = (DeviceId, u32, Hash)> {
        self.trees.iter().flat_map(|(&dev, tree)| tree.waits_for().map(move |(seq, hash)| (dev, seq, hash)))
    }

    /// Folds the acts that wait for one that is lost on this device, as if it had been empty. Should it turn up after
    /// all, fold everything anew.
    pub fn pass_over(&mut self, dev: DeviceId, seq: u32, hash: Hash) -> Taken {
        let freed = self.trees.get_mut(&dev).map(|tree| tree.freed(seq, hash)).unwrap_or_default();
        self.fold_on(freed)
    }

    fn fold_on(&mut self, mut next: Vec<Entry>) -> Taken {
        let (mut changed, mut folded, mut forked) = (BTreeSet::new(), Vec::new(), false);
        while let Some(entry) = next.pop() {
            let tree = self.trees.entry(entry.dev()).or_default();
            forked |= tree.add(&entry);
            next.extend(tree.freed(entry.seq(), entry.hash));
            folded.push(entry.reference);
            let latest = self.days.entry(entry.at.day()).or_default();
            *latest = entry.at.max(*latest);
            for set in entry.sets {
                changed.insert(self.write(set, entry.reference, entry.at, &entry.crit));
            }
        }
        Taken::New { changed: changed.into_iter().collect(), folded, forked }
    }

    fn write(&mut self, set: Set, reference: Ref, at: Stamp, crit: &[String]) -> Key {
        for over in set.over.values().flatten() {
            self.trees.entry(over.dev()).or_default().mention(over);
        }
        let key = self.key(&set.kind, &set.id);
        let record = self.kinds.entry(key.kind.clone()).or_default().entry(key.id.clone()).or_default();
        let trees = &self.trees;
        let arrived = |over: &Named| trees.get(&over.dev()).is_some_and(|tree| tree.has_folded(over));
        for (field, value) in set.fields {
            let name = intern(&mut self.names, &field);
            let over = set.over.get(&field).map(Vec::as_slice).unwrap_or_default();
            record.write(&name, Head { reference, at, value }, over, arrived);
        }
        for name in crit {
            if let Err(place) = record.crit.binary_search_by(|probe| (**probe).cmp(name)) {
                record.crit.insert(place, intern(&mut self.names, name));
            }
        }
        if record.any_clash() {
            self.clashing.insert(key.clone());
        } else if !self.clashing.is_empty() {
            self.clashing.remove(&key);
        }
        key
    }

    /// The key of a record, sharing its texts with the state where they are there already.
    fn key(&self, kind: &str, id: &str) -> Key {
        let Some((kind, records)) = self.kinds.get_key_value(kind) else {
            return Key { kind: kind.into(), id: id.into() };
        };
        let id = records.get_key_value(id).map_or_else(|| id.into(), |(id, _)| id.clone());
        Key { kind: kind.clone(), id }
    }

    /// A record that is there: not withdrawn, and with at least one field set.
    pub fn record(&self, kind: &str, id: &str) -> Option<&Record> {
        self.any_record(kind, id).filter(|record| stands(record))
    }

    /// Records that are there, in order of id.
    pub fn records(&self, kind: &str) -> impl Iterator<Item = (&str, &Record)> {
        self.any_records(kind).filter(|(_, record)| stands(record))
    }

    /// A record ever written, withdrawn and emptied ones included.
    pub fn any_record(&self, kind: &str, id: &str) -> Option<&Record> {
        self.kinds.get(kind)?.get(id)
    }

    /// All records ever written, in order of id.
    pub fn any_records(&self, kind: &str) -> impl Iterator<Item = (&str, &Record)> {
        self.kinds.get(kind).into_iter().flatten().map(|(id, record)| (&**id, record))
    }

    /// Every kind ever written, in order.
    pub fn kinds(&self) -> impl Iterator<Item = &str> {
        self.kinds.keys().map(|kind| &**kind)
    }

    /// All clashes, in order of record and field.
    pub fn clashes(&self) -> impl Iterator<Item = Clash<'_>> {
        self.clashing.iter().flat_map(|key| self.clashes_of(&key.kind, &key.id))
    }

    /// The clashes of one record, in order of field.
    pub fn clashes_of(&self, kind: &str, id: &str) -> impl Iterator<Item = Clash<'_>> {
        let key = self.key(kind, id);
        self.any_record(kind, id).into_iter().flat_map(move |record| {
            let withdrawn = record.heads(WITHDRAWN).last().filter(|_| record.withdrawn());
            let key = key.clone();
            record.fields.iter().filter(move |field| record.clashes(field, withdrawn.is_some())).map(move |field| {
                let withdrawn = withdrawn.filter(|_| &*field.name != WITHDRAWN);
                Clash { key: key.clone(), field: &field.name, heads: &field.heads, withdrawn }
            })
        })
    }

    /// Every device heard of, in order of id.
    pub fn chains(&self) -> impl Iterator<Item = Chain> {
        self.trees.iter().map(|(&dev, tree)| tree.chain(dev))
    }

    /// One device.
    pub fn chain(&self, dev: DeviceId) -> Option<Chain> {
        self.trees.get(&dev).map(|tree| tree.chain(dev))
    }

    /// Devices with acts that are known to exist and are not here ([`Chain::missing`] says how many).
    pub fn missing(&self) -> impl Iterator<Item = Chain> {
        self.chains().filter(|chain| chain.missing > 0)
    }

    /// Devices that were copied or restored. If one's own is among them, go on under a new id that
    /// [continues](crate::Draft::continues) it.
    pub fn forks(&self) -> impl Iterator<Item = Fork> {
        self.trees.iter().filter_map(|(&dev, tree)| tree.fork(dev))
    }

    /// Devices that have stamped acts more than 24 hours ahead of the wall (`wall_ms`: milliseconds since 1970, UTC).
    pub fn odd_clocks(&self, wall_ms: u64) -> impl Iterator<Item = OddClock> {
        self.trees
            .iter()
            .filter(move |(_, tree)| tree.latest.is_odd(wall_ms))
            .map(|(&dev, tree)| OddClock { dev, latest: tree.latest })
    }

    /// The greatest stamp folded that can be followed. Stamps are kept by the day, so one less than 24 hours
    /// ahead is passed over when the same day (UTC) has one further ahead.
    pub fn clock(&self, wall_ms: u64) -> Stamp {
        self.days.values().rev().copied().find(|stamp| !stamp.is_odd(wall_ms)).unwrap_or(Stamp::ZERO)
    }

    /// Sets fields of a record, new or not, writing over everything that stands in them now. Null unsets.
    pub fn set(&self, kind: &str, id: &str, fields: Map<String, Value>) -> DraftSet {
        let record = self.any_record(kind, id);
        let mut over = BTreeMap::new();
        for field in fields.keys() {
            let heads = record.map(|record| record.heads(field)).unwrap_or_default();
            if !heads.is_empty() {
                over.insert(field.clone(), heads.iter().map(|head| head.reference).collect());
            }
        }
        DraftSet { kind: kind.to_owned(), id: DraftId::Known(id.to_owned()), fields, over }
    }

    /// Withdraws a whole record: unsets every field, and says so in [`WITHDRAWN`]. What somebody writes without
    /// having seen that becomes a clash. To take it back, undo it.
    pub fn withdraw(&self, kind: &str, id: &str) -> DraftSet {
        let mut fields = Map::new();
        for field in self.any_record(kind, id).into_iter().flat_map(|record| &record.fields) {
            fields.insert(field.name.to_string(), Value::Null);
        }
        fields.insert(WITHDRAWN.to_owned(), Value::Bool(true));
        self.set(kind, id, fields)
    }
}

fn stands(record: &Record) -> bool {
    !record.withdrawn() && record.fields().next().is_some()
}

pub(crate) fn intern(names: &mut BTreeSet<Arc<str>>, name: &str) -> Arc<str> {
    if let Some(name) = names.get(name) {
        return name.clone();
    }
    let name: Arc<str> = name.into();
    names.insert(name.clone());
    name
}
