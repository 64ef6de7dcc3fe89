//! One record: flat fields, each with the writes that nobody has written over.

use crate::id::{Named, Ref};
use crate::stamp::Stamp;
use serde_json::Value;
use smallvec::SmallVec;
use std::sync::Arc;

/// The field that says a whole record is withdrawn, in records of every kind.
pub const WITHDRAWN: &str = "withdrawn";

/// A write that stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Head {
    /// The entry that wrote it.
    pub reference: Ref,
    pub at: Stamp,
    /// Null means unset.
    pub value: Value,
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Field {
    pub(crate) name: Arc<str>,
    /// Never empty; in order of stamp, then reference, so that the last is the value.
    pub(crate) heads: SmallVec<[Head; 1]>,
}

/// A write that does not count when it arrives, since it was written over before.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Pending {
    pub(crate) field: Arc<str>,
    /// An exact reference is forgotten once its entry is here. A short one stays: another entry that it fits may come.
    pub(crate) named: Named,
    /// Whether no entry so named is known to be here.
    pub(crate) waits: bool,
}

/// What is known of one thing or observation.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Record {
    /// In order of name.
    pub(crate) fields: Vec<Field>,
    /// In order of field, then of what is named.
    pub(crate) pending: Vec<Pending>,
    /// All `crit` names of the entries that wrote here, in order.
    pub(crate) crit: Vec<Arc<str>>,
}

impl Record {
    /// The field's value: that of the head with the greatest stamp (a tie goes to the greater reference).
    /// None when unset.
    pub fn get(&self, field: &str) -> Option<&Value> {
        self.heads(field).last().map(|head| &head.value).filter(|value| !value.is_null())
    }

    /// The value, if it is a text.
    pub fn text(&self, field: &str) -> Option<&str> {
        self.get(field)?.as_str()
    }

    /// The value, if it is a whole number.
    pub fn int(&self, field: &str) -> Option<i64> {
        self.get(field)?.as_i64()
    }

    /// The value, if it is yes or no.
    pub fn flag(&self, field: &str) -> Option<bool> {
        self.get(field)?.as_bool()
    }

    /// The texts of the value, if it is a list; empty when unset. Members of other types are passed over.
    pub fn texts(&self, field: &str) -> impl Iterator<Item = &str> {
        let list = self.get(field).and_then(Value::as_array).map(Vec::as_slice).unwrap_or_default();
        list.iter().filter_map(Value::as_str)
    }

    /// Every field that is set, known or not, in order of name.
    pub fn fields(&self) -> impl Iterator<Item = (&str, &Value)> {
        self.fields.iter().filter_map(|field| {
            let value = &field.heads.last()?.value;
            (!value.is_null()).then_some((&*field.name, value))
        })
    }

    /// The writes that stand, oldest stamp first; the last is the value. Empty if never written.
    pub fn heads(&self, field: &str) -> &[Head] {
        match self.place(field) {
            Ok(place) => &self.fields[place].heads,
            Err(_) => &[],
        }
    }

    /// The latest write that stands in any field.
    pub fn last(&self) -> Option<&Head> {
        self.fields.iter().filter_map(|field| field.heads.last()).max_by_key(|head| (head.at, head.reference))
    }

    /// Whether somebody took the whole record back.
    pub fn withdrawn(&self) -> bool {
        self.flag(WITHDRAWN) == Some(true)
    }

    /// Names a reader must know before it changes this record; [read-only](Record::read_only) if it does not.
    pub fn crit(&self) -> impl Iterator<Item = &str> {
        self.crit.iter().map(|name| &**name)
    }

    /// Whether a newer version asked that this record not be changed by those who do not know what it means.
    pub fn read_only(&self, known: &[&str]) -> bool {
        self.crit().any(|name| !known.contains(&name))
    }

    /// Whether anything about it still waits: a clash, a write not yet arrived, a name that must be known.
    pub fn is_disputed(&self) -> bool {
        self.any_clash() || self.pending.iter().any(|pending| pending.waits) || !self.crit.is_empty()
    }

    pub(crate) fn place(&self, field: &str) -> Result<usize, usize> {
        self.fields.binary_search_by(|probe| (*probe.name).cmp(field))
    }

    /// Whether heads of the field differ, or it lives on in a withdrawn record.
    pub(crate) fn clashes(&self, field: &Field, withdrawn: bool) -> bool {
        let Some((first, rest)) = field.heads.split_first() else { return false };
        rest.iter().any(|head| head.value != first.value)
            || withdrawn && &*field.name != WITHDRAWN && field.heads.iter().any(|head| !head.value.is_null())
    }

    pub(crate) fn any_clash(&self) -> bool {
        let withdrawn = self.withdrawn();
        self.fields.iter().any(|field| self.clashes(field, withdrawn))
    }

    /// Adds a write and removes what it was written over. `arrived` says whether an entry is already folded;
    /// when in doubt it may say no, which costs memory and nothing else.
    pub(crate) fn write(&mut self, name: &Arc<str>, head: Head, over: &[Named], arrived: impl Fn(&Named) -> bool) {
        let place = self.place(name).unwrap_or_else(|place| {
            self.fields.insert(place, Field { name: name.clone(), heads: SmallVec::new() });
            place
        });
        for named in over {
            let heads = &mut self.fields[place].heads;
            let before = heads.len();
            heads.retain(|head| !named.means(&head.reference));
            let waits = heads.len() == before && !arrived(named);
            if waits || named.whole().is_none() {
                self.wait(name, *named, waits);
            }
        }
        let counts = !self.overtaken(name, &head.reference);
        let heads = &mut self.fields[place].heads;
        if counts {
            let order = (head.at, head.reference);
            let at = heads.partition_point(|other| (other.at, other.reference) < order);
            heads.insert(at, head);
        }
        // Only forged references can write each other over and leave nothing.
        if self.fields[place].heads.is_empty() {
            self.fields.remove(place);
        }
    }

    pub(crate) fn wait(&mut self, field: &Arc<str>, named: Named, waits: bool) {
        if let Err(place) = self.pending_place(field, &named) {
            self.pending.insert(place, Pending { field: field.clone(), named, waits });
        }
    }

    /// Whether a write that arrives was written over before.
    fn overtaken(&mut self, field: &str, reference: &Ref) -> bool {
        let whole = self.pending_place(field, &Named::Whole(*reference));
        if let Ok(place) = whole {
            self.pending.remove(place);
        }
        let short = self.pending_place(field, &Named::Short(reference.short()));
        if let Ok(place) = short {
            self.pending[place].waits = false;
        }
        whole.is_ok() || short.is_ok()
    }

    fn pending_place(&self, field: &str, named: &Named) -> Result<usize, usize> {
        self.pending.binary_search_by(|probe| (&*probe.field, &probe.named).cmp(&(field, named)))
    }
}
