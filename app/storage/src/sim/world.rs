//! Several devices with several tabs each, and everything that can happen to them. After every quiet moment: what is
//! shown is the fold of all stored lines, and nothing said to be saved is lost.

use super::chance::Chance;
use super::compare::{hashes, stored_lines};
use super::storage::{Bits, Device, SimDisk, Ticks};
use crate::Tab;
use crate::disk::Trouble;
use journal::{Draft, DraftSet, Entry, Hash, Ref};
use serde_json::{Map, json};
use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::pin::Pin;
use std::rc::Rc;
use std::task::{Context, Poll, Waker};

/// So many polls that something must be waiting for ever.
pub(super) const FOR_EVER: u64 = 60_000;

/// What may happen. Each draws what it needs from its own seed, so that others can be left out and it stays the same.
#[derive(Clone, Copy, Debug)]
pub enum Step {
    /// A tab begins to do something.
    Begin(u64),
    /// Answers arrive, in any order, for a while.
    Wait(u64),
    /// Something happens to a tab or a device.
    Happen(u64),
    /// Everything that was begun is done; then all is compared.
    Quiet,
}

/// What a tab was asked to do came to this.
pub(super) enum Done {
    Saved(Result<Ref, Trouble>),
    /// The lines a bundle brought.
    Taken(Result<(), Trouble>, Vec<Hash>),
    Other(&'static str, Result<(), Trouble>),
}

pub(super) struct Job {
    pub(super) tab: usize,
    pub(super) what: &'static str,
    pub(super) work: Pin<Box<dyn Future<Output = Done>>>,
}

pub(super) struct Page {
    pub(super) device: usize,
    pub(super) tab: Rc<Tab>,
    pub(super) hidden: bool,
    /// How many tellings of other tabs it has heard.
    pub(super) heard: u64,
}

pub(super) struct Seat {
    pub(super) storage: Rc<RefCell<Device>>,
    /// Lines said to be saved here.
    pub(super) saved: Vec<(Ref, Hash)>,
    /// Of these, so many were saved before some harm: they may wait for lines that are lost.
    pub(super) excused: usize,
    /// Lines that were harmed, or are of a past that storage went back behind.
    pub(super) lost: BTreeSet<Hash>,
    /// Harm was done and not looked for yet.
    pub(super) harmed: bool,
    pub(super) older: Option<Bits>,
    /// Harm was ever done: bundles may lack lines.
    pub(super) ever_harmed: bool,
    /// Something was harmed while other harm was not found yet: lines and what tells of them may both be wrong.
    pub(super) harmed_twice: bool,
    /// A bundle was ever set aside.
    pub(super) ever_aside: bool,
    /// Lines were harmed, and the keeper has to be told.
    pub(super) to_tell: bool,
}

pub struct World {
    pub(super) seats: Vec<Seat>,
    pub(super) pages: BTreeMap<usize, Page>,
    pub(super) next_page: usize,
    pub(super) jobs: Vec<Job>,
    pub(super) ticks: Ticks,
    pub(super) chance: Chance,
    pub(super) acts: u64,
    /// What was done, for whoever looks into a failing seed.
    pub trace: Vec<String>,
}

pub(super) fn wrong<T>(why: impl Into<String>) -> Result<T, String> {
    Err(why.into())
}

impl World {
    pub fn new(seed: u64) -> World {
        let mut chance = Chance::new(seed);
        let devices = 1 + chance.below(6) as usize;
        let ticks: Ticks = Rc::new(Cell::new(0));
        let seats = (0..devices).map(|_| Seat::new(Device::new(Bits::new(), START, Chance::new(chance.next()))));
        let mut world = World {
            seats: seats.collect(),
            pages: BTreeMap::new(),
            next_page: 0,
            jobs: Vec::new(),
            ticks,
            chance,
            acts: 0,
            trace: Vec::new(),
        };
        (0..devices).for_each(|device| world.open_page(device));
        world
    }

    pub(super) fn note(&mut self, what: String) {
        self.trace.push(format!("{:6} {what}", self.ticks.get()));
    }

    pub(super) fn open_page(&mut self, device: usize) {
        let disk = SimDisk { device: self.seats[device].storage.clone(), ticks: self.ticks.clone() };
        let tab = Rc::new(Tab::new(Rc::new(disk), "Keeper"));
        let heard = self.seats[device].storage.borrow().told;
        let number = self.next_page;
        self.next_page += 1;
        self.pages.insert(number, Page { device, tab: tab.clone(), hidden: false, heard });
        self.note(format!("device {device}: page {number} opens"));
        self.job(number, "open", async move {
            let opened = match tab.open().await {
                Ok(_) => tab.until_whole().await,
                Err(trouble) => Err(trouble),
            };
            Done::Other("open", opened)
        });
    }

    pub(super) fn job(&mut self, tab: usize, what: &'static str, work: impl Future<Output = Done> + 'static) {
        self.jobs.push(Job { tab, what, work: Box::pin(work) });
    }

    /// One poll of anybody.
    pub(super) fn poll(&mut self, chance: &mut Chance) -> Result<(), String> {
        self.ticks.set(self.ticks.get() + 1);
        if self.jobs.is_empty() {
            return Ok(());
        }
        let n = chance.below(self.jobs.len() as u64) as usize;
        let waker = Waker::noop();
        let done = match self.jobs[n].work.as_mut().poll(&mut Context::from_waker(waker)) {
            Poll::Pending => return Ok(()),
            Poll::Ready(done) => done,
        };
        let job = self.jobs.remove(n);
        let Some(page) = self.pages.get(&job.tab) else { return Ok(()) };
        let device = page.device;
        match done {
            Done::Saved(Ok(reference)) => self.saved(job.tab, device, reference),
            Done::Saved(Err(trouble)) => self.refused(job.tab, "act", trouble),
            Done::Taken(Ok(()), lines) => {
                self.note(format!("page {}: bundle of {} lines taken in", job.tab, lines.len()));
                let there = hashes(&self.seats[device].storage.borrow().bits);
                match lines.iter().all(|line| there.contains(line)) {
                    true => Ok(()),
                    false => wrong("a bundle was said to be taken in and is not there"),
                }
            }
            Done::Taken(Err(trouble), _) => self.refused(job.tab, "bundle", trouble),
            Done::Other(what, Ok(())) => {
                self.note(format!("page {}: {what} done", job.tab));
                Ok(())
            }
            Done::Other(what, Err(trouble)) => self.refused(job.tab, what, trouble),
        }
    }

    /// Refusals are allowed where the world gave reason for them.
    pub(super) fn refused(&mut self, page: usize, what: &str, trouble: Trouble) -> Result<(), String> {
        self.note(format!("page {page}: {what} refused: {trouble:?}"));
        match trouble {
            // What lies aside was harmed: it stays there, and the bundle itself can be opened again.
            Trouble::Damaged(_) if what == "set aside" && self.ever_harmed(page) => Ok(()),
            Trouble::Full | Trouble::Closed | Trouble::Overtaken | Trouble::Stalled | Trouble::Removed => Ok(()),
            // A broken off transaction whose handle was closed a moment later.
            Trouble::Other(said) if said.contains("broken off") => Ok(()),
            other => wrong(format!("page {page}: {what} was refused: {other:?}")),
        }
    }

    fn ever_harmed(&self, page: usize) -> bool {
        self.pages.get(&page).is_some_and(|page| self.seats[page.device].ever_harmed)
    }

    /// What a page says is saved is stored, and shown there, at that moment.
    pub(super) fn saved(&mut self, page: usize, device: usize, reference: Ref) -> Result<(), String> {
        self.note(format!("page {page}: saved {reference}"));
        let lines = stored_lines(&self.seats[device].storage.borrow().bits);
        let found = lines.iter().find(|line| Entry::read(line).is_ok_and(|entry| entry.reference == reference));
        let Some(line) = found else { return wrong(format!("{reference} was said to be saved and is not stored")) };
        self.seats[device].saved.push((reference, Hash::of(line.as_bytes())));
        Ok(())
    }

    pub fn step(&mut self, step: Step) -> Result<(), String> {
        match step {
            Step::Begin(seed) => self.begin(&mut Chance::new(seed)),
            Step::Wait(seed) => {
                let mut chance = Chance::new(seed);
                for _ in 0..chance.below(40) {
                    self.poll(&mut chance)?;
                }
                Ok(())
            }
            Step::Happen(seed) => self.happen(&mut Chance::new(seed)),
            Step::Quiet => self.quiet(),
        }
    }

    pub(super) fn begin(&mut self, chance: &mut Chance) -> Result<(), String> {
        let pages: Vec<usize> = self.pages.keys().copied().collect();
        let Some(&number) = chance.pick(&pages) else { return Ok(()) };
        let Some(page) = self.pages.get(&number) else { return Ok(()) };
        let (tab, device) = (page.tab.clone(), page.device);
        match chance.below(20) {
            0..=9 => {
                self.acts += 1;
                let draft = act(&tab, self.acts, chance);
                self.note(format!("page {number}: act {}", self.acts));
                self.job(number, "act", async move { Done::Saved(tab.append(draft).await) });
            }
            10 => {
                let Some(&(reference, _)) = chance.pick(&self.seats[device].saved) else { return Ok(()) };
                self.note(format!("page {number}: undo {reference}"));
                self.job(number, "undo", async move {
                    match tab.plan_undo(reference).await {
                        Ok(Some((draft, _))) => Done::Saved(tab.append(draft).await),
                        Ok(None) => Done::Other("undo", Ok(())),
                        Err(trouble) => Done::Saved(Err(trouble)),
                    }
                });
            }
            11..=13 => {
                self.note(format!("page {number}: keep"));
                self.job(number, "keep", async move { Done::Other("keep", tab.keep().await) });
            }
            14..=15 => self.bundle(number, device, chance),
            16 => self.arrive(number, device, chance),
            17 => {
                let imports: Vec<(u32, bool)> = tab.exchange().imports.iter().map(|i| (i.n, i.aside)).collect();
                let Some(&(n, aside)) = chance.pick(&imports) else { return Ok(()) };
                self.note(format!("page {number}: set aside {n}: {}", !aside));
                self.seats[device].ever_aside = true;
                self.job(number, "set aside", async move { Done::Other("set aside", tab.set_aside(n, !aside).await) });
            }
            18 => {
                let at_once = 1 + chance.below(3) as usize;
                self.job(number, "look", async move { Done::Other("look", tab.look(None, at_once).await.map(drop)) });
            }
            _ => self.job(number, "catch up", async move { Done::Other("catch up", tab.catch_up().await.map(drop)) }),
        }
        Ok(())
    }

    /// Everything begun on a device is done.
    pub(super) fn settle(&mut self, device: usize) -> Result<(), String> {
        let here: BTreeSet<usize> =
            self.pages.iter().filter(|(_, page)| page.device == device).map(|(n, _)| *n).collect();
        self.drain(|job| here.contains(&job.tab))
    }

    pub(super) fn drain(&mut self, which: impl Fn(&Job) -> bool) -> Result<(), String> {
        let mut chance = Chance::new(self.chance.next());
        for _ in 0..FOR_EVER {
            if !self.jobs.iter().any(&which) {
                return Ok(());
            }
            self.poll(&mut chance)?;
        }
        let waiting: Vec<&str> = self.jobs.iter().filter(|job| which(job)).map(|job| job.what).collect();
        wrong(format!("for ever waits: {}", waiting.join(", ")))
    }

    pub(super) fn quiet(&mut self) -> Result<(), String> {
        for seat in &self.seats {
            let mut storage = seat.storage.borrow_mut();
            storage.full = false;
            storage.misread = 0;
        }
        self.drain(|_| true)?;
        for (number, device) in self.pages.iter().map(|(n, page)| (*n, page.device)).collect::<Vec<_>>() {
            let Some(page) = self.pages.get(&number) else { continue };
            let tab = page.tab.clone();
            if self.seats[device].harmed {
                self.seats[device].harmed = false;
                let tab = tab.clone();
                self.job(number, "check", async move { Done::Other("check", tab.check(|_| {}).await.map(drop)) });
                self.drain(|_| true)?;
                let harms = self.pages.get(&number).map(|page| page.tab.harms()).unwrap_or_default();
                // What was saved before the harm was found may stand on what is lost.
                self.seats[device].excused = self.seats[device].saved.len();
                if std::mem::take(&mut self.seats[device].to_tell) && harms.is_empty() {
                    return wrong(format!("device {device}: lines were harmed, and nobody is told"));
                }
            }
            self.job(number, "catch up", async move {
                // A page whose start failed for want of room or answers tries again.
                let up = tab.catch_up().await;
                match up {
                    Ok(_) => Done::Other("catch up", Ok(())),
                    Err(_) => Done::Other("open", tab.until_whole().await),
                }
            });
        }
        self.drain(|_| true)?;
        self.compare()
    }
}

/// A day in the season.
pub(super) const START: u64 = 1_780_000_000_000;

impl Seat {
    pub(super) fn new(device: Device) -> Seat {
        Seat {
            storage: Rc::new(RefCell::new(device)),
            saved: Vec::new(),
            excused: 0,
            lost: BTreeSet::new(),
            harmed: false,
            older: None,
            ever_harmed: false,
            harmed_twice: false,
            ever_aside: false,
            to_tell: false,
        }
    }
}

/// Something a keeper does: notes, and fields of a few things that several of them write.
pub(super) fn act(tab: &Tab, n: u64, chance: &mut Chance) -> Draft {
    let text = |word: &str| Map::from_iter([("text".to_owned(), json!(format!("{word} {n}")))]);
    let set = match chance.below(4) {
        0 => {
            let id = format!("THING00{}", chance.below(3));
            tab.book().journal().set("animal", &id, Map::from_iter([("name".to_owned(), json!(format!("Bel {n}")))]))
        }
        1 => DraftSet::observation("meal", text("mouse")),
        _ => DraftSet::observation("note", text("seen")),
    };
    Draft { act: "Noted".to_owned(), sets: vec![set], ..Draft::default() }
}
