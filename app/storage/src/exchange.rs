//! What this device keeps about other devices, beside the lines: one JSON text in `meta`.

use journal::bundle::{Heads, Signed};
use journal::{DeviceId, Digest, Id};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Fields of a newer version are lost by an older one that writes: all of it is found out again from the next bundles.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Exchange {
    /// Books whose records are this barn's too.
    pub joined: Vec<Id>,
    /// The last heads devices signed.
    pub signed: BTreeMap<DeviceId, Signed>,
    /// What each device's last bundle told.
    pub heard: BTreeMap<DeviceId, Heard>,
    /// Bundles taken in, oldest first.
    pub imports: Vec<Import>,
    /// When this device last handed a bundle out; milliseconds since 1970 (UTC).
    pub made_ms: Option<u64>,
}

/// What a device's last bundle told.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Heard {
    /// Local time and offset there.
    pub made: String,
    /// When it was taken in here; milliseconds since 1970 (UTC).
    pub at_ms: u64,
    pub heads: Heads,
    /// Of its whole state; none where its bundle did not say.
    #[serde(default)]
    pub digest: Option<Digest>,
}

/// A bundle that was taken in. Before it is a restore point.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Import {
    /// Names its blocks.
    pub n: u32,
    pub from: DeviceId,
    /// Local time and offset there; empty when that is no longer known.
    pub made: String,
    pub at_ms: u64,
    pub acts: usize,
    /// Set aside again: stored, not folded.
    pub aside: bool,
}

impl Exchange {
    /// The last bundle taken in that is not set aside.
    pub fn last_import(&self) -> Option<&Import> {
        self.imports.iter().rev().find(|import| !import.aside)
    }
}
