//! Rounds over a whole barn: gathered once, it says of each evening what it would say when asked then; whose a row is.

mod common;

use book::acts::*;
use book::views::{Due, DueKind, ahead, rounds, walk};
use book::words::{PlaceWhat, Sex};
use book::{AnimalId, Kind, PersonId, PlaceId};
use chrono::TimeDelta;
use common::{Device, alder_lane, at, cc};
use std::collections::BTreeSet;

#[test]
fn the_days_ahead_are_what_rounds_will_say() {
    let book = alder_lane("2026-06-09");
    for now in [at("2026-06-09T13:20"), at("2026-06-15T21:30"), at("2026-08-01T06:00")] {
        let mut told: BTreeSet<_> = rounds(&book, now).iter().map(Due::row).collect();
        let mut some = 0;
        for coming in ahead(&book, now, 12) {
            let evening = coming.day.and_hms_opt(20, 0, 0).expect("a time").max(now);
            let (mut due, later) = walk(&book, evening);
            assert_eq!(later, [], "nothing is put off in it");
            due.retain(|due| told.insert(due.row()));
            // A treatment's doses stand each on its own day: `care/doses.rs` has them.
            let (doses, others): (Vec<Due>, _) = coming.dues.into_iter().partition(|due| due.kind == DueKind::Dose);
            assert!(doses.iter().all(|due| due.since.is_some_and(|at| at.date() == coming.day)), "{doses:?}");
            due.retain(|due| due.kind != DueKind::Dose);
            assert_eq!(others, due, "{now} {}", coming.day);
            some += due.len();
        }
        assert!(some > 5, "{now}: {some}");
    }
    assert_eq!(ahead(&book, at("2026-06-09T13:20"), 3).len(), 4, "today and three more");
}

#[test]
fn no_two_rows_are_of_the_same() {
    let book = alder_lane("2026-06-09");
    let first = at("2026-06-09T13:20");
    for now in (0..240).map(|hours| first + TimeDelta::hours(5 * hours)) {
        let due = rounds(&book, now);
        for (n, one) in due.iter().enumerate() {
            assert!(due[n + 1..].iter().all(|other| !other.is(one) && other.row() != one.row()), "{now}: {one:?}");
        }
        // An hour later the rows that stay are the same ones, whatever they say.
        let then = rounds(&book, now + TimeDelta::hours(1));
        assert!(
            due.iter().any(|one| then.iter().any(|other| other.stands(one) && other.fact != one.fact)) || then == due
        );
    }
}

#[test]
fn a_row_is_of_whoever_looks_after_the_place() {
    let mut d = Device::new(1);
    let ines = d.make(Kind::Person, &PersonNamed { person: None, name: "Ines".into() }, PersonId::new);
    let tobin = d.make(Kind::Person, &PersonNamed { person: None, name: "Tobin".into() }, PersonId::new);
    let kept = |what, name: &str, within: Option<&PlaceId>, keeper: Option<&PersonId>| PlaceAdded {
        id: None,
        card: PlaceCard { within: within.cloned(), keeper: keeper.cloned(), ..PlaceCard::new(what, name) },
    };
    let room = d.make(Kind::Place, &kept(PlaceWhat::Room, "Long room", None, Some(&ines)), PlaceId::new);
    let rack = d.make(Kind::Place, &kept(PlaceWhat::Rack, "Rack", Some(&room), None), PlaceId::new);
    let shelf = kept(PlaceWhat::Shelf, "Shelf", Some(&room), Some(&tobin));
    let shelf = PlaceAdded { card: PlaceCard { set: Some(cc(2800)), ..shelf.card }, ..shelf };
    let shelf = d.make(Kind::Place, &shelf, PlaceId::new);
    let card = AnimalCard { name: "Bel".into(), sex: Some(Sex::Female), ..AnimalCard::default() };
    let bel = d.make(Kind::Animal, &AnimalAdded { id: None, card, place: Some(rack) }, AnimalId::new);
    let stray = AnimalCard { name: "Stray".into(), ..AnimalCard::default() };
    let stray = d.make(Kind::Animal, &AnimalAdded { id: None, card: stray, place: None }, AnimalId::new);
    for _ in 0..3 {
        let meal = MealOffered {
            animals: vec![bel.clone(), stray.clone()],
            offered: trade::when::When::time(d.now),
            outcome: Some(book::words::MealOutcome::Refused),
            prey: "mouse".into(),
            size: String::new(),
            how: String::new(),
        };
        d.act(&meal);
        d.later(24);
    }
    let hot = ReadingTaken {
        place: shelf,
        when: trade::when::When::time(d.now),
        temp: cc(3100),
        humidity: None,
        source: String::new(),
    };
    d.act(&hot);
    let whose: Vec<(String, Option<PersonId>)> =
        rounds(&d.book, d.now + TimeDelta::hours(1)).into_iter().map(|due| (due.name, due.keeper)).collect();
    let expected = [
        ("Long room · Shelf".to_owned(), Some(tobin.clone())),
        ("Bel".to_owned(), Some(ines)),
        ("Stray".to_owned(), None),
    ];
    assert_eq!(whose, expected);
    // Somebody who is not there looks after nothing.
    let ghost = kept(PlaceWhat::Room, "Cellar", None, Some(&PersonId::new("00000000")));
    let told = d.draft(&ghost).expect_err("refused").to_string();
    assert!(!told.is_empty(), "{told}");
}
