//! Reading a record's fields leniently: what does not fit becomes absent and is listed, never a failure.
//! Merged books and newer versions make any field able to hold anything.

use crate::ids::{Kind, Thing};
use serde_json::Value;
use std::collections::BTreeMap;

/// A field that did not hold what its kind says.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Oddity {
    pub thing: Thing,
    pub field: String,
    /// What stands there, shortened.
    pub holds: String,
}

/// The fields of one record, with a list of what was odd.
pub(crate) struct Fields<'a> {
    kind: Kind,
    /// The record's own id.
    pub(crate) id: &'a str,
    /// In order of name, as a record gives them.
    values: Vec<(&'a str, &'a Value)>,
    pub(crate) odd: Vec<Oddity>,
}

impl<'a> Fields<'a> {
    pub(crate) fn new(kind: Kind, id: &'a str, values: impl Iterator<Item = (&'a str, &'a Value)>) -> Self {
        let values = values.filter(|(_, value)| !value.is_null()).collect();
        Fields { kind, id, values, odd: Vec::new() }
    }

    fn odd(&mut self, field: &str, value: &Value) {
        self.odd.push(Oddity {
            thing: Thing::new(self.kind, self.id),
            field: field.to_owned(),
            holds: value.to_string().chars().take(60).collect(),
        });
    }

    fn value(&self, field: &str) -> Option<&'a Value> {
        let at = self.values.binary_search_by(|(name, _)| (*name).cmp(field)).ok()?;
        self.values.get(at).map(|(_, value)| *value)
    }

    /// Reads a value; `unread` gives what stands for one that cannot be read.
    pub(crate) fn get<T>(
        &mut self,
        field: &str,
        read: impl FnOnce(&Value) -> Option<T>,
        unread: impl FnOnce(&Value) -> Option<T>,
    ) -> Option<T> {
        let value = self.value(field)?;
        read(value).or_else(|| {
            self.odd(field, value);
            unread(value)
        })
    }

    /// A value that is needed to read another; whether it is odd is for its own field to say.
    pub(crate) fn peek<T>(&self, field: &str, read: impl FnOnce(&Value) -> Option<T>) -> Option<T> {
        read(self.value(field)?)
    }

    /// A list whose items are each read; odd ones are left out and listed. Doubles are kept once.
    pub(crate) fn list<T: PartialEq>(&mut self, field: &str, read: impl Fn(&Value) -> Option<T>) -> Vec<T> {
        let Some(value) = self.value(field) else { return Vec::new() };
        let mut items = Vec::new();
        let Value::Array(list) = value else {
            self.odd(field, value);
            return items;
        };
        for value in list {
            match read(value) {
                Some(item) if items.contains(&item) => {}
                Some(item) => items.push(item),
                None => self.odd(field, value),
            }
        }
        items
    }

    /// A map of id → word.
    pub(crate) fn map<I: for<'t> From<&'t str> + Ord, W>(
        &mut self,
        field: &str,
        read: impl Fn(&str) -> Option<W>,
    ) -> BTreeMap<I, W> {
        let Some(value) = self.value(field) else { return BTreeMap::new() };
        let mut map = BTreeMap::new();
        let Value::Object(object) = value else {
            self.odd(field, value);
            return map;
        };
        for (id, value) in object {
            match value.as_str().and_then(&read) {
                Some(word) => _ = map.insert(I::from(id.as_str()), word),
                None => self.odd(field, value),
            }
        }
        map
    }
}
