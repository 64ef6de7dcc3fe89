//! The names a bundle's files may have, and what stands in the small ones.

use super::error::BadBundle;
use crate::id::{DeviceId, Hash, MAX_SEQ};
use serde::{Deserialize, Serialize};
use std::fmt;

/// A file of a bundle, by its name. Anything that is none of these is refused by name alone, paths included.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Name {
    Manifest,
    Readme,
    /// One of the three folders, as archivers list them.
    Folder,
    Entries {
        dev: DeviceId,
        from: u32,
        to: u32,
    },
    /// The digest a line names.
    Person(Hash),
    /// The picture's own hash.
    Photo(Hash),
}

impl Name {
    pub(crate) fn read(name: &str) -> Option<Name> {
        match name {
            "bundle.json" => return Some(Name::Manifest),
            "README.txt" => return Some(Name::Readme),
            "entries/" | "people/" | "photos/" => return Some(Name::Folder),
            _ => {}
        }
        let (folder, file) = name.split_once('/')?;
        match folder {
            "entries" => {
                let (dev, range) = file.strip_suffix(".ndjson")?.split_once('.')?;
                let (from, to) = range.split_once('-')?;
                let (from, to) = (number(from)?, number(to)?);
                (from <= to).then_some(Name::Entries { dev: dev.parse().ok()?, from, to })
            }
            "people" => Some(Name::Person(file.strip_suffix(".json")?.parse().ok()?)),
            "photos" => Some(Name::Photo(file.strip_suffix(".jpg")?.parse().ok()?)),
            _ => None,
        }
    }
}

/// One text for one number: no sign, no leading zero.
fn number(text: &str) -> Option<u32> {
    if text.is_empty() || text.len() > 8 || text.starts_with('0') || !text.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    text.parse().ok().filter(|n| (1..=MAX_SEQ).contains(n))
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Name::Manifest => f.write_str("bundle.json"),
            Name::Readme => f.write_str("README.txt"),
            Name::Folder => f.write_str("entries/"),
            Name::Entries { dev, from, to } => write!(f, "entries/{dev}.{from}-{to}.ndjson"),
            Name::Person(digest) => write!(f, "people/{digest}.json"),
            Name::Photo(hash) => write!(f, "photos/{hash}.jpg"),
        }
    }
}

/// What is known of a person and travels beside the lines, so that it can be erased for good without breaking a
/// chain: lines name only its [digest](Person::digest).
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// 16 random bytes as 32 lower-case hex digits, so that nobody finds the content by guessing at the digest.
    pub salt: String,
    pub content: String,
}

impl Person {
    pub fn new(salt: [u8; 16], content: String) -> Person {
        Person { salt: salt.iter().map(|byte| format!("{byte:02x}")).collect(), content }
    }

    /// SHA-256 of the salt's bytes followed by the content's UTF-8 bytes. None when the salt is not 16 bytes in hex.
    pub fn digest(&self) -> Option<Hash> {
        let salt: [u8; 16] = crate::id::from_hex(&self.salt)?;
        Some(Hash::of(&[&salt, self.content.as_bytes()].concat()))
    }

    /// What lies under a digest.
    ///
    /// # Errors
    /// [`BadBundle::Person`] where the digest was not made of it.
    pub fn check(bytes: &[u8], digest: &Hash) -> Result<Person, BadBundle> {
        let bad = || BadBundle::Person { name: Name::Person(*digest).to_string() };
        let person: Person = serde_json::from_slice(bytes).map_err(|_| bad())?;
        if person.digest() == Some(*digest) { Ok(person) } else { Err(bad()) }
    }
}
