//! What happened to one animal, newest first.

use crate::prefs::Prefs;
use crate::words::{animals as words, dates, follicles, names, record, units};
use book::views::{EventLine, Finding};
use book::words::AnimalEventWhat;
use book::{AnimalId, Book, Thing, Where};
use chrono::{NaiveDate, NaiveDateTime};
use trade::when::When;

#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    at: NaiveDateTime,
    /// The record it stands on.
    pub thing: Thing,
    pub when: String,
    pub what: String,
    pub note: Option<String>,
    /// Who wrote it down, where that is known.
    pub by: Option<String>,
    pub urgent: bool,
}

/// Events, meals, moves and notes.
pub fn story(book: &Book, id: &AnimalId, prefs: &Prefs, today: NaiveDate) -> Vec<Line> {
    let thing = id.thing();
    let line = |of: Thing, when: Option<When>, what: String, note: Option<String>| Line {
        at: when.map_or(NaiveDateTime::MIN, When::latest),
        when: when.map_or_else(|| crate::words::UNKNOWN.to_owned(), |w| dates::when(w, today)),
        what,
        note,
        by: book.written(&of).map(|w| names::person(book, &w.by)).filter(|by| !by.is_empty()),
        urgent: false,
        thing: of,
    };
    let events = book.animal_events(id).map(|event| {
        let what = event.what.unwrap_or(AnimalEventWhat::Note);
        let mass = event.mass.map(|mass| units::mass(mass, prefs));
        let said = match (what, mass) {
            (AnimalEventWhat::Follicles, _) => {
                Finding::of(event).map_or_else(String::new, |found| follicles::finding(&found, prefs))
            }
            (AnimalEventWhat::Weight, Some(mass)) => mass,
            (what, Some(mass)) => format!("{}, {mass}", words::event_seen(what, event.shed)),
            (what, None) => words::event_seen(what, event.shed),
        };
        Line {
            urgent: what == AnimalEventWhat::Straining,
            ..line(event.id.thing(), event.when, said, event.note.clone())
        }
    });
    let meals = book.meals(id).map(|meal| {
        let what = [&meal.size, &meal.prey, &meal.how].into_iter().flatten().map(String::as_str);
        let said: Vec<&str> = std::iter::once(words::meal(meal.outcome)).chain(what).collect();
        line(meal.id.thing(), meal.offered, said.join(" · "), meal.note.clone())
    });
    let moves = book.moves(&thing).map(|mv| {
        let said = match &mv.to {
            Some(Where::Place(place)) => words::moved(&names::place(book, place)),
            _ => words::MOVED_SOMEWHERE.to_owned(),
        };
        line(mv.id.thing(), mv.when, said, mv.note.clone())
    });
    let notes =
        book.notes(&thing).map(|note| line(note.id.thing(), note.when, note.text.clone().unwrap_or_default(), None));
    let mut lines: Vec<Line> = events.chain(meals).chain(moves).chain(notes).collect();
    lines.sort_by_key(|line| std::cmp::Reverse(line.at));
    lines
}

/// What kind of shed, how it came off, and when.
pub fn shed_line(shed: &EventLine, today: NaiveDate) -> record::Line {
    let what = words::event_seen(shed.what.unwrap_or(AnimalEventWhat::Shed), shed.shed);
    let day = shed.when.map_or_else(|| crate::words::UNKNOWN.to_owned(), |when| dates::when(when, today));
    (what, format!("· {day}"), shed.id.thing())
}
