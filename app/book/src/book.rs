//! The barn as it stands: the journal's fold, read into typed records and kept indexed.

use crate::fields::{Fields, Oddity};
use crate::ids::*;
use crate::index::{Index, Link, Row, normal, rows_of};
use crate::memo::{Memo, Read, note};
use crate::order::Order;
use crate::records::*;
use crate::snapshot::Aside;
use crate::tables::{Reader, Row as Kept};
use journal::{BadSnapshot, DraftSet, Entry, Fold, Key, Record, Ref, Refused, Stamp, Taken};
use serde_json::{Map, Value};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// All records of one barn.
///
/// The state depends on the set of lines taken, not on their order. Taking a line reads only the records it set anew,
/// and says which reads of them changed ([`crate::memo`]).
#[derive(Clone, Debug)]
pub struct Book {
    fold: Fold,
    pub(crate) t: Tables,
    pub(crate) ix: Index,
    odd: BTreeMap<Thing, Vec<Oddity>>,
    /// Who wrote an entry; of entries before a snapshot only those whose writes still stand.
    by: BTreeMap<Ref, Arc<str>>,
    people: BTreeSet<Arc<str>>,
    pub(crate) aside: Aside,
    pub(crate) memo: Memo,
}

/// What of the journal as a whole may change with a line, where somebody asked for it.
#[derive(PartialEq)]
struct OfJournal {
    clashes: Option<BTreeMap<Thing, Vec<String>>>,
    missing: Option<u32>,
}

/// Who wrote something down, and when.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// The person, as the writer named them; empty when that is no longer known.
    pub by: String,
    /// Milliseconds since 1970 (UTC) by the writing device's clock, which may be wrong.
    pub at_ms: u64,
    pub reference: Ref,
}

impl Book {
    /// An empty book.
    pub fn new(book: journal::Id) -> Book {
        Book::over(Fold::new(book))
    }

    pub(crate) fn over(fold: Fold) -> Book {
        Book {
            fold,
            t: Tables::default(),
            ix: Index::default(),
            odd: BTreeMap::new(),
            by: BTreeMap::new(),
            people: BTreeSet::new(),
            aside: Aside::default(),
            memo: Memo::default(),
        }
    }

    /// Takes one line of the journal, from this device or any other.
    ///
    /// # Errors
    /// A refused line changes nothing.
    pub fn take(&mut self, line: &str) -> Result<Taken, Refused> {
        self.take_entry(Entry::read(line)?)
    }

    /// Takes an entry already read.
    ///
    /// # Errors
    /// As [`Book::take`].
    pub fn take_entry(&mut self, entry: Entry) -> Result<Taken, Refused> {
        let (reference, by) = (entry.reference, entry.by.clone());
        let before = self.of_journal();
        let taken = self.fold.take_entry(entry)?;
        if matches!(taken, Taken::New { .. } | Taken::Held) {
            self.note_writer(reference, &by);
        }
        self.changed(&taken, &before);
        Ok(taken)
    }

    /// Folds the acts that wait for one that is lost here ([`Fold::pass_over`]).
    pub fn pass_over(&mut self, dev: journal::DeviceId, seq: u32, hash: journal::Hash) {
        let before = self.of_journal();
        let taken = self.fold.pass_over(dev, seq, hash);
        self.changed(&taken, &before);
    }

    /// What answers stand on of the journal as a whole; not worked out where none does.
    fn of_journal(&self) -> OfJournal {
        OfJournal {
            clashes: self.memo.is_read(Read::clashes()).then(|| self.clashes()),
            missing: self.memo.is_read(Read::missing()).then(|| self.missing_acts()),
        }
    }

    fn changed(&mut self, taken: &Taken, before: &OfJournal) {
        let after = self.of_journal();
        if after.clashes != before.clashes {
            self.memo.touch(Read::clashes());
        }
        if after.missing != before.missing {
            self.memo.touch(Read::missing());
        }
        self.memo.touch(Read::journal());
        let Taken::New { changed, .. } = taken else { return };
        changed.iter().for_each(|key| self.aside.changed(key));
        self.refresh(changed.iter().filter_map(|key| Some((Kind::of(&key.kind)?, key.id.to_string()))));
    }

    pub(crate) fn note_writer(&mut self, reference: Ref, by: &str) {
        let name = match self.people.get(by) {
            Some(name) => name.clone(),
            None => {
                let name: Arc<str> = by.into();
                self.people.insert(name.clone());
                name
            }
        };
        self.by.insert(reference, name);
    }

    /// The fold beneath: chains, digests, undo. Whoever reads it directly stands on every line there is: what a view
    /// needs of it has a question of its own here.
    pub fn journal(&self) -> &Fold {
        note(Read::journal);
        &self.fold
    }

    /// Adds a part of a snapshot to the fold, and says what came.
    pub(crate) fn take_part_of_fold(&mut self, part: &str) -> Result<(Vec<Key>, Vec<Ref>), BadSnapshot> {
        let taken = self.fold.take_part(part)?;
        [Read::clashes(), Read::missing(), Read::journal()].into_iter().for_each(|read| self.memo.touch(read));
        Ok(taken)
    }

    /// From now on takes entries of `other` too: somebody said that the two are one barn's.
    pub fn join(&mut self, other: journal::Id) {
        self.fold.join(other);
        self.memo.touch(Read::journal());
    }

    /// The fields that clash, by record, of kinds that this version knows.
    pub(crate) fn clashes(&self) -> BTreeMap<Thing, Vec<String>> {
        note(Read::clashes);
        let mut fields: BTreeMap<Thing, Vec<String>> = BTreeMap::new();
        for clash in self.fold.clashes() {
            if let Some(kind) = Kind::of(&clash.key.kind) {
                fields.entry(Thing::new(kind, &*clash.key.id)).or_default().push(clash.field.to_owned());
            }
        }
        fields
    }

    /// Whether a field of a record clashes.
    pub(crate) fn clashes_in(&self, thing: &Thing) -> bool {
        note(|| Read::record(thing.kind, &thing.id));
        self.fold.clashes_of(thing.kind.word(), &thing.id).next().is_some()
    }

    /// How many acts are known to exist and are not here.
    pub(crate) fn missing_acts(&self) -> u32 {
        note(Read::missing);
        self.fold.missing().map(|chain| chain.missing).fold(0, u32::saturating_add)
    }

    /// Fields that did not hold what their kind says, in order of record.
    pub fn oddities(&self) -> impl Iterator<Item = &Oddity> {
        note(Read::journal);
        self.odd.values().flatten()
    }

    /// The person who wrote an entry, as the writer named them; only of entries whose writes still stand.
    pub fn writer(&self, reference: &Ref) -> Option<&str> {
        note(Read::journal);
        self.by.get(reference).map(AsRef::as_ref)
    }

    /// The person who wrote the last act of a device of which something still stands.
    pub fn writer_on(&self, dev: journal::DeviceId) -> Option<&str> {
        note(Read::journal);
        let of = |seq| Ref::least(dev, seq);
        self.by.range(of(0)..of(u32::MAX)).next_back().map(|(_, name)| &**name)
    }

    /// Who last wrote in a record, and when.
    pub fn written(&self, thing: &Thing) -> Option<Written> {
        let head = self.record(thing)?.last()?;
        let by = self.by.get(&head.reference).map(|name| name.to_string()).unwrap_or_default();
        Some(Written { by, at_ms: head.at.ms(), reference: head.reference })
    }

    /// Whether a record is there: not withdrawn, with something in it.
    pub fn has(&self, thing: &Thing) -> bool {
        self.record(thing).is_some()
    }

    /// A record as the journal has it: not withdrawn, with something in it.
    pub(crate) fn record(&self, thing: &Thing) -> Option<&Record> {
        note(|| Read::record(thing.kind, &thing.id));
        self.fold.record(thing.kind.word(), &thing.id)
    }

    /// Whether a record was ever written, also one that was withdrawn since.
    pub(crate) fn was_written(&self, kind: Kind, id: &str) -> bool {
        note(|| Read::record(kind, id));
        self.fold.any_record(kind.word(), id).is_some()
    }

    /// Whether an id is free: no record of any kind was ever written under it.
    pub fn is_free(&self, id: &str) -> bool {
        !Kind::ALL.iter().any(|kind| self.was_written(*kind, id))
    }

    /// A set of a record's fields for a draft, over everything that stands in them.
    pub(crate) fn set(&self, kind: Kind, id: &str, fields: Map<String, Value>) -> DraftSet {
        self.fold.set(kind.word(), id, fields)
    }

    pub(crate) fn refresh(&mut self, changed: impl Iterator<Item = (Kind, String)>) {
        let mut moved = BTreeSet::new();
        for (kind, id) in changed {
            self.read(kind, &id, &mut moved);
        }
        for thing in moved {
            let to = self.last_place(&thing);
            self.moved(&thing, to);
        }
    }

    /// Reads all records of a book just opened: nothing is there yet that one of them could replace.
    pub(crate) fn read_all(&mut self) {
        let Book { fold, t, ix, odd, .. } = self;
        let mut moved = BTreeSet::new();
        for &kind in Kind::ALL {
            let (rows, reader) = t.of(kind);
            for (id, record) in fold.records(kind.word()) {
                let (kept, odd_fields) = read(kind, id, record, reader);
                rows_of(&*kept, id).into_iter().for_each(|row| ix.add(row, &kept));
                moved.extend(kept.brings());
                if !odd_fields.is_empty() {
                    odd.insert(Thing::new(kind, id), odd_fields);
                }
                rows.insert(id, kept);
            }
        }
        for thing in moved {
            let to = self.last_place(&thing);
            self.ix.put(&thing, to);
        }
    }

    /// Puts a thing where it is now.
    fn moved(&mut self, thing: &Thing, to: Option<Where>) {
        let from = self.ix.whereabouts(thing);
        if from == to.as_ref() {
            return;
        }
        if !self.memo.is_empty() {
            self.memo.touch(Read::place_of(thing));
            from.into_iter().chain(&to).for_each(|at| self.memo.touch(Read::held(at)));
            let boxed = |at: Option<&Where>| matches!(at, Some(Where::Filling(_)));
            if !boxed(from) || !boxed(to.as_ref()) {
                self.memo.touch(Read::unboxed());
            }
        }
        self.ix.put(thing, to);
    }

    /// Says of a record's rows in the index, as they were and as they are, what reads of them changed.
    fn relinked(&self, old: &[Row], new: &[Row]) {
        if self.memo.is_empty() {
            return;
        }
        old.iter().chain(new).for_each(|row| self.memo.touch(row.read()));
        for (some, others) in [(old, new), (new, old)] {
            let gone = some.iter().filter(|row| !others.iter().any(|other| other.is_like(row)));
            gone.for_each(|row| self.memo.touch(Read::keys(row.link())));
        }
    }

    /// Reads one record anew; notes whose whereabouts it may have changed.
    fn read(&mut self, kind: Kind, id: &str, moved: &mut BTreeSet<Thing>) {
        let thing = Thing::new(kind, id);
        if !self.memo.is_empty() {
            self.memo.touch(Read::record(kind, id));
            self.memo.touch(Read::all(kind));
        }
        let (rows, reader) = self.t.of(kind);
        let mut old_links = Vec::new();
        if let Some(old) = rows.remove(id) {
            old_links = rows_of(&*old, id);
            old_links.iter().for_each(|row| self.ix.remove(row));
            moved.extend(old.brings());
        }
        self.odd.remove(&thing);
        let Some(found) = self.fold.record(kind.word(), id) else { return self.relinked(&old_links, &[]) };
        let (kept, odd) = read(kind, id, found, reader);
        let links = rows_of(&*kept, id);
        self.relinked(&old_links, &links);
        links.into_iter().for_each(|row| self.ix.add(row, &kept));
        moved.extend(kept.brings());
        if !odd.is_empty() {
            self.odd.insert(thing.clone(), odd);
        }
        self.t.of(kind).0.insert(id, kept);
    }

    /// By its moves; an egg never moved is where it was first set, and before that under the dam.
    fn last_place(&self, thing: &Thing) -> Option<Where> {
        let moved = self.ix.of(Link::Moves, &thing.to_string()).rev();
        let to = moved.filter_map(|id| self.t.moves.get(&MoveId::from(id))?.record.to.clone()).next();
        if thing.kind != Kind::Egg {
            return to;
        }
        let egg = &self.t.eggs.get(&EggId::from(thing.id.as_str()))?.record;
        to.or_else(|| egg.filling.clone().map(Where::Filling)).or(Some(Where::Dam))
    }

    /// Clutches whose number is this, however it is spaced or cased.
    pub fn clutches_numbered<'a>(&'a self, number: &str) -> impl Iterator<Item = &'a Clutch> + use<'a> {
        self.ix.of(Link::Number, &normal(number)).filter_map(|id| self.clutch(&ClutchId::from(id)))
    }

    /// Animals whose code is this, however it is spaced or cased.
    pub fn animals_coded<'a>(&'a self, code: &str) -> impl Iterator<Item = &'a Animal> + use<'a> {
        self.ix.of(Link::Code, &normal(code)).filter_map(|id| self.animal(&AnimalId::from(id)))
    }
}

/// A record as its kind's struct, with what was odd in it.
fn read(kind: Kind, id: &str, record: &journal::Record, reader: Reader) -> (Arc<dyn Kept>, Vec<Oddity>) {
    let mut fields = Fields::new(kind, id, record.fields());
    let last = record.last();
    let written =
        Order { when: None, at: last.map_or(Stamp::ZERO, |h| h.at), reference: last.map(|h| h.reference.short()) };
    (reader(&mut fields, written), fields.odd)
}
