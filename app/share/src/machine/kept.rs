//! What a machine keeps for its next start. It is advice: lost or old, it only makes the next look longer.

use journal::DeviceId;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
struct Parts {
    /// The store's folder, which is another one for another key.
    folder: String,
    dev: Option<DeviceId>,
    /// The last turn this device wrote under that name, or tried to.
    turn: u32,
    /// The number of its last act that lies in the store.
    sent: u32,
    /// The last turn seen of each other device.
    seen: BTreeMap<DeviceId, u32>,
    /// Names this device had before.
    former: BTreeSet<DeviceId>,
}

#[derive(Debug, Default)]
pub(super) struct Kept {
    parts: Parts,
    changed: bool,
}

impl Kept {
    pub fn read(text: Option<&str>, folder: &str, dev: DeviceId) -> Kept {
        let read: Option<Parts> = text.and_then(|text| serde_json::from_str(text).ok());
        let old = read.unwrap_or_default();
        // What was written elsewhere says nothing here, but who this device was is the same everywhere.
        let mut parts = match old.folder == folder {
            true => old,
            false => Parts { former: old.former, dev: old.dev, ..Parts::default() },
        };
        parts.folder = folder.to_owned();
        let mut kept = Kept { parts, changed: false };
        kept.name(dev);
        kept
    }

    pub fn name(&mut self, dev: DeviceId) {
        if self.parts.dev != Some(dev) {
            self.parts.former.extend(self.parts.dev);
            (self.parts.dev, self.parts.turn, self.parts.sent, self.changed) = (Some(dev), 0, 0, true);
        }
        self.parts.former.remove(&dev);
    }

    pub fn was(&self, dev: DeviceId) -> bool {
        self.parts.former.contains(&dev)
    }

    pub fn turn(&self) -> u32 {
        self.parts.turn
    }

    pub fn set_turn(&mut self, turn: u32) {
        self.changed |= self.parts.turn != turn;
        self.parts.turn = turn;
    }

    pub fn sent(&self) -> u32 {
        self.parts.sent
    }

    pub fn set_sent(&mut self, sent: u32) {
        self.changed |= self.parts.sent != sent;
        self.parts.sent = sent;
    }

    pub fn seen(&self) -> &BTreeMap<DeviceId, u32> {
        &self.parts.seen
    }

    /// The last turn seen before.
    pub fn see(&mut self, dev: DeviceId, turn: u32) -> u32 {
        let seen = self.parts.seen.entry(dev).or_default();
        let before = *seen;
        if turn > before {
            (*seen, self.changed) = (turn, true);
        }
        before
    }

    /// All of it, where something has changed since this was last asked.
    pub fn take_kept(&mut self) -> Option<String> {
        if !std::mem::take(&mut self.changed) {
            return None;
        }
        serde_json::to_string(&self.parts).ok()
    }
}
