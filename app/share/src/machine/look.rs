//! Looking at what others say: the list of heads, and the heads.
//!
//! Every minute one request: in turns the list, which tells all heads that changed, and the head that was not looked at for
//! longest. A list may lag behind; a head that is asked for is the one that is there. While something is going on in the barn
//! the list is asked for more often, so that people who work side by side see each other's entries within seconds. What is
//! lost has each second turn of the heads, so that a device with nothing to do asks no more for it.

use super::status::UNREAD_SHOWN;
use super::talk::Around;
use super::{Machine, Shown, Task};
use crate::error::{Notice, Unfit};
use crate::head::Head;
use crate::place::{MOVED, Place};
use crate::store::{Answer, Found, Verb};
use journal::DeviceId;
use std::collections::{BTreeMap, BTreeSet};

/// Between two looks, in milliseconds.
const EVERY: u64 = 60_000;
/// The same while something is going on, and for how long it counts as that.
const EVERY_LIVELY: u64 = 10_000;
const LIVELY: u64 = 180_000;
/// So many lists in a row, then a head: a list that lags behind tells nothing for minutes.
const LISTS: u32 = 5;

#[derive(Debug, Default)]
pub(super) struct Look {
    /// When the next begins.
    pub due_ms: Option<u64>,
    /// Heads to be fetched.
    pub heads: BTreeSet<DeviceId>,
    /// Asked for in this look already: two devices that each saw more of the other end it all the same.
    tried: BTreeSet<DeviceId>,
    /// Turns that somebody saw and the store did not show when it was asked for them.
    in_vain: BTreeMap<DeviceId, u32>,
    /// All heads are to be looked at, whatever the list says.
    pub whole: bool,
    /// The next look is at the list.
    list: bool,
    /// So many looks at the list in a row.
    lists: u32,
    /// The next that is not at the list is at what is lost.
    lost: bool,
    /// What the list called each head.
    tags: BTreeMap<DeviceId, Option<String>>,
    /// A look at everything was ever finished.
    pub known: bool,
    /// When the last look was finished, whole or not.
    pub done_ms: Option<u64>,
    /// It is going on.
    pub busy: bool,
    /// Until then it counts as lively here.
    lively_ms: u64,
}

impl Look {
    /// At everything, now.
    pub fn all(&mut self, now: u64) {
        (self.due_ms, self.whole, self.list) = (Some(now), true, true);
        self.in_vain.clear();
    }

    /// Something was entered here, or came: more may follow.
    pub fn stir(&mut self, now: u64) {
        self.lively_ms = now + LIVELY;
        self.due_ms = self.due_ms.map(|due| due.min(now + EVERY_LIVELY));
    }
}

impl Machine {
    pub(super) fn look_around(&mut self, now: u64) {
        if self.look.due_ms.is_some_and(|due| due <= now) && !self.look.busy {
            self.begin_look(now);
        }
        while self.store_flights() < super::AT_ONCE
            && let Some(dev) = self.look.heads.pop_first()
        {
            self.look.tried.insert(dev);
            self.get(Task::Head(dev), self.place.head(dev), now);
        }
        self.end_look(now);
    }

    fn begin_look(&mut self, now: u64) {
        self.look.busy = true;
        self.look.tried.clear();
        // A clock that went back may have left any time here.
        let lively = (now..now + LIVELY).contains(&self.look.lively_ms);
        self.look.due_ms = Some(now + if lively { EVERY_LIVELY } else { EVERY });
        let more = lively && self.look.lists < LISTS;
        if self.look.whole || self.look.list || more || self.heads.is_empty() {
            self.look.list = false;
            self.look.lists += 1;
            self.ask(Task::List, super::Ask::Store(Verb::List { folder: self.place.heads() }), now);
            if self.look.whole && self.welcome != super::Welcome::Fits {
                self.get(Task::Hello, self.place.hello(), now);
            }
            return;
        }
        self.look.list = true;
        self.look.lists = 0;
        self.look.lost = !self.look.lost;
        if !self.look.lost
            && let Some(path) = self.lost_and_due(now)
        {
            // It tells nothing of the others.
            self.look.busy = false;
            return self.get(Task::Piece(path.clone()), path, now);
        }
        let oldest = self.heads.iter().min_by_key(|(_, shown)| shown.looked_ms).map(|(dev, _)| *dev);
        self.look.heads.extend(oldest);
    }

    fn end_look(&mut self, now: u64) {
        let going = |task: &Task| matches!(task, Task::List | Task::Head(_));
        if !self.look.busy || !self.look.heads.is_empty() || self.flight.values().any(|flight| going(&flight.task)) {
            return;
        }
        self.look.busy = false;
        self.look.done_ms = Some(now);
        if std::mem::take(&mut self.look.whole) {
            self.look.known = true;
        }
        self.unplanned = true;
    }

    /// What the store answered to a look, or to anything fetched.
    pub(super) fn looked(&mut self, task: Task, answer: Answer, around: &mut dyn Around) {
        let now = around.now_ms();
        match (task, answer) {
            (Task::List, Answer::Listed(found)) => self.listed(found),
            (Task::Head(dev), Answer::Got(sealed)) => self.shown(dev, &sealed, now),
            (Task::Head(dev), Answer::Missing) => self.silent(dev),
            (Task::Hello, answer) => self.greeted(answer),
            (Task::Piece(path), answer) => self.fetched(path, answer, around),
            (Task::List | Task::Head(_), _) => self.look_again(),
            _ => {}
        }
    }

    /// A look that was broken off is begun anew once the store is asked again.
    fn look_again(&mut self) {
        self.look.heads.clear();
        self.look.busy = false;
        self.look.whole |= !self.look.known;
        (self.look.list, self.look.due_ms) = (true, Some(0));
    }

    fn listed(&mut self, found: Vec<Found>) {
        let own = self.setup.dev;
        for Found { name, tag } in found {
            if name == MOVED {
                self.note(Notice::Moved);
            }
            let Some(dev) = Place::head_of(&name) else { continue };
            let same = tag.is_some() && self.heads.get(&dev).is_some_and(|shown| shown.tag == tag);
            // Unreadable for long, and not written anew since: there is nothing to be seen.
            let lost = self.unread.get(&dev).is_some_and(|since| self.last_ms.saturating_sub(*since) >= UNREAD_SHOWN);
            let same = same || (lost && tag.is_some() && self.look.tags.get(&dev) == Some(&tag));
            self.look.tags.insert(dev, tag);
            if !same || self.look.whole {
                self.look.heads.insert(dev);
            }
        }
        if self.look.whole {
            let said = self.heads.values().flat_map(|shown| shown.head.seen.keys().copied());
            let all = said.chain(self.kept.seen().keys().copied()).chain(self.heads.keys().copied());
            let all: BTreeSet<DeviceId> = all.chain([own]).collect();
            self.look.heads.extend(all);
        }
    }

    fn shown(&mut self, dev: DeviceId, sealed: &[u8], now: u64) {
        let own = dev == self.setup.dev;
        let known = if own { Some(&self.setup.key) } else { self.held.keys.get(&dev) };
        let head = match Head::open(sealed, self.setup.book, dev, known, &*self.safe) {
            Ok(head) => head,
            Err(why) => {
                let path = self.place.head(dev);
                self.note(Notice::Unfit { path, why });
                self.unread.entry(dev).or_insert(now);
                self.unplanned = true;
                // Who starts afresh sees nothing of it, so what it listed is not there for them.
                if !own {
                    self.heads.remove(&dev);
                }
                return;
            }
        };
        if !own {
            let before = self.kept.see(dev, head.turn);
            if head.turn < before {
                self.note(Notice::WentBack { dev });
            }
        }
        self.shows(head, now);
    }

    /// A head that is fit to be read, as the store shows it now.
    pub(super) fn shows(&mut self, head: Head, now: u64) {
        let dev = head.dev;
        for (other, turn) in &head.seen {
            if *other == self.setup.dev {
                // This device's own memory went back: its next head must still be its newest.
                self.kept.set_turn(self.kept.turn().max(*turn));
                continue;
            }
            let less = self.heads.get(other).is_none_or(|shown| shown.head.turn < *turn);
            let again = self.look.in_vain.get(other).is_some_and(|tried| tried >= turn);
            if less && !again && !self.look.tried.contains(other) {
                self.look.heads.insert(*other);
                self.look.in_vain.insert(*other, *turn);
            }
        }
        let tag = self.look.tags.get(&dev).cloned().flatten();
        for piece in &head.pieces {
            let end = piece.end();
            if !self.sure.contains(&end) && !self.unheld.contains(&end) {
                self.unsure.insert(end);
            }
        }
        self.unplanned = true;
        self.unread.remove(&dev);
        if self.heads.get(&dev).is_none_or(|shown| shown.head.turn < head.turn) {
            self.may_be_there_again(&head, now);
        }
        self.heads.insert(dev, Shown { head, tag, looked_ms: now });
    }

    fn silent(&mut self, dev: DeviceId) {
        let was = self.heads.remove(&dev).is_some();
        self.unread.remove(&dev);
        let seen = self.kept.seen().get(&dev).is_some_and(|turn| *turn > 0);
        if dev != self.setup.dev && (was || seen) {
            self.note(Notice::Silent { dev });
        }
        self.unplanned |= was;
    }

    fn greeted(&mut self, answer: Answer) {
        self.welcome = match answer {
            Answer::Got(sealed) => match self.safe.open(&sealed) {
                Ok(_) => super::Welcome::Fits,
                Err(why) => {
                    let path = self.place.hello();
                    // It lies in a folder named after this very key, so it is not another key's.
                    let why = if why == Unfit::Locked { Unfit::Swapped } else { why };
                    self.note(Notice::Unfit { path, why });
                    super::Welcome::Unfit
                }
            },
            Answer::Missing => super::Welcome::Nothing,
            _ => return,
        };
    }
}
