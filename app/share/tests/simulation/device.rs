//! One simulated device: its records, its name, and its machine while the app is open.

use crate::chance::Chance;
use crate::safe::Cheap;
use journal::bundle::{Arrivals, Bundle, Ledger, Signed};
use journal::{DeviceId, Draft, Entry, Fold, Hash, Id, Identity, Keypair, Ref, Tip, Wall, seal};
use serde_json::{Map, json};
use share::{Around, Held, Machine, Setup};
use std::collections::BTreeMap;
use std::rc::Rc;

pub const WALL: &str = "2026-06-09T21:40+02:00";

/// What a device keeps on its disk: gone back as a whole when it is restored.
#[derive(Clone)]
pub struct Disk {
    pub lines: BTreeMap<Ref, (Rc<str>, Option<Hash>)>,
    pub secret: [u8; 32],
    pub dev: DeviceId,
    pub tip: Tip,
    pub continues: Option<Ref>,
    pub signed: BTreeMap<DeviceId, Signed>,
    pub kept: Option<String>,
}

pub struct Seat {
    pub disk: Disk,
    pub fold: Fold,
    pub machine: Option<Machine>,
    /// Counts machines: what was asked by an earlier one is answered to nobody.
    pub epoch: u64,
    pub key: u64,
    pub online: bool,
    /// Nothing that arrives can be stored.
    pub full: bool,
    /// Thrown away, stolen, or left in a drawer for ever.
    pub lost: bool,
    /// Milliseconds that its clock is off.
    pub skew: i64,
    pub chance: Chance,
    pub older: Option<Disk>,
    pub next_tick: Option<u64>,
}

/// A device's clock and randomness.
pub struct Here<'a> {
    pub now_ms: u64,
    pub chance: &'a mut Chance,
}

impl Around for Here<'_> {
    fn now_ms(&self) -> u64 {
        self.now_ms
    }

    fn wall(&self) -> String {
        WALL.to_owned()
    }

    fn random(&mut self) -> u64 {
        self.chance.next()
    }
}

pub fn book() -> Id {
    Id::mint(*b"barn!")
}

fn secret(chance: &mut Chance) -> [u8; 32] {
    let parts = [chance.next(), chance.next(), chance.next(), chance.next()];
    std::array::from_fn(|n| parts[n / 8].to_be_bytes()[n % 8])
}

fn name(chance: &mut Chance) -> DeviceId {
    let [a, b, c, d, e, ..] = chance.next().to_be_bytes();
    Id::mint([a, b, c, d, e])
}

impl Disk {
    pub fn new(chance: &mut Chance) -> Disk {
        Disk {
            lines: BTreeMap::new(),
            secret: secret(chance),
            dev: name(chance),
            tip: Tip::default(),
            continues: None,
            signed: BTreeMap::new(),
            kept: None,
        }
    }

    pub fn fold(&self) -> Fold {
        let mut fold = Fold::new(book());
        self.lines.values().for_each(|(line, _)| drop(fold.take(line)));
        fold
    }

    pub fn keypair(&self) -> Keypair {
        Keypair::from_secret(&self.secret)
    }
}

impl Seat {
    pub fn new(disk: Disk, key: u64, mut chance: Chance) -> Seat {
        let skew = if chance.below(5) == 0 { chance.below(4_000_000_000) as i64 - 2_000_000_000 } else { 0 };
        Seat {
            fold: disk.fold(),
            disk,
            machine: None,
            epoch: 0,
            key,
            online: true,
            full: false,
            lost: false,
            skew,
            chance,
            older: None,
            next_tick: None,
        }
    }

    pub fn clock(&self, now: u64) -> u64 {
        now.saturating_add_signed(self.skew)
    }

    pub fn held(&self) -> Held {
        Held::of(&self.fold, &self.disk.signed)
    }

    pub fn start(&mut self, deletes: bool) {
        self.epoch += 1;
        let setup = Setup {
            book: book(),
            joined: Vec::new(),
            writes_in: book(),
            dev: self.disk.dev,
            key: self.disk.keypair().public(),
            app: "test".to_owned(),
            deletes,
        };
        self.machine = Some(Machine::new(setup, Rc::new(Cheap(self.key)), self.disk.kept.as_deref()));
    }

    pub fn kill(&mut self) {
        (self.machine, self.next_tick) = (None, None);
        self.epoch += 1;
    }

    pub fn add(&mut self, line: Rc<str>) {
        let Ok(entry) = Entry::read(&line) else { panic!("a line that is none") };
        self.disk.lines.insert(entry.reference, (line, entry.prev));
        self.fold.take_entry(entry).expect("of this book");
    }

    /// One more act, of a record that others may write as well.
    pub fn act(&mut self, n: u64, now: u64) -> Rc<str> {
        let key = self.disk.keypair();
        let identity = Identity {
            book: book(),
            dev: self.disk.dev,
            by: "Keeper".to_owned(),
            app: "test".to_owned(),
            key: key.public(),
        };
        let wall = Wall { ms: self.clock(now), text: WALL.to_owned() };
        let id = format!("A{}", self.chance.below(40));
        let fields = Map::from_iter([("name".to_owned(), json!(format!("name {n}")))]);
        let sets = vec![self.fold.set("animal", &id, fields)];
        let continues = if self.disk.tip.seq == 0 { self.disk.continues } else { None };
        let draft = Draft { act: "Noted".to_owned(), sets, continues, ..Draft::default() };
        let sealed = seal(draft, &identity, &self.disk.tip, &wall).expect("it seals");
        self.disk.tip = sealed.tip;
        let line: Rc<str> = sealed.line.into();
        self.add(line.clone());
        line
    }

    /// Goes on under another name.
    pub fn rename(&mut self) {
        let chain = self.fold.chain(self.disk.dev);
        let end = chain.and_then(|chain| Some(Ref { dev: chain.dev, seq: chain.seq, hash: chain.hash? }));
        self.disk.continues = end.or(self.disk.continues);
        self.disk.secret = secret(&mut self.chance);
        self.disk.dev = name(&mut self.chance);
        self.disk.tip = Tip::default();
    }

    /// At most `most` lines of the branch that ends with `to`, after the newest of `after`.
    pub fn lines(&self, to: Ref, after: &[Ref], most: usize) -> Option<Vec<String>> {
        let mut lines = Vec::new();
        let mut at = Some(to);
        while let Some(reference) = at.filter(|at| !after.contains(at)) {
            let (line, prev) = self.disk.lines.get(&reference)?;
            lines.push(line);
            at = prev.map(|hash| Ref { dev: to.dev, seq: reference.seq - 1, hash });
        }
        Some(lines.into_iter().rev().take(most).map(|line| line.to_string()).collect())
    }

    /// As the app takes a bundle in; says whether its own name is used elsewhere. `thorough`: by all that a file goes
    /// through, which reads every line there is.
    pub fn take_in(
        &mut self,
        bundle: &Bundle,
        thorough: bool,
        known: &mut BTreeMap<Hash, Rc<str>>,
    ) -> Result<bool, String> {
        let own = self.disk.dev;
        let end = |fold: &Fold| fold.chain(own).map_or((0, 0), |chain| (chain.seq, chain.held));
        let (before, forked) = (end(&self.fold), self.fold.forks().any(|fork| fork.dev == own));
        let mut digest = None;
        if thorough {
            let lines = self.disk.lines.values().map(|(line, _)| &**line);
            let mine = Ledger::of(book(), [], lines);
            let arrivals = Arrivals::of(&mine, bundle, &self.disk.signed, false, 0).map_err(|why| why.to_string())?;
            self.disk.signed = arrivals.signed;
            digest = Some(arrivals.after_digest);
        }
        for line in &bundle.lines {
            let line = known.entry(Hash::of(line.as_bytes())).or_insert_with(|| line.as_str().into()).clone();
            self.add(line);
        }
        if digest.is_some_and(|digest| digest != self.fold.digest()) {
            return Err("the file's way and the short way differ".to_owned());
        }
        Ok(end(&self.fold) != before || (!forked && self.fold.forks().any(|fork| fork.dev == own)))
    }
}
