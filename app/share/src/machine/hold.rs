//! Waiting after a refusal: longer each time, and never all devices at the same moment.

use super::talk::Around;
use crate::store::No;

/// The first wait, and the longest; milliseconds.
const FIRST: u64 = 2_000;
const LONGEST: u64 = 5 * 60_000;
/// What only a person can mend is tried seldom.
const BY_HAND: u64 = 15 * 60_000;

#[derive(Clone, Copy, Debug)]
pub(super) struct Hold {
    /// Whether there may be a network.
    pub there: bool,
    /// The store is not asked before.
    pub until_ms: u64,
    /// What the store last said, and since when it has been saying no.
    pub no: Option<(No, u64)>,
    tries: u32,
}

impl Default for Hold {
    fn default() -> Hold {
        Hold { there: true, until_ms: 0, no: None, tries: 0 }
    }
}

impl Hold {
    pub fn refused(&mut self, no: No, around: &mut dyn Around) {
        let now = around.now_ms();
        let since = self.no.map_or(now, |(_, since)| since);
        // Several requests were under way when it began: they are one refusal.
        if self.until_ms > now && self.no.is_some_and(|(old, _)| old == no) {
            return;
        }
        self.no = Some((no, since));
        let wait = match no {
            No::Access | No::Full | No::Clock | No::NoFolder => BY_HAND,
            _ => (FIRST << self.tries.min(20)).min(LONGEST),
        };
        self.tries += 1;
        // From a half to the whole.
        let wait = wait / 2 + around.random() % (wait / 2);
        let asked = match no {
            No::Busy { again_s: Some(seconds) } => 1000 * u64::from(seconds.min(3600)),
            _ => 0,
        };
        self.until_ms = now + wait.max(asked);
    }

    pub fn worked(&mut self) {
        // Answers that were under way when the network went say nothing of now.
        if self.there {
            *self = Hold::default();
        }
    }

    /// Somebody wants it now.
    pub fn forget(&mut self) {
        *self = Hold::default();
    }

    pub fn network(&mut self, there: bool, now: u64) {
        match there {
            true => *self = Hold { tries: self.tries, ..Hold::default() },
            false => (self.there, self.no) = (false, Some((No::Network, self.no.map_or(now, |(_, since)| since)))),
        }
    }
}
