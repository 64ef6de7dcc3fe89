//! What must be true in every quiet moment.

use super::storage::Bits;
use super::world::{World, wrong};
use crate::disk::{Store, Value};
use crate::exchange::Exchange;
use crate::layout::{EXCHANGE, GAPS, Gap, HARMED, Kept, ME, import_of};
use crate::{LineSet, Me};
use book::Book;
use journal::{Digest, Hash};
use std::collections::{BTreeMap, BTreeSet};

impl World {
    pub(super) fn compare(&mut self) -> Result<(), String> {
        let mut alike: BTreeMap<String, Digest> = BTreeMap::new();
        for (device, seat) in self.seats.iter_mut().enumerate() {
            let storage = seat.storage.borrow();
            if storage.bits.is_empty() {
                continue;
            }
            let lines = stored_lines(&storage.bits);
            let there = hashes(&storage.bits);
            let set_aside = hashes_of(&storage.bits, |store, key| store == Store::Aside && key.starts_with(HARMED));
            let Some(folded) = fold(&storage.bits, &lines) else {
                if seat.harmed || !self.pages.values().any(|page| page.device == device) {
                    continue;
                }
                return wrong(format!("device {device}: nobody can read who writes there"));
            };
            let digest = folded.journal().digest();
            let set: LineSet = lines.iter().map(|line| LineSet::of(line)).sum();
            let gaps: Vec<Gap> = meta(&storage.bits, GAPS).unwrap_or_default();
            let joined = format!("{set:?} {gaps:?} {:?}", folded.journal().book());
            if *alike.entry(joined).or_insert(digest) != digest {
                return wrong(format!("device {device}: the same lines, another digest"));
            }
            for (reference, hash) in &seat.saved {
                if seat.lost.contains(hash) {
                    continue;
                }
                if !there.contains(hash) {
                    return wrong(format!("device {device}: {reference} was said to be saved and is gone"));
                }
                if set_aside.contains(hash) && !seat.harmed_twice {
                    return wrong(format!("device {device}: {reference} is sound and was set aside as harmed"));
                }
            }
            // Harm that nobody has looked for yet hides what follows on it.
            let unseen = if seat.harmed { seat.saved.len() } else { seat.excused };
            for (reference, hash) in seat.saved.iter().skip(unseen) {
                let aside = !lines.iter().any(|line| Hash::of(line.as_bytes()) == *hash);
                if !aside && !folded.journal().holds(reference.dev, reference.seq, hash) {
                    return wrong(format!("device {device}: {reference} was said to be saved and is not shown"));
                }
            }
            if !seat.ever_harmed {
                // A bundle set aside may come a second time, and both be taken back.
                if !seat.ever_aside && set.count as usize != lines.iter().collect::<BTreeSet<_>>().len() {
                    return wrong(format!("device {device}: a line is stored twice"));
                }
                whole_bundles(&storage.bits).map_err(|why| format!("device {device}: {why}"))?;
            }
            for (number, page) in self.pages.iter().filter(|(_, page)| page.device == device) {
                if !seat.ever_harmed && page.tab.has_harms() {
                    let harms = page.tab.harms();
                    return wrong(format!("device {device}: page {number} tells of harm that was not done: {harms:?}"));
                }
                if seat.harmed {
                    continue;
                }
                if !alike_in_all(&page.tab.book(), &folded) {
                    return wrong(format!("device {device}: page {number} does not show what is stored"));
                }
            }
        }
        Ok(())
    }
}

pub(super) fn texts(bits: &Bits, store: Store) -> impl Iterator<Item = (&str, &str)> {
    bits.iter().filter(move |((other, _), _)| *other == store).filter_map(|((_, key), value)| match value {
        Value::Text(text) => Some((key.as_str(), text.as_str())),
        Value::Other(_) => None,
    })
}

/// All lines that count: in blocks and rows.
pub(super) fn stored_lines(bits: &Bits) -> Vec<String> {
    let texts = texts(bits, Store::Blocks).chain(texts(bits, Store::Rows));
    texts.flat_map(|(_, text)| text.lines()).map(str::to_owned).collect()
}

/// Hashes of lines wherever they lie.
pub(super) fn hashes(bits: &Bits) -> BTreeSet<Hash> {
    hashes_of(bits, |store, _| matches!(store, Store::Rows | Store::Blocks | Store::Aside))
}

pub(super) fn hashes_of(bits: &Bits, which: impl Fn(Store, &str) -> bool) -> BTreeSet<Hash> {
    let texts = bits.iter().filter(|((store, key), _)| which(*store, key)).filter_map(|(_, value)| match value {
        Value::Text(text) => Some(text),
        Value::Other(_) => None,
    });
    texts.flat_map(|text| text.lines()).map(|line| Hash::of(line.as_bytes())).collect()
}

pub(super) fn meta<T: Kept>(bits: &Bits, key: &str) -> Option<T> {
    match bits.get(&(Store::Meta, key.to_owned()))? {
        Value::Text(text) => T::read(text),
        Value::Other(_) => None,
    }
}

/// What all stored lines add up to.
pub(super) fn fold(bits: &Bits, lines: &[String]) -> Option<Book> {
    let (me, exchange): (Me, Exchange) = (meta(bits, ME)?, meta(bits, EXCHANGE).unwrap_or_default());
    let mut book = Book::new(me.book);
    exchange.joined.iter().for_each(|other| book.join(*other));
    lines.iter().for_each(|line| drop(book.take(line)));
    crate::open::pass_over(&mut book, &meta::<Vec<Gap>>(bits, GAPS).unwrap_or_default());
    Some(book)
}

/// Whether two books show the same: every record, and every value that stands in it.
pub(super) fn alike_in_all(one: &Book, other: &Book) -> bool {
    let kinds: BTreeSet<&str> = one.journal().kinds().chain(other.journal().kinds()).collect();
    let values = |book: &Book, kind: &str| -> Vec<(String, Vec<(String, serde_json::Value)>)> {
        let fields = |record: &journal::Record| record.fields().map(|(name, v)| (name.to_owned(), v.clone())).collect();
        book.journal().any_records(kind).map(|(id, record)| (id.to_owned(), fields(record))).collect()
    };
    one.journal().digest() == other.journal().digest()
        && kinds.into_iter().all(|kind| values(one, kind) == values(other, kind))
}

/// Each bundle that is known lies in one place with all its lines, and no other does.
pub(super) fn whole_bundles(bits: &Bits) -> Result<(), String> {
    let exchange: Exchange = meta(bits, EXCHANGE).unwrap_or_default();
    let mut found: BTreeMap<(u32, bool), usize> = BTreeMap::new();
    for (store, aside) in [(Store::Blocks, false), (Store::Aside, true)] {
        for (key, text) in texts(bits, store) {
            if let Some(n) = import_of(key) {
                *found.entry((n, aside)).or_default() += text.lines().count();
            }
        }
    }
    let known: BTreeMap<(u32, bool), usize> = exchange.imports.iter().map(|i| ((i.n, i.aside), i.acts)).collect();
    match found == known {
        true => Ok(()),
        false => wrong(format!("bundles are stored as {found:?} and known as {known:?}")),
    }
}
