//! Content that lines name by a digest and do not hold: whose may be stored, whose may leave, and what is gone for good.

use crate::entry::Entry;
use crate::id::Hash;
use std::collections::BTreeSet;

/// The kind of record whose id is the digest of details that somebody erased for good. Once such a line is there the
/// digest stays erased, also when the record is taken back: the content is gone.
pub const DETAILS_ERASED: &str = "details_erased";

/// What lines say of details that lie beside them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Detached {
    /// Every digest erased for good.
    pub erased: BTreeSet<Hash>,
    /// Those asked about that some line names in a field.
    pub named: BTreeSet<Hash>,
}

impl Detached {
    /// Reads all `lines`, those that wait for earlier ones included, for what they say of the digests `asked`.
    pub fn of<'a>(lines: impl IntoIterator<Item = &'a str>, asked: impl IntoIterator<Item = Hash>) -> Detached {
        let asked: BTreeSet<String> = asked.into_iter().map(|digest| digest.to_string()).collect();
        let mut detached = Detached::default();
        // Few of many lines say anything of it: the others are not read, only looked through.
        let names = |line: &str| !asked.is_empty() && line.split('"').any(|part| asked.contains(part));
        for line in lines.into_iter().filter(|line| line.contains(DETAILS_ERASED) || names(line)) {
            let Ok(entry) = Entry::read(line) else { continue };
            for set in &entry.sets {
                if set.kind == DETAILS_ERASED {
                    detached.erased.extend(set.id.parse::<Hash>().ok());
                }
                let texts = set.fields.values().filter_map(|value| value.as_str());
                let named = texts.filter(|text| asked.contains(*text)).filter_map(|text| text.parse::<Hash>().ok());
                detached.named.extend(named);
            }
        }
        detached
    }

    /// Whether details may be stored, or may leave: a line names them, and nobody erased them.
    pub fn may_keep(&self, digest: &Hash) -> bool {
        self.named.contains(digest) && !self.erased.contains(digest)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::id::Id;
    use crate::keys::Keypair;
    use crate::seal::{Draft, DraftId, DraftSet, Identity, Tip, Wall, seal};
    use serde_json::{Value, json};
    use std::collections::BTreeMap;

    fn digest(n: u8) -> Hash {
        Hash::of(&[n])
    }

    /// A line of one set.
    fn line(kind: &str, id: &str, fields: Value) -> String {
        let Value::Object(fields) = fields else { panic!("fields") };
        let set = DraftSet { kind: kind.into(), id: DraftId::Known(id.into()), fields, over: BTreeMap::new() };
        let identity = Identity {
            book: Id::mint(*b"barn!"),
            dev: Id::mint([1, 2, 3, 4, 5]),
            by: "Ann".into(),
            app: "test".into(),
            key: Keypair::from_secret(&[1; 32]).public(),
        };
        // A second line, so that it also names a hash before it.
        let tip = Tip { seq: 1, prev: Some(digest(9)), ..Tip::default() };
        let wall = Wall { ms: 1_780_000_000_000, text: "2026-06-09T21:40+02:00".into() };
        seal(Draft { act: "Act".into(), sets: vec![set], ..Draft::default() }, &identity, &tip, &wall)
            .expect("it seals")
            .line
    }

    fn of(lines: &[String], asked: &[u8]) -> Detached {
        Detached::of(lines.iter().map(String::as_str), asked.iter().map(|n| digest(*n)))
    }

    #[test]
    fn what_no_line_names_is_not_kept() {
        let lines = [
            line("contact", "C1", json!({"digest": digest(1).to_string()})),
            line("kind_of_next_year", "K1", json!({"details": digest(2).to_string()})),
            // Part of a longer text, a record's id, a hash of a line: none of these names details.
            line("note", "N1", json!({"text": format!("see {}", digest(3))})),
            line("note", &digest(4).to_string(), json!({"text": "x"})),
        ];
        let said = of(&lines, &[1, 2, 3, 4, 5, 9]);
        assert_eq!(said, Detached { erased: BTreeSet::new(), named: [digest(1), digest(2)].into() });
        for (n, kept) in [(1, true), (2, true), (3, false), (4, false), (5, false), (9, false)] {
            assert_eq!(said.may_keep(&digest(n)), kept, "{n}");
        }
    }

    #[test]
    fn what_was_erased_is_not_kept_though_lines_name_it() {
        let named = line("contact", "C1", json!({"digest": digest(1).to_string()}));
        let erased = line(DETAILS_ERASED, &digest(1).to_string(), json!({"contact": "C1"}));
        for lines in [[named.clone(), erased.clone()], [erased.clone(), named.clone()]] {
            assert!(!of(&lines, &[1]).may_keep(&digest(1)));
        }
        assert!(of(&[named], &[1]).may_keep(&digest(1)));
        // Told without being asked about; taken back it is erased all the same.
        let back = line(DETAILS_ERASED, &digest(1).to_string(), json!({"contact": null, "withdrawn": true}));
        for line in [erased, back] {
            assert_eq!(of(&[line], &[]).erased, [digest(1)].into());
        }
    }

    #[test]
    fn lines_that_cannot_be_read_say_nothing() {
        let lines = [
            format!("{{\"kind\":\"{DETAILS_ERASED}\",\"id\":\"{}\"}}", digest(1)),
            format!("\"{}\"", digest(1)),
            String::new(),
            line(DETAILS_ERASED, "no_digest", json!({"contact": "C1"})),
        ];
        assert_eq!(of(&lines, &[1]), Detached::default());
    }
}
