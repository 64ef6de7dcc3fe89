//! Digests two people can compare: of the whole state, of one record, of the set of entries.
//!
//! For programs in other languages, all of it is SHA-256 over UTF-8 text:
//! - a record: for each field in byte order, for each of its heads in the order of references, one line
//!   `field TAB dev.seq.hash LF`, with all 64 hex digits of the hash (the reference stands for the value: it holds
//!   the hash of the line);
//! - the state: for each record in byte order of kind, then id, one line `kind TAB id TAB digest LF`, the
//!   digest being the record's in 64 lower-case hex digits;
//! - the entries: for each device in order, for each of its last acts (several if it forked) in order of
//!   number, then hash, one line `dev TAB seq TAB hash LF`.
//!
//! The short form is the first 40 bits in Crockford's Base32.
//!
//! Bundles of form 1 tell a state digest made of references with the first eight hex digits of each hash only. Two
//! states that differ can share it, so it is used for nothing but to see whether such a bundle is still whole.

use crate::fold::{Fold, Key, Record};
use crate::id::BadText;
use crate::id::{Id, Named, Ref, as_text, from_hex, write_hex};
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use std::fmt::{self, Write as _};
use std::ops::Bound;
use std::str::FromStr;
use std::sync::Arc;

/// A digest; as text 64 lower-case hex digits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Digest(pub [u8; 32]);

impl Digest {
    /// Eight characters for people to compare.
    pub fn short(&self) -> String {
        let [a, b, c, d, e, ..] = self.0;
        Id::mint([a, b, c, d, e]).to_string()
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_hex(f, &self.0)
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

impl FromStr for Digest {
    type Err = BadText;

    fn from_str(text: &str) -> Result<Digest, BadText> {
        from_hex(text).map(Digest).ok_or(BadText { expects: "a digest of 64 lower-case hex digits" })
    }
}

as_text!(Digest);

/// Text straight into the hash.
struct Hasher(Sha256);

impl Hasher {
    fn new() -> Hasher {
        Hasher(Sha256::new())
    }

    fn end(self) -> Digest {
        Digest(self.0.finalize().into())
    }
}

impl fmt::Write for Hasher {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        self.0.update(text.as_bytes());
        Ok(())
    }
}

fn digest(write: impl FnOnce(&mut Hasher) -> fmt::Result) -> Digest {
    let mut hasher = Hasher::new();
    // Hashing cannot fail, so neither can writing into it.
    let _ = write(&mut hasher);
    hasher.end()
}

/// A reference as a digest holds it.
type Told = fn(Ref) -> Named;

/// One act mostly wrote all of a record, so its reference is made a text once and not for each field: in a large barn that is
/// most of the work.
fn record_digest(record: &Record, told: Told) -> Digest {
    digest(|out| {
        let mut last: Option<(Ref, String)> = None;
        for field in &record.fields {
            let mut refs: Vec<Ref> = field.heads.iter().map(|head| head.reference).collect();
            refs.sort_unstable();
            for reference in refs {
                let known = last.take().filter(|(known, _)| *known == reference);
                let (_, text) = last.insert(known.unwrap_or_else(|| (reference, format!("\t{}\n", told(reference)))));
                out.write_str(&field.name)?;
                out.write_str(text)?;
            }
        }
        Ok(())
    })
}

/// A digest of the whole state in the making. Of a large barn it takes longer than a page may stand still.
pub struct Digesting {
    out: Hasher,
    /// The last record that is in it.
    after: Option<Key>,
}

impl Default for Digesting {
    fn default() -> Digesting {
        Digesting { out: Hasher::new(), after: None }
    }
}

impl Fold {
    /// Of all records: equal wherever the same entries were folded.
    pub fn digest(&self) -> Digest {
        self.digest_told(Named::Whole)
    }

    /// As bundles of form 1 tell it; may be equal where states differ.
    pub(crate) fn digest_of_form_1(&self) -> Digest {
        self.digest_told(|reference| Named::Short(reference.short()))
    }

    fn digest_told(&self, told: Told) -> Digest {
        let mut all = Digesting::default();
        self.put(&mut all, usize::MAX, told);
        all.out.end()
    }

    /// Goes on with the [digest](Fold::digest) by so many records; hands it over once all are in it. If anything is folded
    /// meanwhile it has to be begun anew.
    pub fn digest_on(&self, digesting: &mut Digesting, records: usize) -> Option<Digest> {
        let done = self.put(digesting, records, Named::Whole);
        done.then(|| std::mem::take(digesting).out.end())
    }

    /// Whether all records are in it now.
    fn put(&self, digesting: &mut Digesting, records: usize, told: Told) -> bool {
        let Digesting { out, after } = digesting;
        let mut left = self.digests_after(after.take(), told);
        for (key, record) in left.by_ref().take(records) {
            // As above, this cannot fail.
            let _ = writeln!(out, "{}\t{}\t{record}", key.kind, key.id);
            *after = Some(key);
        }
        left.next().is_none()
    }

    /// Of each record ever written, in order: where two states differ.
    pub fn digests(&self) -> impl Iterator<Item = (Key, Digest)> {
        self.digests_after(None, Named::Whole)
    }

    /// Of the records that follow one.
    fn digests_after(&self, after: Option<Key>, told: Told) -> impl Iterator<Item = (Key, Digest)> {
        let kinds = match &after {
            Some(after) => self.kinds.range(after.kind.clone()..),
            None => self.kinds.range::<Arc<str>, _>(..),
        };
        kinds.flat_map(move |(kind, records)| {
            let key = |id: &Arc<str>| Key { kind: kind.clone(), id: id.clone() };
            let first = match &after {
                Some(after) if after.kind == *kind => Bound::Excluded(after.id.clone()),
                _ => Bound::Unbounded,
            };
            let left = records.range::<Arc<str>, _>((first, Bound::Unbounded));
            left.map(move |(id, record)| (key(id), record_digest(record, told)))
        })
    }

    /// Of the set of entries folded (held ones are not): what a [snapshot](Fold::snapshot) is kept under.
    pub fn entry_set(&self) -> Digest {
        digest(|out| {
            for (dev, tree) in &self.trees {
                let mut tips = tree.tips.clone();
                tips.sort_unstable();
                tips.iter().try_for_each(|(seq, hash)| writeln!(out, "{dev}\t{seq}\t{hash}"))?;
            }
            Ok(())
        })
    }
}
