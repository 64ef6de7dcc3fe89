//! Places as sheets write them: a name, or the way to it from the outside in.

use super::rows::PlaceFound;
use book::{Book, PlaceId, lower};

/// What parts the names of a way.
const PARTS: [char; 6] = ['·', '/', '>', '|', '\\', '›'];

/// The places of the book by the way to them, in lower case.
#[derive(Default)]
pub(super) struct Places(Vec<(PlaceId, Vec<String>)>);

impl Places {
    pub(super) fn of(book: &Book) -> Places {
        let way = |id: &PlaceId| book.path_names(id).iter().map(|name| lower(name)).collect();
        Places(
            book.all_places().filter(|place| !place.closed).map(|place| (place.id.clone(), way(&place.id))).collect(),
        )
    }

    /// Its names from the outermost to the innermost.
    fn names(text: &str) -> Vec<String> {
        text.split(PARTS).map(|name| name.trim().to_owned()).filter(|name| !name.is_empty()).collect()
    }

    /// Those whose way ends like this.
    fn ending(&self, names: &[String]) -> Vec<&PlaceId> {
        let names: Vec<String> = names.iter().map(|name| lower(name)).collect();
        self.0.iter().filter(|(_, way)| way.ends_with(&names)).map(|(id, _)| id).collect()
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
        let exactly = self.0.iter().find(|(_, way)| *way == whole).map(|(id, _)| id);
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
