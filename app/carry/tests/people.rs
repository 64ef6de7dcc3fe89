//! Details of people: what leaves in a bundle, and what of one may be stored.

use carry::{Asked, Looked, Making, look, make};
use journal::bundle::{Contents, DETAILS_ERASED, Ledger, Person, read, write};
use journal::{Draft, DraftId, DraftSet, Hash, Id, Identity, Keypair, Tip, Wall, seal};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

const MADE: &str = "2026-06-09T21:40+02:00";
const MS: u64 = 1_780_000_000_000;

fn book() -> Id {
    Id::mint(*b"barn!")
}

/// A device and its own lines.
struct Device {
    identity: Identity,
    tip: Tip,
    lines: String,
}

impl Device {
    fn new(number: u8) -> Device {
        let identity = Identity {
            book: book(),
            dev: Id::mint([number, 2, 3, 4, 5]),
            by: format!("Keeper {number}"),
            app: "test".into(),
            key: Keypair::from_secret(&[number; 32]).public(),
        };
        Device { identity, tip: Tip::default(), lines: String::new() }
    }

    fn set(&mut self, kind: &str, id: &str, fields: Value) {
        let Value::Object(fields) = fields else { panic!("fields") };
        let set = DraftSet { kind: kind.into(), id: DraftId::Known(id.into()), fields, over: BTreeMap::new() };
        let wall = Wall { ms: MS, text: MADE.into() };
        let draft = Draft { act: "Act".into(), sets: vec![set], ..Draft::default() };
        let sealed = seal(draft, &self.identity, &self.tip, &wall).expect("it seals");
        self.tip = sealed.tip;
        self.lines.push_str(&sealed.line);
        self.lines.push('\n');
    }

    /// A contact whose details are these.
    fn know(&mut self, id: &str, person: &Person) {
        self.set("contact", id, json!({"mark": id, "digest": digest(person).to_string()}));
    }

    fn erase(&mut self, person: &Person, whose: &str) {
        self.set(DETAILS_ERASED, &digest(person).to_string(), json!({"contact": whose}));
    }

    fn bundle(&self, people: &[Person]) -> Vec<u8> {
        let making = Making {
            book: book(),
            joined: Vec::new(),
            by: self.identity.dev,
            app: "test".into(),
            made: MADE.into(),
            own: None,
            signed: BTreeMap::new(),
            lacks: None,
            people: people.to_vec(),
            readme: String::new(),
        };
        make(&making, &self.lines, &[], &mut |_, _| {}).expect("an archive")
    }

    /// A bundle by a program that sends whatever it likes.
    fn any_bundle(&self, people: &[Person]) -> Vec<u8> {
        let contents = Contents {
            by: self.identity.dev,
            made: MADE,
            app: "other",
            signer: None,
            signed: &BTreeMap::new(),
            lacks: None,
            people,
            photos: &[],
            readme: "",
        };
        write(&Ledger::of(book(), [], self.lines.lines()), &contents, &mut |_, _| {}).expect("an archive")
    }

    fn look(&self, file: &[u8]) -> Looked {
        let ask = Asked {
            book: Some(book()),
            joined: Vec::new(),
            signed: BTreeMap::new(),
            own: Some(self.identity.dev),
            join: false,
            wall_ms: MS,
        };
        look(&ask, &self.lines, file, &mut |_, _| {}).expect("it opens").looked
    }
}

fn person(n: u8) -> Person {
    Person::new([n; 16], format!("{{\"name\":\"Buyer {n}\"}}"))
}

fn digest(person: &Person) -> Hash {
    person.digest().expect("a salt of 16 bytes")
}

fn inside(file: &[u8]) -> Vec<Person> {
    let bundle = read(file, &mut |_, _| {}).expect("a bundle just made");
    bundle.people.into_iter().map(|(_, person)| person).collect()
}

#[test]
fn only_those_chosen_leave() {
    let mut ann = Device::new(1);
    (1..4).for_each(|n| ann.know(&format!("C{n}"), &person(n)));
    assert_eq!(inside(&ann.bundle(&[])), []);
    assert_eq!(inside(&ann.bundle(&[person(2)])), [person(2)]);
    // Chosen, but erased since, or of nobody in the records.
    ann.erase(&person(2), "C2");
    assert_eq!(inside(&ann.bundle(&[person(2), person(3), person(7)])), [person(3)]);
}

#[test]
fn only_what_a_line_names_is_stored() {
    let (mut ann, mut ben) = (Device::new(1), Device::new(2));
    ann.know("C1", &person(1));
    ben.know("C3", &person(3));
    // One named in the bundle, one named here only, one named nowhere.
    let looked = ben.look(&ann.any_bundle(&[person(1), person(3), person(5)]));
    let kept: BTreeSet<Hash> = looked.people.iter().map(digest).collect();
    assert_eq!(kept, [digest(&person(1)), digest(&person(3))].into());
    assert_eq!((looked.erased.len(), looked.erasing), (0, 0));
}

#[test]
fn what_was_erased_does_not_come_back_and_goes_elsewhere_too() {
    let (mut ann, mut ben) = (Device::new(1), Device::new(2));
    ann.know("C1", &person(1));
    let before = ann.bundle(&[person(1)]);
    // Two versions of one person's details.
    ann.erase(&person(1), "C1");
    ann.erase(&person(2), "C1");
    // Erased here: an older bundle brings nothing back, nor does another device's.
    let looked = ann.look(&before);
    assert_eq!((looked.people, looked.erasing), (vec![], 0));
    ben.know("C2", &person(2));
    assert_eq!(ann.look(&ben.any_bundle(&[person(2)])).people, []);
    // Erased in the bundle itself, though it brings the details; and what is here of them is to go.
    let looked = ben.look(&ann.any_bundle(&[person(1), person(2)]));
    assert_eq!((looked.people, looked.erasing), (vec![], 1));
    assert_eq!(looked.erased, [digest(&person(1)), digest(&person(2))].into());
}
