//! How long a text of an act may be. What is shown in a row, searched and set on a label stays short; what somebody tells
//! may be longer; nothing is without an end.

use super::Refusal;
use journal::DraftSet;
use serde_json::Value;

/// The most characters of a name, a code, a number and whatever else is a label of its own.
pub const MOST_NAME: usize = 120;
/// The most characters of a note, and of other free text.
pub const MOST_TEXT: usize = 4_000;
/// The most items of a list: more than any barn has of one thing.
pub const MOST_ITEMS: usize = 10_000;

/// Fields that hold what somebody tells in sentences.
const TOLD: [&str; 11] =
    ["note", "text", "why", "fate_why", "went_why", "faults", "morph", "source", "what", "sex_how", "payload"];
/// Readings packed by the app itself, which bounds their number.
const PACKED: &str = "packed";

/// Refuses a draft with a text or a list too long, by the field's name.
pub(super) fn check(sets: &[DraftSet]) -> Result<(), Refusal> {
    sets.iter().flat_map(|set| &set.fields).try_for_each(|(field, value)| within(field, value))
}

fn within(field: &str, value: &Value) -> Result<(), Refusal> {
    let most = if TOLD.contains(&field) { MOST_TEXT } else { MOST_NAME };
    if field == PACKED || fits(value, most) {
        return Ok(());
    }
    Err(Refusal::TooLong { what: called(field).to_owned(), most })
}

fn fits(value: &Value, most: usize) -> bool {
    match value {
        Value::String(text) => !longer(text, most),
        Value::Array(list) => list.len() <= MOST_ITEMS && list.iter().all(|item| fits(item, most)),
        Value::Object(map) => {
            map.len() <= MOST_ITEMS && map.iter().all(|(key, item)| !longer(key, most) && fits(item, most))
        }
        _ => true,
    }
}

fn longer(text: &str, most: usize) -> bool {
    text.len() > most && text.chars().nth(most).is_some()
}

/// The field as a keeper knows it.
fn called(field: &str) -> &str {
    match field {
        "morph" => "look",
        "fate_why" | "went_why" | "why" => "reason",
        "what" => "description",
        "sex_how" | "sex_sure" => "word on its sex",
        "went_price" => "price",
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_text_may_be_so_long_and_no_longer() {
        let said = |field: &str, value: Value| within(field, &value).map_err(|why| why.to_string());
        // Characters are counted, not bytes.
        for (field, most, called) in [("name", 120, "name"), ("note", 4_000, "note"), ("fate_why", 4_000, "reason")] {
            assert_eq!(said(field, json!("ö".repeat(most))), Ok(()));
            let expected = format!("The {called} is too long. Shorten it to at most {most} characters.");
            assert_eq!(said(field, json!("ö".repeat(most + 1))), Err(expected.clone()));
            assert_eq!(said(field, json!(["a", "ö".repeat(most + 1)])), Err(expected.clone()));
            assert_eq!(said(field, json!({"egg": "ö".repeat(most + 1)})), Err(expected.clone()));
            assert_eq!(said(field, json!({"ö".repeat(most + 1): "veins"})), Err(expected));
        }
        assert_eq!(said("things", json!(vec!["egg:AAAAAAAA"; MOST_ITEMS])), Ok(()));
        assert!(said("things", json!(vec!["egg:AAAAAAAA"; MOST_ITEMS + 1])).is_err());
        assert_eq!(said("packed", json!("x".repeat(100_000))), Ok(()));
    }
}
