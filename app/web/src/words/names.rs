//! What records are called.

use super::{UNKNOWN, units};
use crate::prefs::Prefs;
use book::views::Parents;
use book::{AnimalId, Book, FillingId, PersonId, PlaceId};

/// `Bel`, or her code, or `unnamed`.
pub fn animal(book: &Book, id: &AnimalId) -> String {
    if book.animal(id).is_some() { book.animal_name(id) } else { "an animal not on this device".into() }
}

/// `Bel · K-07`.
pub fn animal_coded(book: &Book, id: &AnimalId) -> String {
    let name = animal(book, id);
    let code = book.animal(id).and_then(|a| a.code.clone()).filter(|c| *c != name && !c.is_empty());
    [Some(name), code].into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// `Bel · K-07 · Desert kingsnake`.
pub fn animal_long(book: &Book, id: &AnimalId) -> String {
    let kind = book.animal(id).and_then(|a| a.species.as_ref()).map(|s| species(book, s));
    [Some(animal_coded(book, id)), kind].into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// The name of a shipped species or of one the barn keeps itself.
pub fn species(book: &Book, key: &str) -> String {
    book.species_of(Some(key)).name.into_owned()
}

/// Every species that can be chosen: the barn's own, then those shipped.
pub fn species_choices(book: &Book) -> Vec<(String, String)> {
    let none = (String::new(), UNKNOWN.to_string());
    let all = book.all_species().into_iter().map(|(key, profile)| (key, profile.name.into_owned()));
    std::iter::once(none).chain(all).collect()
}

/// The species of animals that are here.
pub fn species_here(book: &Book) -> Vec<(String, String)> {
    let mut here: Vec<String> = book.animals().into_iter().filter_map(|animal| animal.species.clone()).collect();
    here.sort_unstable();
    here.dedup();
    here.into_iter().map(|key| (key.clone(), species(book, &key))).collect()
}

fn either(names: &[String]) -> String {
    if names.is_empty() { UNKNOWN.to_owned() } else { names.join(" or ") }
}

/// `Bel × Moss`, `Bel × Moss or Ash`, `Bel × Moss or no male`, `Bel × unknown`.
pub fn pair(parents: &Parents) -> String {
    format!("{} × {}", either(&parents.dam_names()), either(&parents.sire_names()))
}

/// `26-014`, `26-014 + 26-015` for a box with two clutches, `26-014 with Bel` for a nest.
pub fn filling(book: &Book, id: &FillingId) -> String {
    if book.is_nest(id) {
        return book.short_name(&id.thing());
    }
    let numbers: Vec<String> = book.clutches_in(id).into_iter().map(|c| book.clutch_number(&c.id)).collect();
    if numbers.is_empty() { "Empty box".into() } else { numbers.join(" + ") }
}

/// `Incubator A, shelf 2`.
pub fn place(book: &Book, id: &PlaceId) -> String {
    path(&book.path_names(id))
}

/// The same, from the outermost in.
pub fn path(names: &[String]) -> String {
    // The room is where one is standing; a barn with one room need not be told it on every row.
    let names = &names[names.len().saturating_sub(2)..];
    if names.is_empty() { "a place without a name".into() } else { names.join(", ") }
}

/// `set 28.0 °C · 3 here`.
pub fn shelf_aside(book: &Book, id: &PlaceId, prefs: &Prefs) -> String {
    let held = match book.things_at(id).len() {
        0 => "free".to_string(),
        n => format!("{n} here"),
    };
    match book.set_temp(id) {
        Some(t) => format!("set {} · {held}", units::temp(t, prefs)),
        None => held,
    }
}

/// `7K3Q-X2M9-R`, as on the label.
pub fn code(id: &str) -> String {
    labels::Code::of(id).map_or_else(|_| id.to_owned(), |c| c.to_string())
}

/// Who logged something: the name of the person record, or the name the writer gave.
pub fn person(book: &Book, by: &str) -> String {
    book.person(&PersonId::from(by)).and_then(|p| p.name.clone()).unwrap_or_else(|| {
        // Taken back since, or without a name: an id says nothing to anybody.
        book::views::named(book, by).unwrap_or_else(|| by.to_owned())
    })
}
