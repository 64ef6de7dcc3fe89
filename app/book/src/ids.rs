//! Names of records, one type per kind, so that an egg's id cannot be handed in where a clutch's is meant.

pub use crate::kinds::*;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// The type of one kind's ids.
macro_rules! ids {
    ($id:ident, $kind:ident, $word:literal) => {
        #[doc = concat!("The id of a `", $word, "` record.")]
        #[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $id(String);

        impl $id {
            /// Wraps the text as it is; whether such a record exists is for the book to say.
            pub fn new(id: impl Into<String>) -> Self {
                Self(id.into())
            }

            /// The bare id.
            pub fn as_str(&self) -> &str {
                &self.0
            }

            /// As a reference of any kind.
            pub fn thing(&self) -> Thing {
                Thing { kind: Kind::$kind, id: self.0.clone() }
            }
        }

        impl std::fmt::Display for $id {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(&self.0)
            }
        }

        impl AsRef<str> for $id {
            fn as_ref(&self) -> &str {
                &self.0
            }
        }

        impl From<&str> for $id {
            fn from(id: &str) -> Self {
                Self(id.to_owned())
            }
        }

        impl From<journal::Id> for $id {
            fn from(id: journal::Id) -> Self {
                Self(id.to_string())
            }
        }

        impl From<$id> for Thing {
            fn from(id: $id) -> Thing {
                Thing { kind: Kind::$kind, id: id.0 }
            }
        }

        impl $crate::records::Scalar for $id {
            const SHAPE: $crate::records::Shape = $crate::records::Shape::Link(Kind::$kind);

            fn of(value: &serde_json::Value) -> Option<Self> {
                value.as_str().filter(|id| !id.is_empty()).map(Self::from)
            }

            fn put(&self) -> serde_json::Value {
                self.as_str().into()
            }
        }

        impl $crate::records::Names for $id {
            fn named(&self) -> Thing {
                self.thing()
            }
        }

        impl $crate::records::Key for $id {
            fn key(&self) -> std::borrow::Cow<'_, str> {
                std::borrow::Cow::Borrowed(&self.0)
            }
        }
    };
}
pub(crate) use ids;

/// A reference to a record of any known kind; as text `kind:ID`.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Thing {
    pub kind: Kind,
    pub id: String,
}

impl Thing {
    pub fn new(kind: Kind, id: impl Into<String>) -> Thing {
        Thing { kind, id: id.into() }
    }
}

impl fmt::Display for Thing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.kind.word(), self.id)
    }
}

/// Why a text is no [`Thing`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadThing(pub String);

impl fmt::Display for BadThing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "“{}” names no record; expected a kind and an id, such as filling:7K3QX2M9", self.0)
    }
}

impl std::error::Error for BadThing {}

impl FromStr for Thing {
    type Err = BadThing;

    fn from_str(text: &str) -> Result<Thing, BadThing> {
        text.split_once(':')
            .filter(|(_, id)| !id.is_empty())
            .and_then(|(kind, id)| Some(Thing { kind: Kind::of(kind)?, id: id.to_owned() }))
            .ok_or_else(|| BadThing(text.chars().take(60).collect()))
    }
}

impl TryFrom<String> for Thing {
    type Error = BadThing;
    fn try_from(text: String) -> Result<Thing, BadThing> {
        text.parse()
    }
}

impl From<Thing> for String {
    fn from(thing: Thing) -> String {
        thing.to_string()
    }
}

/// Where something is.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Where {
    Place(PlaceId),
    /// In an egg box.
    Filling(FillingId),
    /// Still under the dam.
    Dam,
    Unknown,
}

impl fmt::Display for Where {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Where::Place(id) => write!(f, "place:{id}"),
            Where::Filling(id) => write!(f, "filling:{id}"),
            Where::Dam => f.write_str("dam"),
            Where::Unknown => f.write_str("unknown"),
        }
    }
}

impl FromStr for Where {
    type Err = BadThing;

    fn from_str(text: &str) -> Result<Where, BadThing> {
        match text {
            "dam" => Ok(Where::Dam),
            "unknown" => Ok(Where::Unknown),
            _ => match text.parse::<Thing>()? {
                Thing { kind: Kind::Place, id } => Ok(Where::Place(PlaceId::new(id))),
                Thing { kind: Kind::Filling, id } => Ok(Where::Filling(FillingId::new(id))),
                _ => Err(BadThing(text.chars().take(60).collect())),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn things_and_places_read_back() {
        for text in ["filling:7K3QX2M9", "egg:00000001", "note:7K3QX2M9.12.0"] {
            assert_eq!(text.parse::<Thing>().expect(text).to_string(), text);
        }
        for text in ["place:7K3QX2M9", "filling:7K3QX2M9", "dam", "unknown"] {
            assert_eq!(text.parse::<Where>().expect(text).to_string(), text);
        }
        for text in ["", "egg", "egg:", "spaceship:1", "animal:1"] {
            assert!(text.parse::<Where>().is_err(), "{text}");
        }
    }
}
