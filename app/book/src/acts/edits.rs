//! Settling clashes and taking records back. Undoing an act is the journal's own.

use super::{Act, Mint, Refusal, draft, there, unbounded};
use crate::book::Book;
use crate::ids::Thing;
use chrono::NaiveDateTime;
use journal::Draft;
use serde_json::{Map, Value};

/// One of the values that stand side by side in a field, chosen.
#[derive(Clone, Debug)]
pub struct ClashSettled {
    pub thing: Thing,
    pub field: String,
    /// One of the clashing values (see [`journal::Fold::clashes_of`]); null for none. Of the field
    /// [`journal::WITHDRAWN`]: true takes the whole record back, null keeps it.
    pub value: Value,
}

impl Act for ClashSettled {
    fn draft(&self, book: &Book, _now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let kind = self.thing.kind;
        if self.field == journal::WITHDRAWN {
            let mut clashes = book.journal().clashes_of(kind.word(), &self.thing.id);
            if !clashes.any(|clash| clash.withdrawn.is_some()) {
                return Err(Refusal::NoClash);
            }
            let fields = one(&self.field, Value::Null);
            let set = match self.value.as_bool() {
                Some(true) => book.journal().withdraw(kind.word(), &self.thing.id),
                _ => book.set(kind, &self.thing.id, fields),
            };
            return unbounded("ClashSettled", vec![set]);
        }
        let clashes = book.journal().clashes_of(kind.word(), &self.thing.id).any(|clash| clash.field == self.field);
        if !clashes {
            return Err(Refusal::NoClash);
        }
        let offered = book
            .journal()
            .any_record(kind.word(), &self.thing.id)
            .is_some_and(|record| record.heads(&self.field).iter().any(|head| head.value == self.value));
        if !offered && !self.value.is_null() {
            return Err(Refusal::Missing { what: "one of the entries to keep" });
        }
        let fields = one(&self.field, self.value.clone());
        unbounded("ClashSettled", vec![book.set(kind, &self.thing.id, fields)])
    }
}

fn one(field: &str, value: Value) -> Map<String, Value> {
    let mut fields = Map::new();
    fields.insert(field.to_owned(), value);
    fields
}

/// A record taken back whole: it was a mistake. Undo brings it back.
#[derive(Clone, Debug)]
pub struct Withdrawn {
    pub thing: Thing,
}

impl Act for Withdrawn {
    fn draft(&self, book: &Book, _now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.thing.clone())?;
        draft("Withdrawn", vec![book.journal().withdraw(self.thing.kind.word(), &self.thing.id)])
    }
}
