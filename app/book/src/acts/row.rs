//! Writing fields of a record, in the units the journal keeps.

use crate::book::Book;
use crate::ids::*;
use crate::words::*;
use chrono::NaiveDate;
use journal::DraftSet;
use serde_json::{Map, Value};
use std::collections::BTreeMap;
use trade::units::{Mass, Temp};
use trade::when::When;

/// What a field can be written from.
pub(crate) trait Put {
    fn put(&self) -> Value;
}

macro_rules! put {
    ($($ty:ty: $this:ident => $value:expr;)*) => { $(
        impl Put for $ty {
            fn put(&self) -> Value {
                let $this = self;
                $value
            }
        }
    )* };
}

put! {
    bool: b => Value::from(*b);
    i64: n => Value::from(*n);
    u32: n => Value::from(*n);
    Mass: m => Value::from(m.0);
    Temp: t => Value::from(t.0);
    When: w => Value::from(w.to_string());
    NaiveDate: d => Value::from(d.to_string());
    Thing: t => Value::from(t.to_string());
    Where: w => Value::from(w.to_string());
    str: s => if s.trim().is_empty() { Value::Null } else { Value::from(s.trim()) };
    String: s => s.as_str().put();
}

macro_rules! put_ids {
    ($($ty:ident)*) => { $(impl Put for $ty { fn put(&self) -> Value { Value::from(self.as_str()) } })* };
}
put_ids! { PersonId PlaceId AnimalId PairingId ClutchId EggId FillingId BoxId ContactId WishId }

macro_rules! put_words {
    ($($ty:ident)*) => { $(impl Put for $ty { fn put(&self) -> Value { Value::from(self.word()) } })* };
}
put_words! { PlaceWhat Sex Came Went AnimalEventWhat MealOutcome ClutchCame LaidAs Fate Mix Seen Step TraitMode TraitOn Together TraitSeen TraitKnown }

impl<T: Put + ?Sized> Put for &T {
    fn put(&self) -> Value {
        (*self).put()
    }
}

impl<T: Put> Put for Option<T> {
    fn put(&self) -> Value {
        self.as_ref().map_or(Value::Null, Put::put)
    }
}

/// An empty list is the same as none.
impl<T: Put> Put for [T] {
    fn put(&self) -> Value {
        if self.is_empty() { Value::Null } else { Value::Array(self.iter().map(Put::put).collect()) }
    }
}

impl<T: Put> Put for Vec<T> {
    fn put(&self) -> Value {
        self.as_slice().put()
    }
}

impl Put for BTreeMap<EggId, Seen> {
    fn put(&self) -> Value {
        Value::Object(self.iter().map(|(egg, seen)| (egg.to_string(), seen.put())).collect())
    }
}

/// Fields on their way into a draft.
#[derive(Clone, Debug, Default)]
pub(crate) struct Row(Map<String, Value>);

impl Row {
    pub(crate) fn new() -> Row {
        Row::default()
    }

    pub(crate) fn with(mut self, field: &str, value: impl Put) -> Row {
        self.0.insert(field.to_owned(), value.put());
        self
    }

    /// As [`Row::with`], where the value is another than what holds now, written down or not.
    pub(crate) fn changed<T: Put + PartialEq>(self, field: &str, value: T, now: T) -> Row {
        if value == now { self } else { self.with(field, value) }
    }

    /// Only what is set: for a record that is new.
    fn set_only(mut self) -> Map<String, Value> {
        self.0.retain(|_, value| !value.is_null());
        self.0
    }

    /// A record of its own.
    pub(crate) fn create(self, book: &Book, kind: Kind, id: &str) -> DraftSet {
        book.set(kind, id, self.set_only())
    }

    /// An observation.
    pub(crate) fn observe(self, kind: Kind) -> DraftSet {
        DraftSet::observation(kind.word(), self.set_only())
    }

    /// About how many bytes a line needs that takes the record back, or brings it back: each field with what it holds and
    /// the name of the act it writes over.
    pub(crate) fn undo_bytes(&self) -> usize {
        let set = self.0.iter().filter(|(_, value)| !value.is_null());
        set.map(|(field, value)| 2 * field.len() + 110 + value.to_string().len()).sum::<usize>() + 200
    }

    /// What differs from the record as it stands; none when nothing does.
    pub(crate) fn change(mut self, book: &Book, kind: Kind, id: &str) -> Option<DraftSet> {
        let record = book.journal().record(kind.word(), id);
        self.0.retain(|field, value| {
            let stands = record.and_then(|record| record.get(field));
            stands.unwrap_or(&Value::Null) != value
        });
        (!self.0.is_empty()).then(|| book.set(kind, id, self.0))
    }
}
