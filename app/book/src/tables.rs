//! All typed records, by kind and id.
//!
//! One map's code serves all kinds: there are thirty of them, and a phone downloads what is compiled for each.

use crate::book::Book;
use crate::fields::Fields;
use crate::ids::Thing;
use crate::index::{Add, ByHash};
use crate::memo::{Read, note};
use crate::order::Order;
use crate::records::{self, Listed, Record};
use std::any::Any;
use std::collections::BTreeMap;
use std::fmt;
use std::marker::PhantomData;
use std::sync::Arc;
use trade::when::When;

/// A record with the order of its last write, which breaks ties between things that happened at one time.
pub(crate) struct Kept<T> {
    pub(crate) record: T,
    pub(crate) written: Order,
}

/// A kept record of any kind.
pub(crate) trait Row: Any + Send + Sync {
    /// [`Record::links`]
    fn links(&self, add: &mut Add<'_>);

    /// [`Record::brings`]
    fn brings(&self) -> Vec<Thing>;

    /// [`Record::about`]
    fn about(&self) -> Option<Thing>;

    /// [`Record::at`]
    fn at(&self) -> Option<When>;

    /// [`Record::is_live`]
    fn is_live(&self) -> bool;

    /// [`Record::called`]
    fn called(&self, book: &Book) -> Option<String>;

    /// [`Record::found_by`]
    fn found_by(&self) -> Vec<&str>;

    fn written(&self) -> Order;
}

/// Not its fields: what each kind could print of itself would be downloaded, asked for or not.
impl fmt::Debug for dyn Row {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}", self.written())
    }
}

impl<T: Record + Send + Sync + 'static> Row for Kept<T> {
    fn links(&self, add: &mut Add<'_>) {
        self.record.links(add);
    }

    fn brings(&self) -> Vec<Thing> {
        self.record.brings()
    }

    fn about(&self) -> Option<Thing> {
        self.record.about()
    }

    fn at(&self) -> Option<When> {
        self.record.at()
    }

    fn is_live(&self) -> bool {
        self.record.is_live()
    }

    fn called(&self, book: &Book) -> Option<String> {
        self.record.called(book)
    }

    fn found_by(&self) -> Vec<&str> {
        self.record.found_by()
    }

    fn written(&self) -> Order {
        self.written
    }
}

/// Rows of one kind: found by hash, gone through in order. In an ordered map alone each look-up reads a dozen ids that lie
/// anywhere in memory, and a season asks for tens of thousands.
#[derive(Clone, Debug, Default)]
pub(crate) struct Rows {
    by_id: ByHash<Arc<str>, Arc<dyn Row>>,
    ordered: BTreeMap<Arc<str>, Arc<dyn Row>>,
}

impl Rows {
    pub(crate) fn insert(&mut self, id: &str, row: Arc<dyn Row>) {
        let id: Arc<str> = id.into();
        self.by_id.insert(id.clone(), row.clone());
        self.ordered.insert(id, row);
    }

    pub(crate) fn get(&self, id: &str) -> Option<&dyn Row> {
        self.by_id.get(id).map(|row| &**row)
    }

    /// All of them, by id.
    pub(crate) fn all(&self) -> impl Iterator<Item = (&str, &dyn Row)> {
        self.ordered.iter().map(|(id, row)| (&**id, &**row))
    }

    pub(crate) fn remove(&mut self, id: &str) -> Option<Arc<dyn Row>> {
        self.ordered.remove(id);
        self.by_id.remove(id)
    }
}

/// The records of one kind by id; shared between copies of a book.
#[derive(Clone, Debug)]
pub(crate) struct Table<I, T> {
    pub(crate) rows: Rows,
    of: PhantomData<(I, T)>,
}

impl<I, T> Default for Table<I, T> {
    fn default() -> Self {
        Table { rows: Rows::default(), of: PhantomData }
    }
}

impl<I: AsRef<str>, T: Listed + 'static> Table<I, T> {
    pub(crate) fn get(&self, id: &I) -> Option<&Kept<T>> {
        note(|| Read::record(T::KIND, id.as_ref()));
        typed(self.rows.by_id.get(id.as_ref())?)
    }

    /// All of them, by id.
    pub(crate) fn values(&self) -> impl Iterator<Item = &Kept<T>> {
        note(|| Read::all(T::KIND));
        self.rows.ordered.values().filter_map(typed)
    }
}

pub(crate) fn typed<T: 'static>(row: &Arc<dyn Row>) -> Option<&Kept<T>> {
    (&**row as &dyn Any).downcast_ref()
}

/// Reads a record of one kind.
pub(crate) type Reader = fn(&mut Fields<'_>, Order) -> Arc<dyn Row>;

pub(crate) fn reader<T: Record + Send + Sync + 'static>(fields: &mut Fields<'_>, written: Order) -> Arc<dyn Row> {
    Arc::new(Kept { record: records::read::<T>(fields), written })
}
