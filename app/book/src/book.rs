//! The barn as it stands: the journal's fold, read into typed records and kept indexed.

use crate::fields::{Fields, Oddity};
use crate::heat::{Heat, Touch};
use crate::ids::*;
use crate::index::{Index, Link, Row, normal, rows_of};
use crate::order::Order;
use crate::records::*;
use crate::snapshot::Aside;
use crate::tables::{Reader, Row as Kept, Tables};
use crate::views::rounds::Round;
use crate::views::search::{FOUND_BY_NAME, Names, names_of};
use journal::{DraftSet, Entry, Fold, Ref, Refused, Stamp, Taken};
use serde_json::{Map, Value};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// All records of one barn.
///
/// The state depends on the set of lines taken, not on their order. Taking a line re-derives only the
/// records it set and their rows in the index.
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
    pub(crate) heat: RefCell<Heat>,
    pub(crate) round: RefCell<Round>,
    /// What things are found by, in lower case.
    pub(crate) names: Names,
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
            heat: RefCell::default(),
            round: RefCell::default(),
            names: Names::default(),
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
        let taken = self.fold.take_entry(entry)?;
        if matches!(taken, Taken::New { .. } | Taken::Held) {
            self.note_writer(reference, &by);
        }
        self.changed(&taken);
        Ok(taken)
    }

    /// Folds the acts that wait for one that is lost here ([`Fold::pass_over`]).
    pub fn pass_over(&mut self, dev: journal::DeviceId, seq: u32, hash: journal::Hash) {
        let taken = self.fold.pass_over(dev, seq, hash);
        self.changed(&taken);
    }

    fn changed(&mut self, taken: &Taken) {
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

    /// The fold beneath: clashes, chains, digests, undo.
    pub fn journal(&self) -> &Fold {
        &self.fold
    }

    pub(crate) fn fold_mut(&mut self) -> &mut Fold {
        &mut self.fold
    }

    /// From now on takes entries of `other` too: somebody said that the two are one barn's.
    pub fn join(&mut self, other: journal::Id) {
        self.fold.join(other);
    }

    /// Fields that did not hold what their kind says, in order of record.
    pub fn oddities(&self) -> impl Iterator<Item = &Oddity> {
        self.odd.values().flatten()
    }

    /// The person who wrote an entry, as the writer named them; only of entries whose writes still stand.
    pub fn writer(&self, reference: &Ref) -> Option<&str> {
        self.by.get(reference).map(AsRef::as_ref)
    }

    /// The person who wrote the last act of a device of which something still stands.
    pub fn writer_on(&self, dev: journal::DeviceId) -> Option<&str> {
        let of = |seq| Ref::least(dev, seq);
        self.by.range(of(0)..of(u32::MAX)).next_back().map(|(_, name)| &**name)
    }

    /// Who last wrote in a record, and when.
    pub fn written(&self, thing: &Thing) -> Option<Written> {
        let head = self.fold.record(thing.kind.word(), &thing.id)?.last()?;
        let by = self.by.get(&head.reference).map(|name| name.to_string()).unwrap_or_default();
        Some(Written { by, at_ms: head.at.ms(), reference: head.reference })
    }

    /// When a field was last written, as an order among writings.
    pub(crate) fn wrote(&self, thing: &Thing, field: &str) -> Order {
        let head = self.fold.record(thing.kind.word(), &thing.id).and_then(|record| record.heads(field).last());
        Order {
            when: None,
            at: head.map_or_else(Default::default, |head| head.at),
            reference: head.map(|head| head.reference.short()),
        }
    }

    /// Whether a record is there: not withdrawn, with something in it.
    pub fn has(&self, thing: &Thing) -> bool {
        self.fold.record(thing.kind.word(), &thing.id).is_some()
    }

    /// Whether an id is free: no record of any kind was ever written under it.
    pub fn is_free(&self, id: &str) -> bool {
        !Kind::ALL.iter().any(|kind| self.fold.any_record(kind.word(), id).is_some())
    }

    /// A set of a record's fields for a draft, over everything that stands in them.
    pub(crate) fn set(&self, kind: Kind, id: &str, fields: Map<String, Value>) -> DraftSet {
        self.fold.set(kind.word(), id, fields)
    }

    pub(crate) fn refresh(&mut self, changed: impl Iterator<Item = (Kind, String)>) {
        let mut moved = BTreeSet::new();
        // Where nothing is kept yet, nothing can be out of date: opening a book asks for no touches.
        let warm = self.heat.get_mut().is_warm();
        for (kind, id) in changed {
            let before = if warm { self.touch_of(kind, &id) } else { Touch::Nothing };
            self.read(kind, &id, &mut moved);
            let after = if warm { self.touch_of(kind, &id) } else { Touch::Nothing };
            let heat = self.heat.get_mut();
            if after != before {
                heat.touched(before);
            }
            heat.touched(after);
        }
        for thing in moved {
            let to = self.last_place(&thing);
            self.round.get_mut().moved(&thing, [self.ix.whereabouts(&thing), to.as_ref()]);
            self.ix.put(&thing, to);
            if warm {
                let touch = self.touch_of_move(&thing);
                self.heat.get_mut().touched(touch);
            }
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
                rows_of(kept.indexed(), id, kept.written()).into_iter().for_each(|row| ix.add(row, &kept));
                moved.extend(kept.indexed().places());
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
        for kind in FOUND_BY_NAME {
            for (id, _) in self.fold.records(kind.word()) {
                let thing = Thing::new(kind, id);
                let names = names_of(self, &thing);
                self.names.insert(thing, names);
            }
        }
    }

    /// Reads one record anew; notes whose whereabouts it may have changed.
    fn read(&mut self, kind: Kind, id: &str, moved: &mut BTreeSet<Thing>) {
        let thing = Thing::new(kind, id);
        let (rows, reader) = self.t.of(kind);
        if let Some(old) = rows.remove(id) {
            let links = rows_of(old.indexed(), id, old.written());
            self.round.get_mut().changed(kind, id, links.iter().map(Row::of));
            links.iter().for_each(|row| self.ix.remove(row));
            moved.extend(old.indexed().places());
        }
        self.odd.remove(&thing);
        self.names.remove(&thing);
        let Some(found) = self.fold.record(kind.word(), id) else { return };
        let (kept, odd) = read(kind, id, found, reader);
        let links = rows_of(kept.indexed(), id, kept.written());
        self.round.get_mut().changed(kind, id, links.iter().map(Row::of));
        links.into_iter().for_each(|row| self.ix.add(row, &kept));
        moved.extend(kept.indexed().places());
        if !odd.is_empty() {
            self.odd.insert(thing.clone(), odd);
        }
        self.t.of(kind).0.insert(id, kept);
        let names = names_of(self, &thing);
        self.names.insert(thing, names);
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
