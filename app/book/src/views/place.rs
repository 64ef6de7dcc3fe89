//! A place as its page shows it: what is where, and what is free.

use super::box_lines::notes_of;
use super::boxes::{BoxRow, NoteLine, box_row};
use crate::book::Book;
use crate::ids::*;
use crate::records::*;
use crate::words::PlaceWhat;
use chrono::NaiveDateTime;
use trade::units::{Humidity, Temp};
use trade::when::When;

/// Everything a place's page shows.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceView {
    pub id: PlaceId,
    pub what: Option<PlaceWhat>,
    /// Names from the outermost in, its own last.
    pub path: Vec<String>,
    /// The ids along the path.
    pub path_ids: Vec<PlaceId>,
    /// Set temperature, its own or that of what it is in.
    pub set: Option<Temp>,
    pub offset: Option<Temp>,
    pub closed: bool,
    /// The newest readings of its thermometer, newest first.
    pub readings: Vec<ReadLine>,
    /// Loggers' files brought in, newest first.
    pub logs: Vec<LogLine>,
    /// What it was set to since when, newest first, after what it was set to at first.
    pub set_changes: Vec<(NaiveDateTime, Temp)>,
    /// Of this place and of what it is in, newest first.
    pub incidents: Vec<Incident>,
    /// In walking order.
    pub inside: Vec<PlaceRow>,
    /// Boxes standing right here, and nests.
    pub boxes: Vec<BoxRow>,
    /// Animals kept right here, by name.
    pub animals: Vec<(AnimalId, String)>,
    pub notes: Vec<NoteLine>,
}

/// A thermometer read.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadLine {
    pub when: When,
    pub temp: Temp,
    pub humidity: Option<Humidity>,
    /// Which thermometer or logger.
    pub source: Option<String>,
}

/// A logger's file.
#[derive(Clone, Debug, PartialEq)]
pub struct LogLine {
    pub id: ReadingLogId,
    pub when: Option<When>,
    pub count: usize,
    pub source: Option<String>,
}

/// Readings shown.
const READINGS: usize = 30;

/// A place in a list.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceRow {
    pub id: PlaceId,
    pub what: Option<PlaceWhat>,
    pub name: String,
    pub set: Option<Temp>,
    pub closed: bool,
    /// Boxes and animals in it, at any depth.
    pub boxes: usize,
    pub animals: usize,
    /// In use and empty.
    pub free: bool,
}

/// The page of a place. `None` when there is no such place.
pub fn place_view(book: &Book, id: &PlaceId, now: NaiveDateTime) -> Option<PlaceView> {
    let place = book.place(id)?;
    let things = book.things_at(id);
    let boxes = things.iter().filter(|thing| thing.kind == Kind::Filling);
    let boxes = boxes.map(|thing| box_row(book, &thing.id.as_str().into(), now)).collect();
    let animals = things.iter().filter(|thing| thing.kind == Kind::Animal);
    let mut animals: Vec<(AnimalId, String)> = animals
        .map(|thing| {
            let id = AnimalId::new(thing.id.as_str());
            let name = book.animal_name(&id);
            (id, name)
        })
        .collect();
    animals.sort_by(|a, b| (&a.1, &a.0).cmp(&(&b.1, &b.0)));
    let path = book.path(id);
    let mut incidents: Vec<Incident> = path.iter().flat_map(|place| book.incidents(&place.id)).cloned().collect();
    // One that names several places of the path comes by each of them.
    crate::order::keep_first(&mut incidents, |incident| incident.id.clone());
    incidents.sort_by_key(|incident| std::cmp::Reverse(incident.from.map(When::earliest)));
    let thermometer = book.thermometer(id);
    let logs = book.reading_logs(&thermometer).map(|log| LogLine {
        id: log.id.clone(),
        when: log.when,
        count: log.readings.len(),
        source: log.source.clone(),
    });
    let mut set_changes = book.set_temps(id).1;
    set_changes.reverse();
    Some(PlaceView {
        id: id.clone(),
        what: place.what,
        path: book.path_names(id),
        path_ids: path.iter().map(|place| place.id.clone()).collect(),
        set: book.set_temp(id),
        offset: place.offset,
        closed: place.closed,
        readings: book.last_readings(&thermometer, READINGS),
        logs: logs.collect(),
        set_changes,
        incidents,
        inside: place_rows(book, Some(id)),
        boxes,
        animals,
        notes: notes_of(book, std::iter::once(id.thing())),
    })
}

/// Places inside a place, or (`None`) in no other, in walking order.
pub fn place_rows(book: &Book, within: Option<&PlaceId>) -> Vec<PlaceRow> {
    book.places_in(within).into_iter().map(|place| place_row(book, place)).collect()
}

fn place_row(book: &Book, place: &Place) -> PlaceRow {
    let (mut boxes, mut animals, mut held) = (0, 0, false);
    let mut seen: Vec<&PlaceId> = Vec::new();
    let mut next = vec![&place.id];
    while let Some(id) = next.pop() {
        if seen.contains(&id) {
            continue;
        }
        seen.push(id);
        for thing in book.things_at(id) {
            held = true;
            boxes += usize::from(thing.kind == Kind::Filling && !book.is_nest(&thing.id.as_str().into()));
            animals += usize::from(thing.kind == Kind::Animal);
        }
        next.extend(book.places_in(Some(id)).into_iter().map(|place| &place.id));
    }
    PlaceRow {
        id: place.id.clone(),
        what: place.what,
        name: book.place_name(place),
        set: book.set_temp(&place.id),
        closed: place.closed,
        boxes,
        animals,
        free: !place.closed && !held,
    }
}
