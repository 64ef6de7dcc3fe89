//! Finding an animal, clutch, box or place by code, name, number or typed label code.

use crate::book::Book;
use crate::ids::*;
use crate::lower::lower;
use std::collections::{BTreeMap, BTreeSet};

/// Something found.
#[derive(Clone, Debug, PartialEq)]
pub struct Hit {
    pub thing: Thing,
    /// What it is called.
    pub title: String,
    /// What else tells it apart: a species, a place.
    pub detail: String,
    /// The name, code or number as a whole; else only its beginning or middle fits.
    pub exact: bool,
}

/// What a thing can be found by, in lower case. Empty for kinds that are not searched.
fn names_of(book: &Book, thing: &Thing) -> Vec<String> {
    let Some(row) = book.row(thing).filter(|_| thing.kind.declared().found) else { return Vec::new() };
    let words = row.found_by().into_iter().chain([thing.id.as_str()]);
    words.map(|text| lower(text.trim())).filter(|text| !text.is_empty()).collect()
}

/// Every name from each of its words on, sorted: a search touches what begins with the text, and nothing else.
#[derive(Clone, Debug, Default)]
pub(crate) struct Names {
    of: BTreeMap<Thing, Vec<String>>,
    from: BTreeSet<(String, Thing)>,
    /// All names have been read once: a start needs none, so they are read by the first search.
    read: bool,
    /// Written since the last search.
    changed: Vec<Thing>,
}

impl Names {
    /// To be read anew before the next search.
    pub(crate) fn changed(&mut self, thing: &Thing) {
        if self.read && thing.kind.declared().found {
            self.changed.push(thing.clone());
        }
    }

    fn catch_up(&mut self, book: &Book) {
        if !self.read {
            self.read = true;
            for &kind in Kind::ALL.iter().filter(|kind| kind.declared().found) {
                self.changed.extend(book.journal().records(kind.word()).map(|(id, _)| Thing::new(kind, id)));
            }
        }
        for thing in std::mem::take(&mut self.changed) {
            self.remove(&thing);
            let names = names_of(book, &thing);
            self.insert(thing, names);
        }
    }

    /// Anew, after [`Names::remove`].
    fn insert(&mut self, thing: Thing, names: Vec<String>) {
        if names.is_empty() {
            return;
        }
        for name in &names {
            self.from.extend(beginnings(&thing, name).map(|from| (from.to_owned(), thing.clone())));
        }
        self.of.insert(thing, names);
    }

    fn remove(&mut self, thing: &Thing) {
        for name in self.of.remove(thing).unwrap_or_default() {
            for from in beginnings(thing, &name) {
                self.from.remove(&(from.to_owned(), thing.clone()));
            }
        }
    }

    /// Things with a name that goes on from the text at the beginning of a word; the shortest first, at most [`MOST`].
    fn find(&self, wanted: &str) -> impl Iterator<Item = &Thing> {
        let first = Thing::new(Kind::Person, "");
        let on = self.from.range((wanted.to_owned(), first)..);
        on.take_while(move |(from, _)| from.starts_with(wanted)).map(|(_, thing)| thing).take(MOST)
    }
}

/// More than this nobody reads; who has so many goes on typing.
const MOST: usize = 400;

/// A name from each of its words on. The inside of an id says nothing; of a name it may.
fn beginnings<'a>(thing: &Thing, name: &'a str) -> impl Iterator<Item = &'a str> {
    let whole = name == lower(&thing.id);
    let mut before = None;
    name.char_indices().filter_map(move |(at, c)| {
        let begins = at == 0 || (!whole && c.is_alphanumeric() && before.is_some_and(|b: char| !b.is_alphanumeric()));
        before = Some(c);
        begins.then(|| &name[at..])
    })
}

/// Up to `limit` things with a word of their name, code, number or label code that begins with the text: whole
/// matches first, then beginnings, then the rest; animals before clutches before boxes before places. Animals that
/// left come last. The first search reads all names, also one for nothing.
pub fn search(book: &Book, text: &str, limit: usize) -> Vec<Hit> {
    let mut names = book.names.borrow_mut();
    names.catch_up(book);
    let wanted = lower(text.trim());
    if wanted.is_empty() {
        return Vec::new();
    }
    let mut found: BTreeMap<&Thing, u8> = BTreeMap::new();
    for thing in names.find(&wanted) {
        let names = names.of.get(thing).into_iter().flatten();
        let rank = names.map(|name| match name.find(&wanted) {
            Some(0) if name.len() == wanted.len() => 0,
            Some(0) => 1,
            _ => 2,
        });
        found.insert(thing, rank.min().unwrap_or(2));
    }
    let found: Vec<(u8, bool, Kind, &Thing)> =
        found.into_iter().map(|(thing, rank)| (rank, is_past(book, thing), thing.kind, thing)).collect();
    // The label of a box is most often scanned or typed to get at its clutch; typing a number finds both.
    let boxes: Vec<(u8, bool, Kind, Thing)> = found
        .iter()
        .filter(|(_, _, kind, _)| *kind == Kind::Clutch)
        .flat_map(|(rank, past, _, clutch)| {
            let fillings = book.fillings_of(&clutch.id.as_str().into());
            let open = fillings.into_iter().filter(|filling| filling.to.is_none());
            open.map(|filling| (*rank, *past, Kind::Filling, filling.id.thing())).collect::<Vec<_>>()
        })
        .collect();
    let mut all: Vec<(u8, bool, Kind, Thing)> =
        found.into_iter().map(|(rank, past, kind, thing)| (rank, past, kind, thing.clone())).chain(boxes).collect();
    crate::order::sort(&mut all, |(rank, past, kind, thing)| {
        (*past, *rank, order(*kind), book.short_name(thing), thing.clone())
    });
    all.dedup_by(|a, b| a.3 == b.3);
    all.into_iter().take(limit).map(|(rank, _, _, thing)| hit(book, thing, rank == 0)).collect()
}

/// What is looked for most comes first.
fn order(kind: Kind) -> usize {
    let first = [Kind::Animal, Kind::Clutch, Kind::Filling, Kind::Place];
    first.iter().position(|other| *other == kind).unwrap_or(first.len())
}

/// A blank label is looked for least.
fn is_past(book: &Book, thing: &Thing) -> bool {
    thing.kind == Kind::Label || !book.is_live(thing)
}

/// A record as a search would show it; none where it is not in the book.
pub fn hit_of(book: &Book, thing: &Thing) -> Option<Hit> {
    book.has(thing).then(|| hit(book, thing.clone(), true))
}

fn hit(book: &Book, thing: Thing, exact: bool) -> Hit {
    let id = thing.id.as_str();
    let path =
        |thing: &Thing| book.place_of(thing).map(|place| book.path_names(&place.id).join(" · ")).unwrap_or_default();
    let mut title = book.short_name(&thing);
    let mut detail = String::new();
    if thing.kind == Kind::Animal {
        let animal = book.animal(&id.into());
        let code = animal.and_then(|animal| animal.code.clone()).unwrap_or_default();
        let species = book.species_of(animal.and_then(|animal| animal.species.as_deref())).name.into_owned();
        detail = join(&[code, species]);
    }
    if thing.kind == Kind::Clutch {
        let parents = super::parts::parents(book, &id.into());
        let names =
            |side: &[(AnimalId, String)]| side.iter().map(|(_, name)| name.clone()).collect::<Vec<_>>().join(" / ");
        let (dams, sires) = (names(&parents.dams), names(&parents.sires));
        detail = if dams.is_empty() && sires.is_empty() { String::new() } else { format!("{dams} × {sires}") };
    }
    if thing.kind == Kind::Filling {
        detail = path(&thing);
    }
    if thing.kind == Kind::Place {
        let mut path = book.path_names(&id.into());
        path.pop();
        detail = path.join(" · ");
        title = book.place(&id.into()).and_then(|place| place.name.clone()).unwrap_or_else(|| id.to_owned());
    }
    Hit { title, detail, thing, exact }
}

fn join(parts: &[String]) -> String {
    parts.iter().filter(|part| !part.is_empty()).map(String::as_str).collect::<Vec<_>>().join(" · ")
}
