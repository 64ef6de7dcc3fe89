//! Devices with the barn's real key, through a real store. Time is played: nobody waits for a minute to pass.

use crate::chance::Chance;
use crate::client::{Ask as _, Disk};
use crate::device::{self, Here, Seat};
use journal::Hash;
use journal::bundle::{Contents, Ledger, write};
use share::store::Verb;
use share::{Ask, Asked, BarnKey, Event, Machine, Reply, Safe, Setup, Status};
use std::collections::{BTreeMap, VecDeque};
use std::io::{Read, Write};
use std::path::Path;
use std::process::{Command, Stdio};
use std::rc::Rc;

struct Barn<'a, S> {
    store: &'a S,
    key: BarnKey,
    seats: Vec<Seat>,
    known: BTreeMap<Hash, Rc<str>>,
    /// Ahead of the machine's clock, in milliseconds: requests are signed by the machine's.
    ahead: u64,
    acts: u64,
    requests: u64,
}

impl<'a, S: crate::client::Ask> Barn<'a, S> {
    fn new(store: &'a S, devices: u64, seed: u64) -> Barn<'a, S> {
        let mut chance = Chance::new(seed);
        let seats = (0..devices).map(|_| {
            let disk = device::Disk::new(&mut chance);
            Seat { skew: 0, ..Seat::new(disk, 0, Chance::new(chance.next())) }
        });
        let seats = seats.collect();
        Barn { store, key: BarnKey::fresh(), seats, known: BTreeMap::new(), ahead: 0, acts: 0, requests: 0 }
    }

    fn now(&self) -> u64 {
        crate::client::now_ms() + self.ahead
    }

    fn acts(&mut self, seat: usize, count: u64) {
        for _ in 0..count {
            self.acts += 1;
            let (n, now) = (self.acts, self.now());
            self.seats[seat].act(n, now);
        }
    }

    fn open(&mut self, seat: usize) -> VecDeque<Asked> {
        let at = &mut self.seats[seat];
        let setup = Setup {
            book: device::book(),
            joined: Vec::new(),
            writes_in: device::book(),
            dev: at.disk.dev,
            key: at.disk.keypair().public(),
            app: "test".to_owned(),
            deletes: true,
        };
        at.machine = Some(Machine::new(setup, Rc::new(self.key.clone()), at.disk.kept.as_deref()));
        let held = at.held();
        self.tell(seat, Event::Opened(held))
    }

    fn tell(&mut self, seat: usize, event: Event) -> VecDeque<Asked> {
        let now_ms = self.now();
        let at = &mut self.seats[seat];
        let machine = at.machine.as_mut().expect("an open device");
        machine.hear(event, &mut Here { now_ms, chance: &mut at.chance }).into()
    }

    /// Answers everything, and lets so much time pass; ends the device after `most` requests to the store. Says whether it
    /// got to the end.
    fn runs(&mut self, seat: usize, mut asked: VecDeque<Asked>, ms: u64, mut most: u64) -> bool {
        let end = self.now() + ms;
        loop {
            while let Some(Asked { id, ask }) = asked.pop_front() {
                let reply = match ask {
                    Ask::Keep(text) => {
                        self.seats[seat].disk.kept = Some(text);
                        continue;
                    }
                    Ask::Store(verb) => {
                        if most == 0 {
                            self.seats[seat].machine = None;
                            return false;
                        }
                        most -= 1;
                        self.requests += 1;
                        Reply::Store(self.store.ask(verb))
                    }
                    ask => self.does(seat, ask),
                };
                asked.extend(self.tell(seat, Event::Answer { id, reply }));
            }
            let wake = self.seats[seat].machine.as_ref().and_then(Machine::wake);
            match wake.filter(|wake| *wake <= end) {
                Some(wake) => {
                    self.ahead += wake.saturating_sub(self.now());
                    asked = self.tell(seat, Event::Tick);
                }
                None => return true,
            }
        }
    }

    fn does(&mut self, seat: usize, ask: Ask) -> Reply {
        let at = &mut self.seats[seat];
        match ask {
            Ask::Lines { to, after, most } => Reply::Lines(at.lines(to, &after, most)),
            Ask::Holds(ends) => {
                Reply::Holds(ends.iter().map(|end| at.fold.holds(end.dev, end.seq, &end.hash)).collect())
            }
            Ask::Sign(texts) => Reply::Signed(texts.iter().map(|text| at.disk.keypair().sign_text(text)).collect()),
            Ask::TakeIn(bundle) => {
                let elsewhere = at.take_in(&bundle, true, &mut self.known).expect("as good as a file");
                assert!(!elsewhere, "nobody was copied");
                Reply::TakenIn(at.held())
            }
            other => panic!("{other:?}"),
        }
    }

    fn in_step(&self, seat: usize) -> bool {
        let machine = self.seats[seat].machine.as_ref().expect("an open device");
        matches!(machine.status(), Status::InStep { .. })
    }
}

pub fn come_to_the_same(store: &impl crate::client::Ask) {
    let mut barn = Barn::new(store, 3, 11);
    barn.acts(0, 70);
    barn.acts(1, 5);
    // Each in turn, twice: what one puts there the next finds.
    for round in 0..2 {
        for seat in 0..3 {
            barn.acts(seat, round * 2);
            let asked = barn.open(seat);
            assert!(barn.runs(seat, asked, 10_000, 10_000));
            assert!(barn.in_step(seat), "{:?}", barn.seats[seat].machine.as_ref().map(Machine::status));
        }
    }
    for seat in 0..3 {
        assert!({
            let asked = barn.tell(seat, Event::ByHand);
            barn.runs(seat, asked, 10_000, 10_000)
        });
    }
    let digests: Vec<_> = barn.seats.iter().map(|seat| seat.fold.digest()).collect();
    assert!(digests.iter().all(|digest| *digest == digests[0]));
    assert!(barn.seats.iter().all(|seat| seat.disk.lines.len() as u64 == barn.acts));
    // What the lines came with vouches for them, so a stranger would be noticed.
    assert!(barn.seats[2].disk.signed.len() >= 2, "ends signed by the others");
    println!("{} acts, {} requests", barn.acts, barn.requests);
}

/// Ended after each request in turn, sending and fetching.
pub fn ended_anywhere(store: &impl crate::client::Ask) {
    let mut barn = Barn::new(store, 2, 12);
    for most in 0..20 {
        barn.acts(0, 3);
        let asked = barn.open(0);
        barn.runs(0, asked, 10_000, most);
        let asked = barn.open(1);
        barn.runs(1, asked, 10_000, most);
    }
    for seat in [0, 1, 0] {
        let asked = barn.open(seat);
        assert!(barn.runs(seat, asked, 20_000, 10_000));
        assert!(barn.in_step(seat));
    }
    assert_eq!(barn.seats[0].fold.digest(), barn.seats[1].fold.digest());
    assert_eq!(barn.seats[1].disk.lines.len(), 60);
}

/// What it costs, counted: requests for an act and for joining, and bytes beside those of a bundle.
pub fn what_it_costs(store: &Disk) {
    let mut barn = Barn::new(store, 2, 14);
    barn.acts(0, 2_000);
    let asked = barn.open(0);
    assert!(barn.runs(0, asked, 20_000, 1_000));
    let mut most = 0;
    for _ in 0..10 {
        let before = barn.requests;
        barn.acts(0, 1);
        let held = barn.seats[0].held();
        let asked = barn.tell(0, Event::Changed(held));
        assert!(barn.runs(0, asked, 5_000, 1_000));
        most = most.max(barn.requests - before);
    }
    let before = barn.requests;
    let asked = barn.open(1);
    assert!(barn.runs(1, asked, 5_000, 1_000) && barn.in_step(1));
    let joining = barn.requests - before;
    let lines = barn.seats[0].disk.lines.values().map(|(line, _)| &**line);
    let ledger = Ledger::of(device::book(), [], lines);
    let contents = Contents {
        by: barn.seats[0].disk.dev,
        made: device::WALL,
        app: "test",
        signer: Some(&barn.seats[0].disk.keypair()),
        signed: &BTreeMap::new(),
        lacks: None,
        people: &[],
        photos: &[],
        readme: "",
    };
    let bundle = write(&ledger, &contents, &mut |_, _| {}).expect("a bundle").len();
    let bytes = bytes_under(&store.root);
    println!(
        "{} acts: a bundle of {bundle} bytes, {bytes} in the store; at most {most} requests an act, {joining} to join",
        barn.acts
    );
    // The design's bound is 1.3 for bytes.
    assert!(bytes * 10 <= bundle * 13 && most <= 5 && joining <= 20, "{bytes} {bundle} {most} {joining}");
}

fn bytes_under(folder: &Path) -> usize {
    let entries = std::fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry").path());
    entries.map(|path| if path.is_dir() { bytes_under(&path) } else { std::fs::read(path).expect("bytes").len() }).sum()
}

/// By `age -d -i KEY`, then unpacked: the very lines.
pub fn another_age_opens(store: &Disk) {
    let mut barn = Barn::new(store, 1, 13);
    barn.acts(0, 5);
    let asked = barn.open(0);
    assert!(barn.runs(0, asked, 10_000, 1_000));
    let key = store.root.join("key.txt");
    std::fs::write(&key, barn.key.secret()).expect("a key file");
    let place = share::Place::of(device::book(), &barn.key);
    let dev = barn.seats[0].disk.dev;
    let folder = store.root.join(place.folder()).join("lines").join(dev.to_string());
    let files: Vec<_> = std::fs::read_dir(folder).expect("lines").map(|entry| entry.expect("a file").path()).collect();
    assert_eq!(files.len(), 1);
    let lines: String = barn.seats[0].disk.lines.values().map(|(line, _)| format!("{line}\n")).collect();
    assert_eq!(opened(&key, &std::fs::read(&files[0]).expect("bytes")), lines);
    let head = opened(&key, &std::fs::read(store.root.join(place.head(dev))).expect("bytes"));
    assert!(head.starts_with("{\"format\":\"candlemark-head\"") && head.lines().count() == 2, "{head}");
    assert!(opened(&key, &std::fs::read(store.root.join(place.hello())).expect("bytes")).contains("candlemark-share"));
    // And the other way round: what another age closed for the key is opened here.
    let sealed = age(&["-r", &recipient(&key)], b"grey kettle");
    assert_eq!(barn.key.open(&sealed).as_deref(), Ok(b"grey kettle".as_slice()));
    // Another key opens none of it.
    assert!(BarnKey::fresh().open(&std::fs::read(&files[0]).expect("bytes")).is_err());
    assert!(
        matches!(store.ask(Verb::List { folder: place.heads() }), share::store::Answer::Listed(found) if found.len() == 1)
    );
}

fn opened(key: &Path, sealed: &[u8]) -> String {
    let packed = age(&["-d", "-i", key.to_str().expect("a path")], sealed);
    let mut text = String::new();
    flate2::read::GzDecoder::new(packed.as_slice()).read_to_string(&mut text).expect("gzip");
    text
}

fn recipient(key: &Path) -> String {
    let said = Command::new("age-keygen").arg("-y").arg(key).output().expect("age-keygen");
    String::from_utf8(said.stdout).expect("text").trim().to_owned()
}

fn age(args: &[&str], input: &[u8]) -> Vec<u8> {
    let mut child = Command::new("age").args(args).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().expect("age");
    child.stdin.take().expect("a pipe").write_all(input).expect("written");
    let said = child.wait_with_output().expect("age");
    assert!(said.status.success());
    said.stdout
}
