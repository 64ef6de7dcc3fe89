//! Where things lie: keys of the stores, and what is kept in `meta`. Frozen once landed; a change makes a new name.

use crate::cover::LineSet;
use crate::lines::Heads;
use journal::DeviceId;
use serde::{Deserialize, Serialize};

/// Who writes here ([`crate::Me`]).
pub const ME: &str = "me";
/// Before the device's id, where it keeps the key that signs for it ([`crate::DeviceKey::private`]).
const KEY: &str = "key.";
/// The end of this device's own chain ([`journal::Tip`]).
pub const TIP: &str = "tip";
/// What is known of other devices ([`crate::Exchange`]).
pub const EXCHANGE: &str = "exchange";
/// Which lines are stored ([`Cover`]).
pub const COVER: &str = "cover";
/// What each block holds ([`BlockInfo`]).
pub const DIRECTORY: &str = "directory";
/// Of the folded state: which lines it covers, and checksums of its texts ([`StateHead`]).
pub const STATE: &str = "state";
pub const SNAPSHOT: &str = "snapshot";
/// Lines the snapshot cannot hold, since they wait for earlier ones.
pub const WAITING: &str = "waiting";
/// Before the key of a block: how the hashes of its lines begin ([`Heads`]).
pub const HEADS: &str = "heads.";
/// Before the checksum of each part of the folded state.
pub const PART: &str = "part.";
/// What was found damaged or lost ([`crate::Harm`]).
pub const HARMS: &str = "harms";
/// Acts that were lost here ([`Gap`]).
pub const GAPS: &str = "gaps";
/// How people's details are locked ([`crate::People`]); not there while they lie as they are.
pub const PEOPLE_LOCK: &str = "people-lock";
/// Before the key of what was found damaged, in the store of what is set aside.
pub const HARMED: &str = "harmed.";
/// Before the epoch, in the keys of blocks of own lines.
const SEAL: &str = "seal.";
/// Before the number of a bundle, in the keys of its blocks.
pub const IMPORT: &str = "import.";

/// Rows are named by the act they hold, so that one number is never given out twice.
pub fn row_key(dev: DeviceId, seq: u32) -> String {
    format!("{dev}.{seq:010}")
}

/// Where the key that signs for a device is kept.
pub fn key_of(dev: DeviceId) -> String {
    format!("{KEY}{dev}")
}

/// The act that a row's key names.
pub fn row_of(key: &str) -> Option<(DeviceId, u32)> {
    let (dev, seq) = key.split_once('.')?;
    Some((dev.parse().ok()?, seq.parse().ok()?))
}

/// Blocks of own lines are named by the epoch they were sealed in, which never comes twice.
pub fn sealed_key(epoch: u64, chunk: usize) -> String {
    format!("{SEAL}{epoch:012}.{chunk:06}")
}

/// The epoch in the key of a block of own lines, or of something harmed.
pub fn epoch_of(key: &str) -> Option<u64> {
    key.strip_prefix(SEAL).or_else(|| key.strip_prefix(HARMED))?.split('.').next()?.parse().ok()
}

/// The blocks of a bundle sort by bundle, then by place.
pub fn import_key(import: u32, chunk: usize) -> String {
    format!("{IMPORT}{import:08}.{chunk:06}")
}

/// Where it is kept how the hashes of a block's lines begin.
pub fn heads_key(block: &str) -> String {
    format!("{HEADS}{block}")
}

/// The bundle that a block came with.
pub fn import_of(key: &str) -> Option<u32> {
    key.strip_prefix(IMPORT)?.split('.').next()?.parse().ok()
}

/// Which lines are stored. Written in every transaction that adds, moves or removes lines, with those lines.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Cover {
    /// Raised by every seal, import, setting aside, mending, and by every change of who writes here.
    pub epoch: u64,
    /// The lines in blocks.
    pub sealed: LineSet,
    /// The lines in rows, and how their hashes begin.
    pub rows: LineSet,
    pub row_heads: Heads,
    pub blocks: u32,
}

/// What one block holds.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BlockInfo {
    pub key: String,
    pub lines: LineSet,
    /// Of each device with lines here: its lowest and highest number.
    pub spans: Vec<(DeviceId, u32, u32)>,
}

/// Which lines a folded state covers, in which epoch, and the checksums of its texts. It is a shortcut: what does not
/// match is folded again from the lines.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StateHead {
    pub epoch: u64,
    pub sealed: LineSet,
    pub snapshot: Sum,
    pub waiting: Sum,
    /// In order of number; each also names its part.
    pub parts: Vec<Sum>,
}

/// A device, and the lowest and highest number of acts some of which were lost here. What follows on them is shown all
/// the same; when they come back with a bundle, everything is folded anew.
pub type Gap = (DeviceId, u32, u32);

/// XXH64 of a text. It tells of harm, not of malice: whoever can write here can write anything.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Sum(u64);

impl Sum {
    pub fn of(text: &str) -> Sum {
        Sum(xxhash_rust::xxh64::xxh64(text.as_bytes(), 0))
    }

    /// The key of the part with this checksum.
    pub fn part_key(self) -> String {
        format!("{PART}{:016x}", self.0)
    }
}

/// As text. Texts, numbers and maps with text keys always have a JSON form.
pub(crate) fn json<T: Serialize + ?Sized>(value: &T) -> String {
    serde_json::to_string(value).unwrap_or_default()
}
