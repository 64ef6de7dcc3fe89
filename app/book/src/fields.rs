//! Reading a record's fields leniently: what does not fit becomes absent and is listed, never a failure.
//! Merged books and newer versions make any field able to hold anything.

use crate::ids::{Kind, Thing, Where};
use crate::words::Word;
use chrono::NaiveDate;
use serde_json::Value;
use std::collections::BTreeMap;
use std::str::FromStr;
use trade::units::{Mass, Temp};
use trade::when::When;

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
    id: &'a str,
    /// In order of name, as a record gives them.
    values: Vec<(&'a str, &'a Value)>,
    pub(crate) odd: Vec<Oddity>,
}

impl<'a> Fields<'a> {
    pub(crate) fn new(kind: Kind, id: &'a str, values: impl Iterator<Item = (&'a str, &'a Value)>) -> Self {
        let values = values.filter(|(_, value)| !value.is_null()).collect();
        Fields { kind, id, values, odd: Vec::new() }
    }

    /// The record's own id.
    pub(crate) fn id<I: for<'t> From<&'t str>>(&self) -> I {
        I::from(self.id)
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

    fn get<T>(&mut self, field: &str, read: impl FnOnce(&Value) -> Option<T>) -> Option<T> {
        let value = self.value(field)?;
        let read = read(value);
        if read.is_none() {
            self.odd(field, value);
        }
        read
    }

    /// A text that says something.
    pub(crate) fn text(&mut self, field: &str) -> Option<String> {
        self.get(field, |v| v.as_str().map(str::to_owned)).filter(|text| !text.trim().is_empty())
    }

    /// A text that holds something else.
    pub(crate) fn read_text<T>(&mut self, field: &str, read: impl FnOnce(&str) -> Option<T>) -> Option<T> {
        self.get(field, |v| read(v.as_str()?))
    }

    pub(crate) fn whole(&mut self, field: &str) -> Option<i64> {
        self.get(field, Value::as_i64)
    }

    /// A count: 0 or more.
    pub(crate) fn count(&mut self, field: &str) -> Option<u32> {
        self.get(field, |v| v.as_u64().and_then(|n| u32::try_from(n).ok()))
    }

    /// Whether anything stands there.
    pub(crate) fn has(&self, field: &str) -> bool {
        self.value(field).is_some()
    }

    pub(crate) fn flag(&mut self, field: &str) -> bool {
        self.get(field, Value::as_bool).unwrap_or(false)
    }

    pub(crate) fn mass(&mut self, field: &str) -> Option<Mass> {
        self.whole(field).map(Mass)
    }

    pub(crate) fn temp(&mut self, field: &str) -> Option<Temp> {
        self.get(field, |v| v.as_i64().and_then(|n| i32::try_from(n).ok()).map(Temp))
    }

    fn parsed<T: FromStr>(&mut self, field: &str) -> Option<T> {
        self.get(field, |v| v.as_str()?.parse().ok())
    }

    pub(crate) fn when(&mut self, field: &str) -> Option<When> {
        self.parsed(field)
    }

    pub(crate) fn day(&mut self, field: &str) -> Option<NaiveDate> {
        self.when(field).map(When::date)
    }

    pub(crate) fn thing(&mut self, field: &str) -> Option<Thing> {
        self.parsed(field)
    }

    pub(crate) fn place(&mut self, field: &str) -> Option<Where> {
        self.parsed(field)
    }

    pub(crate) fn word<W: Word>(&mut self, field: &str) -> Option<W> {
        self.get(field, |v| W::of(v.as_str()?))
    }

    pub(crate) fn link<I: for<'t> From<&'t str>>(&mut self, field: &str) -> Option<I> {
        self.get(field, |v| v.as_str().filter(|id| !id.is_empty()).map(I::from))
    }

    /// A list whose items are each read; odd ones are left out and listed. Doubles are kept once.
    fn list<T: PartialEq>(&mut self, field: &str, read: impl Fn(&str) -> Option<T>) -> Vec<T> {
        let Some(value) = self.value(field) else { return Vec::new() };
        let mut items = Vec::new();
        match value {
            Value::Array(list) => {
                for value in list {
                    match value.as_str().and_then(&read) {
                        Some(item) if items.contains(&item) => {}
                        Some(item) => items.push(item),
                        None => self.odd(field, value),
                    }
                }
            }
            _ => self.odd(field, value),
        }
        items
    }

    pub(crate) fn links<I: for<'t> From<&'t str> + PartialEq>(&mut self, field: &str) -> Vec<I> {
        self.list(field, |id| (!id.is_empty()).then(|| I::from(id)))
    }

    pub(crate) fn things(&mut self, field: &str) -> Vec<Thing> {
        self.list(field, |text| text.parse().ok())
    }

    /// A map of id → word.
    pub(crate) fn word_map<I: for<'t> From<&'t str> + Ord, W: Word>(&mut self, field: &str) -> BTreeMap<I, W> {
        let Some(value) = self.value(field) else { return BTreeMap::new() };
        let mut map = BTreeMap::new();
        match value {
            Value::Object(object) => {
                for (id, value) in object {
                    match value.as_str().and_then(W::of) {
                        Some(word) => {
                            map.insert(I::from(id.as_str()), word);
                        }
                        None => self.odd(field, value),
                    }
                }
            }
            _ => self.odd(field, value),
        }
        map
    }
}
