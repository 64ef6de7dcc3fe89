//! One line of the daybook: what an entry says, for the pages to put in words.

use crate::book::Book;
use crate::ids::*;
use crate::records::Shape;
use crate::words::*;
use journal::{Entry, Named, Ref, Set};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use trade::units::{Mass, Temp};
use trade::when::When;

/// An entry described. Nothing of it depends on later entries but the names of what it is about.
#[derive(Clone, Debug, PartialEq)]
pub struct DayLine {
    pub reference: Ref,
    /// The act's own name; pages word the ones they know and show the others plainly.
    pub act: String,
    /// The person.
    pub by: String,
    /// Local time and offset of the writing device: `2026-06-09T21:40+02:00`.
    pub wall: String,
    /// When it happened, where the entry says so.
    pub when: Option<When>,
    /// What it is about, with its name now: the animal, clutch, box or place, each once.
    pub subjects: Vec<(Thing, String)>,
    /// How many eggs it sets.
    pub eggs: u32,
    /// A mass it records.
    pub mass: Option<Mass>,
    /// Water added.
    pub added: Option<Mass>,
    pub temp: Option<Temp>,
    /// Where something was brought, by name.
    pub to: Option<String>,
    /// A text it records.
    pub text: Option<String>,
    pub fate: Option<Fate>,
    pub undoes: Option<Named>,
    /// Written by a newer version, of kinds or acts unknown here.
    pub unknown: bool,
}

/// What stands undone of acts told newest first, each with what it undoes: an undo that was itself undone counts no longer,
/// and what it had undone stands again, until that is undone once more.
pub fn undone<K: Ord + Clone>(newest: &[(K, Option<K>)]) -> BTreeSet<K> {
    let target: BTreeMap<&K, &K> = newest.iter().filter_map(|(act, of)| Some((act, of.as_ref()?))).collect();
    let mut undone: BTreeSet<K> = BTreeSet::new();
    for (act, of) in newest {
        let Some(of) = of else { continue };
        if undone.contains(act) {
            continue;
        }
        // An undo of an undo brings an act back; where that was undone later, neither says anything any more.
        if target.get(of).is_some_and(|back| undone.contains(*back)) {
            undone.insert(act.clone());
        }
        undone.insert(of.clone());
    }
    undone
}

/// What a stored text names, where it is the id of a record or `kind:id`: its name, or its kind where it has none any more.
/// `None` for any other text. An id on a page helps nobody.
pub fn named(book: &Book, text: &str) -> Option<String> {
    let said = |thing: &Thing| {
        let name = book.short_name(thing);
        let kind = thing.kind.word().replace('_', " ");
        if name.is_empty() || name == thing.id || !book.has(thing) { format!("{kind} that is not here") } else { name }
    };
    let written = |kind: Kind, id: &str| book.was_written(kind, id);
    if let Some(thing) = text.parse::<Thing>().ok().filter(|thing| written(thing.kind, &thing.id)) {
        return Some(said(&thing));
    }
    let is_id = text.len() == 8 && text.bytes().all(|b| b.is_ascii_digit() || b.is_ascii_uppercase())
        || text.split('.').count() == 3;
    let known = |kind: &&Kind| is_id && written(**kind, text);
    Kind::ALL.iter().find(known).map(|kind| said(&Thing::new(*kind, text)))
}

/// Describes an entry.
pub fn describe(book: &Book, entry: &Entry) -> DayLine {
    let mut line = DayLine {
        reference: entry.reference,
        act: entry.act.clone(),
        by: entry.by.clone(),
        wall: entry.wall.clone(),
        when: None,
        subjects: Vec::new(),
        eggs: 0,
        mass: None,
        added: None,
        temp: None,
        to: None,
        text: None,
        fate: None,
        undoes: entry.undoes,
        unknown: false,
    };
    let mut subjects: Vec<Thing> = Vec::new();
    for set in &entry.sets {
        line.read(book, set, &mut subjects);
    }
    // Clutches and boxes say more than their single eggs; those stand only for themselves.
    if subjects.iter().any(|thing| thing.kind != Kind::Egg) {
        subjects.retain(|thing| thing.kind != Kind::Egg);
    }
    line.subjects = subjects
        .into_iter()
        .map(|thing| {
            let name = book.short_name(&thing);
            (thing, name)
        })
        .map(|(thing, name)| match name == thing.id {
            // Taken back since, it has a name only in the act itself; an id says nothing to anybody.
            true => (thing.clone(), own_name(entry, &thing)),
            false => (thing, name),
        })
        .filter(|(_, name)| !name.is_empty())
        .collect();
    line
}

/// What an entry itself calls a thing it sets; empty where it does not.
fn own_name(entry: &Entry, thing: &Thing) -> String {
    let set = entry.sets.iter().find(|set| set.kind == thing.kind.word() && set.id == thing.id);
    let text = |field: &str| set.and_then(|set| set.fields.get(field)).and_then(Value::as_str);
    ["name", "code", "number", "mark"].into_iter().find_map(text).unwrap_or_default().to_owned()
}

/// What the records of a set are about: what the entry says, else what stands.
fn told(book: &Book, kind: Kind, set: &Set) -> Vec<Thing> {
    let said = kind.fields().iter().find(|field| Some(field.name) == kind.declared().about);
    let said = said.and_then(|field| Some((field.shape, set.fields.get(field.name)?)));
    let named = |shape: Shape, value: &Value| {
        let text = value.as_str()?;
        if let Shape::Link(kind) = shape { Some(Thing::new(kind, text)) } else { text.parse().ok() }
    };
    match said {
        Some((Shape::List(item), Value::Array(all))) => all.iter().filter_map(|value| named(*item, value)).collect(),
        Some((shape, value)) => named(shape, value).into_iter().collect(),
        None => book.about(&Thing::new(kind, set.id.as_str())).into_iter().collect(),
    }
}

impl DayLine {
    fn read(&mut self, book: &Book, set: &Set, subjects: &mut Vec<Thing>) {
        let Some(kind) = Kind::of(&set.kind) else {
            self.unknown = true;
            return;
        };
        let mut about = |thing: Thing| {
            if !subjects.contains(&thing) {
                subjects.push(thing);
            }
        };
        let text = |field: &str| set.fields.get(field).and_then(Value::as_str);
        let whole = |field: &str| set.fields.get(field).and_then(Value::as_i64);
        if kind == Kind::Egg {
            self.eggs += 1;
            about(Thing::new(kind, set.id.as_str()));
            if let Some(clutch) = book.egg(&set.id.as_str().into()).and_then(|egg| egg.clutch.clone()) {
                about(clutch.thing());
            }
            self.fate = self.fate.or_else(|| Fate::of(text("fate")?));
        } else if kind.declared().about.is_some() {
            let things = told(book, kind, set);
            let moved = things.iter().filter(|thing| kind == Kind::Move && thing.kind == Kind::Egg).count();
            self.eggs += u32::try_from(moved).unwrap_or(0) + u32::from(kind == Kind::Hatching);
            things.into_iter().for_each(about);
            self.temp = self.temp.or_else(|| whole("cc").and_then(|cc| i32::try_from(cc).ok()).map(Temp));
        } else {
            about(Thing::new(kind, set.id.as_str()));
        }
        if let Some(to) = text("to").filter(|_| kind == Kind::Move).and_then(|to| to.parse::<Where>().ok()) {
            self.to = match to {
                Where::Place(id) => Some(book.short_name(&id.thing())),
                Where::Filling(id) => Some(book.short_name(&id.thing())),
                Where::Dam | Where::Unknown => None,
            };
        }
        self.mass = self.mass.or_else(|| whole("mass_mg").or_else(|| whole("closed_mg")).map(Mass));
        self.added = self.added.or_else(|| whole("added_mg").map(Mass));
        self.text = self
            .text
            .take()
            .or_else(|| text("text").or_else(|| text("note")).or_else(|| text("fate_why")).map(str::to_owned));
        let when = ["when", "found", "offered", "from", "made", "fate_when"].into_iter().find_map(&text);
        self.when = self.when.or_else(|| when?.parse().ok());
    }
}
