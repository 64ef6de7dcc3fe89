//! The schema of records, from their declarations.

use book::Kind;
use book::acts::{MOST_ITEMS, MOST_NAME, MOST_TEXT};
use book::records::{Field, Shape};
use serde_json::{Map, Value, json};

/// As `public/format/records.schema.json` holds it.
pub fn schema() -> String {
    let kinds: Map<String, Value> = Kind::ALL.iter().map(|kind| (kind.word().to_owned(), record(*kind))).collect();
    let schema = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "What the records of each kind hold, as this version writes them",
        "description": "A field that is not here, or holds something else, was written by another version: keep it.",
        "type": "object",
        "properties": kinds,
        "$defs": {
            "when": {
                "description": "A day, a moment, or a span of either, local time",
                "type": "string",
                "pattern": format!("^{MOMENT}(/{MOMENT})?$"),
            },
            "day": { "type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$" },
            "id": { "type": "string", "pattern": "^[0-9A-Za-z_.:-]{1,64}$" },
            "thing": { "description": "kind:id", "type": "string", "pattern": "^[a-z_]+:.+$" },
            "where": { "description": "place:id, filling:id, dam or unknown", "type": "string" },
        },
    });
    serde_json::to_string_pretty(&schema).expect("JSON") + "\n"
}

const MOMENT: &str = "[0-9]{4}-[0-9]{2}-[0-9]{2}(T[0-9]{2}:[0-9]{2})?";

fn record(kind: Kind) -> Value {
    let fields: Map<String, Value> = kind.fields().iter().map(|field| (field.name.to_owned(), of(field))).collect();
    json!({ "type": "object", "properties": fields })
}

fn of(field: &Field) -> Value {
    let mut value = shape(field.shape);
    if let Value::Object(map) = &mut value {
        map.insert("title".to_owned(), field.said().into());
    }
    value
}

fn shape(shape: Shape) -> Value {
    match shape {
        Shape::Text => json!({ "type": "string", "maxLength": MOST_NAME }),
        Shape::Sentences => json!({ "type": "string", "maxLength": MOST_TEXT }),
        Shape::Whole => json!({ "type": "integer" }),
        Shape::Count => json!({ "type": "integer", "minimum": 0, "maximum": u32::MAX }),
        Shape::Flag => json!({ "type": "boolean" }),
        Shape::Mass => json!({ "type": "integer", "description": "milligrams" }),
        Shape::Temp => json!({ "type": "integer", "description": "hundredths of a degree Celsius" }),
        Shape::Humidity => {
            json!({ "type": "integer", "minimum": 0, "maximum": 1000, "description": "tenths of a percent of relative humidity" })
        }
        Shape::Money => {
            json!({ "type": "string", "pattern": "^[0-9]+([.][0-9]{2,3})? [A-Z]{3}$", "description": "an amount, and its currency by ISO 4217" })
        }
        Shape::When => json!({ "$ref": "#/$defs/when" }),
        Shape::Day => json!({ "$ref": "#/$defs/day" }),
        Shape::Thing => json!({ "$ref": "#/$defs/thing" }),
        Shape::Where => json!({ "$ref": "#/$defs/where" }),
        Shape::Link(kind) => {
            json!({ "$ref": "#/$defs/id", "description": format!("a record of kind {}", kind.word()) })
        }
        Shape::Word(words) => json!({ "enum": words }),
        Shape::List(item) => json!({ "type": "array", "maxItems": MOST_ITEMS, "items": self::shape(*item) }),
        Shape::Words(_, words) => json!({ "type": "object", "additionalProperties": { "enum": words } }),
        Shape::Packed => json!({ "type": "string", "description": "readings, packed" }),
    }
}
