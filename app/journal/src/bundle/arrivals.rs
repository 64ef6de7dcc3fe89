//! What taking a bundle in would mean: said before anything is changed.

use super::error::BadBundle;
use super::ledger::Ledger;
use super::manifest::Signed;
use super::read::Bundle;
use crate::digest::Digest;
use crate::entry::Entry;
use crate::fold::{Fold, Fork, Key, OddClock, Taken};
use crate::id::{DeviceId, Hash, Id, Ref};
use crate::keys::{ChainHead, PublicKey};
use crate::stamp::Stamp;
use std::collections::{BTreeMap, BTreeSet};

/// What one person did, among what is new.
#[derive(Clone, Debug, PartialEq)]
pub struct Doing {
    /// The person, as the lines name them.
    pub by: String,
    /// How often each act.
    pub acts: BTreeMap<String, u32>,
    /// Local time and offset of the earliest and the latest, by their devices' clocks.
    pub from: String,
    pub to: String,
}

/// New acts of a device that did not sign them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Unvouched {
    pub dev: DeviceId,
    /// How many new acts under its name stand on no head it signed.
    pub acts: u32,
    /// Whether a signature is there that is not its own: somebody else wrote under its name.
    pub forged: bool,
}

/// What taking a bundle in would change, and the state after it.
#[derive(Clone, Debug)]
pub struct Arrivals {
    /// The state with the bundle taken in.
    pub after: Fold,
    /// The lines that are new here, in order of device and number.
    pub new: Vec<String>,
    /// How many of the bundle's acts were here before.
    pub known: usize,
    /// How many of the new acts wait for earlier ones.
    pub waiting: usize,
    /// In order of the first act of each.
    pub doings: Vec<Doing>,
    /// Clashes that are not here now.
    pub clashes: Vec<(Key, String)>,
    /// How many clashes of now are settled by it.
    pub settled: usize,
    /// Devices among the new acts whose clock is more than 24 hours ahead.
    pub odd_clocks: Vec<OddClock>,
    /// Devices among the new acts whose acts nobody vouches for.
    pub unvouched: Vec<Unvouched>,
    /// Devices, and how many acts of each are still missing afterwards.
    pub missing: Vec<(DeviceId, u32)>,
    /// Devices newly found to have been copied or restored.
    pub forks: Vec<Fork>,
    /// By kind, how many records are there before and after, where they differ.
    pub counts: BTreeMap<String, (usize, usize)>,
    pub before_digest: Digest,
    pub after_digest: Digest,
    /// Signed heads to keep and pass on.
    pub signed: BTreeMap<DeviceId, Signed>,
}

impl Arrivals {
    /// Compares a bundle with what is held. `signed` are the signed heads kept from before, `wall_ms` the time now in
    /// milliseconds since 1970 (UTC). With `join`, records of another book are taken as this barn's too.
    ///
    /// # Errors
    /// [`BadBundle::OtherBook`] without `join`, and [`BadBundle::Line`] for a line made to deceive.
    pub fn of(
        mine: &Ledger<'_>,
        bundle: &Bundle,
        signed: &BTreeMap<DeviceId, Signed>,
        join: bool,
        wall_ms: u64,
    ) -> Result<Arrivals, BadBundle> {
        let before = &mine.fold;
        let mut after = before.clone();
        let own: BTreeSet<Id> = std::iter::once(before.book()).chain(before.joined()).collect();
        for book in bundle.manifest.books().filter(|book| !own.contains(book)) {
            if !join {
                return Err(BadBundle::OtherBook { book });
            }
            after.join(book);
        }
        let mut news = News::default();
        for (place, line) in bundle.lines.iter().enumerate() {
            let refused = |why| BadBundle::Line { file: bundle.manifest.by.to_string(), line: place + 1, why };
            let entry = Entry::read(line).map_err(refused)?;
            news.note(&entry);
            match after.take_entry(entry).map_err(refused)? {
                Taken::Already | Taken::NeedsHistory => news.forget(),
                Taken::New { .. } | Taken::Held => news.keep(line),
            }
        }
        let devs: BTreeSet<DeviceId> = news.links.values().map(|link| link.dev).collect();
        let (signed, unvouched) = vouched(mine, &after, bundle, signed, &news);
        let was: BTreeSet<(Key, String)> = clashes(before).collect();
        let is: BTreeSet<(Key, String)> = clashes(&after).collect();
        let old_forks: BTreeSet<DeviceId> = before.forks().map(|fork| fork.dev).collect();
        let waiting: BTreeSet<Ref> = after.waiting().collect();
        Ok(Arrivals {
            known: bundle.lines.len() - news.lines.len(),
            waiting: news.refs.iter().filter(|reference| waiting.contains(reference)).count(),
            doings: news.doings(),
            clashes: is.difference(&was).cloned().collect(),
            settled: was.difference(&is).count(),
            odd_clocks: after.odd_clocks(wall_ms).filter(|odd| devs.contains(&odd.dev)).collect(),
            unvouched,
            missing: after.missing().map(|chain| (chain.dev, chain.missing)).collect(),
            forks: after.forks().filter(|fork| !old_forks.contains(&fork.dev)).collect(),
            counts: counts(before, &after),
            before_digest: before.digest(),
            after_digest: after.digest(),
            signed,
            new: news.lines,
            after,
        })
    }
}

fn clashes(fold: &Fold) -> impl Iterator<Item = (Key, String)> {
    fold.clashes().map(|clash| (clash.key, clash.field.to_owned()))
}

fn counts(before: &Fold, after: &Fold) -> BTreeMap<String, (usize, usize)> {
    let kinds = after.kinds().map(|kind| {
        let count = |fold: &Fold| fold.records(kind).count();
        (kind.to_owned(), (count(before), count(after)))
    });
    kinds.filter(|(_, (before, after))| before != after).collect()
}

/// The signed heads after the bundle, and which devices' new acts stand on none of them.
fn vouched(
    mine: &Ledger<'_>,
    after: &Fold,
    bundle: &Bundle,
    kept: &BTreeMap<DeviceId, Signed>,
    news: &News,
) -> (BTreeMap<DeviceId, Signed>, Vec<Unvouched>) {
    let mut signed = kept.clone();
    let mut forged = BTreeSet::new();
    let mut vouched = BTreeSet::new();
    let book = |dev: DeviceId| news.books.get(&dev).copied().unwrap_or_else(|| mine.book_of(dev));
    for (dev, device) in &bundle.manifest.devices {
        let known = |fold: &Fold| fold.chain(*dev).and_then(|chain| chain.key);
        // The key first seen here stays the one believed.
        let key = known(&mine.fold).or_else(|| known(after));
        if let (Some(new), Some(key)) = (device.signed, key)
            && after.holds(*dev, new.count, &new.head)
        {
            if !verifies(&key, book(*dev), *dev, &new) {
                forged.insert(*dev);
            } else {
                news.walk_back(new.head, &mut vouched);
                if signed.get(dev).is_none_or(|old| old.count < new.count) {
                    signed.insert(*dev, new);
                }
            }
        }
    }
    kept.values().for_each(|signed| news.walk_back(signed.head, &mut vouched));
    let mut counts: BTreeMap<DeviceId, u32> = forged.iter().map(|dev| (*dev, 0)).collect();
    for (_, new) in news.links.iter().filter(|(hash, _)| !vouched.contains(*hash)) {
        *counts.entry(new.dev).or_default() += 1;
    }
    let unvouched = counts.into_iter().map(|(dev, acts)| Unvouched { dev, acts, forged: forged.contains(&dev) });
    (signed, unvouched.collect())
}

fn verifies(key: &PublicKey, book: Id, dev: DeviceId, signed: &Signed) -> bool {
    let head = ChainHead { book, dev, seq: signed.count, hash: signed.head };
    key.verifies(&head, &signed.signature)
}

/// What is new, as it comes.
#[derive(Default)]
struct News {
    lines: Vec<String>,
    refs: Vec<Ref>,
    links: BTreeMap<Hash, Link>,
    /// The book each device of the bundle writes in.
    books: BTreeMap<DeviceId, Id>,
    doings: BTreeMap<String, Span>,
    noted: Option<Noted>,
}

/// A new act, and what it follows.
struct Link {
    dev: DeviceId,
    prev: Option<Hash>,
}

struct Noted {
    reference: Ref,
    hash: Hash,
    prev: Option<Hash>,
    by: String,
    act: String,
    at: Stamp,
    wall: String,
}

#[derive(Default)]
struct Span {
    acts: BTreeMap<String, u32>,
    from: Option<(Stamp, String)>,
    to: Option<(Stamp, String)>,
}

impl News {
    fn note(&mut self, entry: &Entry) {
        self.books.entry(entry.dev()).or_insert(entry.book);
        self.noted = Some(Noted {
            reference: entry.reference,
            hash: entry.hash,
            prev: entry.prev,
            by: entry.by.clone(),
            act: entry.act.clone(),
            at: entry.at,
            wall: entry.wall.clone(),
        });
    }

    fn forget(&mut self) {
        self.noted = None;
    }

    fn keep(&mut self, line: &str) {
        let Some(Noted { reference, hash, prev, by, act, at, wall }) = self.noted.take() else { return };
        self.lines.push(line.to_owned());
        self.refs.push(reference);
        self.links.insert(hash, Link { dev: reference.dev, prev });
        let span = self.doings.entry(by).or_default();
        *span.acts.entry(act).or_default() += 1;
        if span.from.as_ref().is_none_or(|(first, _)| at < *first) {
            span.from = Some((at, wall.clone()));
        }
        if span.to.as_ref().is_none_or(|(last, _)| at >= *last) {
            span.to = Some((at, wall));
        }
    }

    /// Collects a new act and all new acts it stands on.
    fn walk_back(&self, head: Hash, into: &mut BTreeSet<Hash>) {
        let mut at = Some(head);
        while let Some(hash) = at {
            at = self.links.get(&hash).filter(|_| into.insert(hash)).and_then(|link| link.prev);
        }
    }

    fn doings(&mut self) -> Vec<Doing> {
        let mut spans: Vec<(String, Span)> = std::mem::take(&mut self.doings).into_iter().collect();
        spans.sort_by_key(|(_, span)| span.from.as_ref().map(|(at, _)| *at));
        let wall = |end: Option<(Stamp, String)>| end.map(|(_, wall)| wall).unwrap_or_default();
        let doing =
            |(by, span): (String, Span)| Doing { by, acts: span.acts, from: wall(span.from), to: wall(span.to) };
        spans.into_iter().map(doing).collect()
    }
}
