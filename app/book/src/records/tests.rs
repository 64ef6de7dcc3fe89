use super::*;
use crate::book::Book;
use crate::ids::Kind;
use crate::kinds::each_of;
use serde_json::{Map, Value};
use std::collections::BTreeSet;

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
