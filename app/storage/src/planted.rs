//! Faults that the simulator must find, switched on one at a time in its own tests. Shipped code has none of them.

/// A way in which storage was once wrong, or could be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// A tab looks for new rows only, and not at what else has changed (a tab in the background kept a stale state).
    StaleTab,
    /// A folded state is kept and believed whatever lines it covers.
    LooseState,
    /// A bundle is folded into what is shown, bit by bit, and a seal in between keeps that half.
    HalfFolded,
    /// An act is numbered by the identity in memory, not by the stored one.
    OldIdentity,
    /// Sealing puts a block over one that is there, under a name used twice.
    PutBlocks,
    /// "Saved" is said before the records are durable.
    SavedEarly,
    /// A folded state is believed without a look at its checksum.
    NoChecksum,
    /// Sealing removes rows that another tab has written meanwhile.
    SealBlind,
    /// Setting aside does not raise the epoch.
    SilentAside,
    /// A bundle is taken in although the records changed since it was looked at.
    LateImport,
    /// A missing tip is taken for an empty chain.
    NoTip,
    /// Lost lines are not noticed.
    NoCount,
    /// Lines out of a shared store are added although they are here.
    ArriveTwice,
}

#[cfg(test)]
impl Fault {
    pub const ALL: [Fault; 13] = [
        Fault::StaleTab,
        Fault::LooseState,
        Fault::HalfFolded,
        Fault::OldIdentity,
        Fault::PutBlocks,
        Fault::SavedEarly,
        Fault::NoChecksum,
        Fault::SealBlind,
        Fault::SilentAside,
        Fault::LateImport,
        Fault::NoTip,
        Fault::NoCount,
        Fault::ArriveTwice,
    ];
}

#[cfg(test)]
thread_local! {
    static NOW: std::cell::Cell<Option<Fault>> = const { std::cell::Cell::new(None) };
}

#[cfg(test)]
pub fn plant(fault: Option<Fault>) {
    NOW.set(fault);
}

#[cfg(test)]
pub(crate) fn planted(fault: Fault) -> bool {
    NOW.get() == Some(fault)
}

#[cfg(not(test))]
pub(crate) const fn planted(_: Fault) -> bool {
    false
}
