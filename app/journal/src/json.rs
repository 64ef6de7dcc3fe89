//! JSON read strictly: a name twice in one object is refused (serde_json by itself keeps the last and says
//! nothing), and so are nesting beyond [`MAX_DEPTH`] and numbers that are not whole.

use serde::de::{DeserializeSeed, Deserializer, Error as _, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Value};
use std::fmt;

/// How deep an entry may nest, the entry itself being level 1.
pub const MAX_DEPTH: usize = 16;

/// One whole JSON object out of `text`, with nothing after it.
pub(crate) fn object(text: &str) -> Result<Map<String, Value>, String> {
    let mut reader = serde_json::Deserializer::from_str(text);
    let value = Strict { depth: 0 }.deserialize(&mut reader).map_err(|error| error.to_string())?;
    reader.end().map_err(|error| error.to_string())?;
    match value {
        Value::Object(map) => Ok(map),
        _ => Err("it is not an object".to_owned()),
    }
}

#[derive(Clone, Copy)]
struct Strict {
    depth: usize,
}

impl Strict {
    fn deeper<E: serde::de::Error>(self) -> Result<Strict, E> {
        if self.depth == MAX_DEPTH {
            return Err(E::custom(format_args!("it nests deeper than {MAX_DEPTH} levels")));
        }
        Ok(Strict { depth: self.depth + 1 })
    }
}

impl<'de> DeserializeSeed<'de> for Strict {
    type Value = Value;

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<Value, D::Error> {
        reader.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Strict {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("JSON")
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E>(self, value: bool) -> Result<Value, E> {
        Ok(Value::Bool(value))
    }

    fn visit_i64<E>(self, value: i64) -> Result<Value, E> {
        Ok(Value::Number(value.into()))
    }

    fn visit_u64<E>(self, value: u64) -> Result<Value, E> {
        Ok(Value::Number(value.into()))
    }

    /// Numbers are whole, in small units: a fraction reads and prints differently from one program to the next, and
    /// two devices would disagree on what they hold.
    fn visit_f64<E: serde::de::Error>(self, value: f64) -> Result<Value, E> {
        Err(E::custom(format_args!("{value:?} is not a whole number of at most 64 bits")))
    }

    fn visit_str<E>(self, value: &str) -> Result<Value, E> {
        Ok(Value::String(value.to_owned()))
    }

    fn visit_string<E>(self, value: String) -> Result<Value, E> {
        Ok(Value::String(value))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Value, A::Error> {
        let inner = self.deeper()?;
        let mut list = Vec::new();
        while let Some(value) = seq.next_element_seed(inner)? {
            list.push(value);
        }
        Ok(Value::Array(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Value, A::Error> {
        let inner = self.deeper()?;
        let mut object = Map::new();
        while let Some(name) = map.next_key::<String>()? {
            if object.contains_key(&name) {
                let shown: String = name.chars().take(40).collect();
                return Err(A::Error::custom(format_args!("the name {shown:?} stands twice in one object")));
            }
            let value = map.next_value_seed(inner)?;
            object.insert(name, value);
        }
        Ok(Value::Object(object))
    }
}
