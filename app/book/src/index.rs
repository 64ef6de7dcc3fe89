//! What belongs to what. Every record yields rows by itself alone, so a changed record takes its old rows out
//! and puts its new ones in, and the index is the same whatever the way there.

use crate::ids::{Thing, Where};
use crate::memo::{Read, note};
use crate::order::Order;
use crate::records::*;
use crate::tables::Row as Kept;
use crate::words::AnimalEventWhat;
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
    text.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect()
}

/// What the index needs of a record.
pub(crate) trait Indexed {
    /// (link, key, when it happened)
    fn rows(&self, add: &mut dyn FnMut(Link, &str, Option<trade::when::When>));

    /// Things whose whereabouts this record has a say in.
    fn places(&self) -> Vec<Thing> {
        Vec::new()
    }
}

/// The rows of a record under an id.
pub(crate) fn rows_of(record: &dyn Indexed, id: &str, written: Order) -> Vec<Row> {
    let mut rows = Vec::new();
    record.rows(&mut |link, of, when| {
        rows.push(Row { link, of: of.to_owned(), order: written.dated(when), id: id.to_owned() });
    });
    rows
}

macro_rules! indexed {
    ($($record:ident: $this:ident, $add:ident => $body:block)*) => { $(
        impl Indexed for $record {
            fn rows(&self, $add: &mut dyn FnMut(Link, &str, Option<trade::when::When>)) {
                let $this = self;
                $body
            }
        }
    )* };
}

indexed! {
    Person: _p, _add => {}
    Species: _s, _add => {}
    BoxThing: _b, _add => {}
    BlankLabel: _l, _add => {}
    Contact: _c, _add => {}
    DetailsErased: _e, _add => {}
    BarnRules: _r, _add => {}
    Snooze: _s, _add => {}
    Wish: w, add => { if let Some(c) = &w.contact { add(Link::Wishes, c.as_str(), w.when); } }
    Hold: h, add => {
        if let Some(a) = &h.animal { add(Link::Holds, a.as_str(), h.when); }
        if let Some(c) = &h.contact { add(Link::HeldFor, c.as_str(), h.when); }
        if let Some(w) = &h.wish { add(Link::WishHolds, w.as_str(), h.when); }
    }
    StockTaking: _s, _add => {}
    Supply: _s, _add => {}
    Place: p, add => { add(Link::Inside, p.within.as_ref().map_or("", |id| id.as_str()), None); }
    Animal: a, add => {
        for egg in &a.from_eggs { add(Link::Young, egg.as_str(), a.born); }
        for parent in a.dam.iter().chain(&a.sire) { add(Link::Offspring, parent.as_str(), a.born); }
        if let Some(code) = &a.code { add(Link::Code, &normal(code), None); }
        if let Some(to) = &a.went_to { add(Link::WentTo, to.as_str(), a.went_when); }
    }
    AnimalEvent: e, add => {
        if let Some(a) = &e.animal {
            add(Link::Events, a.as_str(), e.when);
            if e.what.is_some_and(AnimalEventWhat::tells_laying) { add(Link::LayEvents, a.as_str(), e.when); }
        }
    }
    Meal: m, add => { if let Some(a) = &m.animal { add(Link::Meals, a.as_str(), m.offered); } }
    Pairing: p, add => { for a in p.dams.iter().chain(&p.sires) { add(Link::Pairings, a.as_str(), p.when); } }
    LockSeen: l, add => { if let Some(p) = &l.pairing { add(Link::Locks, p.as_str(), l.when); } }
    Clutch: c, add => {
        for a in c.dams.iter().chain(&c.sires) { add(Link::Clutches, a.as_str(), c.laid.or(c.found)); }
        if let Some(other) = &c.same_as {
            add(Link::Same, other.as_str(), None);
        }
        if let Some(number) = &c.number { add(Link::Number, &normal(number), None); }
    }
    Filling: f, add => { if let Some(b) = &f.container { add(Link::Fillings, b.as_str(), f.from); } }
    Candling: c, add => { if let Some(f) = &c.filling { add(Link::Candlings, f.as_str(), c.when); } }
    WaterCheck: w, add => { if let Some(f) = &w.filling { add(Link::Waters, f.as_str(), w.when); } }
    TakenOut: t, add => { if let Some(f) = &t.filling { add(Link::Taken, f.as_str(), t.when); } }
    Reading: r, add => { if let Some(p) = &r.place { add(Link::Readings, p.as_str(), r.when); } }
    ReadingLog: l, add => { if let Some(p) = &l.place { add(Link::ReadingLogs, p.as_str(), l.when); } }
    SetPoint: s, add => { if let Some(p) = &s.place { add(Link::SetPoints, p.as_str(), s.when); } }
    Incident: i, add => { for p in &i.places { add(Link::Incidents, p.as_str(), i.from); } }
    Hatching: h, add => { if let Some(e) = &h.egg { add(Link::Hatchings, e.as_str(), h.when); } }
    Note: n, add => { if let Some(t) = &n.about { add(Link::Notes, &t.to_string(), n.when); } }
    Trait: _t, _add => {}
    Genotype: g, add => { if let Some(a) = &g.animal { add(Link::Genotypes, a.as_str(), g.when); } }
    Photo: p, add => { if let Some(t) = &p.about { add(Link::Photos, &t.to_string(), p.when); } }
    LabelPrint: l, add => { if let Some(t) = &l.thing { add(Link::Prints, &t.to_string(), l.when); } }
}

impl Indexed for Egg {
    fn rows(&self, add: &mut dyn FnMut(Link, &str, Option<trade::when::When>)) {
        if let Some(clutch) = &self.clutch {
            add(Link::Eggs, clutch.as_str(), None);
        }
        if let Some(filling) = &self.filling {
            add(Link::FirstEggs, filling.as_str(), None);
        }
    }

    fn places(&self) -> Vec<Thing> {
        vec![self.id.thing()]
    }
}

impl Indexed for Move {
    fn rows(&self, add: &mut dyn FnMut(Link, &str, Option<trade::when::When>)) {
        for thing in &self.things {
            add(Link::Moves, &thing.to_string(), self.when);
        }
        if let Some(Where::Filling(filling)) = &self.to {
            add(Link::MovedIn, filling.as_str(), self.when);
        }
    }

    fn places(&self) -> Vec<Thing> {
        self.things.clone()
    }
}
