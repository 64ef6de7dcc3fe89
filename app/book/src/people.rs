//! People outside the barn: which details of theirs stand, may go along in a bundle, or are erased for good. The details
//! themselves lie beside the journal; the book knows their digests.

use crate::book::Book;
use crate::ids::{ContactId, Kind};
use crate::memo::{Read, note};
use journal::{Digest, Entry};
use std::collections::BTreeSet;

impl Book {
    /// Whether details were erased for good, by their digest. Taking the record of it back does not change that.
    pub fn is_erased(&self, digest: &str) -> bool {
        self.was_written(Kind::DetailsErased, digest)
    }

    /// Digests of all details that were ever erased for good, in order.
    pub fn erased_details(&self) -> impl Iterator<Item = &str> {
        note(|| Read::all(Kind::DetailsErased));
        self.journal().any_records(Kind::DetailsErased.word()).map(|(digest, _)| digest)
    }

    /// Digests of everybody's details that stand now and are not erased.
    pub fn all_details(&self) -> BTreeSet<String> {
        self.going_along(self.contacts().into_iter().map(|contact| &contact.id))
    }

    /// Digests of somebody's details that stand now and are not erased: one, or several where two people wrote without
    /// knowing of each other; the one shown comes last.
    pub fn details_of(&self, contact: &ContactId) -> Vec<String> {
        let record = self.record(&contact.thing());
        let heads = record.map(|record| record.heads("digest")).unwrap_or_default();
        let texts = heads.iter().filter_map(|head| head.value.as_str());
        texts.filter(|digest| !self.is_erased(digest)).map(str::to_owned).collect()
    }

    /// Digests of the details that go along in a bundle when these people were chosen. Whoever was not chosen stays,
    /// and so does what stood before an edit.
    pub fn going_along<'a>(&self, chosen: impl IntoIterator<Item = &'a ContactId>) -> BTreeSet<String> {
        chosen.into_iter().flat_map(|contact| self.details_of(contact)).collect()
    }
}

/// The digest of every version of somebody's details that any of these lines ever named, erased ones included.
pub fn versions<'a>(lines: impl IntoIterator<Item = &'a str>, contact: &ContactId) -> BTreeSet<String> {
    let named = format!("\"{contact}\"");
    let mut found = BTreeSet::new();
    // Few of all lines are about them: the others are not read.
    for line in lines.into_iter().filter(|line| line.contains(&named)) {
        let Ok(entry) = Entry::read(line) else { continue };
        for set in &entry.sets {
            if set.kind == Kind::Contact.word() && set.id == contact.as_str() {
                let digest = set.fields.get("digest").and_then(|value| value.as_str());
                found.extend(digest.filter(|text| text.parse::<Digest>().is_ok()).map(str::to_owned));
            }
        }
    }
    found
}
