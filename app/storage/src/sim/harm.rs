//! Harm done to what is stored: changed, cut short, removed, or of another type.

use super::chance::Chance;
use super::storage::Bits;
use crate::disk::{Store, Value};
use crate::layout::{HARMS, PART, SNAPSHOT, WAITING};
use std::rc::Rc;

/// What was harmed.
#[derive(Clone, Copy, PartialEq)]
pub enum Of {
    /// Lines that count.
    Lines,
    /// The folded state, which must not be believed then.
    Shortcut,
    Other,
}

/// Harms something.
pub fn harm(bits: &mut Bits, chance: &mut Chance) -> Option<(String, Of)> {
    if chance.below(12) == 0 {
        bits.retain(|(store, _), _| *store != Store::Meta);
        return Some(("all of meta is gone".to_owned(), Of::Other));
    }
    let of = *chance.pick(&[Of::Lines, Of::Shortcut, Of::Other])?;
    let keys: Vec<(Store, String)> = bits.keys().filter(|place| kind(place) == Some(of)).cloned().collect();
    let (store, key) = chance.pick(&keys)?.clone();
    let place = (store, key.clone());
    let how = match (chance.below(6), bits.get(&place)?.clone()) {
        // A state that is harmed in a value, and is sound but for that.
        (0..=3, Value::Text(text)) if of == Of::Shortcut && text.contains("seen ") => {
            bits.insert(place, text.replacen("seen ", "SEEN ", 1).into());
            "changed in a value"
        }
        (0..=2, Value::Text(text)) => {
            bits.insert(place, changed(&text, chance)?.into());
            "changed"
        }
        (3, Value::Text(text)) => {
            let half = text.get(..text.len() / 2)?.to_owned();
            bits.insert(place, half.into());
            "cut short"
        }
        (4, _) => {
            bits.insert(place, Value::Other(Rc::new(())));
            "of another type"
        }
        _ => {
            bits.remove(&place);
            "removed"
        }
    };
    Some((format!("{} {key} {how}", store.name()), of))
}

fn kind((store, key): &(Store, String)) -> Option<Of> {
    match store {
        Store::Rows | Store::Blocks => Some(Of::Lines),
        Store::Meta if key == HARMS => None,
        Store::Meta if is_state(key) => Some(Of::Shortcut),
        _ => Some(Of::Other),
    }
}

/// Whether a text of `meta` is one of the folded state.
pub fn is_state(key: &str) -> bool {
    key.starts_with(PART) || key == SNAPSHOT || key == WAITING
}

/// One letter or digit is another.
pub fn changed(text: &str, chance: &mut Chance) -> Option<String> {
    let places: Vec<usize> =
        text.bytes().enumerate().filter(|(_, b)| b.is_ascii_alphanumeric()).map(|(n, _)| n).collect();
    let place = *chance.pick(&places)?;
    let mut bytes = text.as_bytes().to_vec();
    bytes[place] = match bytes[place] {
        b'9' => b'0',
        b'z' => b'a',
        b'Z' => b'A',
        other => other + 1,
    };
    String::from_utf8(bytes).ok()
}
