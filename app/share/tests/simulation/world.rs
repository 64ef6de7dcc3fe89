//! Time, and what is on its way.

use crate::chance::Chance;
use crate::device::{Disk, Here, Seat};
use crate::store::Store;
use journal::Hash;
use share::store::{Answer, No, Verb};
use share::{Ask, Asked, Event, Reply};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

pub const START: u64 = 1_780_000_000_000;

#[derive(Clone, Copy, Debug)]
pub struct Size {
    pub devices: u64,
    pub acts: u64,
    pub steps: u64,
}

impl Size {
    pub fn small(seed: u64) -> Size {
        let mut chance = Chance::new(seed ^ 0x512e);
        Size { devices: 2 + chance.below(4), acts: 20 + chance.below(160), steps: 30 + chance.below(60) }
    }
}

/// What will happen.
pub enum What {
    /// A request is at the store; it may have nobody any more who waits for its answer.
    Reach {
        seat: usize,
        epoch: u64,
        id: u64,
        verb: Verb,
        answered: bool,
    },
    Hear {
        seat: usize,
        epoch: u64,
        id: u64,
        reply: Reply,
    },
    /// The device itself does what it was asked.
    Do {
        seat: usize,
        epoch: u64,
        id: u64,
        ask: Ask,
    },
    Tick {
        seat: usize,
        epoch: u64,
    },
}

pub struct World {
    pub size: Size,
    pub now: u64,
    pub chance: Chance,
    pub store: Store,
    pub seats: Vec<Seat>,
    pub coming: BTreeMap<(u64, u64), What>,
    pub count: u64,
    pub acts: u64,
    pub key: u64,
    pub deletes: bool,
    /// One text of each line, however many devices hold it.
    pub known: BTreeMap<Hash, Rc<str>>,
    /// Acts that were saved, by where; what is on no device that is still there may be lost.
    pub saved: BTreeSet<Hash>,
    pub trace: Vec<String>,
    /// Printed as it happens.
    live: bool,
}

impl World {
    pub fn new(seed: u64, size: Size) -> World {
        let mut chance = Chance::new(seed);
        let deletes = chance.below(2) == 0;
        let seats = (0..size.devices).map(|_| {
            let disk = Disk::new(&mut chance);
            Seat::new(disk, 1, Chance::new(chance.next()))
        });
        let seats = seats.collect();
        World {
            size,
            now: START,
            chance,
            store: Store::default(),
            seats,
            coming: BTreeMap::new(),
            count: 0,
            acts: 0,
            key: 1,
            deletes,
            known: BTreeMap::new(),
            saved: BTreeSet::new(),
            trace: Vec::new(),
            live: std::env::var("CANDLEMARK_TRACE").is_ok(),
        }
    }

    pub fn note(&mut self, what: impl FnOnce() -> String) {
        if self.size.acts <= 2_000 {
            let line = format!("{:9} {}", self.now - START, what());
            if self.live {
                println!("{line}");
            }
            self.trace.push(line);
        }
    }

    pub fn later(&mut self, after: u64, what: What) {
        self.count += 1;
        self.coming.insert((self.now + after, self.count), what);
    }

    pub fn open(&mut self, seat: usize) {
        if self.seats[seat].machine.is_some() || self.seats[seat].lost {
            return;
        }
        self.note(|| format!("device {seat} opens"));
        let deletes = self.deletes;
        self.seats[seat].start(deletes);
        let held = self.seats[seat].held();
        self.tell(seat, Event::Opened(held));
        if !self.seats[seat].online {
            self.tell(seat, Event::Network(false));
        }
    }

    pub fn changed(&mut self, seat: usize) {
        let held = self.seats[seat].held();
        self.tell(seat, Event::Changed(held));
    }

    pub fn tell(&mut self, seat: usize, event: Event) {
        let now = self.now;
        let at = &mut self.seats[seat];
        let clock = at.clock(now);
        let Some(machine) = &mut at.machine else { return };
        let asked = machine.hear(event, &mut Here { now_ms: clock, chance: &mut at.chance });
        let wake = machine.wake();
        let epoch = at.epoch;
        for Asked { id, ask } in asked {
            self.asked(seat, epoch, id, ask);
        }
        // Its clock may go otherwise than the world's: what counts is how long from now.
        let at = wake.map(|wake| now + wake.saturating_sub(clock));
        if let Some(at) = at
            && self.seats[seat].next_tick.is_none_or(|old| at < old || old <= now)
        {
            self.seats[seat].next_tick = Some(at);
            self.later(at - now, What::Tick { seat, epoch });
        }
    }

    fn asked(&mut self, seat: usize, epoch: u64, id: u64, ask: Ask) {
        match ask {
            Ask::Keep(text) => self.seats[seat].disk.kept = Some(text),
            Ask::Store(verb) => {
                self.note(|| format!("device {seat} asks {id}: {verb:?}"));
                let faults = self.store.faults;
                let mut delay = 5 + self.chance.below(200);
                if self.chance.below(1000) < faults.late {
                    delay += self.chance.below(600_000);
                }
                let fate = self.chance.below(1000);
                if !self.seats[seat].online || fate < faults.lost / 2 {
                    let reply = Reply::Store(Answer::No(No::Network));
                    return self.later(delay, What::Hear { seat, epoch, id, reply });
                }
                if self.chance.below(1000) < faults.twice {
                    let again = delay + self.chance.below(300_000);
                    self.later(again, What::Reach { seat, epoch, id, verb: verb.clone(), answered: false });
                }
                let answered = fate >= faults.lost;
                self.later(delay, What::Reach { seat, epoch, id, verb, answered });
            }
            ask => {
                let delay = 1 + self.chance.below(30);
                self.later(delay, What::Do { seat, epoch, id, ask });
            }
        }
    }

    /// Lets time go on.
    pub fn until(&mut self, end: u64) -> Result<(), String> {
        while let Some((&(at, _), _)) = self.coming.first_key_value()
            && at <= end
        {
            let Some((_, what)) = self.coming.pop_first() else { break };
            self.now = self.now.max(at);
            self.comes(what);
            if let Some(wrong) = self.store.wrong.take() {
                return Err(wrong);
            }
        }
        self.now = self.now.max(end);
        Ok(())
    }

    fn comes(&mut self, what: What) {
        match what {
            What::Reach { seat, epoch, id, verb, answered } => {
                let answer = self.store.reached(&verb, self.now, &mut self.chance);
                self.note(|| format!("          {seat}'s {id} at the store: {answer:?}"));
                if answered {
                    let delay = 5 + self.chance.below(100);
                    self.later(delay, What::Hear { seat, epoch, id, reply: Reply::Store(answer) });
                }
            }
            What::Hear { seat, epoch, id, reply } => {
                if self.seats[seat].epoch == epoch {
                    self.tell(seat, Event::Answer { id, reply });
                }
            }
            What::Do { seat, epoch, id, ask } => {
                if self.seats[seat].epoch == epoch {
                    self.does(seat, id, ask);
                }
            }
            What::Tick { seat, epoch } => {
                if self.seats[seat].epoch == epoch {
                    self.seats[seat].next_tick = None;
                    self.tell(seat, Event::Tick);
                }
            }
        }
    }

    fn does(&mut self, seat: usize, id: u64, ask: Ask) {
        // All that a file goes through reads every line there is, so not each time.
        let thorough = self.size.acts <= 500 && self.chance.below(4) == 0;
        let at = &mut self.seats[seat];
        let mut renamed = false;
        let reply = match ask {
            Ask::Lines { to, after, most } => Reply::Lines(at.lines(to, &after, most)),
            Ask::Holds(ends) => {
                Reply::Holds(ends.iter().map(|end| at.fold.holds(end.dev, end.seq, &end.hash)).collect())
            }
            Ask::Sign(texts) => {
                let key = at.disk.keypair();
                Reply::Signed(texts.iter().map(|text| key.sign_text(text)).collect())
            }
            // There is no room.
            Ask::TakeIn(_) if at.full => Reply::Nothing,
            Ask::TakeIn(bundle) => match at.take_in(&bundle, thorough, &mut self.known) {
                Ok(elsewhere) => {
                    renamed = elsewhere;
                    Reply::TakenIn(at.held())
                }
                Err(why) => Reply::Refused(why),
            },
            Ask::NewName => {
                renamed = true;
                Reply::Nothing
            }
            Ask::Store(_) | Ask::Keep(_) => return,
        };
        if let Reply::Refused(why) = &reply {
            self.store.wrong = Some(why.clone());
        }
        if renamed {
            self.seats[seat].rename();
            let (dev, key) = (self.seats[seat].disk.dev, self.seats[seat].disk.keypair().public());
            self.note(|| format!("device {seat} is called {dev} from now on"));
            self.tell(seat, Event::Renamed { dev, key });
        }
        self.tell(seat, Event::Answer { id, reply });
    }
}
