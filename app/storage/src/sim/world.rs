//! Several devices with several tabs each, and everything that can happen to them. After every quiet moment: what is
//! shown is the fold of all stored lines, and nothing said to be saved is lost.

use super::chance::Chance;
use super::harm::{self, Of};
use super::storage::{Bits, Device, SimDisk, Ticks};
use crate::disk::{Store, Trouble, Value};
use crate::exchange::Exchange;
use crate::intake::{Intake, Successor};
use crate::layout::{EXCHANGE, GAPS, Gap, HARMED, ME, import_of};
use crate::{LineSet, Me, Tab};
use book::Book;
use journal::{Digest, Draft, DraftSet, Entry, Hash, Ref};
use serde_json::{Map, json};
use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::pin::Pin;
use std::rc::Rc;
use std::task::{Context, Poll, Waker};

/// So many polls that something must be waiting for ever.
const FOR_EVER: u64 = 60_000;

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
enum Done {
    Saved(Result<Ref, Trouble>),
    /// The lines a bundle brought.
    Taken(Result<(), Trouble>, Vec<Hash>),
    Other(&'static str, Result<(), Trouble>),
}

struct Job {
    tab: usize,
    what: &'static str,
    work: Pin<Box<dyn Future<Output = Done>>>,
}

struct Page {
    device: usize,
    tab: Rc<Tab>,
    hidden: bool,
    /// How many tellings of other tabs it has heard.
    heard: u64,
}

struct Seat {
    storage: Rc<RefCell<Device>>,
    /// Lines said to be saved here.
    saved: Vec<(Ref, Hash)>,
    /// Of these, so many were saved before some harm: they may wait for lines that are lost.
    excused: usize,
    /// Lines that were harmed, or are of a past that storage went back behind.
    lost: BTreeSet<Hash>,
    /// Harm was done and not looked for yet.
    harmed: bool,
    older: Option<Bits>,
    /// Harm was ever done: bundles may lack lines.
    ever_harmed: bool,
    /// Something was harmed while other harm was not found yet: lines and what tells of them may both be wrong.
    harmed_twice: bool,
    /// A bundle was ever set aside.
    ever_aside: bool,
    /// Lines were harmed, and the keeper has to be told.
    to_tell: bool,
}

pub struct World {
    seats: Vec<Seat>,
    pages: BTreeMap<usize, Page>,
    next_page: usize,
    jobs: Vec<Job>,
    ticks: Ticks,
    chance: Chance,
    acts: u64,
    /// What was done, for whoever looks into a failing seed.
    pub trace: Vec<String>,
}

fn wrong<T>(why: impl Into<String>) -> Result<T, String> {
    Err(why.into())
}

impl World {
    pub fn new(seed: u64) -> World {
        let mut chance = Chance::new(seed);
        let devices = 1 + chance.below(4) as usize;
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

    fn note(&mut self, what: String) {
        self.trace.push(format!("{:6} {what}", self.ticks.get()));
    }

    fn open_page(&mut self, device: usize) {
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

    fn job(&mut self, tab: usize, what: &'static str, work: impl Future<Output = Done> + 'static) {
        self.jobs.push(Job { tab, what, work: Box::pin(work) });
    }

    /// One poll of anybody.
    fn poll(&mut self, chance: &mut Chance) -> Result<(), String> {
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
    fn refused(&mut self, page: usize, what: &str, trouble: Trouble) -> Result<(), String> {
        self.note(format!("page {page}: {what} refused: {trouble:?}"));
        match trouble {
            Trouble::Full | Trouble::Closed | Trouble::Overtaken | Trouble::Stalled | Trouble::Removed => Ok(()),
            // A broken off transaction whose handle was closed a moment later.
            Trouble::Other(said) if said.contains("broken off") => Ok(()),
            other => wrong(format!("page {page}: {what} was refused: {other:?}")),
        }
    }

    /// What a page says is saved is stored, and shown there, at that moment.
    fn saved(&mut self, page: usize, device: usize, reference: Ref) -> Result<(), String> {
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

    fn begin(&mut self, chance: &mut Chance) -> Result<(), String> {
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
            14..=16 => self.bundle(number, device, chance),
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

    /// Another device's lines, as they are now, come to this one.
    fn bundle(&mut self, number: usize, device: usize, chance: &mut Chance) {
        let others: Vec<usize> = (0..self.seats.len()).filter(|other| *other != device).collect();
        let Some(&from) = chance.pick(&others) else { return };
        let theirs = stored_lines(&self.seats[from].storage.borrow().bits);
        // Of some bundles only a part arrives: what was lacking by then.
        let theirs: Vec<String> = match chance.below(3) {
            0 => theirs.into_iter().skip(chance.below(3) as usize).collect(),
            _ => theirs,
        };
        let Some(first) = theirs.iter().find_map(|line| Entry::read(line).ok()) else { return };
        let Some(page) = self.pages.get(&number) else { return };
        let (tab, looks) = (page.tab.clone(), chance.below(60));
        self.note(format!("page {number}: bundle of {} lines from device {from}", theirs.len()));
        let ticks = self.ticks.clone();
        self.job(number, "bundle", async move {
            let had = match tab.everything().await {
                Ok(had) => had,
                Err(trouble) => return Done::Taken(Err(trouble), Vec::new()),
            };
            let known: BTreeSet<Hash> = had.lines.lines().map(|line| Hash::of(line.as_bytes())).collect();
            let book = had.me.as_ref().map(|me| me.book).filter(|_| !had.lines.is_empty()).unwrap_or(first.book);
            if book != first.book {
                return Done::Other("bundle of another book", Ok(()));
            }
            let new: Vec<String> =
                theirs.into_iter().filter(|line| !known.contains(&Hash::of(line.as_bytes()))).collect();
            let hashes: Vec<Hash> = new.iter().map(|line| Hash::of(line.as_bytes())).collect();
            let text: String = new.iter().map(|line| format!("{line}\n")).collect();
            let own = had.me.as_ref().map(|me| me.dev);
            let elsewhere = own.is_some_and(|own| {
                let end = |lines: &mut dyn Iterator<Item = &str>| {
                    let mut book = Book::new(book);
                    lines.for_each(|line| drop(book.take(line)));
                    let fork = book.journal().forks().any(|fork| fork.dev == own);
                    (book.journal().chain(own).map(|chain| (chain.seq, chain.held)), fork)
                };
                end(&mut had.lines.lines()) != end(&mut had.lines.lines().chain(text.lines()))
            });
            let successor = match own {
                Some(dev) if elsewhere => Successor::Renamed { book, dev },
                _ => Successor::Same { book },
            };
            // The keeper reads what it would change.
            let until = ticks.get() + looks;
            std::future::poll_fn(|_| if ticks.get() >= until { Poll::Ready(()) } else { Poll::Pending }).await;
            let intake =
                Intake { lines: &text, photos: &[], people: &[], erased: &[], epoch: had.covered.epoch, successor };
            let from = first.dev();
            let acts = new.len();
            let note = |exchange: &mut Exchange, n| {
                if acts > 0 {
                    let import = crate::Import { n, from, made: String::new(), at_ms: 0, acts, aside: false };
                    exchange.imports.push(import);
                }
            };
            Done::Taken(tab.take_in(&intake, note, |_| {}).await, hashes)
        });
    }

    fn happen(&mut self, chance: &mut Chance) -> Result<(), String> {
        let device = chance.below(self.seats.len() as u64) as usize;
        let here: Vec<usize> = self.pages.iter().filter(|(_, page)| page.device == device).map(|(n, _)| *n).collect();
        match chance.below(24) {
            0..=3 if here.len() < 3 => self.open_page(device),
            4..=6 => {
                let Some(&number) = chance.pick(&here) else { return Ok(()) };
                self.note(format!("page {number} is killed"));
                self.kill(number);
            }
            7..=11 => {
                let Some(&number) = chance.pick(&here) else { return Ok(()) };
                let Some(page) = self.pages.get_mut(&number) else { return Ok(()) };
                page.hidden = !page.hidden;
                let (hidden, tab) = (page.hidden, page.tab.clone());
                self.note(format!("page {number} is {}", if hidden { "hidden" } else { "shown" }));
                if !hidden {
                    self.job(
                        number,
                        "catch up",
                        async move { Done::Other("catch up", tab.catch_up().await.map(drop)) },
                    );
                }
            }
            12 => {
                self.note(format!("device {device}: the browser closes the database"));
                let mut storage = self.seats[device].storage.borrow_mut();
                storage.closed = storage.handle;
            }
            13 => {
                self.note(format!("device {device}: storage does not answer"));
                let mut storage = self.seats[device].storage.borrow_mut();
                storage.stalled = Some(storage.handle);
            }
            14 => {
                let mut storage = self.seats[device].storage.borrow_mut();
                storage.full = !storage.full;
                let full = storage.full;
                drop(storage);
                self.note(format!("device {device}: full: {full}"));
            }
            15 => {
                self.note(format!("device {device}: the clock jumps"));
                let by = chance.below(800 * 86_400_000);
                let mut storage = self.seats[device].storage.borrow_mut();
                storage.wall_ms = START + by;
            }
            16 => {
                self.settle(device)?;
                let bits = self.seats[device].storage.borrow().bits.clone();
                self.note(format!("device {device}: a copy of storage is kept"));
                self.seats[device].older = Some(bits);
            }
            17 => self.restore(device)?,
            18 => self.copy(device, chance)?,
            19 | 20 => self.harm(device, chance)?,
            _ => self.tell(),
        }
        Ok(())
    }

    fn kill(&mut self, number: usize) {
        self.jobs.retain(|job| job.tab != number);
        self.pages.remove(&number);
    }

    fn kill_all(&mut self, device: usize) {
        let here: Vec<usize> = self.pages.iter().filter(|(_, page)| page.device == device).map(|(n, _)| *n).collect();
        here.into_iter().for_each(|number| self.kill(number));
    }

    fn restore(&mut self, device: usize) -> Result<(), String> {
        let Some(older) = self.seats[device].older.take() else { return Ok(()) };
        self.kill_all(device);
        self.note(format!("device {device}: storage goes back to an older state"));
        let before: BTreeSet<Hash> = hashes(&self.seats[device].storage.borrow().bits);
        self.seats[device].storage.borrow_mut().bits = older;
        let after: BTreeSet<Hash> = hashes(&self.seats[device].storage.borrow().bits);
        let seat = &mut self.seats[device];
        seat.lost.extend(before.difference(&after));
        seat.excused = seat.saved.len();
        seat.to_tell = false;
        self.open_page(device);
        Ok(())
    }

    fn copy(&mut self, device: usize, chance: &mut Chance) -> Result<(), String> {
        if self.seats.len() >= 6 {
            return Ok(());
        }
        self.settle(device)?;
        let bits = self.seats[device].storage.borrow().bits.clone();
        let mut seat = Seat::new(Device::new(bits, START, Chance::new(chance.next())));
        (seat.harmed, seat.ever_harmed) = (self.seats[device].harmed, self.seats[device].ever_harmed);
        seat.ever_aside = self.seats[device].ever_aside;
        seat.harmed_twice = self.seats[device].harmed_twice;
        self.seats.push(seat);
        let new = self.seats.len() - 1;
        self.note(format!("device {device} is copied: device {new}"));
        self.open_page(new);
        Ok(())
    }

    fn harm(&mut self, device: usize, chance: &mut Chance) -> Result<(), String> {
        self.settle(device)?;
        let before = hashes(&self.seats[device].storage.borrow().bits);
        let Some((what, of)) = harm::harm(&mut self.seats[device].storage.borrow_mut().bits, chance) else {
            return Ok(());
        };
        self.note(format!("device {device}: harmed: {what}"));
        let after = hashes(&self.seats[device].storage.borrow().bits);
        let seat = &mut self.seats[device];
        if of == Of::Shortcut {
            return Ok(());
        }
        seat.to_tell |= of == Of::Lines && before.difference(&after).next().is_some();
        seat.lost.extend(before.difference(&after));
        seat.harmed_twice |= seat.harmed;
        (seat.harmed, seat.ever_harmed) = (true, true);
        Ok(())
    }

    /// Visible pages hear what other tabs tell.
    fn tell(&mut self) {
        let mut told = Vec::new();
        for (number, page) in &mut self.pages {
            let tellings = self.seats[page.device].storage.borrow().told;
            if !page.hidden && page.heard < tellings {
                page.heard = tellings;
                told.push((*number, page.tab.clone()));
            }
        }
        for (number, tab) in told {
            self.job(number, "catch up", async move { Done::Other("catch up", tab.catch_up().await.map(drop)) });
        }
    }

    /// Everything begun on a device is done.
    fn settle(&mut self, device: usize) -> Result<(), String> {
        let here: BTreeSet<usize> =
            self.pages.iter().filter(|(_, page)| page.device == device).map(|(n, _)| *n).collect();
        self.drain(|job| here.contains(&job.tab))
    }

    fn drain(&mut self, which: impl Fn(&Job) -> bool) -> Result<(), String> {
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

    fn quiet(&mut self) -> Result<(), String> {
        for seat in &self.seats {
            seat.storage.borrow_mut().full = false;
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

    fn compare(&mut self) -> Result<(), String> {
        let mut alike: BTreeMap<String, Digest> = BTreeMap::new();
        for (device, seat) in self.seats.iter_mut().enumerate() {
            let storage = seat.storage.borrow();
            if storage.bits.is_empty() {
                continue;
            }
            let lines = stored_lines(&storage.bits);
            let there = hashes(&storage.bits);
            let set_aside = hashes_of(&storage.bits, |store, key| store == Store::Aside && key.starts_with(HARMED));
            let Some(folded) = fold(&storage.bits, &lines) else {
                if seat.harmed || !self.pages.values().any(|page| page.device == device) {
                    continue;
                }
                return wrong(format!("device {device}: nobody can read who writes there"));
            };
            let digest = folded.journal().digest();
            let set: LineSet = lines.iter().map(|line| LineSet::of(line)).sum();
            let gaps: Vec<Gap> = meta(&storage.bits, GAPS).unwrap_or_default();
            let joined = format!("{set:?} {gaps:?} {:?}", folded.journal().book());
            if *alike.entry(joined).or_insert(digest) != digest {
                return wrong(format!("device {device}: the same lines, another digest"));
            }
            for (reference, hash) in &seat.saved {
                if seat.lost.contains(hash) {
                    continue;
                }
                if !there.contains(hash) {
                    return wrong(format!("device {device}: {reference} was said to be saved and is gone"));
                }
                if set_aside.contains(hash) && !seat.harmed_twice {
                    return wrong(format!("device {device}: {reference} is sound and was set aside as harmed"));
                }
            }
            // Harm that nobody has looked for yet hides what follows on it.
            let unseen = if seat.harmed { seat.saved.len() } else { seat.excused };
            for (reference, hash) in seat.saved.iter().skip(unseen) {
                let aside = !lines.iter().any(|line| Hash::of(line.as_bytes()) == *hash);
                if !aside && !folded.journal().holds(reference.dev, reference.seq, hash) {
                    return wrong(format!("device {device}: {reference} was said to be saved and is not shown"));
                }
            }
            if !seat.ever_harmed {
                // A bundle set aside may come a second time, and both be taken back.
                if !seat.ever_aside && set.count as usize != lines.iter().collect::<BTreeSet<_>>().len() {
                    return wrong(format!("device {device}: a line is stored twice"));
                }
                whole_bundles(&storage.bits).map_err(|why| format!("device {device}: {why}"))?;
            }
            for (number, page) in self.pages.iter().filter(|(_, page)| page.device == device) {
                if seat.harmed {
                    continue;
                }
                if !alike_in_all(&page.tab.book(), &folded) {
                    return wrong(format!("device {device}: page {number} does not show what is stored"));
                }
            }
        }
        Ok(())
    }
}

/// A day in the season.
const START: u64 = 1_780_000_000_000;

impl Seat {
    fn new(device: Device) -> Seat {
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
fn act(tab: &Tab, n: u64, chance: &mut Chance) -> Draft {
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

fn texts(bits: &Bits, store: Store) -> impl Iterator<Item = (&str, &str)> {
    bits.iter().filter(move |((other, _), _)| *other == store).filter_map(|((_, key), value)| match value {
        Value::Text(text) => Some((key.as_str(), text.as_str())),
        Value::Other(_) => None,
    })
}

/// All lines that count: in blocks and rows.
fn stored_lines(bits: &Bits) -> Vec<String> {
    let texts = texts(bits, Store::Blocks).chain(texts(bits, Store::Rows));
    texts.flat_map(|(_, text)| text.lines()).map(str::to_owned).collect()
}

/// Hashes of lines wherever they lie.
fn hashes(bits: &Bits) -> BTreeSet<Hash> {
    hashes_of(bits, |store, _| matches!(store, Store::Rows | Store::Blocks | Store::Aside))
}

fn hashes_of(bits: &Bits, which: impl Fn(Store, &str) -> bool) -> BTreeSet<Hash> {
    let texts = bits.iter().filter(|((store, key), _)| which(*store, key)).filter_map(|(_, value)| match value {
        Value::Text(text) => Some(text),
        Value::Other(_) => None,
    });
    texts.flat_map(|text| text.lines()).map(|line| Hash::of(line.as_bytes())).collect()
}

fn meta<T: serde::de::DeserializeOwned>(bits: &Bits, key: &str) -> Option<T> {
    match bits.get(&(Store::Meta, key.to_owned()))? {
        Value::Text(text) => serde_json::from_str(text).ok(),
        Value::Other(_) => None,
    }
}

/// What all stored lines add up to.
fn fold(bits: &Bits, lines: &[String]) -> Option<Book> {
    let (me, exchange): (Me, Exchange) = (meta(bits, ME)?, meta(bits, EXCHANGE).unwrap_or_default());
    let mut book = Book::new(me.book);
    exchange.joined.iter().for_each(|other| book.join(*other));
    lines.iter().for_each(|line| drop(book.take(line)));
    crate::open::pass_over(&mut book, &meta::<Vec<Gap>>(bits, GAPS).unwrap_or_default());
    Some(book)
}

/// Whether two books show the same: every record, and every value that stands in it.
fn alike_in_all(one: &Book, other: &Book) -> bool {
    let kinds: BTreeSet<&str> = one.journal().kinds().chain(other.journal().kinds()).collect();
    let values = |book: &Book, kind: &str| -> Vec<(String, Vec<(String, serde_json::Value)>)> {
        let fields = |record: &journal::Record| record.fields().map(|(name, v)| (name.to_owned(), v.clone())).collect();
        book.journal().any_records(kind).map(|(id, record)| (id.to_owned(), fields(record))).collect()
    };
    one.journal().digest() == other.journal().digest()
        && kinds.into_iter().all(|kind| values(one, kind) == values(other, kind))
}

/// Each bundle that is known lies in one place with all its lines, and no other does.
fn whole_bundles(bits: &Bits) -> Result<(), String> {
    let exchange: Exchange = meta(bits, EXCHANGE).unwrap_or_default();
    let mut found: BTreeMap<(u32, bool), usize> = BTreeMap::new();
    for (store, aside) in [(Store::Blocks, false), (Store::Aside, true)] {
        for (key, text) in texts(bits, store) {
            if let Some(n) = import_of(key) {
                *found.entry((n, aside)).or_default() += text.lines().count();
            }
        }
    }
    let known: BTreeMap<(u32, bool), usize> = exchange.imports.iter().map(|i| ((i.n, i.aside), i.acts)).collect();
    match found == known {
        true => Ok(()),
        false => wrong(format!("bundles are stored as {found:?} and known as {known:?}")),
    }
}
