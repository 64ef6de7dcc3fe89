//! A device's own head as the store shows it: read before it is written over, since it tells of a copy of this device, of
//! what was sent before and forgotten here, and of a store that was set back.

use super::flush::Step;
use super::talk::Ask;
use super::{Machine, Task};
use crate::error::{Notice, Unfit};
use crate::head::Head;
use crate::store::Answer;
use journal::{DeviceId, PublicKey, Ref};

impl Machine {
    pub(super) fn own_head(&mut self, answer: Answer, now: u64) {
        let own = self.setup.dev;
        match answer {
            Answer::Missing => {
                self.heads.remove(&own);
                if self.kept.turn() > 0 {
                    self.note(Notice::WentBack { dev: own });
                }
                self.flush.starts(Vec::new());
            }
            Answer::Got(sealed) => {
                match Head::open(&sealed, self.setup.book, own, Some(&self.setup.key), &*self.safe) {
                    Ok(head) => self.is_it_mine(head, now),
                    // By a newer version of this app, on this very device: it is not written over.
                    Err(Unfit::Newer) => self.stop_flush(now),
                    Err(why) => {
                        self.note(Notice::Unfit { path: self.place.head(own), why });
                        // An answer may be cut off on its way.
                        if self.unread.insert(own, self.last_ms).is_none() {
                            return self.stop_flush(now);
                        }
                        // Nobody else reads it either. What it last said is still the best there is.
                        let last = self.heads.get(&own).map(|shown| shown.head.pieces.clone());
                        self.flush.starts(last.unwrap_or_default());
                    }
                }
            }
            _ => self.stop_flush(now),
        }
    }

    /// Acts under one's own name that are not held here were written by somebody else, or by oneself in a past that this
    /// device has lost.
    fn is_it_mine(&mut self, head: Head, now: u64) {
        if head.turn < self.kept.turn() {
            self.note(Notice::WentBack { dev: self.setup.dev });
        }
        let mut ends: Vec<Ref> =
            head.pieces.iter().filter(|piece| piece.of == self.setup.dev).map(|p| p.end()).collect();
        ends.retain(|end| !self.sure.contains(end));
        self.shows(head.clone(), now);
        if ends.is_empty() {
            return self.goes_on_from(&head);
        }
        self.flush.step = Step::Mine(Box::new(head), ends.clone());
        self.ask(Task::Flush, Ask::Holds(ends), now);
    }

    pub(super) fn is_mine(&mut self, head: &Head, ends: &[Ref], holds: &[bool], now: u64) {
        if holds.len() < ends.len() {
            return self.stop_flush(now);
        }
        if holds.iter().all(|held| *held) {
            self.sure.extend(ends.iter().copied());
            return self.goes_on_from(head);
        }
        self.note(Notice::Copied);
        self.stop_flush(now);
        self.nameless = true;
        self.ask(Task::NewName, Ask::NewName, now);
    }

    fn goes_on_from(&mut self, head: &Head) {
        self.kept.set_turn(self.kept.turn().max(head.turn));
        self.flush.starts(head.pieces.clone());
    }

    pub(super) fn renamed(&mut self, dev: DeviceId, key: PublicKey) {
        if dev == self.setup.dev {
            return;
        }
        (self.setup.dev, self.setup.key) = (dev, key);
        self.kept.name(dev);
        self.flight.retain(|_, flight| !matches!(flight.task, Task::Flush | Task::NewName));
        self.flush.reset();
        self.flush_ms = None;
        self.nameless = false;
        self.unplanned = true;
    }
}
