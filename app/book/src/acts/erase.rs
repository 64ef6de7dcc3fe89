//! Somebody's details erased for good: a line that travels, and takes the details away wherever it comes.

use super::row::Row;
use super::{Act, Mint, Refusal, draft, there};
use crate::book::Book;
use crate::ids::ContactId;
use crate::records::DetailsErased;
use chrono::NaiveDateTime;
use journal::{Digest, Draft};
use std::collections::BTreeSet;

/// Versions erased by one act at most; more are erased by the next.
pub(crate) const AT_ONCE: usize = 500;

/// Everything ever kept of somebody is erased. The mark stays, and what went to them.
///
/// The page erases the content once the act is stored. Nothing brings it back: see [`is_final`].
#[derive(Clone, Debug)]
pub struct PersonErased {
    pub contact: ContactId,
    /// The digest of every version, as [`crate::versions`] finds them. What is no digest is passed over.
    pub digests: BTreeSet<String>,
}

impl Act for PersonErased {
    fn draft(&self, book: &Book, _now: NaiveDateTime, _mint: &mut Mint<'_>) -> Result<Draft, Refusal> {
        there(book, self.contact.clone())?;
        let kept = self.digests.iter().filter(|digest| digest.parse::<Digest>().is_ok() && !book.is_erased(digest));
        let set = |digest: &String| Row::new().with(DetailsErased::contact, &self.contact).create(book, digest);
        let sets: Vec<_> = kept.take(AT_ONCE).map(set).collect();
        if sets.is_empty() {
            return Err(Refusal::NoDetails { mark: book.contact_mark(&self.contact) });
        }
        draft("PersonErased", sets)
    }
}

/// Whether an act of this name is never undone, since what it did away with is gone.
pub fn is_final(act: &str) -> bool {
    act == "PersonErased"
}
