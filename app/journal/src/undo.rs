//! Undoing: one more act, which writes back what stood before. History is never edited.

use crate::entry::{Entry, Set};
use crate::fold::{Fold, Key, Record, WITHDRAWN};
use crate::id::{Named, Ref};
use crate::seal::{Draft, DraftSet};
use crate::stamp::Stamp;
use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// What undoing an entry would do.
#[derive(Clone, Debug, PartialEq)]
pub struct UndoPlan {
    /// The act `Undone`, ready to be sealed; none if nothing can be undone.
    pub draft: Option<Draft>,
    /// What it leaves as it is.
    pub skipped: Vec<Skipped>,
}

/// A field an undo leaves as it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Skipped {
    pub key: Key,
    pub field: String,
    pub why: Why,
}

/// Why an undo leaves a field as it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// It has been written again since, the act is undone already, or it is not folded yet.
    Changed,
    /// Somebody else wrote it without knowing of this act: settle the clash instead.
    Clashing,
    /// What stood before is in an entry that is not here.
    NoHistory(Named),
}

impl Fold {
    /// Plans undoing `entry`. `lookup` finds in storage all entries so named ([`Named::range`]): of a short reference
    /// there may be several.
    ///
    /// Of the fields it set, those are restored in which it is still the only head. Where it had settled a
    /// clash, the value that was shown comes back, not the clash. A record it created is withdrawn, unless
    /// somebody has written there since. An act that was undone, and that undo undone, stands again: what the latter wrote
    /// counts as the act's own.
    pub fn undo(&self, entry: &Entry, lookup: impl Fn(&Named) -> Vec<Entry>) -> UndoPlan {
        let mut lookup = Found { lookup: &lookup, known: Vec::new() };
        let mut skipped = Vec::new();
        let mut own = Own { act: entry.reference, known: BTreeMap::from([(entry.reference, true)]) };
        let sets: Vec<DraftSet> =
            entry.sets.iter().filter_map(|set| self.undo_set(&mut own, set, &mut lookup, &mut skipped)).collect();
        let draft = (!sets.is_empty()).then(|| Draft {
            act: "Undone".to_owned(),
            sets,
            undoes: Some(entry.reference),
            ..Draft::default()
        });
        UndoPlan { draft, skipped }
    }

    fn undo_set(
        &self,
        own: &mut Own,
        set: &Set,
        lookup: &mut Found<'_>,
        skipped: &mut Vec<Skipped>,
    ) -> Option<DraftSet> {
        let nothing = Record::default();
        let record = self.any_record(&set.kind, &set.id).unwrap_or(&nothing);
        let key = || Key { kind: set.kind.as_str().into(), id: set.id.as_str().into() };
        let mut fields = Map::new();
        let mut whole = true;
        for field in set.fields.keys() {
            let before = match record.heads(field) {
                [only] if own.stands(only.reference, lookup) => before(set, field, lookup),
                heads if heads.iter().any(|head| own.stands(head.reference, lookup)) => Err(Why::Clashing),
                _ => Err(Why::Changed),
            };
            match before {
                Ok(value) => {
                    fields.insert(field.clone(), value);
                }
                Err(why) => {
                    whole = false;
                    skipped.push(Skipped { key: key(), field: field.clone(), why });
                }
            }
        }
        if fields.is_empty() {
            return None;
        }
        let created = set.over.values().all(Vec::is_empty) && !set.fields.contains_key(WITHDRAWN);
        if whole && created {
            // Brought back by an undone undo, a record says of itself that it is not withdrawn.
            let mut own_word = |name: &str| {
                let heads = record.heads(name);
                name == WITHDRAWN && heads.iter().all(|head| own.stands(head.reference, lookup))
            };
            let alone =
                record.fields.iter().all(|field| set.fields.contains_key(&*field.name) || own_word(&field.name));
            if alone {
                fields.insert(WITHDRAWN.to_owned(), Value::Bool(true));
            }
        }
        Some(self.set(&set.kind, &set.id, fields))
    }
}

/// The acts of the deed that `of` is part of, in the order they were done ([`Entry::with`]): undoing the deed undoes all of
/// them, the last first. Only `of`, when it was done in one act. Only its own device's acts are taken: nobody else can put
/// an act of theirs to it.
pub fn deed<'a>(of: &Entry, all: impl Iterator<Item = &'a Entry>) -> Vec<Ref> {
    let first = |entry: &Entry| match entry.with {
        Some(Named::Whole(first)) if first.dev == entry.dev() => first,
        _ => entry.reference,
    };
    let deed = first(of);
    let mut parts: Vec<Ref> = all.filter(|entry| first(entry) == deed).map(|entry| entry.reference).collect();
    parts.sort_unstable_by_key(|part| part.seq);
    parts.dedup();
    if parts.is_empty() { vec![of.reference] } else { parts }
}

/// The act being undone, and the writes that stand for it.
struct Own {
    act: Ref,
    known: BTreeMap<Ref, bool>,
}

impl Own {
    /// Whether a write is the act's own, or that of an undo of an undo of it.
    fn stands(&mut self, write: Ref, lookup: &mut Found<'_>) -> bool {
        if let Some(&known) = self.known.get(&write) {
            return known;
        }
        let mut undone =
            |of: Ref| lookup.of(&Named::Whole(of)).iter().find(|entry| entry.reference == of).and_then(|e| e.undoes);
        let whole = |named: Named| match named {
            Named::Whole(reference) => Some(reference),
            // Of a short reference there may be several; none of them is certain.
            Named::Short(_) => None,
        };
        let mut next = Some(write);
        let mut found = false;
        // Names are hashes of what they name, so no chain of them goes round.
        while let Some(redo) = next {
            next = undone(redo).and_then(whole).and_then(&mut undone).and_then(whole);
            found = next == Some(self.act);
            if found {
                break;
            }
        }
        self.known.insert(write, found);
        found
    }
}

/// What was looked up, once for all fields: an act of a whole spreadsheet is asked for by each field it set.
struct Found<'a> {
    lookup: &'a dyn Fn(&Named) -> Vec<Entry>,
    known: Vec<(Named, Vec<Entry>)>,
}

impl Found<'_> {
    fn of(&mut self, named: &Named) -> &[Entry] {
        // The last asked for is mostly asked for again, and there are few.
        let at = match self.known.iter().rposition(|(known, _)| known == named) {
            Some(at) => at,
            None => {
                self.known.push((*named, (self.lookup)(named)));
                self.known.len() - 1
            }
        };
        &self.known[at].1
    }
}

/// What was shown in a field before `set` wrote it.
fn before(set: &Set, field: &str, lookup: &mut Found<'_>) -> Result<Value, Why> {
    let over = set.over.get(field).map(Vec::as_slice).unwrap_or_default();
    let mut shown: Option<((Stamp, Ref), Value)> = None;
    for named in over {
        let found = lookup.of(named);
        if found.is_empty() {
            return Err(Why::NoHistory(*named));
        }
        for entry in found {
            let same = entry.sets.iter().find(|other| other.id == set.id && other.kind == set.kind);
            let Some(value) = same.and_then(|other| other.fields.get(field)) else { continue };
            let at = (entry.at, entry.reference);
            if shown.as_ref().is_none_or(|(best, _)| *best < at) {
                shown = Some((at, value.clone()));
            }
        }
    }
    Ok(shown.map_or(Value::Null, |(_, value)| value))
}
