//! What to send, fetch, try again and forget: a state machine that hears what happened and says what to ask for.
//!
//! It is asked for nothing by the clock but [`Machine::wake`]. All it keeps for itself is advice ([`Ask::Keep`]): the store and
//! the records tell the rest, so one that starts with nothing, or with something old, comes to the same.

mod fetch;
mod flush;
mod hold;
mod kept;
mod look;
mod own_head;
mod plan;
mod status;
mod talk;

pub use status::{Status, Welcome};
pub use talk::{Around, Ask, Asked, Event, Held, Reply, Setup};

use crate::error::Notice;
use crate::head::Head;
use crate::key::Safe;
use crate::piece::Piece;
use crate::place::Place;
use crate::store::{Answer, Verb};
use flush::Flush;
use hold::Hold;
use journal::{DeviceId, Ref};
use kept::Kept;
use look::Look;
use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::rc::Rc;

/// How long an answer is waited for, in milliseconds: a large piece over a poor line takes its time, and who sends tells
/// what failed.
const PATIENCE: u64 = 300_000;
/// A clock that goes back by more has been set; milliseconds.
const JUMP: u64 = 1_000;
/// So many requests to the store at once.
const AT_ONCE: usize = 4;
/// The most notices that are kept, the newest.
const NOTICES: usize = 100;

/// What an open request is for.
#[derive(Clone, Debug, PartialEq)]
enum Task {
    Hello,
    List,
    Head(DeviceId),
    Piece(String),
    Delete,
    /// A step of sending, of which one goes on at a time.
    Flush,
    Holds(Vec<Ref>),
    TakeIn(Vec<String>),
    NewName,
}

#[derive(Debug)]
struct Flight {
    task: Task,
    since_ms: u64,
    /// Whether the store is asked, or the device itself.
    of_store: bool,
}

/// A head as the store shows it now.
#[derive(Debug)]
struct Shown {
    head: Head,
    /// What the list called it when it was fetched.
    tag: Option<String>,
    looked_ms: u64,
}

/// What was fetched and not yet taken in.
#[derive(Debug)]
struct Arrived {
    path: String,
    writer: DeviceId,
    piece: Piece,
    lines: Vec<String>,
}

/// What could not be read, and when it is tried again.
#[derive(Clone, Copy, Debug)]
struct Bad {
    tries: u32,
    again_ms: u64,
    /// Of a book that is not this barn's here.
    foreign: bool,
}

/// One device and one store.
pub struct Machine {
    setup: Setup,
    safe: Rc<dyn Safe>,
    place: Place,
    kept: Kept,
    held: Held,
    opened: bool,
    next: u64,
    flight: BTreeMap<u64, Flight>,
    out: VecDeque<Asked>,
    hold: Hold,
    look: Look,
    welcome: Welcome,
    heads: BTreeMap<DeviceId, Shown>,
    /// Whose heads are there and cannot be read, and since when.
    unread: BTreeMap<DeviceId, u64>,
    /// Ends of pieces that are here for certain, and those of which that has to be found out or is not so.
    sure: BTreeSet<Ref>,
    unsure: BTreeSet<Ref>,
    unheld: BTreeSet<Ref>,
    bad: BTreeMap<String, Bad>,
    /// Pieces that could not be read, or were and wait for earlier lines, by path, and since when: a list is a word of somebody
    /// who may be gone, so what it names need not come ever.
    stuck: BTreeMap<String, u64>,
    /// Taken in, and waiting for earlier lines: not fetched again before.
    waiting: BTreeMap<Ref, u64>,
    arrived: Vec<Arrived>,
    flush: Flush,
    /// When something is to be sent; none when nothing is, or that is not known.
    flush_ms: Option<u64>,
    /// How often in a row sending came to nothing.
    in_vain: u32,
    /// What may be lacking has to be looked for again.
    unplanned: bool,
    /// Ends of others' chains that nobody has put there, and when this device will.
    adopt: BTreeMap<Ref, u64>,
    /// Complaints about own pieces that were answered by putting them there again: path, by whom, in which turn.
    redone: BTreeSet<(String, DeviceId, u32)>,
    /// The ends of pieces whose row came out no smaller when it was packed: large lines fill a piece with few of them. They
    /// are not tried again while the app is open.
    loose: BTreeSet<Ref>,
    /// When this device last complained.
    complained_ms: u64,
    trash: VecDeque<String>,
    /// Waits to be told its new name.
    nameless: bool,
    last_ms: u64,
    notices: VecDeque<Notice>,
}

impl Machine {
    /// `kept` is what [`Ask::Keep`] last gave, if that is there still.
    pub fn new(setup: Setup, safe: Rc<dyn Safe>, kept: Option<&str>) -> Machine {
        let place = Place::of(setup.book, &*safe);
        let kept = Kept::read(kept, place.folder(), setup.dev);
        Machine {
            setup,
            safe,
            place,
            kept,
            held: Held::default(),
            opened: false,
            next: 0,
            flight: BTreeMap::new(),
            out: VecDeque::new(),
            hold: Hold::default(),
            look: Look::default(),
            welcome: Welcome::Unknown,
            heads: BTreeMap::new(),
            unread: BTreeMap::new(),
            sure: BTreeSet::new(),
            unsure: BTreeSet::new(),
            unheld: BTreeSet::new(),
            bad: BTreeMap::new(),
            stuck: BTreeMap::new(),
            waiting: BTreeMap::new(),
            arrived: Vec::new(),
            flush: Flush::default(),
            flush_ms: None,
            in_vain: 0,
            unplanned: true,
            adopt: BTreeMap::new(),
            redone: BTreeSet::new(),
            loose: BTreeSet::new(),
            complained_ms: 0,
            trash: VecDeque::new(),
            nameless: false,
            last_ms: 0,
            notices: VecDeque::new(),
        }
    }

    /// Hears what happened; gives what to ask for, in order. Each [`Asked`] but [`Ask::Keep`] is answered by its number,
    /// whenever that is; an answer that nobody waits for any more is passed over.
    pub fn hear(&mut self, event: Event, around: &mut dyn Around) -> Vec<Asked> {
        let now = around.now_ms();
        if now < self.last_ms.saturating_sub(JUMP) {
            self.clock_went_back(now);
        }
        self.last_ms = now;
        match event {
            Event::Opened(held) => {
                self.opened = true;
                self.holds(held);
                self.look.all(now);
            }
            Event::Changed(held) => self.holds_anew(held, now),
            Event::Network(there) => {
                self.hold.network(there, now);
                if there {
                    self.look.all(now);
                }
            }
            Event::ByHand => {
                self.hold.forget();
                self.ask_all_anew();
                self.look.all(now);
            }
            Event::Tick => {}
            Event::Renamed { dev, key } => self.renamed(dev, key),
            Event::Answer { id, reply } => {
                if let Some(flight) = self.flight.remove(&id) {
                    self.answered(flight, reply, around);
                }
            }
        }
        self.give_up_waiting(around);
        if self.opened {
            self.go_on(around);
        }
        if let Some(text) = self.kept.take_kept() {
            self.out.push_front(Asked { id: 0, ask: Ask::Keep(text) });
        }
        self.out.drain(..).collect()
    }

    /// When to come back with [`Event::Tick`], whatever happens until then; milliseconds since 1970 (UTC).
    pub fn wake(&self) -> Option<u64> {
        if !self.opened {
            return None;
        }
        let patience = self.flight.values().map(|flight| flight.since_ms + PATIENCE).min();
        if !self.hold.there {
            return patience;
        }
        let bad = self.bad.values().map(|bad| bad.again_ms).filter(|_| !self.unheld.is_empty());
        let times = bad.chain(self.waiting.values().copied()).chain(self.flush_ms).chain(self.look.due_ms);
        // What was due already is being done, or waits for an answer.
        let store = times.map(|at| at.max(self.hold.until_ms)).filter(|at| *at > self.last_ms).min();
        [patience, store].into_iter().flatten().min()
    }

    /// What is noteworthy, the oldest first.
    pub fn notices(&self) -> impl Iterator<Item = &Notice> {
        self.notices.iter()
    }

    fn note(&mut self, notice: Notice) {
        if !self.notices.contains(&notice) {
            self.notices.push_back(notice);
            if self.notices.len() > NOTICES {
                self.notices.pop_front();
            }
        }
    }

    fn ask(&mut self, task: Task, ask: Ask, now: u64) {
        self.next += 1;
        let of_store = matches!(ask, Ask::Store(_));
        self.flight.insert(self.next, Flight { task, since_ms: now, of_store });
        self.out.push_back(Asked { id: self.next, ask });
    }

    fn store_flights(&self) -> usize {
        self.flight.values().filter(|flight| flight.of_store).count()
    }

    /// Requests to the store that nobody answered count as a network that is not there. What the device itself is asked
    /// may take its time; only when the page forgot it is it asked again.
    fn give_up_waiting(&mut self, around: &mut dyn Around) {
        let now = around.now_ms();
        let old = |flight: &Flight| now.saturating_sub(flight.since_ms) >= PATIENCE;
        let late: Vec<u64> = self.flight.iter().filter(|(_, flight)| old(flight)).map(|(id, _)| *id).collect();
        for id in late {
            let Some(flight) = self.flight.remove(&id) else { continue };
            let reply = match flight.of_store {
                true => Reply::Store(Answer::No(crate::store::No::Network)),
                false => Reply::Nothing,
            };
            self.answered(flight, reply, around);
        }
    }

    fn answered(&mut self, flight: Flight, reply: Reply, around: &mut dyn Around) {
        if let Reply::Store(answer) = &reply {
            match (&flight.task, answer) {
                // A store that forbids it only grows.
                (Task::Delete, Answer::No(_)) => return self.trash.clear(),
                (_, Answer::No(no)) => self.hold.refused(*no, around),
                _ => self.hold.worked(),
            }
        }
        match (flight.task, reply) {
            (Task::Flush, reply) => self.flushed(reply, around),
            (Task::Holds(ends), Reply::Holds(holds)) => self.told(&ends, &holds),
            (Task::Holds(_), _) => {}
            (Task::TakeIn(paths), reply) => self.taken(&paths, reply, around),
            (Task::NewName, _) => self.nameless = false,
            (task, Reply::Store(answer)) => self.looked(task, answer, around),
            (_, _) => {}
        }
    }

    /// What was to be done at some time of the old clock might never come.
    fn clock_went_back(&mut self, now: u64) {
        self.hold.forget();
        self.bad.values_mut().for_each(|bad| bad.again_ms = now);
        self.waiting.clear();
        self.unread.values_mut().chain(self.stuck.values_mut()).for_each(|since| *since = now);
        self.adopt.clear();
        self.complained_ms = 0;
        self.flight.values_mut().for_each(|flight| flight.since_ms = now);
        self.flush_ms = self.flush_ms.map(|_| now);
        self.look.all(now);
        self.unplanned = true;
    }

    /// Everything that can be asked for now.
    fn go_on(&mut self, around: &mut dyn Around) {
        let now = around.now_ms();
        self.ask_what_is_held(now);
        if !self.hold.there || now < self.hold.until_ms {
            return self.take_in(around);
        }
        self.look_around(now);
        self.fetch(now);
        self.take_in(around);
        self.plan(around);
        let due = self.flush_ms.is_some_and(|at| at <= now);
        if due && self.flush.idle() && !self.nameless {
            self.begin_flush(now);
        }
        self.throw_away(now);
    }

    fn get(&mut self, task: Task, path: String, now: u64) {
        self.ask(task, Ask::Store(Verb::Get { path }), now);
    }
}
