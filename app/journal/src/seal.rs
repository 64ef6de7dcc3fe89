//! Sealing: a draft becomes a line, numbered, chained and stamped. Pure, so it can run inside the storage
//! transaction that hands out the number.

use crate::entry::{ENTRY_VERSION, Entry};
use crate::error::BadDraft;
use crate::id::{DeviceId, Hash, Id, MAX_SEQ, Ref};
use crate::keys::PublicKey;
use crate::stamp::{MAX_MS, Stamp};
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// An act not yet numbered. Build it with `..Draft::default()`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Draft {
    /// What was done; 1 to 64 letters, digits and `_`.
    pub act: String,
    /// Taken all together or not at all; at most one a record.
    pub sets: Vec<DraftSet>,
    pub undoes: Option<Ref>,
    /// The first act of the same deed ([`Entry::with`]).
    pub with: Option<Ref>,
    /// Only in a device's first act: the last entry of the device it goes on from.
    pub continues: Option<Ref>,
    pub crit: Vec<String>,
}

/// What a draft says about one record. Made by [`crate::Fold::set`], which knows what to write over.
#[derive(Clone, Debug, PartialEq)]
pub struct DraftSet {
    pub kind: String,
    pub id: DraftId,
    /// Null means unset. Numbers are whole.
    pub fields: Map<String, Value>,
    /// By field, all heads the writer was shown.
    pub over: BTreeMap<String, Vec<Ref>>,
}

impl DraftSet {
    /// A new observation: nobody can have written it before.
    pub fn observation(kind: &str, fields: Map<String, Value>) -> DraftSet {
        DraftSet { kind: kind.to_owned(), id: DraftId::Observation, fields, over: BTreeMap::new() }
    }
}

/// The id of a draft's record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DraftId {
    Known(String),
    /// Becomes `dev.seq.index` when sealed, the index being the set's place in the draft, from 0.
    Observation,
}

/// Stands, inside any text of a draft's fields, for the id of the observation at `index` of the same draft:
/// `format!("note:{}", own(0))` is sealed as `note:dev.seq.0`.
pub fn own(index: usize) -> String {
    format!("{MARK}{index}{MARK}")
}

/// A control character nobody types; text that holds it otherwise is refused.
const MARK: char = '\u{1a}';

/// Who writes, and with what.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Identity {
    pub book: Id,
    pub dev: DeviceId,
    /// The person: one line of 1 to 64 bytes.
    pub by: String,
    /// The app's version: one line of 1 to 64 bytes.
    pub app: String,
    /// Goes into the device's first entry.
    pub key: PublicKey,
}

/// The end of one's own chain, kept in storage beside the lines.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Tip {
    /// The number of the last line; 0 before the first.
    pub seq: u32,
    /// The hash of the last line; none before the first.
    pub prev: Option<Hash>,
    /// The latest stamp followed so far. After a merge: `tip.clock.see(fold.clock(wall_ms), wall_ms)`.
    pub clock: Stamp,
}

/// What the device's clock shows; it may be wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wall {
    /// Milliseconds since 1970 (UTC).
    pub ms: u64,
    /// The same as local time with its offset: `2026-06-09T21:40+02:00`.
    pub text: String,
}

/// A line ready to be stored, and the tip to store with it in the same transaction.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sealed {
    pub line: String,
    pub tip: Tip,
    pub reference: Ref,
}

/// The parts in the order they are written.
#[derive(Serialize)]
struct Written<'a> {
    v: i64,
    book: Id,
    dev: DeviceId,
    seq: u32,
    #[serde(skip_serializing_if = "Option::is_none")]
    prev: Option<Hash>,
    at: Stamp,
    wall: &'a str,
    by: &'a str,
    app: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    key: Option<PublicKey>,
    act: &'a str,
    sets: Vec<WrittenSet>,
    #[serde(skip_serializing_if = "Option::is_none")]
    undoes: Option<Ref>,
    #[serde(skip_serializing_if = "Option::is_none")]
    with: Option<Ref>,
    #[serde(skip_serializing_if = "Option::is_none")]
    continues: Option<Ref>,
    #[serde(skip_serializing_if = "<[String]>::is_empty")]
    crit: &'a [String],
}

#[derive(Serialize)]
struct WrittenSet {
    kind: String,
    id: String,
    f: Map<String, Value>,
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    over: BTreeMap<String, Vec<Ref>>,
}

/// Writes the line. Every line written is one that [`Entry::read`] takes.
///
/// # Errors
/// [`BadDraft`]; nothing has changed then.
pub fn seal(draft: Draft, identity: &Identity, tip: &Tip, wall: &Wall) -> Result<Sealed, BadDraft> {
    if tip.seq >= MAX_SEQ || wall.ms > MAX_MS {
        return Err(BadDraft::Exhausted);
    }
    let seq = tip.seq + 1;
    let first = seq == 1;
    let at = tip.clock.next(wall.ms);
    let own_id = |index: usize| format!("{}.{seq}.{index}", identity.dev);
    let observations: Vec<bool> = draft.sets.iter().map(|set| set.id == DraftId::Observation).collect();
    let fill = |text: &str| fill(text, |index| observations.get(index)?.then(|| own_id(index)));
    let mut sets = Vec::with_capacity(draft.sets.len());
    for (index, set) in draft.sets.into_iter().enumerate() {
        let id = match set.id {
            DraftId::Known(id) => id,
            DraftId::Observation => own_id(index),
        };
        let mut fields = set.fields;
        for (field, value) in &mut fields {
            settle(field, value, &fill)?;
        }
        // Of no meaning to a reader, and it would make the line longer.
        let over = set.over.into_iter().filter(|(_, refs)| !refs.is_empty()).collect();
        sets.push(WrittenSet { kind: set.kind, id, f: fields, over });
    }
    let written = Written {
        v: ENTRY_VERSION,
        book: identity.book,
        dev: identity.dev,
        seq,
        prev: tip.prev.filter(|_| !first),
        at,
        wall: &wall.text,
        by: &identity.by,
        app: &identity.app,
        key: first.then_some(identity.key),
        act: &draft.act,
        sets,
        undoes: draft.undoes,
        with: draft.with,
        continues: draft.continues,
        crit: &draft.crit,
    };
    let unreadable = |why: String| BadDraft::Unreadable(crate::Refused::NotJson { why });
    let line = serde_json::to_string(&written).map_err(|error| unreadable(error.to_string()))?;
    let entry = Entry::read(&line).map_err(BadDraft::Unreadable)?;
    Ok(Sealed { line, tip: Tip { seq, prev: Some(entry.hash), clock: at }, reference: entry.reference })
}

/// Puts own ids in and keeps fractions out, at any depth.
fn settle(field: &str, value: &mut Value, fill: &impl Fn(&str) -> Option<String>) -> Result<(), BadDraft> {
    match value {
        Value::Number(number) if number.as_i64().is_none() => Err(BadDraft::NotWhole { field: field.to_owned() }),
        Value::String(text) if text.contains(MARK) => {
            *text = fill(text).ok_or_else(|| BadDraft::StrayMark { field: field.to_owned() })?;
            Ok(())
        }
        Value::Array(list) => list.iter_mut().try_for_each(|value| settle(field, value, fill)),
        Value::Object(map) => {
            let old = std::mem::take(map);
            for (name, mut value) in old {
                settle(field, &mut value, fill)?;
                let name = match name.contains(MARK) {
                    true => fill(&name).ok_or_else(|| BadDraft::StrayMark { field: field.to_owned() })?,
                    false => name,
                };
                map.insert(name, value);
            }
            Ok(())
        }
        _ => Ok(()),
    }
}

/// Every second piece between marks is an index.
fn fill(text: &str, own_id: impl Fn(usize) -> Option<String>) -> Option<String> {
    let mut out = String::new();
    let mut pieces = text.split(MARK);
    out.push_str(pieces.next()?);
    while let Some(index) = pieces.next() {
        out.push_str(&own_id(index.parse().ok()?)?);
        out.push_str(pieces.next()?);
    }
    Some(out)
}
