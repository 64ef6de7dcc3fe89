//! An entry *is* its line of UTF-8 JSON. [`Entry::read`] looks into the line and never replaces it: hash it,
//! store it and pass it on byte for byte.

use crate::error::Refused;
use crate::id::{DeviceId, EXPECTS_SHORT, EXPECTS_WHOLE, Hash, Id, MAX_SEQ, Named, Ref};
use crate::json;
use crate::keys::PublicKey;
use crate::stamp::Stamp;
use serde_json::{Map, Value};
use std::collections::{BTreeMap, BTreeSet};
use std::str::FromStr;

/// The form of entry written here. It names other entries by whole hashes; form 1, which is read for ever, by their
/// first eight digits.
pub const ENTRY_VERSION: i64 = 2;
/// The longest line read, in bytes: an act that takes back a whole spreadsheet names every field it writes over.
pub const MAX_LINE: usize = 1024 * 1024;
/// The most sets in one entry.
pub const MAX_SETS: usize = 2048;
/// The most fields in one set, known or not.
pub const MAX_FIELDS: usize = 256;
/// The most references in one field's `over`.
pub const MAX_OVER: usize = 256;
/// The most names in `crit`.
pub const MAX_CRIT: usize = 16;
/// The longest kind, field, act or id, in bytes, and the longest `by`, `app` and `wall`.
pub const MAX_NAME: usize = 64;

/// One act by one person, as read from its line.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    pub reference: Ref,
    /// SHA-256 of the whole line.
    pub hash: Hash,
    pub book: Id,
    /// The hash of this device's line before; `None` in its first.
    pub prev: Option<Hash>,
    pub at: Stamp,
    /// Local time and offset of the writing device when it wrote: `2026-06-09T21:40+02:00`.
    pub wall: String,
    /// The person, as the writer names them.
    pub by: String,
    /// The version of the app that wrote it.
    pub app: String,
    pub act: String,
    pub sets: Vec<Set>,
    /// The entry this one undoes, for the daybook's sake: the sets alone say what changed.
    pub undoes: Option<Named>,
    /// The first entry of what was one deed of the person's, done in several since it did not fit in one. They are
    /// undone together.
    pub with: Option<Named>,
    /// In a device's first entry: the last entry of the device it goes on from.
    pub continues: Option<Named>,
    /// Names a reader must know in order to *change* the records set here.
    pub crit: Vec<String>,
    /// In a device's first entry: the key its heads are signed with.
    pub key: Option<PublicKey>,
    /// Top-level parts of a newer version.
    pub other: Map<String, Value>,
}

/// What an entry says about one record.
#[derive(Clone, Debug, PartialEq)]
pub struct Set {
    pub kind: String,
    pub id: String,
    /// Null means unset.
    pub fields: Map<String, Value>,
    /// By field (each also in `fields`), the writes the writer was shown.
    pub over: BTreeMap<String, Vec<Named>>,
    /// Parts of a newer version.
    pub other: Map<String, Value>,
}

impl Entry {
    pub fn dev(&self) -> DeviceId {
        self.reference.dev
    }

    pub fn seq(&self) -> u32 {
        self.reference.seq
    }

    /// Reads one line, without its line end. The line may come from anywhere.
    ///
    /// # Errors
    /// Says what about the line is wrong; see the caps above.
    pub fn read(line: &str) -> Result<Entry, Refused> {
        if line.len() > MAX_LINE {
            return Err(Refused::TooLong { bytes: line.len() });
        }
        let mut parts = json::object(line).map_err(|why| Refused::NotJson { why })?;
        let v = whole(&mut parts, "v")?;
        let form = match v {
            1 => Form::Short,
            ENTRY_VERSION => Form::Whole,
            newer if newer > ENTRY_VERSION => return Err(Refused::Newer { v }),
            _ => return Err(wrong("v", "a form of entry")),
        };
        let hash = Hash::of(line.as_bytes());
        let seq = u32::try_from(whole(&mut parts, "seq")?)
            .ok()
            .filter(|seq| (1..=MAX_SEQ).contains(seq))
            .ok_or_else(|| wrong("seq", "a number from 1 to 99999999"))?;
        let first = seq == 1;
        let reference = Ref { dev: parsed(&mut parts, "dev")?, seq, hash };
        let entry = Entry {
            reference,
            hash,
            book: parsed(&mut parts, "book")?,
            prev: if first { None } else { Some(parsed(&mut parts, "prev")?) },
            at: parsed(&mut parts, "at")?,
            wall: wall(&mut parts)?,
            by: label(&mut parts, "by")?,
            app: label(&mut parts, "app")?,
            act: name(&mut parts, "act")?,
            sets: sets(&mut parts, form)?,
            undoes: optional(&mut parts, "undoes", form)?,
            with: with(&mut parts, form),
            continues: optional(&mut parts, "continues", form)?,
            crit: crit(&mut parts)?,
            key: if first { Some(parsed(&mut parts, "key")?) } else { None },
            other: Map::new(),
        };
        // What belongs to a first entry only, or to later ones only, would be silently ignored elsewhere.
        for (part, allowed) in [("prev", !first), ("key", first)] {
            if !allowed && parts.contains_key(part) {
                return Err(wrong(part, "expected in this place of the chain"));
            }
        }
        if entry.continues.is_some() && !first {
            return Err(wrong("continues", "expected in this place of the chain"));
        }
        Ok(Entry { other: parts, ..entry })
    }
}

fn wrong(part: &'static str, expects: impl Into<String>) -> Refused {
    Refused::Wrong { part, expects: expects.into() }
}

fn whole(parts: &mut Map<String, Value>, part: &'static str) -> Result<i64, Refused> {
    let value = parts.remove(part).ok_or(Refused::Missing { part })?;
    value.as_i64().ok_or_else(|| wrong(part, "a whole number"))
}

fn text(parts: &mut Map<String, Value>, part: &'static str) -> Result<String, Refused> {
    match parts.remove(part) {
        Some(Value::String(text)) => Ok(text),
        Some(_) => Err(wrong(part, "a text")),
        None => Err(Refused::Missing { part }),
    }
}

fn parsed<T: FromStr<Err = crate::id::BadText>>(
    parts: &mut Map<String, Value>,
    part: &'static str,
) -> Result<T, Refused> {
    text(parts, part)?.parse().map_err(|bad: crate::id::BadText| wrong(part, bad.expects))
}

fn optional(parts: &mut Map<String, Value>, part: &'static str, form: Form) -> Result<Option<Named>, Refused> {
    if !parts.contains_key(part) {
        return Ok(None);
    }
    form.named(&text(parts, part)?).map(Some).ok_or_else(|| wrong(part, form.expects()))
}

/// Only says what belongs together, so what cannot be read stays among the parts of another version: lines written before
/// this part had a meaning are taken as they always were.
fn with(parts: &mut Map<String, Value>, form: Form) -> Option<Named> {
    let named = parts.get("with")?.as_str().and_then(|text| form.named(text))?;
    parts.remove("with");
    Some(named)
}

/// How a line names other entries: all of one form or the other, so that each has one text.
#[derive(Clone, Copy)]
enum Form {
    Short,
    Whole,
}

impl Form {
    fn named(self, text: &str) -> Option<Named> {
        let named = text.parse().ok()?;
        match (self, named) {
            (Form::Short, Named::Short(_)) | (Form::Whole, Named::Whole(_)) => Some(named),
            _ => None,
        }
    }

    fn expects(self) -> &'static str {
        match self {
            Form::Short => EXPECTS_SHORT,
            Form::Whole => EXPECTS_WHOLE,
        }
    }
}

/// What people write about themselves: any text, short, in one line.
fn label(parts: &mut Map<String, Value>, part: &'static str) -> Result<String, Refused> {
    let text = text(parts, part)?;
    if text.is_empty() || text.len() > MAX_NAME || text.chars().any(char::is_control) {
        return Err(wrong(part, "a line of 1 to 64 bytes"));
    }
    Ok(text)
}

fn name(parts: &mut Map<String, Value>, part: &'static str) -> Result<String, Refused> {
    let text = text(parts, part)?;
    if is_name(&text) { Ok(text) } else { Err(wrong(part, NAME)) }
}

const NAME: &str = "a name of 1 to 64 letters, digits and _";

/// Kinds, fields, acts and `crit`: they become keys and go on screen, so they stay plain.
fn is_name(text: &str) -> bool {
    (1..=MAX_NAME).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'_')
}

/// Ids also hold the dots of `dev.seq.index`, and may one day hold a colon or a hyphen.
fn is_id(text: &str) -> bool {
    (1..=MAX_NAME).contains(&text.len())
        && text.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"_.:-".contains(&byte))
}

/// `2026-06-09T21:40+02:00`: the shape only; a wrong calendar date is the writer's clock, not a damaged line.
fn wall(parts: &mut Map<String, Value>) -> Result<String, Refused> {
    let text = text(parts, "wall")?;
    let shape = b"dddd-dd-ddTdd:ddsdd:dd";
    let fits = text.len() == shape.len()
        && text.bytes().zip(shape).all(|(byte, shape)| match shape {
            b'd' => byte.is_ascii_digit(),
            b's' => byte == b'+' || byte == b'-',
            _ => byte == *shape,
        });
    if fits { Ok(text) } else { Err(wrong("wall", "a local time with its offset, such as 2026-06-09T21:40+02:00")) }
}

fn crit(parts: &mut Map<String, Value>) -> Result<Vec<String>, Refused> {
    const EXPECTS: &str = "a list of at most 16 names";
    let Some(value) = parts.remove("crit") else { return Ok(Vec::new()) };
    let Value::Array(list) = value else { return Err(wrong("crit", EXPECTS)) };
    if list.len() > MAX_CRIT {
        return Err(wrong("crit", EXPECTS));
    }
    list.into_iter()
        .map(|value| match value {
            Value::String(text) if is_name(&text) => Ok(text),
            _ => Err(wrong("crit", EXPECTS)),
        })
        .collect()
}

fn sets(parts: &mut Map<String, Value>, form: Form) -> Result<Vec<Set>, Refused> {
    let list = match parts.remove("sets") {
        Some(Value::Array(list)) if list.len() <= MAX_SETS => list,
        Some(_) => return Err(wrong("sets", "a list of at most 2048 sets")),
        None => return Err(Refused::Missing { part: "sets" }),
    };
    let sets = list.into_iter().map(|value| set(value, form)).collect::<Result<Vec<_>, _>>()?;
    let mut seen = BTreeSet::new();
    // Two sets of one record would leave it open which of them an act meant.
    if sets.len() > 1 && !sets.iter().all(|set| seen.insert((set.kind.as_str(), set.id.as_str()))) {
        return Err(wrong("sets", "one set a record"));
    }
    Ok(sets)
}

fn set(value: Value, form: Form) -> Result<Set, Refused> {
    let Value::Object(mut parts) = value else { return Err(wrong("sets", "a list of objects")) };
    let kind = name(&mut parts, "kind")?;
    let id = text(&mut parts, "id")?;
    if !is_id(&id) {
        return Err(wrong("id", "an id of 1 to 64 letters, digits and _.:-"));
    }
    let fields = match parts.remove("f") {
        Some(Value::Object(fields)) if fields.len() <= MAX_FIELDS => fields,
        Some(_) => return Err(wrong("f", "an object of at most 256 fields")),
        None => return Err(Refused::Missing { part: "f" }),
    };
    if !fields.keys().all(|field| is_name(field)) {
        return Err(wrong("f", format!("an object whose fields each have {NAME}")));
    }
    let over = over(&mut parts, &fields, form)?;
    Ok(Set { kind, id, fields, over, other: parts })
}

fn over(
    parts: &mut Map<String, Value>,
    fields: &Map<String, Value>,
    form: Form,
) -> Result<BTreeMap<String, Vec<Named>>, Refused> {
    const EXPECTS: &str = "for each field set, a list of at most 256 references of the line's form";
    let Some(value) = parts.remove("over") else { return Ok(BTreeMap::new()) };
    let Value::Object(by_field) = value else { return Err(wrong("over", EXPECTS)) };
    let mut over = BTreeMap::new();
    for (field, value) in by_field {
        let Value::Array(list) = value else { return Err(wrong("over", EXPECTS)) };
        // A field overwritten but not written would end without any value.
        if list.len() > MAX_OVER || !fields.contains_key(&field) {
            return Err(wrong("over", EXPECTS));
        }
        let refs = list
            .iter()
            .map(|value| value.as_str().and_then(|text| form.named(text)))
            .collect::<Option<Vec<Named>>>()
            .ok_or_else(|| wrong("over", EXPECTS))?;
        over.insert(field, refs);
    }
    Ok(over)
}
