//! Sending: one's own head is read, lines are put there, small pieces are packed, the head is written. Broken off anywhere, it
//! is begun anew and comes to the same names.

use super::talk::{Around, Ask, Reply};
use super::{Machine, Task, Welcome};
use crate::cover::row_to_pack;
use crate::head::Head;
use crate::piece::{Piece, gzip, runs};
use crate::store::{Answer, Verb};
use journal::bundle::Signed;
use journal::{ChainHead, Ref, Signature};
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// So many lines are read from the records at once.
const AT_ONCE: usize = 8192;
/// So many pieces are put there before the head says so: what is broken off is not sent once more.
const BEFORE_HEAD: usize = 8;
/// What broke off for no reason of the store's is begun again after so long, in milliseconds.
const AGAIN: u64 = 30_000;

/// What is waited for.
#[derive(Debug, Default)]
pub(super) enum Step {
    /// Nothing is being sent.
    #[default]
    Idle,
    /// The next step is to be chosen.
    Next,
    Own,
    Mine(Box<Head>, Vec<Ref>),
    Lines(Ref, Vec<Ref>),
    Pack(Vec<Piece>),
    Put,
    Compare,
    Hello,
    SignEnd(ChainHead),
    SignHead(Box<Head>, String),
    Write(Box<Head>),
}

#[derive(Debug, Default)]
pub(super) struct Flush {
    pub step: Step,
    /// What the head will list.
    list: Vec<Piece>,
    puts: VecDeque<(Piece, Vec<u8>)>,
    put: usize,
    /// Taken out of the list, since packed.
    packed: Vec<Piece>,
    /// The row that the pieces being put replace.
    row: Vec<Piece>,
    /// Ends that were dealt with.
    skip: BTreeSet<Ref>,
    end: Option<Signed>,
    /// Something was put there again for who could not read it. They look for it when this head is a new one.
    answers: bool,
}

impl Flush {
    pub fn idle(&self) -> bool {
        matches!(self.step, Step::Idle)
    }

    /// What the head is going to list, once that is known.
    pub fn list(&self) -> Option<&[Piece]> {
        (!matches!(self.step, Step::Idle | Step::Own | Step::Mine(..))).then_some(self.list.as_slice())
    }

    pub fn starts(&mut self, list: Vec<Piece>) {
        *self = Flush { step: Step::Next, list, ..Flush::default() };
    }

    pub fn reset(&mut self) {
        *self = Flush::default();
    }
}

impl Machine {
    pub(super) fn begin_flush(&mut self, now: u64) {
        self.flush_ms = None;
        self.flush = Flush { step: Step::Own, ..Flush::default() };
        self.get(Task::Flush, self.place.head(self.setup.dev), now);
    }

    /// Broken off: whatever is lacking is seen again.
    pub(super) fn stop_flush(&mut self, now: u64) {
        self.flush.reset();
        self.unplanned = true;
        self.in_vain = (self.in_vain + 1).min(8);
        self.flush_ms = Some(now + AGAIN);
    }

    pub(super) fn flushed(&mut self, reply: Reply, around: &mut dyn Around) {
        let now = around.now_ms();
        match (std::mem::take(&mut self.flush.step), reply) {
            (_, Reply::Store(Answer::No(_)) | Reply::Nothing) => self.stop_flush(now),
            (Step::Own, Reply::Store(answer)) => self.own_head(answer, now),
            (Step::Mine(head, ends), Reply::Holds(holds)) => self.is_mine(&head, &ends, &holds, now),
            (Step::Lines(to, after), Reply::Lines(lines)) => self.lines_to_put(to, &after, lines),
            (Step::Pack(row), Reply::Lines(lines)) => self.lines_to_pack(row, lines),
            (Step::Put, Reply::Store(Answer::Done)) => self.is_put(),
            (Step::Put, Reply::Store(Answer::There)) => match self.flush.puts.front() {
                Some((piece, _)) => {
                    let path = self.place.piece(self.setup.dev, piece);
                    self.flush.step = Step::Compare;
                    self.get(Task::Flush, path, now);
                }
                None => self.stop_flush(now),
            },
            (Step::Compare, Reply::Store(Answer::Got(there))) => {
                let same = self
                    .flush
                    .puts
                    .front()
                    .is_some_and(|(piece, _)| piece.open(&there, &self.books(), &*self.safe).is_ok());
                if same { self.is_put() } else { self.stop_flush(now) }
            }
            (Step::Hello, Reply::Store(Answer::Done | Answer::There)) => {
                self.welcome = Welcome::Fits;
                self.flush.step = Step::Next;
            }
            (Step::SignEnd(end), Reply::Signed(signatures)) => match signatures.first() {
                Some(signature) if self.setup.key.verifies(&end, signature) => {
                    self.flush.end = Some(Signed { count: end.seq, head: end.hash, signature: *signature });
                    self.flush.step = Step::Next;
                }
                _ => self.stop_flush(now),
            },
            (Step::SignHead(head, text), Reply::Signed(signatures)) => match signatures.first() {
                // Another page may have given this device another name meanwhile.
                Some(signature) if self.setup.key.verifies_text(&Head::message(&text), signature) => {
                    self.write_head(head, &text, signature, now);
                }
                _ => self.stop_flush(now),
            },
            (Step::Write(head), Reply::Store(Answer::Done)) => self.head_is_written(*head, now),
            _ => self.stop_flush(now),
        }
        if matches!(self.flush.step, Step::Next) {
            self.next_step(around);
        }
    }

    fn next_step(&mut self, around: &mut dyn Around) {
        let now = around.now_ms();
        if let Some((piece, sealed)) = self.flush.puts.front() {
            let verb = Verb::Put { path: self.place.piece(self.setup.dev, piece), bytes: sealed.clone() };
            self.flush.step = Step::Put;
            return self.ask(Task::Flush, Ask::Store(verb), now);
        }
        self.drop_what_is_broken();
        if self.flush.put < BEFORE_HEAD {
            if let Some(to) = self.next_need(now) {
                let after = self.cover().ends_before(to);
                self.flush.step = Step::Lines(to, after.clone());
                return self.ask(Task::Flush, Ask::Lines { to, after, most: AT_ONCE }, now);
            }
            if let Some(row) = row_to_pack(&self.flush.list, &self.loose)
                && let (Some(first), Some(last)) = (row.first(), row.last())
            {
                let (to, after) = (last.end(), first.before().into_iter().collect());
                let most = row.iter().map(|piece| piece.lines() as usize).sum();
                self.flush.step = Step::Pack(row);
                return self.ask(Task::Flush, Ask::Lines { to, after, most }, now);
            }
        }
        self.say_so(around);
    }

    /// What somebody could not read is put there again: the lines make the same name.
    fn drop_what_is_broken(&mut self) {
        for complaint in self.complaints() {
            let own = self.setup.dev;
            let place = &self.place;
            self.flush.list.retain(|piece| place.piece(own, piece) != complaint.0);
            self.redone.insert(complaint);
            self.flush.answers = true;
        }
    }

    fn next_need(&self, now: u64) -> Option<Ref> {
        let due = |end: &Ref| self.is_own(end.dev) || self.adopt.get(end).is_some_and(|at| *at <= now);
        self.needs().into_iter().find(|end| due(end) && !self.flush.skip.contains(end))
    }

    fn lines_to_put(&mut self, to: Ref, after: &[Ref], lines: Option<Vec<String>>) {
        self.flush.step = Step::Next;
        let sealed = self.sealed(&lines.unwrap_or_default());
        let fits = sealed.first().is_some_and(|(piece, _)| {
            piece.of == to.dev && piece.before().is_none_or(|before| after.contains(&before))
        });
        let whole = sealed.last().is_some_and(|(piece, _)| piece.end() == to);
        let part = sealed.last().is_some_and(|(piece, _)| piece.to < to.seq);
        if !fits || !part {
            self.flush.skip.insert(to);
        }
        if fits && (whole || part) {
            self.flush.puts.extend(sealed);
        }
    }

    fn lines_to_pack(&mut self, row: Vec<Piece>, lines: Option<Vec<String>>) {
        self.flush.step = Step::Next;
        let sealed = self.sealed(&lines.unwrap_or_default());
        let ends = |pieces: &mut dyn Iterator<Item = &Piece>| {
            let all: Vec<&Piece> = pieces.collect();
            Some((all.first()?.before(), all.last()?.end()))
        };
        let same = ends(&mut sealed.iter().map(|(piece, _)| piece)) == ends(&mut row.iter());
        if same && sealed.len() * 4 <= row.len() {
            self.flush.puts.extend(sealed);
            self.flush.row = row;
        } else {
            self.loose.extend(row.iter().map(Piece::end));
        }
    }

    /// Nothing of lines that are not one run: the device gave others than it was asked for.
    fn sealed(&self, lines: &[String]) -> Vec<(Piece, Vec<u8>)> {
        let sealed: Result<Vec<_>, _> = runs(lines).into_iter().map(|run| Piece::close(run, &*self.safe)).collect();
        sealed.unwrap_or_default()
    }

    fn is_put(&mut self) {
        self.flush.step = Step::Next;
        let Some((piece, _)) = self.flush.puts.pop_front() else { return };
        self.sure.insert(piece.end());
        self.flush.put += 1;
        if !self.flush.list.contains(&piece) {
            self.flush.list.push(piece);
        }
        if self.flush.puts.is_empty() {
            let row = std::mem::take(&mut self.flush.row);
            self.flush.list.retain(|piece| !row.contains(piece));
            self.flush.packed.extend(row);
        }
    }

    /// The head, where it would say anything new.
    fn say_so(&mut self, around: &mut dyn Around) {
        let now = around.now_ms();
        let old = self.heads.get(&self.setup.dev).map(|shown| &shown.head);
        let lacks = self.lacks();
        let same = old.map_or(self.flush.list.is_empty() && lacks.is_empty(), |old| {
            let again = self.waited_for(&lacks) && self.flush_again(now);
            old.pieces == self.flush.list && old.lacks == lacks && !again && !self.flush.answers
        });
        if same && !self.unread.contains_key(&self.setup.dev) {
            self.flush.reset();
            self.unplanned = true;
            // Whatever it was that seemed to be lacking: it is not asked for every few seconds.
            self.in_vain = (self.in_vain + 1).min(8);
            return;
        }
        self.in_vain = 0;
        if matches!(self.welcome, Welcome::Nothing | Welcome::Unfit) {
            let said = serde_json::json!({"format": "candlemark-share", "version": Head::V, "book": self.setup.book});
            let Ok(bytes) = self.safe.close(&gzip(format!("{said}\n").as_bytes())) else { return self.stop_flush(now) };
            self.flush.step = Step::Hello;
            return self.ask(Task::Flush, Ask::Store(Verb::Put { path: self.place.hello(), bytes }), now);
        }
        let tip = self.held.tips.iter().filter(|tip| tip.dev == self.setup.dev).max().copied();
        let known = self.flush.end.or(old.and_then(|old| old.signed));
        if let Some(tip) = tip
            && known.is_none_or(|signed| (signed.count, signed.head) != (tip.seq, tip.hash))
        {
            let end = ChainHead { book: self.setup.writes_in, dev: tip.dev, seq: tip.seq, hash: tip.hash };
            self.flush.step = Step::SignEnd(end);
            return self.ask(Task::Flush, Ask::Sign(vec![end.message()]), now);
        }
        let head = Head {
            format: Head::FORMAT.to_owned(),
            v: Head::V,
            book: self.setup.book,
            dev: self.setup.dev,
            key: self.setup.key,
            turn: self.kept.turn().saturating_add(1),
            made: around.wall(),
            app: self.setup.app.clone(),
            signed: known,
            pieces: self.flush.list.clone(),
            seen: self.kept.seen().clone(),
            passed: self.passed(),
            lacks,
        };
        let text = head.text();
        self.flush.step = Step::SignHead(Box::new(head), text.clone());
        self.ask(Task::Flush, Ask::Sign(vec![Head::message(&text)]), now);
    }

    fn flush_again(&self, now: u64) -> bool {
        now.saturating_sub(self.complained_ms) >= super::plan::COMPLAIN
    }

    /// Ends signed by those whose lines are put there for them.
    fn passed(&self) -> BTreeMap<journal::DeviceId, Signed> {
        let of: BTreeSet<journal::DeviceId> = self.flush.list.iter().map(|piece| piece.of).collect();
        let others = of.into_iter().filter(|dev| *dev != self.setup.dev);
        others.filter_map(|dev| Some((dev, *self.held.signed.get(&dev)?))).collect()
    }

    fn write_head(&mut self, head: Box<Head>, text: &str, signature: &Signature, now: u64) {
        let Ok(bytes) = Head::close(text, signature, &*self.safe) else { return self.stop_flush(now) };
        // Kept before it is sent: if the answer is lost, the next one is newer all the same.
        self.kept.set_turn(head.turn);
        if !head.lacks.is_empty() {
            self.complained_ms = now;
        }
        self.flush.step = Step::Write(head);
        self.ask(Task::Flush, Ask::Store(Verb::Put { path: self.place.head(self.setup.dev), bytes }), now);
    }

    fn head_is_written(&mut self, head: Head, now: u64) {
        if self.setup.deletes {
            let own = self.setup.dev;
            self.trash.extend(self.flush.packed.iter().map(|piece| self.place.piece(own, piece)));
        }
        let more = self.flush.put >= BEFORE_HEAD;
        self.flush.reset();
        self.shows(head, now);
        self.unplanned = true;
        self.flush_ms = more.then_some(now);
    }

    /// What was packed, one at a time, where nothing else is going on.
    pub(super) fn throw_away(&mut self, now: u64) {
        if self.store_flights() > 0 || !self.flush.idle() {
            return;
        }
        while let Some(path) = self.trash.pop_front() {
            // The same lines may have been put there anew.
            if self.piece_at(&path).is_none() {
                return self.ask(Task::Delete, Ask::Store(Verb::Delete { path }), now);
            }
        }
    }
}
