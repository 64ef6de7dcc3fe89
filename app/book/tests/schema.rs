//! What is told to strangers about the records is what is declared of them, and the season's records are so.

mod common;
mod format;

use book::Kind;
use common::*;
use serde_json::Value;
use std::path::Path;

fn told() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../public/format/records.schema.json");
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

#[test]
fn the_schema_is_the_declarations() {
    let read = |text: &str| serde_json::from_str::<Value>(text).expect("JSON");
    assert!(read(&told()) == read(&format::schema()), "write it anew: cargo run -p book --example schema");
}

/// A field once told of keeps its name and what it holds: bundles with it are out there.
#[test]
fn every_stored_field_is_told_of() {
    let schema: Value = serde_json::from_str(&told()).expect("JSON");
    let book = alder_lane("2026-06-09");
    for kind in Kind::ALL {
        let fields = &schema["properties"][kind.word()]["properties"];
        for (id, record) in book.journal().records(kind.word()) {
            for (name, value) in record.fields() {
                let field = &fields[name];
                let told = format!("{} {id}: {name} is {value}, by the schema {field}", kind.word());
                let fits = match field["type"].as_str() {
                    Some("integer") => value.is_i64(),
                    Some("boolean") => value.is_boolean(),
                    Some("array") => value.is_array(),
                    Some("object") => value.is_object(),
                    Some("string") => value.is_string(),
                    Some(other) => panic!("a type {other}"),
                    None if field["enum"].is_array() => field["enum"].as_array().is_some_and(|all| all.contains(value)),
                    None => field["$ref"].is_string() && value.is_string(),
                };
                assert!(fits, "{told}");
            }
        }
    }
}
