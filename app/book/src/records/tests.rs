use super::*;
use crate::book::Book;
use crate::fields::Fields;
use crate::ids::{AnimalId, EggId, Kind, NoteId};
use crate::kinds::each_of;
use serde_json::{Map, Value};
use std::collections::BTreeSet;
use trade::units::Mass;
use trade::when::When;

record! {
    /// A kind that is in no list: its declaration alone says how it is read, written and found.
    Scratch NoteId {
        animal: Option<AnimalId> = "animal",
        dose: Option<Mass> = "dose_mg" => "dose",
        given: Option<When> = "given",
        left: bool = "left",
        eggs: Vec<EggId> = "eggs",
        note: Option<String> = "note" long,
    }
    over Over::Noted;
    seen animal at given;
    found by id, note;
    link Notes { animal, eggs by given };
}

#[test]
fn a_declaration_is_enough() {
    let fields = Scratch::FIELDS;
    let shapes: Vec<Shape> = fields.iter().map(|field| field.shape).collect();
    let link = Shape::Link(Kind::Animal);
    let eggs = Shape::List(&Shape::Link(Kind::Egg));
    assert_eq!(shapes, [link, Shape::Mass, Shape::When, Shape::Flag, eggs, Shape::Sentences]);
    assert_eq!(
        fields.iter().map(|field| field.said()).collect::<Vec<_>>(),
        ["animal", "dose", "given", "left", "eggs", "note"]
    );

    let stored = serde_json::json!({
        "animal": "AAAAAAAA", "dose_mg": 250, "given": "2026-06-01", "left": true, "eggs": ["E1", "E1", 7], "note": " twice "
    });
    let stored = stored.as_object().expect("an object");
    let mut fields = Fields::new(Kind::Note, "X", stored.iter().map(|(name, value)| (name.as_str(), value)));
    let mut scratch: Scratch = read(&mut fields);
    assert_eq!((scratch.id.as_str(), scratch.dose, scratch.left), ("X", Some(Mass(250)), true));
    assert_eq!(scratch.eggs, [EggId::from("E1")]);
    assert_eq!(
        fields.odd.iter().map(|odd| (odd.field.as_str(), odd.holds.as_str())).collect::<Vec<_>>(),
        [("eggs", "7")]
    );

    assert_eq!((scratch.about(), scratch.at()), (Some(AnimalId::from("AAAAAAAA").thing()), "2026-06-01".parse().ok()));
    assert_eq!(scratch.found_by(), [" twice "]);
    let mut links = Vec::new();
    scratch.links(&mut |link, of, when| links.push((link, of.to_owned(), when == scratch.given)));
    assert_eq!(links, ["AAAAAAAA", "E1"].map(|of| (crate::index::Link::Notes, of.to_owned(), true)));

    let mut written = Map::new();
    scratch.each(&mut |name, field| _ = written.insert(name.to_owned(), field.put()));
    let expected = serde_json::json!({
        "animal": "AAAAAAAA", "dose_mg": 250, "given": "2026-06-01", "left": true, "eggs": ["E1"], "note": "twice"
    });
    assert_eq!(Value::Object(written), expected);
}

fn alder_lane() -> Book {
    let lines = crate::demo::season("2026-06-09".parse().expect("a day"));
    let mut book = Book::new(journal::Entry::read(lines.first().expect("lines")).expect("readable").book);
    lines.iter().for_each(|line| _ = book.take(line).expect(line));
    book
}

/// What the journal holds is what is read, and is what would be written: no field is missing in a declaration, and none
/// reads otherwise than it is written.
#[test]
fn what_is_read_is_written_the_same() {
    let book = alder_lane();
    let mut met = BTreeSet::new();
    for &kind in Kind::ALL {
        for (id, record) in book.journal().records(kind.word()) {
            let stored: Map<String, Value> =
                record.fields().map(|(name, value)| (name.to_owned(), value.clone())).collect();
            let mut written = Map::new();
            each_of(&book, kind, id, &mut |name, field| _ = written.insert(name.to_owned(), field.put()));
            written.retain(|_, value| !value.is_null());
            assert_eq!(written, stored, "{} {id}", kind.word());
            met.extend(stored.keys().map(|name| (kind, name.clone())));
        }
    }
    assert!(met.len() > 120, "the season has only {} fields", met.len());
}

#[test]
fn a_unit_stands_in_the_name() {
    for &kind in Kind::ALL {
        for field in kind.fields() {
            let (name, told) = (field.name, format!("{}.{} is {:?}", kind.word(), field.name, field.shape));
            assert_eq!(name.ends_with("mg"), field.shape == Shape::Mass, "{told}");
            assert_eq!(name.ends_with("cc"), field.shape == Shape::Temp, "{told}");
            assert!(field.shape != Shape::Humidity || name.ends_with("pm"), "{told}");
        }
    }
}

#[test]
fn no_two_fields_of_a_kind_share_a_name() {
    for &kind in Kind::ALL {
        let names: BTreeSet<&str> = kind.fields().iter().map(|field| field.name).collect();
        assert_eq!(names.len(), kind.fields().len(), "{}", kind.word());
    }
}
