//! What passes between two devices, and how long it takes.

use crate::Seen;
use crate::frame::{HEADER, Stamp};
use journal::bundle::Heads;
use journal::{DeviceId, Fold, Hash, Id};
use std::collections::BTreeSet;

/// Entries that one of two devices has and the other lacks, as far as heads tell.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Gap {
    /// Here, and lacking there.
    pub give: u32,
    /// There, and lacking here.
    pub get: u32,
}

/// Heads to make a bundle for, of what another device says it has at this moment. Where it is further than this one, it
/// lacks nothing of that device: without this its chain would be sent whole, since its head is not known here.
///
/// `fold` is of all lines: one out of a snapshot does not know every line again.
pub fn known(fold: &Fold, theirs: &Heads) -> Heads {
    let forked: BTreeSet<DeviceId> = fold.forks().map(|fork| fork.dev).collect();
    let own = |dev: DeviceId, (seq, hash): (u32, Hash)| {
        let chain = fold.chain(dev).filter(|chain| seq > chain.seq && !forked.contains(&dev));
        chain.and_then(|chain| Some((chain.seq, chain.hash?))).unwrap_or((seq, hash))
    };
    theirs.iter().map(|(dev, head)| (*dev, own(*dev, *head))).collect()
}

/// Compares what is here with the heads of another device; `fold` is of all lines.
pub fn gap(fold: &Fold, theirs: &Heads) -> Gap {
    let forked: BTreeSet<DeviceId> = fold.forks().map(|fork| fork.dev).collect();
    let known = known(fold, theirs);
    let mut gap = Gap::default();
    for chain in fold.chains() {
        let from = known.get(&chain.dev).filter(|(seq, hash)| fold.holds(chain.dev, *seq, hash));
        let from = from.filter(|_| !forked.contains(&chain.dev)).map_or(0, |(seq, _)| *seq);
        gap.give += (chain.folded + chain.held).saturating_sub(from);
    }
    for (dev, (seq, _)) in theirs.iter().filter(|(dev, (seq, hash))| !fold.holds(**dev, *seq, hash)) {
        let here = fold.chain(*dev).map_or(0, |chain| chain.seq);
        // The same number and another line: at least that one.
        gap.get += seq.saturating_sub(here).max(1);
    }
    gap
}

/// Why a code is not taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum No {
    /// Made by a later version.
    Later,
    /// Another barn's.
    OtherBarn,
    /// This device's own, in a mirror or on a picture, or that of a copy of it.
    Itself,
    /// Moving codes that answer another device, or something this one showed at another time.
    NotAsked,
}

/// A device as it stands while it looks.
#[derive(Clone, Debug, Default)]
pub struct Here {
    pub by: Option<DeviceId>,
    /// As in [`Still::books`](crate::Still::books).
    pub books: Vec<Id>,
    /// What it has shown since somebody began.
    pub shown: Vec<Stamp>,
}

impl Here {
    /// Whether a code is one to go on with.
    ///
    /// # Errors
    /// [`No`].
    pub fn heed(&self, seen: &Seen<'_>) -> Result<(), No> {
        match seen {
            Seen::Later => Err(No::Later),
            Seen::Still(still) if !is_same_barn(&self.books, &still.books) => Err(No::OtherBarn),
            Seen::Still(still) if self.by.is_some() && still.by == self.by => Err(No::Itself),
            Seen::Moving(frame) if !is_same_barn(&self.books, &[frame.header.book]) => Err(No::OtherBarn),
            Seen::Moving(frame) if !self.shown.contains(&frame.header.answers) => Err(No::NotAsked),
            _ => Ok(()),
        }
    }
}

/// Whose turn it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turn {
    /// This device shows what the other lacks.
    Give,
    /// This device shows what it has, so that the other can give.
    Ask,
    /// This device looks at the other's codes.
    Look,
    /// Both have the same.
    Level,
}

impl Gap {
    /// After this device learned what the other has.
    pub fn turn(self) -> Turn {
        match self {
            Gap { give: 1.., .. } => Turn::Give,
            Gap { get: 1.., .. } => Turn::Ask,
            Gap { .. } => Turn::Level,
        }
    }

    /// After this device gave.
    pub fn given(self) -> Turn {
        if self.get > 0 { Turn::Look } else { Turn::Level }
    }
}

/// Whether two devices keep one barn: one of the books they name is the same, or one of them is empty still.
pub fn is_same_barn(ours: &[Id], theirs: &[Id]) -> bool {
    ours.is_empty() || theirs.is_empty() || ours.iter().any(|book| theirs.contains(book))
}

/// Versions of the codes (1 to 40; 57, 77, 97 and 117 modules a side), with the bytes each holds at the lowest correction
/// (ISO/IEC 18004, table 7). The reader looks for no others.
pub const SIZES: [(i16, usize); 4] = [(10, 271), (15, 520), (20, 858), (25, 1273)];

/// The smallest version that holds so many bytes.
pub fn version(bytes: usize) -> Option<i16> {
    SIZES.iter().find(|(_, holds)| bytes <= *holds).map(|(version, _)| *version)
}

/// How fine the codes are, and how many are shown in a second.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Pace {
    /// Large squares, for a dim barn or a poor camera.
    Easy,
    #[default]
    Usual,
    /// For two phones held still in good light.
    Quick,
}

impl Pace {
    pub const ALL: [Pace; 3] = [Pace::Easy, Pace::Usual, Pace::Quick];

    /// Bytes that a code holds, of [`SIZES`].
    pub fn capacity(self) -> usize {
        match self {
            Pace::Easy => 520,
            Pace::Usual => 858,
            Pace::Quick => 1273,
        }
    }

    /// Codes in a second.
    pub fn rate(self) -> u32 {
        match self {
            Pace::Easy => 8,
            Pace::Usual | Pace::Quick => 12,
        }
    }

    /// Codes that a content of so many bytes needs.
    pub fn codes(self, bytes: usize) -> usize {
        bytes.div_ceil(self.capacity() - HEADER).max(1)
    }

    /// About how many seconds they take, a tenth of them missed.
    pub fn seconds(self, bytes: usize) -> u32 {
        let codes = self.codes(bytes) as u32;
        (codes + codes / 9 + 1).div_ceil(self.rate())
    }
}
