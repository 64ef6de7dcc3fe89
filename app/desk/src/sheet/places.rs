//! Places as sheets write them: a name, or the way to it from the outside in.

use super::rows::PlaceFound;
use book::{Book, PlaceId, lower};
use std::collections::BTreeMap;

/// What parts the names of a way.
const PARTS: [char; 6] = ['·', '/', '>', '|', '\\', '›'];

/// The places of the book by their own name, with the way to each; in lower case.
#[derive(Default)]
pub(super) struct Places(BTreeMap<String, Vec<(PlaceId, Vec<String>)>>);

impl Places {
    pub(super) fn of(book: &Book) -> Places {
        let mut all: BTreeMap<String, Vec<(PlaceId, Vec<String>)>> = BTreeMap::new();
        for place in book.all_places().filter(|place| !place.closed) {
            let way: Vec<String> = book.path_names(&place.id).iter().map(|name| lower(name)).collect();
            all.entry(way.last().cloned().unwrap_or_default()).or_default().push((place.id.clone(), way));
        }
        Places(all)
    }

    /// Its names from the outermost to the innermost.
    fn names(text: &str) -> Vec<String> {
        text.split(PARTS).map(|name| name.trim().to_owned()).filter(|name| !name.is_empty()).collect()
    }

    /// Those of a name, with the way to each.
    fn called(&self, name: Option<&String>) -> &[(PlaceId, Vec<String>)] {
        name.and_then(|name| self.0.get(name)).map_or(&[], Vec::as_slice)
    }

    /// Those whose way ends like this.
    fn ending(&self, names: &[String]) -> Vec<&PlaceId> {
        let names: Vec<String> = names.iter().map(|name| lower(name)).collect();
        self.called(names.last()).iter().filter(|(_, way)| way.ends_with(&names)).map(|(id, _)| id).collect()
    }

    pub(super) fn is_new(&self, text: &str) -> bool {
        let names = Places::names(text);
        !names.is_empty() && self.ending(&names).is_empty()
    }

    /// The place that is meant. `make`: one that is not here may be made.
    pub(super) fn find(&self, text: &str, make: bool) -> Result<Option<PlaceFound>, String> {
        let names = Places::names(text);
        if names.is_empty() {
            return Ok(None);
        }
        let found = self.ending(&names);
        let whole: Vec<String> = names.iter().map(|name| lower(name)).collect();
        let exactly = self.called(whole.last()).iter().find(|(_, way)| *way == whole).map(|(id, _)| id);
        match (found.as_slice(), exactly) {
            (_, Some(one)) | (&[one], None) => Ok(Some(PlaceFound::Here(one.clone()))),
            ([], None) if make => Ok(Some(self.new_one(&names))),
            ([], None) => Err(format!("No place here is called “{text}”.")),
            _ => Err(format!("Several places are called “{text}”. Write the place around it too: Rack 1 / {text}.")),
        }
    }

    /// In the innermost of its places that is here.
    fn new_one(&self, names: &[String]) -> PlaceFound {
        let around = (1..names.len()).rev().find_map(|known| match self.ending(&names[..known]).as_slice() {
            [one] => Some(((*one).clone(), known)),
            _ => None,
        });
        match around {
            Some((place, known)) => PlaceFound::New(Some(place), names[known..].to_vec()),
            None => PlaceFound::New(None, names.to_vec()),
        }
    }
}
