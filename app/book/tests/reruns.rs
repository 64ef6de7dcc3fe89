//! A page of sixty rows, each looking up its own box: how many look again after an act.

mod common;

use book::acts::*;
use book::records::Counts;
use book::views::{box_view, rounds};
use book::words::MealOutcome;
use book::*;
use chrono::{NaiveDateTime, TimeDelta};
use common::*;
use std::collections::BTreeMap;
use trade::when::When;

struct Page {
    d: Device,
    boxes: Vec<FillingId>,
    dam: AnimalId,
    shelves: Vec<PlaceId>,
    shown_at: NaiveDateTime,
    followers: Followers<usize>,
}

/// Sixty boxes on twelve shelves, each with its row on the page.
fn page() -> Page {
    let mut d = Device::new(1);
    let mut shelves = Vec::new();
    for n in 0..2 {
        let made = d.all(Kind::Place, &IncubatorAdded::with_shelves(format!("Cabinet {n}"), 6, "Shelf", cc(2780)));
        shelves.extend(made.into_iter().skip(1).map(|thing| PlaceId::new(thing.id)));
    }
    let card = AnimalCard { name: "Wren".to_owned(), ..AnimalCard::default() };
    let dam = d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new);
    let mut boxes = Vec::new();
    for n in 0..60 {
        let mut act = ClutchPulled::start(&d.book, None, &[], d.now);
        act.card.counts = Some(Counts { good: 4, dud: 0, slug: 0 });
        act.card.laid = Some(When::time(d.now - TimeDelta::days(20)));
        act.card.species = Some("pantherophis-guttatus".to_owned());
        act.card.dams = if n == 0 { vec![dam.clone()] } else { Vec::new() };
        act.boxes[0].shelf = Some(shelves[n % shelves.len()].clone());
        act.boxes[0].closed = Some(g(1400));
        boxes.push(d.make(Kind::Filling, &act, FillingId::new));
    }
    let shown_at = d.now;
    let mut page = Page { d, boxes, dam, shelves, shown_at, followers: Followers::default() };
    (0..page.boxes.len()).for_each(|row| page.show(row));
    page
}

impl Page {
    fn show(&mut self, row: usize) {
        let (view, watch) = self.d.book.watch(|book| box_view(book, &self.boxes[row], self.shown_at));
        assert!(view.is_some());
        self.followers.add(watch, row, |_| false);
    }

    /// Does an act, and draws again the rows that read something of it. Every other row stands as it is.
    fn redrawn(&mut self, what: &str, act: &dyn Act) -> Vec<usize> {
        let views =
            |page: &Page| -> Vec<_> { page.boxes.iter().map(|id| box_view(&page.d.book, id, page.shown_at)).collect() };
        let before = views(self);
        self.d.act(act);
        let rows = self.followers.take_changed(&self.d.book, |_| false);
        rows.iter().for_each(|&row| self.show(row));
        assert_eq!(self.followers.len(), self.boxes.len());
        let after = views(self);
        for row in 0..self.boxes.len() {
            assert!(rows.contains(&row) || before[row] == after[row], "row {row} was not drawn again after {what}");
        }
        println!("{what}: {} of 60 rows looked again (60 before each remembered what it read)", rows.len());
        rows
    }
}

#[test]
fn only_rows_that_read_it_look_again() {
    let mut page = page();
    let (when, note) = (When::time(page.d.now), String::new());
    let candled = BoxCandled { filling: page.boxes[7].clone(), when, changes: BTreeMap::new(), note: note.clone() };
    assert_eq!(page.redrawn("a box candled", &candled), [7]);
    let watered =
        WaterChecked { filling: page.boxes[30].clone(), when, mass: g(1390), added: None, note: note.clone() };
    assert_eq!(page.redrawn("a box weighed", &watered), [30]);
    // Five boxes stand on each of the twelve shelves.
    let read =
        ReadingTaken { place: page.shelves[3].clone(), when, temp: cc(2950), humidity: None, source: note.clone() };
    assert_eq!(page.redrawn("a shelf read", &read), [3, 15, 27, 39, 51]);
    let meal = MealOffered {
        animals: vec![page.dam.clone()],
        offered: when,
        outcome: Some(MealOutcome::Eaten),
        prey: "mouse".to_owned(),
        size: note.clone(),
        how: note.clone(),
    };
    assert_eq!(page.redrawn("a meal offered", &meal), [0usize; 0]);
    let card = AnimalCard { name: "Robin".to_owned(), ..AnimalCard::of(&page.d.book, &page.dam).expect("there") };
    let renamed = AnimalEdited { animal: page.dam.clone(), card };
    assert_eq!(page.redrawn("the dam of one renamed", &renamed), [0]);
    let person = PersonNamed { person: None, name: "Ines".to_owned() };
    assert_eq!(page.redrawn("a person named", &person), [0usize; 0]);
}

#[test]
fn nothing_is_worked_out_for_who_is_gone() {
    let mut page = page();
    let (_, watch) = page.d.book.watch(|book| rounds(book, page.shown_at));
    page.followers = Followers::default();
    page.followers.add(watch, 0, |_| false);
    let when = When::time(page.d.now);
    page.d.act(&ReadingTaken {
        place: page.shelves[3].clone(),
        when,
        temp: cc(2950),
        humidity: None,
        source: String::new(),
    });
    let before = page.d.book.work();
    assert!(page.followers.take_changed(&page.d.book, |_| true).is_empty());
    assert_eq!((page.d.book.work(), page.followers.is_empty()), (before, true));
}

#[test]
fn a_copy_or_another_book_counts_as_changed() {
    let mut page = page();
    let (_, watch) = page.d.book.watch(|book| rounds(book, page.shown_at));
    assert!(!page.d.book.has_changed(&watch));
    assert!(page.d.book.clone().has_changed(&watch));
    let filling = page.boxes[0].clone();
    let when = When::time(page.d.now);
    page.d.act(&BoxEmptied { filling, when });
    assert!(page.d.book.has_changed(&watch));
    let (_, again) = page.d.book.watch(|book| rounds(book, page.shown_at));
    assert!(!page.d.book.has_changed(&again));
}

/// Each way to read a book, alone: an act that changes what it reads is told, and none is told before.
#[test]
fn every_way_to_read_tells_of_its_change() {
    let Page { mut d, dam, shelves, boxes, .. } = page();
    let (when, note) = (When::time(d.now), String::new());
    let card = |name: &str| AnimalCard { name: name.to_owned(), ..AnimalCard::default() };
    let edited = AnimalEdited { animal: dam.clone(), card: card("Robin") };
    let added = AnimalAdded { id: None, card: card("Ash"), place: None };
    let noted = Noted { about: dam.thing(), when, text: "seen".to_owned() };
    let moved = |thing: Thing| Moved {
        things: vec![thing],
        to: Where::Place(shelves[5].clone()),
        when,
        mass: None,
        note: note.clone(),
    };
    let (dam_moved, box_moved) = (moved(dam.thing()), moved(boxes[0].thing()));
    let egg = d.book.eggs_in(&boxes[1])[0].id.clone();
    let to_box = Where::Filling(boxes[2].clone());
    let egg_moved = Moved { things: vec![egg.thing()], to: to_box, when, mass: None, note: note.clone() };
    let mut pulled = ClutchPulled::start(&d.book, None, &[], d.now);
    pulled.card.counts = Some(Counts { good: 3, dud: 0, slug: 0 });
    type Look<'a> = &'a dyn Fn(&Book) -> String;
    let table: [(&str, Look<'_>, &dyn Act); 8] = [
        ("a record", &|book| format!("{:?}", book.animal(&dam)), &edited),
        ("all of a kind", &|book| book.all_animals().count().to_string(), &added),
        ("what belongs to a key", &|book| book.notes(&dam.thing()).count().to_string(), &noted),
        ("where a thing is", &|book| format!("{:?}", book.whereabouts(&dam.thing())), &dam_moved),
        ("what is at a place", &|book| format!("{:?}", book.things_at(&shelves[5])), &box_moved),
        ("what is in a box", &|book| book.eggs_in(&boxes[2]).len().to_string(), &egg_moved),
        ("whether anything is there", &|book| book.has(&ClutchId::from("N0NE0000").thing()).to_string(), &pulled),
        ("the journal", &|book| format!("{:?}", book.journal().digest()), &pulled),
    ];
    for (what, look, act) in table {
        let (before, watch) = d.book.watch(look);
        assert!(!d.book.has_changed(&watch), "{what}");
        let draft = d.act(act);
        assert!(!draft.sets.is_empty());
        let after = look(&d.book);
        assert_eq!(d.book.has_changed(&watch), before != after, "{what}: {before} {after}");
    }
}
