//! Writing fields of a record, as its kind declares them.

use crate::book::Book;
use crate::ids::Kind;
use crate::records::{Holds, Listed, Record, Scalar, Slot};
use journal::DraftSet;
use serde_json::{Map, Value};
use std::collections::BTreeMap;
use std::marker::PhantomData;
use trade::logger::packed;
use trade::path::Reading;
use trade::units::Humidity;

/// What a field of the type `F` can be written from.
pub(crate) trait Fits<F> {
    fn fit(&self) -> Value;
}

impl<T: Scalar> Fits<Option<T>> for T {
    fn fit(&self) -> Value {
        self.put()
    }
}

impl<T: Scalar> Fits<Option<T>> for &T {
    fn fit(&self) -> Value {
        (*self).put()
    }
}

impl<T: Scalar> Fits<Option<T>> for Option<T> {
    fn fit(&self) -> Value {
        self.put()
    }
}

impl<T: Scalar> Fits<Option<T>> for Option<&T> {
    fn fit(&self) -> Value {
        self.map_or(Value::Null, T::put)
    }
}

/// Blanks say nothing.
impl Fits<Option<String>> for &str {
    fn fit(&self) -> Value {
        if self.trim().is_empty() { Value::Null } else { Value::from(self.trim()) }
    }
}

/// An empty list is the same as none.
impl<T: Scalar> Fits<Vec<T>> for &[T] {
    fn fit(&self) -> Value {
        if self.is_empty() { Value::Null } else { self.iter().map(T::put).collect() }
    }
}

impl<T: Scalar> Fits<Vec<T>> for &Vec<T> {
    fn fit(&self) -> Value {
        self.as_slice().fit()
    }
}

impl Fits<Vec<Reading>> for &[Reading] {
    fn fit(&self) -> Value {
        packed::pack(self).into()
    }
}

impl Fits<Vec<Option<Humidity>>> for &[Option<Humidity>] {
    fn fit(&self) -> Value {
        if self.is_empty() { Value::Null } else { packed::pack_humidity(self).into() }
    }
}

impl Fits<bool> for bool {
    fn fit(&self) -> Value {
        Holds::put(self)
    }
}

impl<K, V> Fits<BTreeMap<K, V>> for &BTreeMap<K, V>
where
    BTreeMap<K, V>: Holds,
{
    fn fit(&self) -> Value {
        self.put()
    }
}

/// Fields of one kind on their way into a draft.
pub(crate) struct Row<R> {
    fields: Map<String, Value>,
    of: PhantomData<R>,
}

impl<R: Listed> Row<R> {
    pub(crate) fn new() -> Row<R> {
        Row { fields: Map::new(), of: PhantomData }
    }

    pub(crate) fn with<F>(mut self, field: Slot<R, F>, value: impl Fits<F>) -> Row<R> {
        set(&mut self.fields, field.name, value.fit());
        self
    }

    /// As [`Row::with`], where the value is another than what holds now, written down or not.
    pub(crate) fn changed<T: Scalar + PartialEq>(self, field: Slot<R, Option<T>>, value: T, now: T) -> Row<R> {
        if value == now { self } else { self.with(field, value) }
    }

    /// As [`Row::with`] for a field that reads as `stands`; where nothing can be read it is shown as `unread`, and stays as
    /// it is unless something else was chosen.
    pub(crate) fn shown<T: Scalar + PartialEq>(
        mut self,
        field: Slot<R, Option<T>>,
        value: T,
        stands: Option<T>,
        unread: T,
    ) -> Row<R> {
        self.fields.remove(field.name);
        self.changed(field, value, stands.unwrap_or(unread))
    }

    /// Only what is set: for a record that is new.
    fn set_only(mut self) -> Map<String, Value> {
        self.fields.retain(|_, value| !value.is_null());
        self.fields
    }

    /// A record of its own.
    pub(crate) fn create(self, book: &Book, id: &str) -> DraftSet {
        put_down(book, R::KIND, id, self.set_only())
    }

    /// An observation.
    pub(crate) fn observe(self) -> DraftSet {
        DraftSet::observation(R::KIND.word(), self.set_only())
    }

    /// About how many bytes a line needs that takes the record back, or brings it back: each field with what it holds and
    /// the name of the act it writes over.
    pub(crate) fn undo_bytes(&self) -> usize {
        let set = self.fields.iter().filter(|(_, value)| !value.is_null());
        set.map(|(field, value)| 2 * field.len() + 110 + value.to_string().len()).sum::<usize>() + 200
    }

    /// What differs from the record as it is read; none when nothing does. What cannot be read here, since a newer version
    /// wrote it, reads as nothing and stays as it is unless something else is put there.
    pub(crate) fn change(mut self, book: &Book, id: &str) -> Option<DraftSet> {
        let stands = R::find(book, id).cloned().map(put).unwrap_or_default();
        self.fields.retain(|field, value| stands.get(field).unwrap_or(&Value::Null) != value);
        (!self.fields.is_empty()).then(|| put_down(book, R::KIND, id, self.fields))
    }
}

/// Undone, a record was taken back whole. An id that names what it is about, or stands on a label, comes again all the same: a
/// rule, a row put off, a box.
fn put_down(book: &Book, kind: Kind, id: &str, mut fields: Map<String, Value>) -> DraftSet {
    if book.journal().any_record(kind.word(), id).is_some_and(journal::Record::withdrawn) {
        set(&mut fields, journal::WITHDRAWN, Value::Null);
    }
    book.set(kind, id, fields)
}

fn set(fields: &mut Map<String, Value>, name: &str, value: Value) {
    fields.insert(name.to_owned(), value);
}

/// All of a record as the journal keeps it.
fn put(mut record: impl Record) -> Map<String, Value> {
    let mut fields = Map::new();
    record.each(&mut |name, field| set(&mut fields, name, field.put()));
    fields
}
