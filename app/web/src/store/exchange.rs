//! What this device keeps about other devices, beside the lines: one JSON text in `meta`.

use super::db::{META, Trouble, text, to_json};
use indexed_db_futures::prelude::*;
use indexed_db_futures::transaction::Transaction;
use journal::bundle::{Heads, Signed};
use journal::{DeviceId, Digest, Id};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Fields of a newer version are lost by an older one that writes: all of it is found out again from the next bundles.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Exchange {
    /// Raised whenever stored lines come or go other than by an act of this device.
    pub generation: u64,
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
    pub made: String,
    pub at_ms: u64,
    pub acts: usize,
    /// Set aside again: stored, not folded.
    pub aside: bool,
}

impl Exchange {
    /// As stored; nothing known when there is nothing, or it cannot be read.
    pub(super) fn stored(tx: &Transaction<'_>) -> impl Future<Output = Result<Self, Trouble>> + use<> {
        let asked = text(tx, "exchange");
        async move { Ok(asked.await?.and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_default()) }
    }

    pub(super) fn put(&self, tx: &Transaction<'_>) -> Result<(), Trouble> {
        tx.object_store(META)?.put(to_json(self)?).with_key("exchange").build()?;
        Ok(())
    }

    /// The last bundle taken in that is not set aside.
    pub fn last_import(&self) -> Option<&Import> {
        self.imports.iter().rev().find(|import| !import.aside)
    }
}
