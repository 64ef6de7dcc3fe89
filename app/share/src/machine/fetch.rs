//! Fetching what others put there, and giving it over to be taken in as a bundle.

use super::talk::{Around, Ask, Held, Reply};
use super::{AT_ONCE, Arrived, Bad, Machine, Task};
use crate::error::{Notice, Unfit};
use crate::head::Head;
use crate::piece::Piece;
use crate::store::Answer;
use journal::bundle::{BUNDLE_VERSION, Bundle, Device, FORMAT, Manifest, Signed};
use journal::{DeviceId, Hash, Ref};
use std::collections::{BTreeMap, BTreeSet};

/// So many lines are taken in at once, or a few more.
const ENOUGH: usize = 20_000;
/// The first wait for what could not be read, and the longest; milliseconds.
const FIRST: u64 = 5_000;
const LONGEST: u64 = 10 * 60_000;
/// After so long, what could not be stored here is fetched again; milliseconds.
const UNSTORED: u64 = 60_000;
/// Between two tries of what is lost, at the most; milliseconds.
const LOST: u64 = 60 * 60_000;

impl Machine {
    /// It may hold more than before: then something goes on in the barn.
    pub(super) fn holds_anew(&mut self, held: Held, now: u64) {
        if held.tips != self.held.tips {
            self.look.stir(now);
        }
        self.holds(held);
    }

    pub(super) fn holds(&mut self, held: Held) {
        self.sure.extend(held.tips.iter().copied());
        // What was not held may have come by another way, or no longer waits for earlier ones.
        self.unsure.append(&mut self.unheld);
        self.held = held;
        self.unplanned = true;
    }

    pub(super) fn ask_what_is_held(&mut self, now: u64) {
        let asking = self.flight.values().any(|flight| matches!(flight.task, Task::Holds(_)));
        if self.unsure.is_empty() || asking {
            return;
        }
        let ends: Vec<Ref> =
            std::mem::take(&mut self.unsure).into_iter().filter(|end| !self.sure.contains(end)).collect();
        if !ends.is_empty() {
            self.ask(Task::Holds(ends.clone()), Ask::Holds(ends), now);
        }
    }

    pub(super) fn told(&mut self, ends: &[Ref], holds: &[bool]) {
        for (end, held) in ends.iter().zip(holds) {
            match held {
                true => {
                    self.waiting.remove(end);
                    self.unheld.remove(end);
                    self.sure.insert(*end);
                }
                false => drop(self.unheld.insert(*end)),
            }
        }
        // An answer that is too short leaves the rest to be asked again.
        self.unsure.extend(ends.iter().skip(holds.len()));
        if self.unsure.is_empty() && self.unheld.is_empty() {
            self.stuck.clear();
        }
        self.unplanned = true;
    }

    /// Listed, not held here, not lost and not on its way: each run of lines once, the earliest first.
    fn wanted(&self, now: u64) -> Vec<String> {
        if self.unheld.is_empty() {
            return Vec::new();
        }
        let coming: BTreeSet<Ref> = self.arrived.iter().map(|arrived| arrived.piece.end()).collect();
        let flying: BTreeSet<&String> = self
            .flight
            .values()
            .filter_map(|flight| match &flight.task {
                Task::Piece(path) => Some(path),
                _ => None,
            })
            .collect();
        let taking: BTreeSet<&String> = self
            .flight
            .values()
            .flat_map(|flight| match &flight.task {
                Task::TakeIn(paths) => paths.as_slice(),
                _ => &[],
            })
            .collect();
        let mut wanted: BTreeMap<(u32, Ref), String> = BTreeMap::new();
        let mut under_way = coming;
        let mut all = Vec::new();
        for (writer, shown) in &self.heads {
            for piece in shown.head.pieces.iter().filter(|piece| self.unheld.contains(&piece.end())) {
                let path = self.place.piece(*writer, piece);
                match flying.contains(&path) || taking.contains(&path) {
                    true => drop(under_way.insert(piece.end())),
                    false => all.push((path, *piece)),
                }
            }
        }
        for (path, piece) in all {
            let later = self.bad.get(&path).is_some_and(|bad| bad.again_ms > now)
                || self.waiting.get(&piece.end()).is_some_and(|again| *again > now)
                || self.lost(&path);
            if !later && !under_way.contains(&piece.end()) {
                wanted.entry((piece.from, piece.end())).or_insert(path);
            }
        }
        wanted.into_values().collect()
    }

    /// What was lost and may be there again, the one that waits for longest. A file that another program carries may come
    /// after days.
    pub(super) fn lost_and_due(&self, now: u64) -> Option<String> {
        let flying = |path: &String| self.flight.values().any(|flight| flight.task == Task::Piece(path.clone()));
        let due = self.bad.iter().filter(|(path, bad)| bad.again_ms <= now && self.lost(path) && !flying(path));
        let mut due: Vec<(u64, &String)> = due.map(|(path, bad)| (bad.again_ms, path)).collect();
        due.sort_unstable();
        due.into_iter().map(|(_, path)| path).find(|path| self.lacks_piece(path)).cloned()
    }

    /// Whether a head lists this and it is not held here.
    fn lacks_piece(&self, path: &str) -> bool {
        self.piece_at(path).is_some_and(|(_, piece)| self.unheld.contains(&piece.end()))
    }

    /// Whatever came to nothing so far may be there now.
    pub(super) fn ask_all_anew(&mut self) {
        self.bad.clear();
        self.stuck.clear();
    }

    /// A head was written anew, maybe since what it lists was put there again.
    pub(super) fn may_be_there_again(&mut self, head: &Head, now: u64) {
        for piece in &head.pieces {
            let path = self.place.piece(head.dev, piece);
            if self.lost(&path)
                && let Some(bad) = self.bad.get_mut(&path)
            {
                bad.again_ms = now;
            }
        }
    }

    pub(super) fn fetch(&mut self, now: u64) {
        let gathered: usize = self.arrived.iter().map(|arrived| arrived.lines.len()).sum();
        if gathered >= ENOUGH || self.store_flights() >= AT_ONCE || self.unheld.is_empty() {
            return;
        }
        let free = AT_ONCE.saturating_sub(self.store_flights());
        for path in self.wanted(now).into_iter().take(free) {
            self.get(Task::Piece(path.clone()), path, now);
        }
    }

    /// The piece that a path names, where a head still lists it.
    pub(super) fn piece_at(&self, path: &str) -> Option<(DeviceId, Piece)> {
        self.heads.iter().find_map(|(writer, shown)| {
            let named = |piece: &&Piece| self.place.piece(*writer, piece) == path;
            shown.head.pieces.iter().find(named).map(|piece| (*writer, *piece))
        })
    }

    pub(super) fn fetched(&mut self, path: String, answer: Answer, around: &mut dyn Around) {
        let now = around.now_ms();
        let Some((writer, piece)) = self.piece_at(&path) else { return };
        let why = match answer {
            Answer::Got(sealed) => match piece.open(&sealed, &self.books(), &*self.safe) {
                Ok(lines) => {
                    let lost = self.lost(&path);
                    if self.bad.remove(&path).is_some() {
                        self.stuck.remove(&path);
                        // It gives again what it did not, and hardly this alone.
                        if lost {
                            self.ask_all_anew();
                        }
                    }
                    self.arrived.push(Arrived { path, writer, piece, lines });
                    return;
                }
                Err(why) => Some(why),
            },
            // The store as a whole says no to something else than this piece.
            Answer::No(_) => return self.put_off(&path, around),
            _ => None,
        };
        // It may have been packed meanwhile, which its writer's head tells. Of what is lost it told nothing so far.
        if !self.lost(&path) {
            self.look.heads.insert(writer);
            self.look.busy = true;
        }
        let known = self.bad.contains_key(&path);
        self.put_off(&path, around);
        match (self.bad.get_mut(&path), &why) {
            // It is there, and comes once this device has joined that book.
            (Some(bad), Some(Unfit::OtherBook { .. })) => bad.foreign = true,
            _ => drop(self.stuck.entry(path.clone()).or_insert(now)),
        }
        if known || why.is_some() {
            self.note(Notice::Withheld { path, why });
        }
    }

    fn put_off(&mut self, path: &str, around: &mut dyn Around) {
        let now = around.now_ms();
        let tries = self.bad.get(path).map_or(0, |bad| bad.tries);
        let wait = (FIRST << tries.min(20)).min(if self.lost(path) { LOST } else { LONGEST });
        let again_ms = now + wait / 2 + around.random() % (wait / 2);
        self.bad.insert(path.to_owned(), Bad { tries: tries + 1, again_ms, foreign: false });
        self.unplanned = true;
    }

    pub(super) fn books(&self) -> Vec<journal::Id> {
        std::iter::once(self.setup.book).chain(self.setup.joined.iter().copied()).collect()
    }

    /// Everything that has arrived, once nothing more is coming or it is enough.
    pub(super) fn take_in(&mut self, around: &mut dyn Around) {
        let now = around.now_ms();
        let busy = |task: &Task| matches!(task, Task::TakeIn(_) | Task::Holds(_));
        if self.arrived.is_empty() || self.flight.values().any(|flight| busy(&flight.task)) {
            return;
        }
        let gathered: usize = self.arrived.iter().map(|arrived| arrived.lines.len()).sum();
        let coming = self.flight.values().any(|flight| matches!(flight.task, Task::Piece(_)));
        let more = self.hold.there && now >= self.hold.until_ms && !self.wanted(now).is_empty();
        if gathered < ENOUGH && (coming || more) {
            return;
        }
        let arrived = std::mem::take(&mut self.arrived);
        let paths = arrived.iter().map(|arrived| arrived.path.clone()).collect();
        let bundle = self.bundle(&arrived, around.wall());
        self.ask(Task::TakeIn(paths), Ask::TakeIn(Box::new(bundle)), now);
    }

    /// As if it had come in a file: a part of what its first writer has.
    fn bundle(&self, arrived: &[Arrived], made: String) -> Bundle {
        let mut lines: BTreeMap<Ref, String> = BTreeMap::new();
        for Arrived { piece, lines: own, .. } in arrived {
            for (seq, line) in (piece.from..).zip(own) {
                lines.insert(Ref { dev: piece.of, seq, hash: Hash::of(line.as_bytes()) }, line.clone());
            }
        }
        let mut devices: BTreeMap<DeviceId, Device> = BTreeMap::new();
        let mut vouch = |dev: DeviceId, signed: Signed| {
            let own = Device { count: signed.count, head: Some(signed.head), signed: Some(signed), breaks: 0 };
            devices
                .entry(dev)
                .and_modify(|old| {
                    if old.count < own.count {
                        *old = own.clone()
                    }
                })
                .or_insert(own);
        };
        for (dev, shown) in &self.heads {
            shown.head.passed.iter().for_each(|(other, signed)| vouch(*other, *signed));
            shown.head.signed.iter().for_each(|signed| vouch(*dev, *signed));
        }
        let by = arrived.first().map_or(self.setup.dev, |arrived| arrived.writer);
        let shown = self.heads.get(&by).map(|shown| &shown.head);
        let manifest = Manifest {
            format: FORMAT.to_owned(),
            version: BUNDLE_VERSION,
            book: self.setup.book,
            joined: self.setup.joined.clone(),
            made: shown.map_or(made, |head| head.made.clone()),
            by,
            app: shown.map_or_else(|| self.setup.app.clone(), |head| head.app.clone()),
            whole: false,
            devices,
            digest: None,
            files: BTreeMap::new(),
        };
        Bundle { manifest, lines: lines.into_values().collect(), people: Vec::new(), photos: Vec::new() }
    }

    pub(super) fn taken(&mut self, paths: &[String], reply: Reply, around: &mut dyn Around) {
        let now = around.now_ms();
        match reply {
            Reply::TakenIn(held) => {
                for path in paths {
                    if let Some((_, piece)) = self.piece_at(path) {
                        // Stored, though it may wait for earlier ones; what is folded the device is asked for.
                        self.waiting.insert(piece.end(), now + LONGEST);
                        self.stuck.entry(path.clone()).or_insert(now);
                        self.unsure.insert(piece.end());
                    }
                }
                self.holds_anew(held, now);
            }
            Reply::Refused(why) => {
                for path in paths {
                    self.put_off(path, around);
                    self.note(Notice::Refused { path: path.clone(), why: why.clone() });
                }
            }
            // Fetched again, since what was gathered may be long out of date, and not at once: a device that is full stays so.
            _ => {
                for path in paths {
                    if let Some((_, piece)) = self.piece_at(path) {
                        self.waiting.insert(piece.end(), now + UNSTORED);
                    }
                }
            }
        }
    }

    /// Paths of pieces that this device could not read, more than once.
    pub(super) fn lacks(&self) -> Vec<String> {
        // Of a book that is not this barn's here: to be put there again helps nobody.
        let bad = self.bad.iter().filter(|(_, bad)| bad.tries > 1 && !bad.foreign);
        bad.filter(|(path, _)| self.lacks_piece(path)).map(|(path, _)| path.clone()).collect()
    }
}
