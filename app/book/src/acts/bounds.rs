//! How long a text of an act may be, and which days it may have. What is shown in a row, searched and set on a label stays short; what somebody tells
//! may be longer; nothing is without an end.

use super::Refusal;
use crate::ids::Kind;
use crate::records::{Field, Shape};
use journal::DraftSet;
use serde_json::Value;
use trade::when::When;

/// The most characters of a name, a code, a number and whatever else is a label of its own.
pub const MOST_NAME: usize = 120;
/// The most characters of a note, and of other free text.
pub const MOST_TEXT: usize = 4_000;
/// The most items of a list: more than any barn has of one thing.
pub const MOST_ITEMS: usize = 10_000;

/// Refuses a draft with a text or a list too long, or a day that no record may have, by the field's name.
pub(super) fn check(sets: &[DraftSet]) -> Result<(), Refusal> {
    sets.iter().try_for_each(|set| {
        let declared = Kind::of(&set.kind).map_or(&[][..], Kind::fields);
        let mut fields = declared.iter().filter_map(|field| Some((field, set.fields.get(field.name)?)));
        fields.try_for_each(|(field, value)| within(field, value))
    })
}

fn within(field: &Field, value: &Value) -> Result<(), Refusal> {
    // The app packs readings itself, and bounds their number.
    if field.shape == Shape::Packed {
        return Ok(());
    }
    // What would not be read again would be called saved, and be gone.
    if matches!(field.shape, Shape::When | Shape::Day) && value.as_str().is_some_and(|day| day.parse::<When>().is_err())
    {
        return Err(Refusal::NoSuchYear { what: field.said().into_owned() });
    }
    let most = if field.shape == Shape::Sentences { MOST_TEXT } else { MOST_NAME };
    if fits(value, most) { Ok(()) } else { Err(Refusal::TooLong { what: field.said().into_owned(), most }) }
}

fn fits(value: &Value, most: usize) -> bool {
    match value {
        Value::String(text) => !longer(text, most),
        Value::Array(list) => list.len() <= MOST_ITEMS && list.iter().all(|item| fits(item, most)),
        Value::Object(map) => {
            map.len() <= MOST_ITEMS && map.iter().all(|(key, item)| !longer(key, most) && fits(item, most))
        }
        Value::Null | Value::Bool(_) | Value::Number(_) => true,
    }
}

fn longer(text: &str, most: usize) -> bool {
    text.len() > most && text.chars().nth(most).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_day_that_would_not_be_read_again_is_refused() {
        let mut days = 0;
        for kind in Kind::ALL {
            for field in kind.fields().iter().filter(|field| matches!(field.shape, Shape::When | Shape::Day)) {
                assert_eq!(within(field, &json!("2026-06-09")), Ok(()));
                assert_eq!(within(field, &Value::Null), Ok(()));
                for year in ["0026-06-09", "2201-01-01", "1899-12-31", "+12026-06-09", "-0001-01-01"] {
                    let what = field.said().into_owned();
                    assert_eq!(within(field, &json!(year)), Err(Refusal::NoSuchYear { what }), "{kind:?} {year}");
                }
                days += 1;
            }
        }
        assert!(days > 30, "{days} fields");
    }

    #[test]
    fn a_text_may_be_so_long_and_no_longer() {
        let said = |kind: Kind, field: &str, value: Value| {
            let field = kind.fields().iter().find(|declared| declared.name == field).expect(field);
            within(field, &value).map_err(|why| why.to_string())
        };
        // Characters are counted, not bytes.
        for (kind, field, most, called) in [
            (Kind::Animal, "name", 120, "name"),
            (Kind::Meal, "note", 4_000, "note"),
            (Kind::Egg, "fate_why", 4_000, "reason"),
        ] {
            assert_eq!(said(kind, field, json!("ö".repeat(most))), Ok(()));
            let expected = format!("The {called} is too long. Shorten it to at most {most} characters.");
            assert_eq!(said(kind, field, json!("ö".repeat(most + 1))), Err(expected.clone()));
            assert_eq!(said(kind, field, json!(["a", "ö".repeat(most + 1)])), Err(expected.clone()));
            assert_eq!(said(kind, field, json!({"egg": "ö".repeat(most + 1)})), Err(expected.clone()));
            assert_eq!(said(kind, field, json!({"ö".repeat(most + 1): "veins"})), Err(expected));
        }
        assert_eq!(said(Kind::Move, "things", json!(vec!["egg:AAAAAAAA"; MOST_ITEMS])), Ok(()));
        assert!(said(Kind::Move, "things", json!(vec!["egg:AAAAAAAA"; MOST_ITEMS + 1])).is_err());
        assert_eq!(said(Kind::ReadingLog, "packed", json!("x".repeat(100_000))), Ok(()));
    }
}
