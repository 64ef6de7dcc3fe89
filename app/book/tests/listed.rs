//! What several ways lead to is listed once, and leads somewhere.

mod common;

use book::acts::*;
use book::records::Counts;
use book::views::{box_rows, place_view, search};
use book::*;
use common::*;
use trade::when::When;

const KING: &str = "lampropeltis-californiae";
const CORN: &str = "pantherophis-guttatus";

fn pulled(d: &mut Device, species: &str, number: &str) -> FillingId {
    let mut act = ClutchPulled::start(&d.book, None, &[], d.now);
    (act.card.species, act.card.number) = (Some(species.to_owned()), number.to_owned());
    act.card.counts = Some(Counts { good: 2, dud: 0, slug: 0 });
    d.make(Kind::Filling, &act, FillingId::new)
}

fn named(d: &mut Device, filling: &FillingId, name: &str) {
    let act = BoxEdited { name: name.to_owned(), ..BoxEdited::of(&d.book, filling).expect("there") };
    d.act(&act);
}

#[test]
fn a_box_found_by_its_name_is_what_it_was_filled_with_last() {
    let mut d = Device::new(1);
    let first = pulled(&mut d, KING, "26-001");
    named(&mut d, &first, "Blue 26-001");
    let found = |d: &Device, text: &str| -> Vec<_> {
        search(&d.book, text, 9).into_iter().map(|hit| (hit.thing.kind, hit.thing.id, hit.detail)).collect()
    };
    let hit = |id: &FillingId| (Kind::Filling, id.to_string(), "Blue 26-001".to_owned());
    assert_eq!(found(&d, "blue"), [hit(&first)]);
    // By its clutch's number as a whole, and by a later word of the box's own name: listed once.
    let by_number: Vec<_> = found(&d, "26-001").into_iter().map(|(kind, ..)| kind).collect();
    assert_eq!(by_number, [Kind::Clutch, Kind::Filling]);
    d.later(1);
    let emptied = BoxEmptied { filling: first.clone(), when: When::time(d.now) };
    d.act(&emptied);
    d.later(1);
    let second = pulled(&mut d, KING, "26-002");
    named(&mut d, &second, "Blue 26-001");
    assert_eq!(found(&d, "blue"), [hit(&second)], "what it was filled with last");
}

#[test]
fn an_incident_of_two_places_of_a_path_is_told_once() {
    let mut d = Device::new(1);
    let places = d.all(Kind::Place, &IncubatorAdded::with_shelves("Cabinet", 1, "Shelf", cc(2780)));
    let ids: Vec<PlaceId> = places.into_iter().map(|thing| PlaceId::new(thing.id)).collect();
    let from = When::time(d.now);
    for what in ["power cut", "door left open"] {
        let (places, note) = (ids.clone(), String::new());
        d.act(&IncidentNoted { places, from, to: None, what: what.to_owned(), note });
    }
    let shown = place_view(&d.book, &ids[1], d.now).expect("a shelf").incidents;
    let mut told: Vec<_> = shown.iter().filter_map(|incident| incident.what.as_deref()).collect();
    told.sort_unstable();
    assert_eq!(told, ["door left open", "power cut"]);
}

#[test]
fn a_shipped_trait_that_two_phones_renamed_is_listed_once() {
    let (mut one, mut other) = (Device::new(1), Device::new(2));
    let shipped = one.book.traits_of(CORN);
    let key = shipped[shipped.len() / 2].key.clone();
    for (d, name) in [(&mut one, "Aaa"), (&mut other, "Zzz")] {
        let card = TraitCard { name: name.to_owned(), ..d.book.trait_facts(&key).expect("shipped").card };
        d.act(&TraitSet { key: Some(key.clone()), card });
    }
    other.hear(&one.lines);
    let all = other.book.traits_of(CORN);
    let listed: Vec<_> = all.iter().filter(|facts| facts.key == key).collect();
    assert_eq!((listed.len(), all.len()), (1, shipped.len()));
    assert_eq!(other.book.trait_facts(&key).map(|facts| facts.card), listed.first().map(|facts| facts.card.clone()));
}

#[test]
fn a_box_of_three_clutches_names_each_species_once() {
    let mut d = Device::new(1);
    let fillings = [(KING, "1"), (CORN, "2"), (KING, "3")].map(|(species, number)| pulled(&mut d, species, number));
    let eggs = fillings.iter().map(|filling| d.book.eggs_in(filling)[0].id.clone()).collect();
    let act = BoxSet { eggs, setup: BoxSetup::default(), when: When::time(d.now), mass: None };
    let shared = d.make(Kind::Filling, &act, FillingId::new);
    let rows = box_rows(&d.book, d.now);
    let row = rows.iter().find(|row| row.id == shared).expect("in use");
    assert_eq!((row.numbers.len(), row.species.len()), (3, 2), "{:?}", row.species);
}

#[test]
fn an_odd_temperature_of_several_shelves_is_asked_once() {
    let d = Device::new(1);
    let temps = [4500, 4600, 4500].map(cc).into_iter().enumerate();
    let shelves = temps.map(|(n, temp)| (n.to_string(), Some(temp))).collect();
    let whole = IncubatorAdded { shelves, ..IncubatorAdded::with_shelves("Cabinet", 0, "Shelf", cc(2780)) };
    assert_eq!(whole.doubts(&d.book, d.now).len(), 2);
}

/// A book keeps the answer to each question it was asked: so a window is not asked for by how many eggs are left.
#[test]
fn windows_leave_nothing_behind_as_eggs_leave() {
    let mut d = Device::new(1);
    let places = d.all(Kind::Place, &IncubatorAdded::with_shelves("Cabinet", 1, "Shelf", cc(2780)));
    let mut act = ClutchPulled::start(&d.book, None, &[], d.now);
    act.card.species = Some(KING.to_owned());
    act.card.counts = Some(Counts { good: 9, dud: 0, slug: 0 });
    act.boxes[0].shelf = Some(PlaceId::new(places[1].id.as_str()));
    let filling = d.make(Kind::Filling, &act, FillingId::new);
    let kept = |d: &Device| {
        assert!(box_rows(&d.book, d.now).iter().all(|row| row.window.is_ok()));
        let told = format!("{:?}", d.book);
        let memo = told.split("Memo(").nth(1).and_then(|rest| rest.split(')').next()).map(str::to_owned);
        memo.expect("a book tells of it").parse::<usize>().expect("how many answers")
    };
    let before = kept(&d);
    for _ in 0..6 {
        d.later(24);
        let egg = d.book.eggs_in(&filling)[0].id.clone();
        let (fate, when, why) = (book::words::Fate::Died, When::time(d.now), String::new());
        d.act(&EggFate { eggs: vec![egg], fate, when, why, masses: Default::default() });
        assert_eq!(kept(&d), before);
    }
}
