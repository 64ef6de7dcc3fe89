//! What the one quiet line tells.

use super::Machine;
use crate::store::No;
use serde::{Deserialize, Serialize};

/// For so long, in milliseconds, what cannot be read counts as something to come.
pub(super) const UNREAD_SHOWN: u64 = 30 * 60_000;

/// How things stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Status {
    /// The records are not open yet.
    Closed,
    /// Looking for what there is; nothing is known yet.
    Looking,
    /// So many acts are to be sent, and at least so many to come.
    Busy { to_send: u32, to_come: u32 },
    /// Nothing to send and nothing to come, when that was last seen; milliseconds since 1970 (UTC).
    InStep { since_ms: u64 },
    /// The store does not answer, or says no: why, since when, and how many acts are to be sent.
    Waiting { no: No, since_ms: u64, to_send: u32 },
}

/// What the store said to this key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Welcome {
    /// Not asked yet.
    Unknown,
    /// Something of this barn lies there, and the key opens it.
    Fits,
    /// Nothing lies there for this key: it is the first device, or the key or the address is another.
    Nothing,
    /// Something lies there and cannot be read.
    Unfit,
}

impl Machine {
    pub fn status(&self) -> Status {
        if !self.opened {
            return Status::Closed;
        }
        let own = self.held.tips.iter().filter(|tip| tip.dev == self.setup.dev).map(|tip| tip.seq).max();
        // Where nobody else could do it, what it has of others is its own to send.
        let left = self.adopt.keys().map(|end| end.seq).fold(0, u32::saturating_add);
        let others = if self.is_alone() { left } else { 0 };
        let to_send = own.unwrap_or(0).saturating_sub(self.kept.sent()).saturating_add(others);
        if let Some((no, since_ms)) = self.hold.no {
            return Status::Waiting { no, since_ms, to_send };
        }
        let Some(since_ms) = self.look.done_ms.filter(|_| self.look.known) else { return Status::Looking };
        let to_come = self.to_come();
        match to_send == 0 && to_come == 0 && self.unsure.is_empty() && self.arrived.is_empty() {
            true => Status::InStep { since_ms },
            false => Status::Busy { to_send, to_come },
        }
    }

    /// When each other device was last there: local time and offset of its last word, by its own clock.
    pub fn heard(&self) -> std::collections::BTreeMap<journal::DeviceId, String> {
        let others = self.heads.iter().filter(|(dev, _)| !self.is_own(**dev));
        others.map(|(dev, shown)| (*dev, shown.head.made.clone())).collect()
    }

    pub fn welcome(&self) -> Welcome {
        self.welcome
    }

    /// What a head that cannot be read lists is at least something. A head or a piece that stays so is of a device that is
    /// gone: it was told, and who has its lines has put them there again by then.
    fn to_come(&self) -> u32 {
        let lately = |since: &&u64| self.last_ms.saturating_sub(**since) < UNREAD_SHOWN;
        let unread = u32::try_from(self.unread.values().filter(lately).count()).unwrap_or(u32::MAX);
        if self.unheld.is_empty() {
            return unread;
        }
        let pieces = self.heads.iter().flat_map(|(dev, shown)| shown.head.pieces.iter().map(|piece| (*dev, piece)));
        let unheld: std::collections::BTreeMap<_, _> = pieces
            .filter(|(writer, piece)| {
                self.unheld.contains(&piece.end()) && !self.lost(&self.place.piece(*writer, piece))
            })
            .map(|(_, piece)| (piece.end(), piece.lines()))
            .collect();
        unheld.into_values().fold(unread, u32::saturating_add)
    }

    /// Whether the piece at this path came to nothing for so long that it is not waited for.
    pub(super) fn lost(&self, path: &str) -> bool {
        self.stuck.get(path).is_some_and(|since| self.last_ms.saturating_sub(*since) >= UNREAD_SHOWN)
    }
}
