//! Snapshots: the folded state as text, so that a start need not fold every line again.
//!
//! A JSON array of two: the header, with a list of field names and a list of entries; and the records, which point
//! into both lists. The entries' hashes stand in one text, 43 letters each. Held lines are not in it: take them again
//! after a restore.
//!
//! A snapshot may hold a part of the records ([`Fold::snapshot_of`]); the others follow by [`Fold::take_part`].

use crate::error::BadSnapshot;
use crate::fold::{Field, Fold, Head, Key, Record, Tree, intern};
use crate::id::{DeviceId, Hash, Id, Named, Ref};
use crate::keys::PublicKey;
use crate::letters::{LETTERS_OF_HASH, read_letters, write_letters};
use crate::stamp::Stamp;
use serde::de::{DeserializeSeed, Deserializer, Error as _, IgnoredAny, SeqAccess, Visitor};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use smallvec::SmallVec;
use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::fmt;
use std::sync::Arc;

/// Which way of folding a snapshot holds the result of. It changes whenever the same lines would fold otherwise.
pub const FOLD_VERSION: u32 = 2;

#[derive(Serialize, Deserialize)]
struct Header {
    fold: u32,
    book: Id,
    joined: BTreeSet<Id>,
    devs: Vec<Dev>,
    days: Vec<Stamp>,
    /// Kind, id, field, and how the entry is named.
    pending: Vec<(String, String, String, Named)>,
    /// Kind, id, name.
    crit: Vec<(String, String, String)>,
    names: Vec<String>,
    /// The entries that wrote what stands: place in `devs`, number, stamp.
    entries: Vec<(usize, u32, u64)>,
    /// The hash of each of them, in the same order.
    hashes: String,
}

#[derive(Serialize, Deserialize)]
struct Dev {
    dev: DeviceId,
    tips: Vec<(u32, Hash)>,
    folded: u32,
    latest: Stamp,
    parted: Option<u32>,
    key: Option<(Hash, PublicKey)>,
    mentioned: u32,
    shorts: u32,
}

impl Fold {
    /// The state as text, to be kept under [`FOLD_VERSION`] and [`Fold::entry_set`].
    pub fn snapshot(&self) -> String {
        self.snapshot_of(|_, _| true).0
    }

    /// As [`Fold::snapshot`], with only those records, by kind and id, that `holds` says. Restored from it alone, the
    /// state lacks the others and must take no line that writes in one of them.
    ///
    /// Beside it, the entries that it names, so that what else is kept about an entry may say its place in this list
    /// instead of its reference: [`Fold::restore_listed`] and [`Fold::take_part`] give the list back.
    pub fn snapshot_of(&self, holds: impl Fn(&str, &str) -> bool) -> (String, Vec<Ref>) {
        let devs: HashMap<DeviceId, usize> = self.trees.keys().copied().zip(0..).collect();
        let names: HashMap<&str, usize> = self.names.iter().map(|name| &**name).zip(0..).collect();
        let (mut entries, mut hashes, mut listed) = (Vec::new(), String::new(), Vec::new());
        let mut places: HashMap<Ref, usize> = HashMap::new();
        let mut records = String::from("[");
        let (mut pending, mut crit) = (Vec::new(), Vec::new());
        for (kind, all) in &self.kinds {
            separate(&mut records);
            push(&mut records, "[");
            push_json(&mut records, &**kind);
            for (id, record) in all.iter().filter(|(id, _)| holds(kind, id)) {
                push(&mut records, ",[");
                push_json(&mut records, &**id);
                for field in &record.fields {
                    let Some(name) = names.get(&*field.name) else { continue };
                    for head in &field.heads {
                        let Some(&dev) = devs.get(&head.reference.dev) else { continue };
                        let place = *places.entry(head.reference).or_insert_with(|| {
                            entries.push((dev, head.reference.seq, head.at.0));
                            write_letters(&mut hashes, &head.reference.hash);
                            listed.push(head.reference);
                            listed.len() - 1
                        });
                        push(&mut records, &format!(",{name},{place},"));
                        push_json(&mut records, &head.value);
                    }
                }
                push(&mut records, "]");
                let (kind, id) = (|| kind.to_string(), || id.to_string());
                let kept = record.pending.iter().filter(|pending| self.may_come(&pending.named));
                pending.extend(kept.map(|pending| (kind(), id(), pending.field.to_string(), pending.named)));
                crit.extend(record.crit.iter().map(|name| (kind(), id(), name.to_string())));
            }
            push(&mut records, "]");
        }
        let header = Header {
            fold: FOLD_VERSION,
            book: self.book,
            joined: self.joined.clone(),
            devs: self.trees.iter().map(|(&dev, tree)| pack(dev, tree)).collect(),
            days: self.days.values().copied().collect(),
            pending,
            crit,
            names: self.names.iter().map(|name| name.to_string()).collect(),
            entries,
            hashes,
        };
        let mut out = String::from("[");
        push_json(&mut out, &header);
        push(&mut out, ",");
        push(&mut out, &records);
        push(&mut out, "]]");
        (out, listed)
    }

    /// Whether an entry so named may still be taken by a state restored from here. A short reference stays in memory for
    /// ever; an entry it fits that is older than the snapshot needs history anyway.
    fn may_come(&self, named: &Named) -> bool {
        named.whole().is_some() || self.trees.get(&named.dev()).is_none_or(|tree| named.seq() > tree.folded_to())
    }

    /// The state a snapshot holds. Then take every line a device has beyond [`Chain::seq`](crate::Chain::seq), and
    /// the held ones; the older ones may be left out.
    ///
    /// # Errors
    /// [`BadSnapshot`]: fold all lines instead.
    pub fn restore(snapshot: &str) -> Result<Fold, BadSnapshot> {
        Fold::restore_listed(snapshot).map(|(fold, _)| fold)
    }

    /// As [`Fold::restore`], with the entries that the snapshot names, in the order of [`Fold::snapshot_of`].
    ///
    /// # Errors
    /// As [`Fold::restore`].
    pub fn restore_listed(snapshot: &str) -> Result<(Fold, Vec<Ref>), BadSnapshot> {
        let mut reader = serde_json::Deserializer::from_str(snapshot);
        let damaged = |error: serde_json::Error| match error.to_string().contains(OTHER_FOLD) {
            true => BadSnapshot::OtherFold,
            false => BadSnapshot::Damaged { why: error.to_string() },
        };
        let restored = reader.deserialize_tuple(2, Whole).map_err(damaged)?;
        reader.end().map_err(damaged)?;
        Ok(restored)
    }

    /// Adds the records of a snapshot of some others, made of the same state or an earlier one; a record that is here
    /// already stays as it is, for it is the newer. Which ones came, in order, and the entries that the part names.
    ///
    /// # Errors
    /// [`BadSnapshot`]: nothing is changed; fold all lines instead.
    pub fn take_part(&mut self, part: &str) -> Result<(Vec<Key>, Vec<Ref>), BadSnapshot> {
        let (part, listed) = Fold::restore_listed(part)?;
        if part.book != self.book {
            return Err(BadSnapshot::Damaged { why: "a part of another book".to_owned() });
        }
        let mut came = Vec::new();
        for (kind, records) in part.kinds {
            let here = self.kinds.entry(kind.clone()).or_default();
            for (id, record) in records {
                if let Entry::Vacant(place) = here.entry(id.clone()) {
                    let key = Key { kind: kind.clone(), id };
                    if record.any_clash() {
                        self.clashing.insert(key.clone());
                    }
                    place.insert(record);
                    came.push(key);
                }
            }
        }
        Ok((came, listed))
    }
}

const OTHER_FOLD: &str = "folded by another version";

fn pack(dev: DeviceId, tree: &Tree) -> Dev {
    let &Tree { folded, latest, parted, key, mentioned, shorts, .. } = tree;
    Dev { dev, tips: tree.tips.clone(), folded, latest, parted, key, mentioned, shorts }
}

fn unpack(dev: Dev) -> (DeviceId, Tree) {
    let mut known: BTreeMap<u32, SmallVec<[Hash; 1]>> = BTreeMap::new();
    for &(seq, hash) in &dev.tips {
        known.entry(seq).or_default().push(hash);
    }
    let tree = Tree {
        horizon: dev.tips.iter().map(|&(seq, _)| seq).max().unwrap_or(0),
        known,
        tips: dev.tips,
        held: BTreeMap::new(),
        folded: dev.folded,
        latest: dev.latest,
        parted: dev.parted,
        key: dev.key,
        mentioned: dev.mentioned,
        shorts: dev.shorts,
    };
    (dev.dev, tree)
}

fn push(out: &mut String, text: &str) {
    out.push_str(text);
}

fn separate(out: &mut String) {
    if out.len() > 1 {
        out.push(',');
    }
}

fn push_json<T: Serialize + ?Sized>(out: &mut String, value: &T) {
    // Texts, numbers and maps with text keys always have a JSON form.
    out.push_str(&serde_json::to_string(value).unwrap_or_default());
}

/// Reads the whole in one pass, without a tree of JSON values between text and records.
struct Whole;

impl<'de> Visitor<'de> for Whole {
    type Value = (Fold, Vec<Ref>);

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a header and records")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Self::Value, A::Error> {
        let header: Header = seq.next_element()?.ok_or_else(|| A::Error::custom("no header"))?;
        if header.fold != FOLD_VERSION {
            return Err(A::Error::custom(OTHER_FOLD));
        }
        let names: Vec<Arc<str>> = header.names.iter().map(|name| name.as_str().into()).collect();
        let devs: Vec<DeviceId> = header.devs.iter().map(|dev| dev.dev).collect();
        let hashes = header.hashes.as_bytes();
        if hashes.len() != header.entries.len() * LETTERS_OF_HASH {
            return Err(A::Error::custom("not one hash for each entry"));
        }
        let entry = |(&(dev, seq, at), letters): (&(usize, u32, u64), &[u8])| {
            Some((Ref { dev: *devs.get(dev)?, seq, hash: read_letters(letters)? }, Stamp(at)))
        };
        let entries = header.entries.iter().zip(hashes.chunks_exact(LETTERS_OF_HASH));
        let entries: Option<Vec<(Ref, Stamp)>> = entries.map(entry).collect();
        let entries = entries.ok_or_else(|| A::Error::custom("an entry without device or hash"))?;
        let kinds = seq.next_element_seed(Many(Kind(Lists { names: &names, entries: &entries })))?;
        let kinds = kinds.ok_or_else(|| A::Error::custom("no records"))?;
        if seq.next_element::<IgnoredAny>()?.is_some() {
            return Err(A::Error::custom("more than header and records"));
        }
        let mut fold = Fold { joined: header.joined, ..Fold::new(header.book) };
        // One by one: few they are, and collecting each would be a sort of its own to download.
        for (dev, tree) in header.devs.into_iter().map(unpack) {
            fold.trees.insert(dev, tree);
        }
        for (kind, records) in kinds {
            fold.kinds.insert(kind, records.into_iter().collect());
        }
        for name in names {
            fold.names.insert(name);
        }
        for stamp in header.days {
            fold.days.insert(stamp.day(), stamp);
        }
        let lost = || A::Error::custom("a list speaks of a record that is not there");
        for (kind, id, field, named) in header.pending {
            let name = intern(&mut fold.names, &field);
            fold.record_mut(&kind, &id).ok_or_else(lost)?.wait(&name, named, true);
        }
        for (kind, id, name) in header.crit {
            let name = intern(&mut fold.names, &name);
            fold.record_mut(&kind, &id).ok_or_else(lost)?.crit.push(name);
        }
        fold.find_clashes();
        Ok((fold, entries.into_iter().map(|(reference, _)| reference).collect()))
    }
}

impl Fold {
    fn record_mut(&mut self, kind: &str, id: &str) -> Option<&mut Record> {
        self.kinds.get_mut(kind)?.get_mut(id)
    }

    fn find_clashes(&mut self) {
        for (kind, records) in &self.kinds {
            for (id, _) in records.iter().filter(|(_, record)| record.any_clash()) {
                self.clashing.insert(Key { kind: kind.clone(), id: id.clone() });
            }
        }
    }
}

/// The lists that records point into.
#[derive(Clone, Copy)]
struct Lists<'a> {
    names: &'a [Arc<str>],
    entries: &'a [(Ref, Stamp)],
}

/// An array of what `T` reads.
struct Many<T>(T);

impl<'de, T: DeserializeSeed<'de> + Copy> DeserializeSeed<'de> for Many<T> {
    type Value = Vec<T::Value>;

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<Self::Value, D::Error> {
        reader.deserialize_seq(self)
    }
}

impl<'de, T: DeserializeSeed<'de> + Copy> Visitor<'de> for Many<T> {
    type Value = Vec<T::Value>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an array")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Self::Value, A::Error> {
        let mut all = Vec::new();
        while let Some(one) = seq.next_element_seed(self.0)? {
            all.push(one);
        }
        Ok(all)
    }
}

/// `[kind, record, record, …]`
#[derive(Clone, Copy)]
struct Kind<'a>(Lists<'a>);

impl<'de> DeserializeSeed<'de> for Kind<'_> {
    type Value = (Arc<str>, Vec<(Arc<str>, Record)>);

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<Self::Value, D::Error> {
        reader.deserialize_seq(self)
    }
}

impl<'de> Visitor<'de> for Kind<'_> {
    type Value = (Arc<str>, Vec<(Arc<str>, Record)>);

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a kind and its records")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Self::Value, A::Error> {
        let kind: &str = seq.next_element()?.ok_or_else(|| A::Error::custom("no kind"))?;
        let mut records = Vec::new();
        while let Some(record) = seq.next_element_seed(One(self.0))? {
            records.push(record);
        }
        Ok((kind.into(), records))
    }
}

/// `[id, name, entry, value, name, entry, value, …]`
struct One<'a>(Lists<'a>);

impl<'de> DeserializeSeed<'de> for One<'_> {
    type Value = (Arc<str>, Record);

    fn deserialize<D: Deserializer<'de>>(self, reader: D) -> Result<Self::Value, D::Error> {
        reader.deserialize_seq(self)
    }
}

impl<'de> Visitor<'de> for One<'_> {
    type Value = (Arc<str>, Record);

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a record")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Self::Value, A::Error> {
        let cut = || A::Error::custom("a record is cut short");
        let id: &str = seq.next_element()?.ok_or_else(cut)?;
        let mut record = Record::default();
        while let Some(name) = seq.next_element::<usize>()? {
            let entry: usize = seq.next_element()?.ok_or_else(cut)?;
            let value: Value = seq.next_element()?.ok_or_else(cut)?;
            let (Some(name), Some(&(reference, at))) = (self.0.names.get(name), self.0.entries.get(entry)) else {
                return Err(A::Error::custom("a record points beyond the lists"));
            };
            let head = Head { reference, at, value };
            match record.fields.last_mut() {
                Some(last) if last.name == *name => last.heads.push(head),
                Some(last) if last.name > *name => return Err(A::Error::custom("fields out of order")),
                _ => record.fields.push(Field { name: name.clone(), heads: SmallVec::from_iter([head]) }),
            }
        }
        record.fields.shrink_to_fit();
        Ok((id.into(), record))
    }
}
