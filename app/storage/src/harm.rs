//! What was found damaged or lost, and told until the keeper has read it.

use serde::{Deserialize, Serialize};

/// One finding.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Harm {
    pub what: What,
    /// How many lines it concerns; 0 where it is not about lines.
    pub lines: u64,
    /// Which acts, as `device act number`, as far as known; the first few.
    pub acts: Vec<String>,
    /// When it was found; milliseconds since 1970 (UTC) by this device's clock.
    pub at_ms: u64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum What {
    /// Lines are not what was stored. They are set aside, their neighbours kept.
    Damaged,
    /// Lines were stored and are not there.
    Lost,
    /// Who writes here could not be read: this device goes on under a new name.
    Writer,
    /// This device's own acts end before the last one said to be saved: it goes on under a new name.
    OwnLost,
    /// What was known of other devices could not be read, and is found out again.
    Devices,
    /// The list of what is stored could not be read, and is made anew from what is there.
    List,
}

/// How many acts are named one by one.
const NAMED: usize = 20;

impl Harm {
    pub(crate) fn new(what: What, lines: u64, acts: Vec<String>, at_ms: u64) -> Harm {
        Harm { what, lines, acts: acts.into_iter().take(NAMED).collect(), at_ms }
    }
}
