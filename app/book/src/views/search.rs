//! Finding an animal, clutch, box or place by code, name, number or typed label code.

use crate::book::Book;
use crate::ids::*;
use crate::lower::lower;
use crate::memo::Question;
use std::collections::BTreeMap;
use std::rc::Rc;

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

/// What the records of one kind can be found by.
#[derive(Clone, PartialEq, Eq, Hash)]
struct NamesOf(Kind);

/// Every name from each of its words on, sorted: a search touches what begins with the text, and nothing else.
struct Names {
    /// Names in lower case, each with its thing's place in the list.
    names: Vec<(String, usize)>,
    things: Vec<Thing>,
    /// A name's place in the list, and where in it a word begins.
    from: Vec<(usize, usize)>,
}

impl Question for NamesOf {
    type Answer = Names;

    fn answer(&self, book: &Book, _: Option<&Rc<Names>>) -> Rc<Names> {
        let mut found = Names { names: Vec::new(), things: Vec::new(), from: Vec::new() };
        book.rows(self.0).for_each(|(id, row)| found.add(Thing::new(self.0, id), row.found_by()));
        let Names { names, from, .. } = &mut found;
        let order = |a: &(usize, usize), b: &(usize, usize)| names[a.0].0[a.1..].cmp(&names[b.0].0[b.1..]);
        from.sort_unstable_by(order);
        Rc::new(found)
    }
}

impl Names {
    /// By its id, and by what its kind's declaration says.
    fn add(&mut self, thing: Thing, words: Vec<&str>) {
        let at = self.things.len();
        for name in words.into_iter().chain([&*thing.id]) {
            let name = lower(name.trim());
            if !name.is_empty() {
                let begins = beginnings(&thing, &name);
                self.from.extend(begins.map(|from| (self.names.len(), from)));
                self.names.push((name, at));
            }
        }
        self.things.push(thing);
    }

    /// Things with a name that goes on from the text at the beginning of a word, at most [`MOST`], each with how well its
    /// best name fits: as a whole, from its beginning, from a later word.
    fn find(&self, wanted: &str, found: &mut BTreeMap<Thing, u8>) {
        let on = |&(name, from): &(usize, usize)| &self.names[name].0[from..];
        let first = self.from.partition_point(|place| on(place) < wanted);
        for &(name, from) in self.from[first..].iter().take_while(|place| on(place).starts_with(wanted)).take(MOST) {
            let (name, thing) = &self.names[name];
            let rank = match from {
                0 if name.len() == wanted.len() => 0,
                0 => 1,
                _ => 2,
            };
            let best = found.entry(self.things[*thing].clone()).or_insert(rank);
            *best = rank.min(*best);
        }
    }
}

/// More than this nobody reads; who has so many goes on typing.
const MOST: usize = 400;

/// Where the words of a name begin. The inside of an id says nothing; of a name it may.
fn beginnings<'a>(thing: &Thing, name: &'a str) -> impl Iterator<Item = usize> + use<'a> {
    let whole = name == lower(&thing.id);
    let mut before = None;
    name.char_indices().filter_map(move |(at, c)| {
        let begins = at == 0 || (!whole && c.is_alphanumeric() && before.is_some_and(|b: char| !b.is_alphanumeric()));
        before = Some(c);
        begins.then_some(at)
    })
}

/// Up to `limit` things with a word of their name, code, number or label code that begins with the text: whole
/// matches first, then beginnings, then the rest; animals before clutches before boxes before places. Animals that
/// left come last. The first search reads all names, also one for nothing.
pub fn search(book: &Book, text: &str, limit: usize) -> Vec<Hit> {
    let wanted = lower(text.trim());
    let mut found: BTreeMap<Thing, u8> = BTreeMap::new();
    for &kind in Kind::ALL.iter().filter(|kind| kind.declared().found) {
        let names = book.derived(&NamesOf(kind));
        if !wanted.is_empty() {
            names.find(&wanted, &mut found);
        }
    }
    // By its best rank, however many ways led to it.
    let mut best: BTreeMap<Thing, (bool, u8)> = BTreeMap::new();
    for (thing, rank) in found {
        for shown in shown_for(book, thing) {
            let this = (is_past(book, &shown), rank);
            let known = best.entry(shown).or_insert(this);
            *known = this.min(*known);
        }
    }
    let mut all: Vec<((bool, u8), Thing)> = best.into_iter().map(|(thing, ranked)| (ranked, thing)).collect();
    crate::order::sort(&mut all, |(ranked, thing)| (*ranked, order(thing.kind), book.short_name(thing), thing.clone()));
    all.into_iter().take(limit).map(|((_, rank), thing)| hit(book, thing, rank == 0)).collect()
}

/// What is listed for something found. The label of a box is most often scanned or typed to get at its clutch, so typing a
/// number finds both. A physical box has no page: what it was filled with last has, and a box never filled is nowhere.
fn shown_for(book: &Book, thing: Thing) -> Vec<Thing> {
    if thing.kind == Kind::Box {
        return book.fillings_of_box(&thing.id.as_str().into()).take(1).map(|filling| filling.id.thing()).collect();
    }
    let mut shown = Vec::new();
    if thing.kind == Kind::Clutch {
        let open = book.fillings_of(&thing.id.as_str().into()).into_iter().filter(|filling| filling.to.is_none());
        shown.extend(open.map(|filling| filling.id.thing()));
    }
    shown.push(thing);
    shown
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
        let (dams, sires) = (parents.dam_names().join(" / "), parents.sire_names().join(" / "));
        detail = if dams.is_empty() && sires.is_empty() { String::new() } else { format!("{dams} × {sires}") };
    }
    if thing.kind == Kind::Filling {
        let container = book.filling(&id.into()).and_then(|filling| book.container(filling.container.as_ref()?));
        detail = join(&[container.and_then(|container| container.name.clone()).unwrap_or_default(), path(&thing)]);
    }
    if thing.kind == Kind::Place {
        let mut path = book.path_names(&id.into());
        path.pop();
        detail = path.join(" · ");
        if let Some(place) = book.place(&id.into()) {
            title = book.place_name(place);
        }
    }
    Hit { title, detail, thing, exact }
}

fn join(parts: &[String]) -> String {
    parts.iter().filter(|part| !part.is_empty()).map(String::as_str).collect::<Vec<_>>().join(" · ")
}
