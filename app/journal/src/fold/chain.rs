//! The lines of one device. One device writes one chain; a copied or restored device makes it a tree.

use crate::entry::Entry;
use crate::id::{DeviceId, Hash, Named, Ref};
use crate::keys::PublicKey;
use crate::stamp::Stamp;
use smallvec::SmallVec;
use std::collections::{BTreeMap, BTreeSet};

/// How far a device's acts are known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Chain {
    pub dev: DeviceId,
    /// The number of the last act folded (of the longest branch; the greater hash if two are as long).
    /// 0 if none is.
    pub seq: u32,
    /// That act's hash; none if none is folded.
    pub hash: Option<Hash>,
    /// The key from the device's first act; of the smallest hash if there are several first acts.
    pub key: Option<PublicKey>,
    /// How many acts are folded, branches included.
    pub folded: u32,
    /// How many acts are here but wait for one before them.
    pub held: u32,
    /// How many acts are known to exist but are not here.
    pub missing: u32,
    /// The greatest stamp folded.
    pub latest: Stamp,
}

/// Two or more different acts of one device under one number: the device was copied or restored.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fork {
    pub dev: DeviceId,
    /// The first number that stands for different acts.
    pub parted: u32,
    /// The last act of each branch, in order.
    pub tips: Vec<(u32, Hash)>,
}

/// What taking a line would mean.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Standing {
    Already,
    NeedsHistory,
    Waits,
    Next,
}

#[derive(Clone, Debug, Default)]
pub(crate) struct Tree {
    /// Hashes folded, by number. After a restore only those of the tips and later.
    pub(crate) known: BTreeMap<u32, SmallVec<[Hash; 1]>>,
    /// Up to here acts may be folded whose hashes are not in `known`; 0 if none.
    pub(crate) horizon: u32,
    pub(crate) tips: Vec<(u32, Hash)>,
    /// By number, with parent not folded yet.
    pub(crate) held: BTreeMap<u32, Vec<Entry>>,
    pub(crate) folded: u32,
    pub(crate) latest: Stamp,
    pub(crate) parted: Option<u32>,
    /// With the hash of the entry that carried it, which decides between several.
    pub(crate) key: Option<(Hash, PublicKey)>,
    /// The highest number any entry wrote over: proof that the device got that far.
    pub(crate) mentioned: u32,
    /// The highest of them that was named by a short reference.
    pub(crate) shorts: u32,
}

impl Tree {
    pub(crate) fn standing(&self, entry: &Entry) -> Standing {
        let seq = entry.seq();
        let known = self.known.get(&seq).map(SmallVec::as_slice).unwrap_or_default();
        let held = self.held.get(&seq).map(Vec::as_slice).unwrap_or_default();
        let mut here = known.iter().copied().chain(held.iter().map(|entry| entry.hash));
        if here.any(|hash| hash == entry.hash) {
            return Standing::Already;
        }
        // A child of a known act is new for certain: of acts before the horizon only tips are known, and a
        // tip has no child yet. But which fields short references wrote over there, a snapshot does not say.
        let follows = match entry.prev {
            _ if seq <= self.horizon.min(self.shorts) => false,
            Some(prev) => self.known.get(&(seq - 1)).is_some_and(|hashes| hashes.contains(&prev)),
            None => self.horizon == 0,
        };
        match follows {
            true => Standing::Next,
            false if seq <= self.horizon => Standing::NeedsHistory,
            false => Standing::Waits,
        }
    }

    /// Whether an act so named is folded.
    pub(crate) fn has_folded(&self, named: &Named) -> bool {
        let (dev, seq) = (named.dev(), named.seq());
        self.known.get(&seq).is_some_and(|all| all.iter().any(|&hash| named.means(&Ref { dev, seq, hash })))
    }

    /// Notes that an act of this device was written over.
    pub(crate) fn mention(&mut self, named: &Named) {
        self.mentioned = self.mentioned.max(named.seq());
        if let Named::Short(short) = named {
            self.shorts = self.shorts.max(short.seq);
        }
    }

    /// The number of the last act folded; 0 if none is.
    pub(crate) fn folded_to(&self) -> u32 {
        self.tip().map_or(0, |(seq, _)| seq)
    }

    /// Notes an act whose standing is `Next`; says whether it starts another branch.
    pub(crate) fn add(&mut self, entry: &Entry) -> bool {
        let seq = entry.seq();
        let hashes = self.known.entry(seq).or_default();
        hashes.push(entry.hash);
        if hashes.len() > 1 {
            self.parted = Some(self.parted.map_or(seq, |parted| parted.min(seq)));
        }
        self.folded += 1;
        self.latest = self.latest.max(entry.at);
        if let Some(key) = entry.key {
            let candidate = (entry.hash, key);
            self.key = Some(self.key.map_or(candidate, |old| old.min(candidate)));
        }
        let tip = (seq, entry.hash);
        match entry.prev.and_then(|prev| self.tips.iter().position(|&tip| tip == (seq - 1, prev))) {
            Some(place) => {
                self.tips[place] = tip;
                false
            }
            None => {
                self.tips.push(tip);
                self.tips.len() > 1
            }
        }
    }

    pub(crate) fn hold(&mut self, entry: Entry) {
        self.held.entry(entry.seq()).or_default().push(entry);
    }

    /// The held acts that follow the one just folded.
    pub(crate) fn freed(&mut self, seq: u32, hash: Hash) -> Vec<Entry> {
        let Some(waiting) = self.held.get_mut(&(seq + 1)) else { return Vec::new() };
        let (freed, rest) = std::mem::take(waiting).into_iter().partition(|entry| entry.prev == Some(hash));
        *waiting = rest;
        if waiting.is_empty() {
            self.held.remove(&(seq + 1));
        }
        freed
    }

    /// Number and hash of each act that held ones follow on and that is not held itself.
    pub(crate) fn waits_for(&self) -> impl Iterator<Item = (u32, Hash)> {
        let held = |seq: u32, hash: Hash| {
            self.held.get(&seq).is_some_and(|entries| entries.iter().any(|entry| entry.hash == hash))
        };
        let entries = self.held.iter().flat_map(|(&seq, entries)| entries.iter().map(move |entry| (seq, entry)));
        entries.filter_map(|(seq, entry)| Some((seq - 1, entry.prev?))).filter(move |(seq, hash)| !held(*seq, *hash))
    }

    fn tip(&self) -> Option<(u32, Hash)> {
        self.tips.iter().copied().max()
    }

    fn held_count(&self) -> u32 {
        self.held.values().map(|entries| u32::try_from(entries.len()).unwrap_or(u32::MAX)).sum()
    }

    /// Numbers with no act here up to the highest proven one, and for each held act whose number before is
    /// taken by a different act, that act's own forerunner.
    fn missing(&self) -> u32 {
        let folded_to = self.folded_to();
        let highest = self.held.keys().next_back().copied().unwrap_or(0).max(self.mentioned).max(folded_to);
        let held_beyond = self.held.range(folded_to + 1..).count();
        let absent = highest - folded_to - u32::try_from(held_beyond).unwrap_or(u32::MAX);
        absent + self.strays(folded_to)
    }

    fn strays(&self, folded_to: u32) -> u32 {
        let mut forerunners = BTreeSet::new();
        for (&seq, entries) in &self.held {
            for prev in entries.iter().filter_map(|entry| entry.prev) {
                let before = self.held.get(&(seq - 1));
                let held = before.is_some_and(|entries| entries.iter().any(|entry| entry.hash == prev));
                let number_taken = seq - 1 <= folded_to || before.is_some();
                if number_taken && !held {
                    forerunners.insert((seq, prev));
                }
            }
        }
        u32::try_from(forerunners.len()).unwrap_or(u32::MAX)
    }

    pub(crate) fn chain(&self, dev: DeviceId) -> Chain {
        let tip = self.tip();
        Chain {
            dev,
            seq: self.folded_to(),
            hash: tip.map(|(_, hash)| hash),
            key: self.key.map(|(_, key)| key),
            folded: self.folded,
            held: self.held_count(),
            missing: self.missing(),
            latest: self.latest,
        }
    }

    pub(crate) fn fork(&self, dev: DeviceId) -> Option<Fork> {
        let parted = self.parted?;
        let mut tips = self.tips.clone();
        tips.sort_unstable();
        Some(Fork { dev, parted, tips })
    }
}
