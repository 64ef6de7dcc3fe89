//! A simulated store: one that is whole, and everything that a real one does to what it is asked.

use crate::chance::Chance;
use share::store::{Answer, Found, No, Verb};
use std::collections::BTreeMap;

/// How often, of a thousand requests each.
#[derive(Clone, Copy, Debug, Default)]
pub struct Faults {
    pub lost: u64,
    pub broken: u64,
    pub cut: u64,
    pub late: u64,
    pub twice: u64,
    pub there: u64,
}

#[derive(Default)]
pub struct Store {
    pub objects: BTreeMap<String, (Vec<u8>, u64)>,
    /// What the first whole one under a name was: no other may ever be put there.
    first: BTreeMap<String, Vec<u8>>,
    writes: u64,
    /// Every write with its time, for a list that lags.
    log: Vec<(u64, String, u64)>,
    pub lag_ms: u64,
    pub faults: Faults,
    pub denies: bool,
    pub full: bool,
    pub yesterday: Option<BTreeMap<String, (Vec<u8>, u64)>>,
    /// What a device did that it must not.
    pub wrong: Option<String>,
    pub requests: u64,
    pub bytes_up: u64,
    pub bytes_down: u64,
}

impl Store {
    pub fn names(&self) -> impl Iterator<Item = &String> {
        self.objects.keys()
    }

    pub fn bytes(&self) -> u64 {
        self.objects.values().map(|(bytes, _)| bytes.len() as u64).sum()
    }

    fn put(&mut self, path: &str, bytes: Vec<u8>, now: u64) {
        self.writes += 1;
        self.log.push((now, path.to_owned(), self.writes));
        self.objects.insert(path.to_owned(), (bytes, self.writes));
    }

    /// What a request comes to once it is here.
    pub fn reached(&mut self, verb: &Verb, now: u64, chance: &mut Chance) -> Answer {
        self.requests += 1;
        if self.denies {
            return Answer::No(No::Access);
        }
        if chance.below(1000) < self.faults.broken {
            return Answer::No(if chance.below(2) == 0 { No::Odd(500) } else { No::Busy { again_s: None } });
        }
        match verb {
            Verb::Put { path, bytes } => {
                self.bytes_up += bytes.len() as u64;
                if path.contains("/lines/") {
                    let first = self.first.entry(path.clone()).or_insert_with(|| bytes.clone());
                    if first != bytes {
                        self.wrong = Some(format!("{path} was written over"));
                    }
                }
                if self.full {
                    return Answer::No(No::Full);
                }
                if chance.below(1000) < self.faults.cut {
                    let half = bytes[..bytes.len() / 2].to_vec();
                    self.put(path, half, now);
                    return Answer::No(No::Odd(500));
                }
                if chance.below(1000) < self.faults.there && self.objects.contains_key(path) {
                    return Answer::There;
                }
                self.put(path, bytes.clone(), now);
                Answer::Done
            }
            Verb::Get { path } => match self.objects.get(path) {
                None => Answer::Missing,
                Some((bytes, _)) => {
                    self.bytes_down += bytes.len() as u64;
                    let cut = chance.below(1000) < self.faults.cut;
                    Answer::Got(if cut { bytes[..bytes.len() / 3].to_vec() } else { bytes.clone() })
                }
            },
            Verb::List { folder } => {
                let prefix = format!("{folder}/");
                let mut listed: BTreeMap<&str, u64> = BTreeMap::new();
                match self.lag_ms {
                    0 => listed.extend(self.objects.iter().map(|(path, (_, tag))| (path.as_str(), *tag))),
                    lag => {
                        let seen = self.log.iter().take_while(|(at, _, _)| at + lag <= now);
                        listed.extend(seen.map(|(_, path, tag)| (path.as_str(), *tag)));
                    }
                }
                let found = listed.into_iter().filter_map(|(path, tag)| {
                    let name = path.strip_prefix(&prefix).filter(|name| !name.contains('/'))?;
                    Some(Found { name: name.to_owned(), tag: Some(tag.to_string()) })
                });
                Answer::Listed(found.collect())
            }
            Verb::Delete { path } => {
                self.objects.remove(path);
                Answer::Done
            }
        }
    }

    pub fn note_yesterday(&mut self) {
        self.yesterday = Some(self.objects.clone());
    }

    pub fn roll_back(&mut self) -> bool {
        match self.yesterday.take() {
            Some(objects) => self.objects = objects,
            None => return false,
        }
        true
    }

    /// Garbage over an object, or another object in its place, or none.
    pub fn harm(&mut self, chance: &mut Chance) -> Option<String> {
        let paths: Vec<String> = self.objects.keys().cloned().collect();
        let path = chance.pick(&paths)?.clone();
        let other = chance.pick(&paths)?.clone();
        let (other, _) = self.objects.get(&other)?.clone();
        let (bytes, tag) = self.objects.get_mut(&path)?;
        *tag += 1_000_000_000;
        match chance.below(4) {
            0 => *bytes = vec![0xa5; 40],
            1 => *bytes = other,
            2 => drop(bytes.pop()),
            _ => drop(self.objects.remove(&path)),
        }
        Some(path)
    }
}
