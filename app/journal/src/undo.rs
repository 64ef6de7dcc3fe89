//! Undoing: one more act, which writes back what stood before. History is never edited.

use crate::entry::{Entry, Set};
use crate::fold::{Fold, Key, Record, WITHDRAWN};
use crate::id::Named;
use crate::seal::{Draft, DraftSet};
use serde_json::{Map, Value};

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
    /// somebody has written there since.
    pub fn undo(&self, entry: &Entry, lookup: impl Fn(&Named) -> Vec<Entry>) -> UndoPlan {
        let mut skipped = Vec::new();
        let sets: Vec<DraftSet> =
            entry.sets.iter().filter_map(|set| self.undo_set(entry, set, &lookup, &mut skipped)).collect();
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
        entry: &Entry,
        set: &Set,
        lookup: &impl Fn(&Named) -> Vec<Entry>,
        skipped: &mut Vec<Skipped>,
    ) -> Option<DraftSet> {
        let nothing = Record::default();
        let record = self.any_record(&set.kind, &set.id).unwrap_or(&nothing);
        let key = || Key { kind: set.kind.as_str().into(), id: set.id.as_str().into() };
        let mut fields = Map::new();
        let mut whole = true;
        for field in set.fields.keys() {
            let before = match record.heads(field) {
                [only] if only.reference == entry.reference => before(set, field, lookup),
                heads if heads.iter().any(|head| head.reference == entry.reference) => Err(Why::Clashing),
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
            let alone = record.fields.iter().all(|field| set.fields.contains_key(&*field.name));
            if alone {
                fields.insert(WITHDRAWN.to_owned(), Value::Bool(true));
            }
        }
        Some(self.set(&set.kind, &set.id, fields))
    }
}

/// What was shown in a field before `set` wrote it.
fn before(set: &Set, field: &str, lookup: &impl Fn(&Named) -> Vec<Entry>) -> Result<Value, Why> {
    let over = set.over.get(field).map(Vec::as_slice).unwrap_or_default();
    let mut shown: Option<(Entry, Value)> = None;
    for named in over {
        let found = lookup(named);
        if found.is_empty() {
            return Err(Why::NoHistory(*named));
        }
        for mut entry in found {
            let same = entry.sets.iter_mut().find(|other| other.kind == set.kind && other.id == set.id);
            let Some(value) = same.and_then(|other| other.fields.remove(field)) else { continue };
            let later = shown.as_ref().is_none_or(|(best, _)| (best.at, best.reference) < (entry.at, entry.reference));
            if later {
                shown = Some((entry, value));
            }
        }
    }
    Ok(shown.map_or(Value::Null, |(_, value)| value))
}
