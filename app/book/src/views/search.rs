//! Finding an animal, clutch, box or place by code, name, number or typed label code.

use crate::book::Book;
use crate::ids::*;
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

/// Kinds that are searched.
pub(crate) const FOUND_BY_NAME: [Kind; 6] =
    [Kind::Animal, Kind::Clutch, Kind::Filling, Kind::Box, Kind::Place, Kind::Label];

/// What a thing can be found by, in lower case. Empty for kinds that are not searched.
pub(crate) fn names_of(book: &Book, thing: &Thing) -> Vec<String> {
    let id = thing.id.as_str();
    let texts: Vec<Option<String>> = match thing.kind {
        Kind::Animal => match book.animal(&id.into()) {
            Some(animal) => vec![animal.code.clone(), animal.name.clone(), Some(id.to_owned())],
            None => Vec::new(),
        },
        Kind::Clutch => vec![book.clutch(&id.into()).and_then(|clutch| clutch.number.clone()), Some(id.to_owned())],
        Kind::Filling => vec![Some(id.to_owned())],
        Kind::Box => vec![book.container(&id.into()).and_then(|b| b.name.clone()), Some(id.to_owned())],
        Kind::Place => vec![book.place(&id.into()).and_then(|place| place.name.clone()), Some(id.to_owned())],
        Kind::Label => vec![Some(id.to_owned())],
        _ => Vec::new(),
    };
    texts.into_iter().flatten().map(|text| text.trim().to_lowercase()).filter(|text| !text.is_empty()).collect()
}

/// Every name from each of its words on, sorted: a search touches what begins with the text, and nothing else.
#[derive(Clone, Debug, Default)]
pub(crate) struct Names {
    of: BTreeMap<Thing, Vec<String>>,
    from: BTreeSet<(String, Thing)>,
}

impl Names {
    /// Anew, after [`Names::remove`].
    pub(crate) fn insert(&mut self, thing: Thing, names: Vec<String>) {
        if names.is_empty() {
            return;
        }
        for name in &names {
            self.from.extend(beginnings(&thing, name).map(|from| (from.to_owned(), thing.clone())));
        }
        self.of.insert(thing, names);
    }

    pub(crate) fn remove(&mut self, thing: &Thing) {
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
    let whole = name == thing.id.to_lowercase();
    let mut before = None;
    name.char_indices().filter_map(move |(at, c)| {
        let begins = at == 0 || (!whole && c.is_alphanumeric() && before.is_some_and(|b: char| !b.is_alphanumeric()));
        before = Some(c);
        begins.then(|| &name[at..])
    })
}

/// Up to `limit` things with a word of their name, code, number or label code that begins with the text: whole
/// matches first, then beginnings, then the rest; animals before clutches before boxes before places. Animals that
/// left come last.
pub fn search(book: &Book, text: &str, limit: usize) -> Vec<Hit> {
    let wanted = text.trim().to_lowercase();
    if wanted.is_empty() {
        return Vec::new();
    }
    let mut found: BTreeMap<&Thing, u8> = BTreeMap::new();
    for thing in book.names.find(&wanted) {
        let names = book.names.of.get(thing).into_iter().flatten();
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

fn order(kind: Kind) -> u8 {
    match kind {
        Kind::Animal => 0,
        Kind::Clutch => 1,
        Kind::Filling => 2,
        Kind::Place => 3,
        _ => 4,
    }
}

fn is_past(book: &Book, thing: &Thing) -> bool {
    match thing.kind {
        Kind::Animal => book.animal(&thing.id.as_str().into()).is_some_and(|animal| !animal.is_here()),
        Kind::Filling => book.filling(&thing.id.as_str().into()).is_some_and(|filling| filling.to.is_some()),
        Kind::Label => true,
        _ => false,
    }
}

/// A record as a search would show it; none where it is not in the book.
pub fn hit_of(book: &Book, thing: &Thing) -> Option<Hit> {
    book.has(thing).then(|| hit(book, thing.clone(), true))
}

fn hit(book: &Book, thing: Thing, exact: bool) -> Hit {
    let id = thing.id.as_str();
    let path =
        |thing: &Thing| book.place_of(thing).map(|place| book.path_names(&place.id).join(" · ")).unwrap_or_default();
    let detail = match thing.kind {
        Kind::Animal => {
            let animal = book.animal(&id.into());
            let code = animal.and_then(|animal| animal.code.clone()).unwrap_or_default();
            let species = book.species_of(animal.and_then(|animal| animal.species.as_deref())).name.into_owned();
            join(&[code, species])
        }
        Kind::Clutch => {
            let parents = super::parts::parents(book, &id.into());
            let names =
                |side: &[(AnimalId, String)]| side.iter().map(|(_, name)| name.clone()).collect::<Vec<_>>().join(" / ");
            let (dams, sires) = (names(&parents.dams), names(&parents.sires));
            if dams.is_empty() && sires.is_empty() { String::new() } else { format!("{dams} × {sires}") }
        }
        Kind::Filling => path(&thing),
        Kind::Place => {
            let mut path = book.path_names(&id.into());
            path.pop();
            path.join(" · ")
        }
        _ => String::new(),
    };
    let title = match thing.kind {
        Kind::Place => book.place(&id.into()).map_or_else(|| book.short_name(&thing), |place| book.place_name(place)),
        _ => book.short_name(&thing),
    };
    Hit { title, detail, thing, exact }
}

fn join(parts: &[String]) -> String {
    parts.iter().filter(|part| !part.is_empty()).map(String::as_str).collect::<Vec<_>>().join(" · ")
}
