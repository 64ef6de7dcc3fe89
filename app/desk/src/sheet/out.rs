//! Everything as spreadsheets: one a kind, headings as keepers call them, names instead of ids, sorted as people sort. The
//! last column is the record's id, by which a sheet of animals that was changed comes back.

use super::bring::{Piece, pieces};
use book::records::Shape;
use book::{AnimalId, Book, Kind, Thing};
use serde_json::Value;
use std::collections::BTreeSet;
use trade::money::Money;
use trade::when::When;

/// The records of a kind: headings, then a row for each, of numbers and texts.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetOut {
    /// The journal's word for the kind, which may be a newer version's.
    pub word: String,
    pub rows: Vec<Vec<Value>>,
}

/// What [`super::Column::Id`] is known by.
const ID: &str = "Candlemark id";

/// All records that were not taken back, one sheet a kind that has any.
pub fn tables(book: &Book) -> Vec<SheetOut> {
    let sheets = book.journal().kinds().map(|word| SheetOut { word: word.to_owned(), rows: rows(book, word) });
    sheets.filter(|sheet| sheet.rows.len() > 1).collect()
}

/// Headings, then a row for each record.
fn rows(book: &Book, word: &str) -> Vec<Vec<Value>> {
    let kind = Kind::of(word);
    let fields = kind.map(Kind::fields).unwrap_or_default();
    let records: Vec<_> = book.journal().records(word).collect();
    let filled: BTreeSet<&str> = records
        .iter()
        .flat_map(|(_, record)| record.fields().filter(|(_, value)| !value.is_null()).map(|(name, _)| name))
        .collect();
    // What only a newer version knows of stands behind.
    let newer = filled.iter().filter(|name| fields.iter().all(|field| field.name != **name));
    let newer = newer.map(|name| Column { name, said: name.replace('_', " "), shape: Shape::Text });
    let known = fields.iter().filter(|field| filled.contains(field.name));
    let known = known.map(|field| Column { name: field.name, said: field.said().into_owned(), shape: field.shape });
    let columns: Vec<Column<'_>> = known.chain(newer).collect();
    let mut head: Vec<Value> = columns.iter().map(|column| heading(column).into()).collect();
    if kind == Some(Kind::Animal) {
        head.extend(["Weight (g)", "Weighed on", "Place"].map(Value::from));
    }
    head.push(ID.into());
    let mut sorted: Vec<(Vec<Piece>, Vec<Value>)> = records
        .iter()
        .map(|(id, record)| {
            let value = |column: &Column<'_>| cell(book, column, record.get(column.name).unwrap_or(&Value::Null));
            let mut row: Vec<Value> = columns.iter().map(value).collect();
            if kind == Some(Kind::Animal) {
                row.extend(beside(book, &AnimalId::from(*id)));
            }
            row.push((*id).into());
            let name = kind.and_then(|kind| book.own_word(&Thing::new(kind, *id)));
            (pieces(&name.unwrap_or_default()), row)
        })
        .collect();
    // Of those without a name the first that says something: mostly whose it is, and when.
    sorted.sort_by_cached_key(|(name, row)| (name.is_empty(), name.clone(), texts(row)));
    std::iter::once(head).chain(sorted.into_iter().map(|(_, row)| row)).collect()
}

fn texts(row: &[Value]) -> Vec<Piece> {
    row.iter().filter_map(Value::as_str).flat_map(pieces).collect()
}

/// What a sheet of animals has besides their own fields, in the order of its headings.
fn beside(book: &Book, animal: &AnimalId) -> [Value; 3] {
    let weight = book.weight(animal);
    let grams = weight.map_or(Value::Null, |(mass, _)| scaled(mass.0, 1_000));
    let when = weight.and_then(|(_, when)| when).map_or(Value::Null, |when| when.to_string().into());
    let place = book.place_of(&animal.thing());
    [grams, when, place.map_or(Value::Null, |place| book.path_names(&place.id).join(" / ").into())]
}

/// A field that some record of the kind has.
struct Column<'a> {
    name: &'a str,
    /// What a keeper calls it.
    said: String,
    shape: Shape,
}

/// `Mass (g)`
fn heading(column: &Column<'_>) -> String {
    let mut letters = column.said.chars();
    let first = letters.next().map(|letter| letter.to_ascii_uppercase()).into_iter();
    let said: String = first.chain(letters).collect();
    let by_shape = match item(column.shape) {
        Shape::Mass => Some("g"),
        Shape::Temp => Some("°C"),
        Shape::Humidity => Some("%"),
        _ => None,
    };
    let by_name = [("_um", "mm"), ("_pm", "‰"), ("_pct", "%"), ("_min", "min")];
    let unit =
        by_shape.or_else(|| by_name.into_iter().find(|(end, _)| column.name.ends_with(end)).map(|(_, unit)| unit));
    unit.map_or(said.clone(), |unit| format!("{said} ({unit})"))
}

/// Of a list, what it is of.
fn item(shape: Shape) -> Shape {
    match shape {
        Shape::List(of) => item(*of),
        shape => shape,
    }
}

/// A stored value as a cell: a number, or text that is read without a key to it.
fn cell(book: &Book, column: &Column<'_>, value: &Value) -> Value {
    match value {
        Value::String(key) if column.name == "species" => book.species_of(Some(key)).name.into_owned().into(),
        _ => said(book, column.shape, column.name, value),
    }
}

fn said(book: &Book, shape: Shape, name: &str, value: &Value) -> Value {
    match (shape, value) {
        (_, Value::Null) => Value::Null,
        (Shape::Mass, Value::Number(_)) => number(value, 1_000),
        (Shape::Temp, Value::Number(_)) => number(value, 100),
        (Shape::Humidity, Value::Number(_)) => number(value, 10),
        (_, Value::Number(_)) if name.ends_with("_um") => number(value, 1_000),
        (_, Value::Bool(yes)) => if *yes { "yes" } else { "no" }.into(),
        (Shape::Link(Kind::Animal), Value::String(id)) => animal(book, &AnimalId::from(id.as_str())).into(),
        (Shape::Link(kind), Value::String(id)) => book.short_name(&Thing::new(kind, id.as_str())).into(),
        (Shape::Thing | Shape::Where, Value::String(text)) => match text.parse::<Thing>() {
            Ok(thing) if thing.kind == Kind::Animal => animal(book, &AnimalId::from(thing.id.as_str())).into(),
            Ok(thing) => book.short_name(&thing).into(),
            Err(_) => value.clone(),
        },
        (Shape::Word(_), Value::String(word)) => word.replace('_', " ").into(),
        (Shape::When, Value::String(text)) => {
            text.parse::<When>().map_or(value.clone(), |when| when.to_string().into())
        }
        (Shape::Money, Value::String(text)) => text.parse::<Money>().map_or(value.clone(), |money| money.text().into()),
        (Shape::List(item), Value::Array(all)) => {
            let all: Vec<String> = all.iter().map(|value| plain(&said(book, *item, name, value))).collect();
            all.join(", ").into()
        }
        (Shape::Words(..), Value::Object(map)) => {
            let each = |(id, word): (&String, &Value)| {
                let id = book::views::named(book, id).unwrap_or_else(|| id.clone());
                format!("{id}: {}", plain(word).replace('_', " "))
            };
            map.iter().map(each).collect::<Vec<_>>().join(", ").into()
        }
        _ => value.clone(),
    }
}

/// Without the quotes of JSON.
fn plain(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

/// `Bel · B07`: by its code alone where it has no name, and the other way round.
fn animal(book: &Book, id: &AnimalId) -> String {
    let name = book.animal_name(id);
    match book.animal(id).and_then(|animal| animal.code.clone()).filter(|code| *code != name) {
        Some(code) => format!("{name} · {code}"),
        None => name,
    }
}

fn number(value: &Value, size: i64) -> Value {
    value.as_i64().map_or(value.clone(), |small| scaled(small, size))
}

/// So many small units as a number of units.
fn scaled(small: i64, size: i64) -> Value {
    if small % size == 0 { (small / size).into() } else { (small as f64 / size as f64).into() }
}
