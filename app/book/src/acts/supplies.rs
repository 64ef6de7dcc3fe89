//! What the barn has of something.

use super::row::Row;
use super::{Act, Mint, Refusal, draft, fresh};
use crate::book::Book;
use crate::records::Supply;
use chrono::NaiveDateTime;
use journal::Draft;

/// How many there are of something; `None`: as the barn's places tell.
#[derive(Clone, Debug)]
pub struct SupplySet {
    /// As [`crate::records::Supply::what`].
    pub what: String,
    pub have: Option<u32>,
}

impl Act for SupplySet {
    fn draft(&self, book: &Book, _now: NaiveDateTime, mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        let what = self.what.trim();
        if what.is_empty() {
            return Err(Refusal::Missing { what: "what there is so many of" });
        }
        let id = book.supply(what).map_or_else(|| fresh(book, mint), |known| known.id.to_string());
        let row = Row::new().with(Supply::what, what).with(Supply::have, self.have);
        draft("SupplySet", row.change(book, &id).into_iter().collect())
    }
}
