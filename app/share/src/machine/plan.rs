//! Whether anything has to be sent, and when.

use super::Machine;
use super::talk::Around;
use crate::cover::Cover;
use crate::piece::Piece;
use journal::{DeviceId, Ref};
use std::collections::BTreeSet;

/// A few acts in a row are one request, in milliseconds.
const SOON: u64 = 3_000;
/// What somebody else should have put there is left to them for so long; and up to so much longer, so that not all
/// devices do it at once.
const LEFT_TO_OTHERS: u64 = 120_000;
const SPREAD: u64 = 240_000;
/// Between two complaints about the same, in milliseconds.
pub(super) const COMPLAIN: u64 = 30 * 60_000;

impl Machine {
    pub(super) fn plan(&mut self, around: &mut dyn Around) {
        // What the others have is not known before all of it was looked at.
        if !self.unplanned || !self.look.known || !self.flush.idle() {
            return;
        }
        self.unplanned = false;
        let now = around.now_ms();
        let needs = self.needs();
        if !needs.iter().any(|end| end.dev == self.setup.dev) {
            let own = self.held.tips.iter().filter(|tip| tip.dev == self.setup.dev).map(|tip| tip.seq).max();
            self.kept.set_sent(own.unwrap_or(0));
        }
        let others: BTreeSet<Ref> = needs.iter().copied().filter(|end| !self.is_own(end.dev)).collect();
        self.adopt.retain(|end, _| others.contains(end));
        let alone = self.is_alone();
        for end in &others {
            let later = now + LEFT_TO_OTHERS + around.random() % SPREAD;
            let at = if alone { now + SOON } else { later };
            self.adopt.entry(*end).and_modify(|old| *old = (*old).min(at)).or_insert(at);
        }
        let unread = self.unread.contains_key(&self.setup.dev);
        let own = needs.len() > others.len() || unread || !self.complaints().is_empty();
        let soon = now + (SOON << self.in_vain);
        let soon = own.then(|| self.flush_ms.map_or(soon, |at| at.min(soon)));
        let adopt = self.adopt.values().copied().min();
        let complain = self.complain_ms(now);
        self.flush_ms = [soon, adopt, complain].into_iter().flatten().min();
    }

    /// Whether nobody else is seen here who could put anything there.
    pub(super) fn is_alone(&self) -> bool {
        self.heads.keys().chain(self.unread.keys()).all(|dev| self.is_own(*dev))
    }

    /// Whether lines of that device are this one's to put there.
    pub(super) fn is_own(&self, dev: DeviceId) -> bool {
        dev == self.setup.dev || self.kept.was(dev)
    }

    /// Where chains that are held here are not all in the store: the ends up to which something is lacking.
    pub(super) fn needs(&self) -> BTreeSet<Ref> {
        let cover = self.cover();
        self.held.tips.iter().filter_map(|tip| cover.lacks(*tip)).collect()
    }

    /// What lies in the store, as far as it can be read.
    pub(super) fn cover(&self) -> Cover {
        let broken = self.broken();
        let whole = |writer: DeviceId, piece: &&Piece| {
            broken.is_empty() || !broken.contains(self.place.piece(writer, piece).as_str())
        };
        // While this device writes its head, that is what it is going to be.
        let own = self.flush.list();
        let shown = self.heads.iter().filter(|(writer, _)| own.is_none() || **writer != self.setup.dev);
        let shown = shown.flat_map(|(writer, shown)| {
            shown.head.pieces.iter().filter(move |piece| whole(*writer, piece)).collect::<Vec<_>>()
        });
        Cover::of(shown.chain(own.unwrap_or_default()))
    }

    /// Paths of what others could not read, of which nothing was heard yet.
    fn broken(&self) -> BTreeSet<&str> {
        let others = self.heads.iter().filter(|(dev, _)| **dev != self.setup.dev);
        let lacks = others.flat_map(|(dev, shown)| {
            let turn = shown.head.turn;
            shown.head.lacks.iter().map(move |path| (path, *dev, turn))
        });
        lacks
            .filter(|(path, dev, turn)| !self.redone.contains(&((*path).clone(), *dev, *turn)))
            .map(|(path, _, _)| path.as_str())
            .collect()
    }

    /// Own pieces that others could not read: path, by whom, in which turn.
    pub(super) fn complaints(&self) -> Vec<(String, DeviceId, u32)> {
        let Some(own) = self.heads.get(&self.setup.dev) else { return Vec::new() };
        let others = self.heads.iter().filter(|(dev, shown)| **dev != self.setup.dev && !shown.head.lacks.is_empty());
        let mut complaints = Vec::new();
        for (dev, shown) in others {
            let paths: BTreeSet<String> =
                own.head.pieces.iter().map(|piece| self.place.piece(self.setup.dev, piece)).collect();
            let named = shown.head.lacks.iter().filter(|path| paths.contains(*path));
            complaints.extend(named.map(|path| (path.clone(), *dev, shown.head.turn)));
        }
        complaints.retain(|complaint| !self.redone.contains(complaint));
        complaints
    }

    /// When this device says again what it could not read, or that it now could.
    fn complain_ms(&self, now: u64) -> Option<u64> {
        let (lacks, said) = (self.lacks(), self.heads.get(&self.setup.dev).map(|own| &own.head.lacks));
        let said_nothing = said.is_none_or(Vec::is_empty);
        match (lacks.is_empty(), said_nothing) {
            (true, true) => None,
            _ if said == Some(&lacks) => self.waited_for(&lacks).then(|| (self.complained_ms + COMPLAIN).max(now)),
            // Something changed: that may be said sooner, though not every moment.
            _ => Some((self.complained_ms + COMPLAIN / 10).max(now + SOON)),
        }
    }

    /// What is lost stands in each head that is written, and none is written for it alone.
    pub(super) fn waited_for(&self, lacks: &[String]) -> bool {
        lacks.iter().any(|path| !self.lost(path))
    }
}
