//! What is known of people outside the barn: what stands, what goes along, and what is erased for good.

mod common;

use book::acts::*;
use book::views::describe;
use book::*;
use common::*;
use journal::{Entry, Hash};
use std::collections::BTreeSet;

fn digest(n: u8) -> String {
    Hash::of(&[n]).to_string()
}

fn set(digests: &[u8]) -> BTreeSet<String> {
    digests.iter().map(|n| digest(*n)).collect()
}

fn add(d: &mut Device) -> ContactId {
    d.make(Kind::Contact, &ContactKept::default(), ContactId::new)
}

fn keep(d: &mut Device, contact: &ContactId, n: u8) {
    let act = ContactKept { contact: Some(contact.clone()), mark: String::new(), digest: Some(digest(n)) };
    d.act(&act);
}

fn all(d: &Device, contact: &ContactId) -> BTreeSet<String> {
    versions(d.lines.iter().map(String::as_str), contact)
}

fn erase(d: &mut Device, contact: &ContactId) {
    let digests = all(d, contact);
    d.act(&PersonErased { contact: contact.clone(), digests });
}

#[test]
fn the_kind_is_the_one_bundles_go_by() {
    assert_eq!(Kind::DetailsErased.word(), journal::bundle::DETAILS_ERASED);
}

#[test]
fn only_the_chosen_go_along_and_only_with_what_stands() {
    let mut d = Device::new(1);
    let people: Vec<ContactId> = (0..3).map(|_| add(&mut d)).collect();
    keep(&mut d, &people[0], 1);
    keep(&mut d, &people[0], 2);
    keep(&mut d, &people[1], 3);
    for (chosen, expected) in [
        (vec![], set(&[])),
        (vec![0], set(&[2])),
        (vec![1], set(&[3])),
        (vec![2], set(&[])),
        (vec![0, 1, 2], set(&[2, 3])),
    ] {
        let chosen: Vec<&ContactId> = chosen.into_iter().map(|n: usize| &people[n]).collect();
        assert_eq!(d.book.going_along(chosen.iter().copied()), expected, "{chosen:?}");
    }
    assert_eq!(d.book.going_along([&ContactId::from("N0NE0000")]), set(&[]));
    // Erased since, they stay behind though they were chosen.
    erase(&mut d, &people[0]);
    assert_eq!(d.book.going_along(&people), set(&[3]));
}

#[test]
fn undo_brings_the_details_before_an_edit_back() {
    let mut d = Device::new(1);
    let contact = add(&mut d);
    keep(&mut d, &contact, 1);
    keep(&mut d, &contact, 2);
    d.undo_last();
    assert_eq!(d.book.details_of(&contact), [digest(1)]);
    assert_eq!(all(&d, &contact), set(&[1, 2]));
}

#[test]
fn every_version_of_one_person_is_erased_and_of_nobody_else() {
    let mut d = Device::new(1);
    let (contact, other) = (add(&mut d), add(&mut d));
    keep(&mut d, &other, 9);
    (1..4).for_each(|n| keep(&mut d, &contact, n));
    // Emptied: nothing stands, and what stood is still kept.
    d.act(&ContactKept { contact: Some(contact.clone()), mark: String::new(), digest: None });
    assert_eq!((d.book.details_of(&contact), all(&d, &contact)), (vec![], set(&[1, 2, 3])));
    erase(&mut d, &contact);
    for (n, gone) in [(1, true), (2, true), (3, true), (9, false)] {
        assert_eq!(d.book.is_erased(&digest(n)), gone, "{n}");
    }
    assert_eq!(d.book.contact_mark(&contact), "P-001");
    let said = describe(&d.book, &Entry::read(d.lines.last().expect("one")).expect("own"));
    assert_eq!((said.act.as_str(), said.unknown), ("PersonErased", false));
    assert_eq!(said.subjects, [(contact.thing(), "P-001".to_owned())]);

    let again = PersonErased { contact: contact.clone(), digests: all(&d, &contact) };
    assert_eq!(d.draft(&again).expect_err("gone"), Refusal::NoDetails { mark: "P-001".to_owned() });
    let nonsense = PersonErased { digests: ["x".to_owned()].into(), ..again };
    assert_eq!(d.draft(&nonsense).expect_err("no digest"), Refusal::NoDetails { mark: "P-001".to_owned() });
    let nobody = PersonErased { contact: ContactId::from("N0NE0000"), digests: set(&[9]) };
    assert!(matches!(d.draft(&nobody), Err(Refusal::NoSuch { .. })));

    // What is typed anew stands, and can be erased in turn.
    keep(&mut d, &contact, 4);
    assert_eq!(d.book.details_of(&contact), [digest(4)]);
    erase(&mut d, &contact);
    assert!(d.book.is_erased(&digest(4)) && d.book.details_of(&contact).is_empty());
}

#[test]
fn erased_stays_erased_whatever_is_taken_back() {
    let mut d = Device::new(1);
    let contact = add(&mut d);
    keep(&mut d, &contact, 1);
    erase(&mut d, &contact);
    assert!(is_final("PersonErased") && !is_final("ContactKept"));
    // Pages offer no undo of it; another program's would not change it.
    d.undo_last();
    assert!(d.book.is_erased(&digest(1)) && d.book.details_of(&contact).is_empty());
    let mut e = Device::new(2);
    e.hear(&d.lines);
    assert!(e.book.is_erased(&digest(1)));
    let restored = book::Book::restore(&d.book.snapshot()).expect("just made");
    assert!(restored.is_erased(&digest(1)));
    d.act(&Withdrawn { thing: contact.thing() });
    assert!(d.book.is_erased(&digest(1)));
}

#[test]
fn two_who_wrote_apart_both_count() {
    let (mut ann, mut ben) = (Device::new(1), Device::new(2));
    let contact = add(&mut ann);
    keep(&mut ann, &contact, 1);
    ben.hear(&ann.lines);
    let shared = ann.lines.len();
    keep(&mut ann, &contact, 2);
    ben.later(1);
    keep(&mut ben, &contact, 3);
    ben.hear(&ann.lines[shared..]);
    assert_eq!(ben.book.details_of(&contact), [digest(2), digest(3)]);
    let lines = ann.lines.iter().chain(&ben.lines).map(String::as_str);
    assert_eq!(versions(lines, &contact), set(&[1, 2, 3]));
}

#[test]
fn more_versions_than_one_act_takes_are_erased_by_the_next() {
    let mut d = Device::new(1);
    let contact = add(&mut d);
    let digests: BTreeSet<String> = (0..600_u32).map(|n| Hash::of(&n.to_be_bytes()).to_string()).collect();
    let act = PersonErased { contact, digests: digests.clone() };
    let left = |d: &Device| digests.iter().filter(|digest| !d.book.is_erased(digest)).count();
    d.act(&act);
    assert_eq!(left(&d), 100);
    d.act(&act);
    assert_eq!(left(&d), 0);
}

/// Somebody, an animal, and an evening.
fn asked_for() -> (Device, ContactId, AnimalId) {
    let mut d = Device::new(1);
    let kept = ContactKept { contact: None, mark: "P-001".into(), digest: None };
    let contact = d.make(Kind::Contact, &kept, ContactId::new);
    let card = AnimalCard { name: "Wren".into(), ..AnimalCard::default() };
    let animal = d.make(Kind::Animal, &AnimalAdded { id: None, card, place: None }, AnimalId::new);
    (d, contact, animal)
}

#[test]
fn a_wish_is_put_right_and_closed_on_its_own_day() {
    let (mut d, contact, _) = asked_for();
    let wish = WishNoted { contact: Some(contact), what: "a female".into(), count: 1, ..WishNoted::default() };
    let wish = d.make(Kind::Wish, &wish, WishId::new);
    let mut edit = WishEdited::of(&d.book, &wish, when("2026-06-09")).expect("there");
    assert_eq!(d.draft(&edit), Err(Refusal::NothingChanged));
    (edit.what, edit.count, edit.when) = ("two females".into(), 2, when("2026-06-01"));
    d.act(&edit);
    let early = WishClosed { wish: wish.clone(), when: when("2026-05-31") };
    assert!(matches!(d.draft(&early), Err(Refusal::OutOfOrder { .. })));
    d.act(&WishClosed { wish: wish.clone(), when: when("2026-06-05") });
    assert_eq!(d.book.wish(&wish).and_then(|wish| wish.closed), Some(when("2026-06-05")));
    assert!(d.book.open_wishes().is_empty());
    let mut edit = WishEdited::of(&d.book, &wish, when("2026-06-09")).expect("there");
    edit.closed = Some(when("2026-06-07"));
    d.act(&edit);
    edit.closed = None;
    d.act(&edit);
    assert_eq!(d.book.open_wishes().len(), 1, "open again");
    edit.count = 0;
    assert!(matches!(d.draft(&edit), Err(Refusal::Missing { .. })));
    (edit.count, edit.closed) = (1, Some(when("2026-06-20")));
    assert!(matches!(d.draft(&edit), Err(Refusal::InFuture { .. })));
}

#[test]
fn a_promise_is_put_right_and_ended_on_its_own_day() {
    let (mut d, contact, animal) = asked_for();
    let wish = WishNoted { contact: Some(contact.clone()), what: "a".into(), count: 1, ..WishNoted::default() };
    let wish = Some(d.make(Kind::Wish, &wish, WishId::new));
    let (animals, price) = (vec![animal.clone()], "80 EUR".to_owned());
    let held = Held { animals, contact: Some(contact), wish, price, ..Held::default() };
    let hold = d.make(Kind::Hold, &held, HoldId::new);
    let mut edit = HoldEdited::of(&d.book, &hold, when("2026-06-09")).expect("there");
    assert_eq!(d.draft(&edit), Err(Refusal::NothingChanged));
    (edit.price, edit.until, edit.when) = ("90 EUR".into(), Some(day("2026-07-01")), when("2026-06-02"));
    d.act(&edit);
    let early = HoldEnded { hold: hold.clone(), when: when("2026-06-01") };
    assert!(matches!(d.draft(&early), Err(Refusal::OutOfOrder { .. })));
    d.act(&HoldEnded { hold: hold.clone(), when: when("2026-06-04") });
    assert_eq!(d.book.hold(&hold).and_then(|hold| hold.ended), Some(when("2026-06-04")));
    let again = Held { animals: vec![animal.clone()], ..Held::default() };
    let kept = d.make(Kind::Hold, &again, HoldId::new);
    let mut edit = HoldEdited::of(&d.book, &hold, when("2026-06-09")).expect("there");
    edit.ended = None;
    assert!(matches!(d.draft(&edit), Err(Refusal::HeldAlready { .. })), "kept back meanwhile");
    d.act(&HoldEnded { hold: kept, when: when("2026-06-09") });
    // Held for nobody, it answers nobody's wish.
    edit.contact = None;
    d.act(&edit);
    let now = d.book.hold_on(&animal).expect("held again");
    assert_eq!((now.price.as_deref(), &now.contact, &now.wish), (Some("90 EUR"), &None, &None));
    // Held for another: it answers the oldest of their wishes.
    let other = ContactKept { contact: None, mark: "P-002".into(), digest: None };
    let other = d.make(Kind::Contact, &other, ContactId::new);
    let wish =
        |what: &str| WishNoted { contact: Some(other.clone()), what: what.into(), count: 1, ..WishNoted::default() };
    let first = d.make(Kind::Wish, &wish("first"), WishId::new);
    d.make(Kind::Wish, &wish("second"), WishId::new);
    edit.contact = Some(other.clone());
    d.act(&edit);
    assert_eq!(d.book.hold_on(&animal).and_then(|hold| hold.wish.clone()), Some(first));
    // What is over answers nobody's.
    edit.contact = None;
    d.act(&edit);
    (edit.contact, edit.ended) = (Some(other), Some(when("2026-06-09")));
    d.act(&edit);
    assert_eq!(d.book.hold(&hold).map(|hold| hold.wish.clone()), Some(None));
}

/// A day ends with the first moment of the next.
#[test]
fn a_meal_the_day_after_it_left_is_asked_about() {
    let (mut d, contact, animal) = asked_for();
    let (to, price) = (Some(contact), String::new());
    d.act(&AnimalsPlaced {
        animals: vec![animal.clone()],
        to,
        how: words::Went::Sold,
        when: when("2026-06-01"),
        price,
        note: String::new(),
    });
    let fed = |day: &str| {
        let (prey, size, how) = (String::new(), String::new(), String::new());
        RackFed { animals: vec![animal.clone()], offered: when(day), prey, size, how }.doubts(&d.book, d.now)
    };
    let gone = |doubts: Vec<Doubt>| doubts.iter().any(|doubt| matches!(doubt, Doubt::Gone { .. }));
    assert!(!gone(fed("2026-06-01")), "that day it may have eaten before");
    assert!(gone(fed("2026-06-02")));
}
