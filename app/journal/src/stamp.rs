//! The hybrid logical clock: wall time where it can be believed, a counter where it cannot.
//!
//! A stamp only breaks ties between writes that did not know of each other; it is never *when it
//! happened*. After Kulkarni, Demirbas and others, "Logical Physical Clocks and Consistent Snapshots
//! in Globally Distributed Databases" (2014), with one rule of our own: a stamp more than a day ahead of
//! the wall is not followed, so that a phone set to next year drags no one there.

use crate::id::{BadText, as_text, from_hex};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// How far ahead of the wall a stamp may be and still be followed: 24 hours, in milliseconds.
pub const AHEAD_MS: u64 = 24 * 60 * 60 * 1000;

/// The last millisecond a stamp can hold: 48 bits, the year 10889.
pub const MAX_MS: u64 = (1 << 48) - 1;

/// 48 bits of milliseconds since 1970 (UTC), then a counter of 16 bits. As text 12 + 4 lower-case hex digits
/// with a hyphen between, so that stamps sort as text: `019eadd4a1c0-0000`.
#[derive(Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Stamp(pub(crate) u64);

impl Stamp {
    /// Before all others.
    pub const ZERO: Stamp = Stamp(0);

    /// Milliseconds since 1970 (UTC).
    pub fn ms(self) -> u64 {
        self.0 >> 16
    }

    /// Days since 1970 (UTC).
    pub(crate) fn day(self) -> u64 {
        self.ms() / (24 * 60 * 60 * 1000)
    }

    /// Whether this is more than 24 hours ahead of the wall (`wall_ms`: milliseconds since 1970, UTC).
    pub fn is_odd(self, wall_ms: u64) -> bool {
        self.ms() > wall_ms.saturating_add(AHEAD_MS)
    }

    /// The later of two stamps, leaving out any that [is odd](Stamp::is_odd); `ZERO` if both are.
    #[must_use]
    pub fn see(self, other: Stamp, wall_ms: u64) -> Stamp {
        [self, other].into_iter().filter(|stamp| !stamp.is_odd(wall_ms)).max().unwrap_or(Stamp::ZERO)
    }

    /// The stamp of the next act, `self` being the last one followed: the wall's time if that is later,
    /// else one more than the last. A last stamp that [is odd](Stamp::is_odd) is not followed, not even one's own.
    #[must_use]
    pub fn next(self, wall_ms: u64) -> Stamp {
        let wall = Stamp(wall_ms.min(MAX_MS) << 16);
        let last = self.see(Stamp::ZERO, wall_ms);
        if wall > last { wall } else { Stamp(last.0.saturating_add(1)) }
    }
}

impl FromStr for Stamp {
    type Err = BadText;

    fn from_str(text: &str) -> Result<Stamp, BadText> {
        let read = || {
            let (ms, count) = text.split_once('-')?;
            let ms: [u8; 6] = from_hex(ms)?;
            let count: [u8; 2] = from_hex(count)?;
            let [a, b, c, d, e, f] = ms;
            Some(Stamp(u64::from_be_bytes([a, b, c, d, e, f, count[0], count[1]])))
        };
        read().ok_or(BadText { expects: "a stamp of 12 and 4 hex digits, such as 019eadd4a1c0-0000" })
    }
}

impl fmt::Display for Stamp {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:012x}-{:04x}", self.ms(), self.0 & 0xffff)
    }
}

impl fmt::Debug for Stamp {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

as_text!(Stamp);
