//! Where things lie: keys of the stores, and what is kept in `meta`. Frozen once landed; a change makes a new name.

use crate::cover::LineSet;
use crate::exchange::Exchange;
use crate::harm::Harm;
use crate::identity::Me;
use crate::lines::Heads;
use journal::{DeviceId, Ref, Tip};
use serde::{Deserialize, Serialize};

/// Who writes here ([`crate::Me`]).
pub const ME: &str = "me";
/// Before the device's id, where it keeps the key that signs for it ([`crate::DeviceKey::private`]).
const KEY: &str = "key.";
/// The end of this device's own chain ([`Tip`]).
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
/// Before the keys of rows and blocks of others' lines that came from a shared store.
const ARRIVED: &str = "from.";
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

/// Others' lines that came from a shared store are rows too. Two branches of one device may have one number.
pub fn arrived_key(act: &Ref) -> String {
    format!("{ARRIVED}{}.{:010}.{}", act.dev, act.seq, act.hash)
}

/// Whether a row or a block holds others' lines from a shared store.
pub fn is_arrived(key: &str) -> bool {
    key.starts_with(ARRIVED)
}

/// The act that a row's key names.
pub fn row_of(key: &str) -> Option<(DeviceId, u32)> {
    let mut parts = key.strip_prefix(ARRIVED).unwrap_or(key).split('.');
    Some((parts.next()?.parse().ok()?, parts.next()?.parse().ok()?))
}

/// Blocks of others' lines that were rows, sealed in this epoch.
pub fn arrived_block(epoch: u64, chunk: usize) -> String {
    format!("{ARRIVED}{epoch:012}.{chunk:06}")
}

/// Blocks of own lines are named by the epoch they were sealed in, which never comes twice.
pub fn sealed_key(epoch: u64, chunk: usize) -> String {
    format!("{SEAL}{epoch:012}.{chunk:06}")
}

/// The epoch in the key of a sealed block, or of something harmed.
pub fn epoch_of(key: &str) -> Option<u64> {
    [SEAL, ARRIVED, HARMED].iter().find_map(|before| key.strip_prefix(before))?.split('.').next()?.parse().ok()
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
#[derive(Clone, Debug, Default, PartialEq)]
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
#[derive(Clone, Debug, PartialEq)]
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
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
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

/// Something kept as one text of `meta`.
pub(crate) trait Kept: Sized {
    fn text(&self) -> String;
    /// None where the text is not what was written.
    fn read(text: &str) -> Option<Self>;
}

/// Kept as JSON.
macro_rules! as_json {
    ($($kind:ty),*) => { $(
        impl Kept for $kind {
            fn text(&self) -> String {
                // Texts, numbers and maps with text keys always have a JSON form.
                serde_json::to_string(self).unwrap_or_default()
            }

            fn read(text: &str) -> Option<Self> {
                serde_json::from_str(text).ok()
            }
        }
    )* };
}
as_json!(Tip, Exchange, Vec<BlockInfo>, Vec<Harm>);

impl Kept for Me {
    fn text(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
    }

    fn read(text: &str) -> Option<Me> {
        Me::of(&serde_json::from_str(text).ok()?)
    }
}

// What every start reads is words parted by blanks: reading JSON of each of them would weigh on the first download.

impl Kept for Cover {
    fn text(&self) -> String {
        let Cover { epoch, sealed, rows, row_heads, blocks } = self;
        format!("{epoch} {sealed} {rows} {blocks} {}", row_heads.as_text()).trim_end().to_owned()
    }

    fn read(text: &str) -> Option<Cover> {
        let mut words = text.split(' ');
        let cover = Cover {
            epoch: words.next()?.parse().ok()?,
            sealed: LineSet::read(&mut words)?,
            rows: LineSet::read(&mut words)?,
            blocks: words.next()?.parse().ok()?,
            row_heads: words.next().unwrap_or_default().to_owned().into(),
        };
        // One head for each row, or it was cut short.
        (words.next().is_none() && cover.row_heads.count() == cover.rows.count).then_some(cover)
    }
}

impl Kept for StateHead {
    fn text(&self) -> String {
        let StateHead { epoch, sealed, snapshot, waiting, parts } = self;
        let mut text = format!("{epoch} {sealed} {} {:016x} {:016x}", parts.len(), snapshot.0, waiting.0);
        parts.iter().for_each(|part| text.push_str(&format!(" {:016x}", part.0)));
        text
    }

    fn read(text: &str) -> Option<StateHead> {
        let mut words = text.split(' ');
        let (epoch, sealed) = (words.next()?.parse().ok()?, LineSet::read(&mut words)?);
        let count: usize = words.next()?.parse().ok()?;
        let mut sums = Vec::new();
        for word in words {
            sums.push(Sum(u64::from_str_radix(word, 16).ok()?));
        }
        let parts = sums.split_off(sums.len().min(2));
        let [snapshot, waiting] = *sums.as_slice() else { return None };
        (parts.len() == count).then_some(StateHead { epoch, sealed, snapshot, waiting, parts })
    }
}

impl Kept for Vec<Gap> {
    fn text(&self) -> String {
        self.iter().map(|(dev, from, to)| format!("{dev} {from} {to}")).collect::<Vec<_>>().join("\n")
    }

    fn read(text: &str) -> Option<Vec<Gap>> {
        let gap = |line: &str| {
            let mut words = line.split(' ');
            Some((words.next()?.parse().ok()?, words.next()?.parse().ok()?, words.next()?.parse().ok()?))
        };
        text.lines().map(gap).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_reads_back_and_what_is_cut_short_does_not() {
        let mut row_heads = Heads::default();
        row_heads.add(&journal::Hash::of(b"a"));
        let (sealed, rows) = (LineSet::of("a\nb"), LineSet::of("a"));
        let cover = Cover { epoch: 7, sealed, rows, row_heads, blocks: 3 };
        let sum = |text| Sum::of(text);
        let state =
            StateHead { epoch: 7, sealed, snapshot: sum("s"), waiting: sum(""), parts: vec![sum("p"), sum("q")] };
        assert_eq!(Cover::read(&cover.text()), Some(cover.clone()));
        assert_eq!(Cover::read(&Cover::default().text()), Some(Cover::default()));
        assert_eq!(StateHead::read(&state.text()), Some(state.clone()));
        for (text, reads) in [(cover.text(), Cover::read as fn(&str) -> _)].into_iter() {
            for cut in 1..text.len() {
                assert_ne!(reads(&text[..cut]), Some(cover.clone()), "{cut}");
            }
        }
        for cut in 1..state.text().len() {
            assert_ne!(StateHead::read(&state.text()[..cut]), Some(state.clone()), "{cut}");
        }
        let gaps: Vec<Gap> = vec![(journal::Id::mint([1; 5]), 2, 9), (journal::Id::mint([2; 5]), 1, 1)];
        assert_eq!(Vec::<Gap>::read(&gaps.text()), Some(gaps));
        assert_eq!(Vec::<Gap>::read(""), Some(Vec::new()));
        assert_eq!(Vec::<Gap>::read("12345678 3"), None);
    }
}
