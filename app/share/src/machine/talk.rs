//! What a machine is told, and what it asks for.

use crate::store::{Answer, Verb};
use journal::bundle::{Bundle, Signed};
use journal::{DeviceId, Fold, Id, PublicKey, Ref, Signature};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What is not this crate's: the clock and randomness.
pub trait Around {
    /// Milliseconds since 1970 (UTC). It may jump.
    fn now_ms(&self) -> u64;
    /// Local time with its offset: `2026-06-09T21:40+02:00`.
    fn wall(&self) -> String;
    fn random(&mut self) -> u64;
}

/// Who shares what.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Setup {
    /// The book that the store's folder is named after.
    pub book: Id,
    /// Others whose records are this barn's too.
    pub joined: Vec<Id>,
    /// The one this device writes in.
    pub writes_in: Id,
    /// Who writes on this device, and what it signs with.
    pub dev: DeviceId,
    pub key: PublicKey,
    /// The app's version.
    pub app: String,
    /// Whether the store lets objects be deleted that were packed.
    pub deletes: bool,
}

/// What the device holds, told whenever that changes.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Held {
    /// The last act of every branch of every device; only what is folded.
    pub tips: Vec<Ref>,
    /// Of each device's first act.
    pub keys: BTreeMap<DeviceId, PublicKey>,
    /// Ends that devices signed ([`journal::bundle::Arrivals::signed`]).
    pub signed: BTreeMap<DeviceId, Signed>,
}

impl Held {
    pub fn of(fold: &Fold, signed: &BTreeMap<DeviceId, Signed>) -> Held {
        let mut tips: BTreeMap<DeviceId, Vec<Ref>> = BTreeMap::new();
        for chain in fold.chains() {
            let tip = chain.hash.map(|hash| Ref { dev: chain.dev, seq: chain.seq, hash });
            tips.insert(chain.dev, tip.into_iter().collect());
        }
        for fork in fold.forks() {
            let tip = |(seq, hash): (u32, journal::Hash)| Ref { dev: fork.dev, seq, hash };
            tips.insert(fork.dev, fork.tips.iter().copied().map(tip).collect());
        }
        let keys = fold.chains().filter_map(|chain| Some((chain.dev, chain.key?)));
        Held { tips: tips.into_values().flatten().collect(), keys: keys.collect(), signed: signed.clone() }
    }
}

/// What happened.
#[derive(Clone, Debug)]
pub enum Event {
    /// The records are open. Once.
    Opened(Held),
    /// An act was saved, a file was taken in, another page wrote something.
    Changed(Held),
    /// Whether there is a network, as far as the device knows.
    Network(bool),
    /// Somebody wants it now.
    ByHand,
    /// [`crate::Machine::wake`] has come.
    Tick,
    /// The device writes under another name now.
    Renamed {
        dev: DeviceId,
        key: PublicKey,
    },
    Answer {
        id: u64,
        reply: Reply,
    },
}

/// What is asked for, with its number.
#[derive(Clone, Debug)]
pub struct Asked {
    pub id: u64,
    pub ask: Ask,
}

#[derive(Clone, Debug)]
pub enum Ask {
    Store(Verb),
    /// At most `most` lines of the branch that ends with `to`, in order: those that follow the newest of `after` on that
    /// branch, from the device's first line where none is.
    Lines {
        to: Ref,
        after: Vec<Ref>,
        most: usize,
    },
    /// Whether each of these acts is folded here, with all before it: false where something before was lost and passed
    /// over. True also for what the keeper has set aside, which is not to come back by itself.
    Holds(Vec<Ref>),
    /// A signature of each text by the device's key.
    Sign(Vec<String>),
    /// Compared and stored as a bundle that came in a file. Where this device's own name is used elsewhere in it, the
    /// device goes on under a new one ([`Event::Renamed`]).
    TakeIn(Box<Bundle>),
    /// To be kept for the next start, over what was kept before. No answer.
    Keep(String),
    /// Somebody else writes under this device's name: a new one is needed, which continues it.
    NewName,
}

#[derive(Clone, Debug)]
pub enum Reply {
    Store(Answer),
    /// The lines, as many as there are; none where the end is not held.
    Lines(Option<Vec<String>>),
    Holds(Vec<bool>),
    Signed(Vec<Signature>),
    /// Taken in; what is held now.
    TakenIn(Held),
    /// Not taken in; why, in words.
    Refused(String),
    /// It could not be done; it will be asked for again.
    Nothing,
}
