//! Single things that go wrong, one at a time: what is told, and how it ends.

use crate::safe::Cheap;
use crate::world::{Size, World};
use journal::{Hash, Keypair};
use share::store::No;
use share::{Event, Notice, Place, Safe, Status, Unfit, Welcome};

const MINUTE: u64 = 60_000;

/// So many devices, open, with nothing done yet.
pub fn barn(devices: u64, seed: u64) -> World {
    let mut world = World::new(seed, Size { devices, acts: 0, steps: 0 });
    for seat in 0..world.seats.len() {
        world.seats[seat].skew = 0;
        world.open(seat);
    }
    world
}

impl World {
    pub fn acts(&mut self, seat: usize, count: u64) {
        for _ in 0..count {
            self.acts += 1;
            let (n, now) = (self.acts, self.now);
            let line = self.seats[seat].act(n, now);
            let hash = Hash::of(line.as_bytes());
            self.known.insert(hash, line);
            self.saved.insert(hash);
        }
        self.changed(seat);
    }

    pub fn wait(&mut self, minutes: u64) {
        self.until(self.now + minutes * MINUTE).expect("nothing of anybody's was written over");
    }

    pub fn status(&self, seat: usize) -> Status {
        self.seats[seat].machine.as_ref().expect("open").status()
    }

    pub fn in_step(&self, seat: usize) -> bool {
        matches!(self.status(seat), Status::InStep { .. })
    }

    pub fn told(&self, seat: usize, what: impl Fn(&Notice) -> bool) -> bool {
        self.seats[seat].machine.as_ref().expect("open").notices().any(what)
    }

    pub fn holds(&self, seat: usize) -> usize {
        self.seats[seat].disk.lines.len()
    }

    pub fn path(&self, part: &str) -> String {
        self.store.names().find(|path| path.contains(part)).expect("it lies there").clone()
    }

    pub fn alike(&self) -> bool {
        self.seats.iter().all(|seat| seat.fold.digest() == self.seats[0].fold.digest())
    }
}

/// Somebody joins who has nothing.
fn newcomer(world: &mut World) {
    let disk = crate::device::Disk::new(&mut world.chance);
    world.seats.push(crate::device::Seat::new(disk, 1, crate::chance::Chance::new(9)));
    world.open(world.seats.len() - 1);
}

#[test]
fn acts_travel_within_seconds_and_a_minute() {
    let mut world = barn(3, 1);
    world.wait(1);
    world.acts(0, 3);
    world.until(world.now + 8_000).expect("calm");
    assert!(world.store.names().any(|path| path.contains("/lines/")), "sent within seconds");
    assert_eq!(world.holds(1), 0);
    world.wait(1);
    assert_eq!([world.holds(1), world.holds(2)], [3, 3]);
    assert!((0..3).all(|seat| world.in_step(seat)));
    assert!((0..3).all(|seat| !world.told(seat, |_| true)), "nothing to be told");
}

#[test]
fn the_line_tells_of_the_network_and_of_the_password() {
    let mut world = barn(2, 2);
    world.acts(0, 2);
    world.wait(2);
    world.seats[0].online = false;
    world.tell(0, Event::Network(false));
    let since_ms = world.now;
    world.acts(0, 7);
    world.wait(30);
    assert_eq!(world.status(0), Status::Waiting { no: No::Network, since_ms, to_send: 7 });
    world.seats[0].online = true;
    world.tell(0, Event::Network(true));
    world.wait(1);
    assert!(world.in_step(0));
    world.store.denies = true;
    let before = world.store.requests;
    world.acts(0, 1);
    world.wait(60);
    assert!(matches!(world.status(0), Status::Waiting { no: No::Access, to_send: 1, .. }), "{:?}", world.status(0));
    assert!(world.store.requests - before < 40, "who is refused does not knock on and on");
    world.store.denies = false;
    (0..2).for_each(|seat| world.tell(seat, Event::ByHand));
    world.wait(2);
    assert!(world.in_step(0) && world.in_step(1) && world.alike());
}

#[test]
fn a_full_store_is_told_and_nothing_is_lost() {
    let mut world = barn(2, 3);
    world.store.full = true;
    world.acts(0, 4);
    world.wait(20);
    assert!(matches!(world.status(0), Status::Waiting { no: No::Full, to_send: 4, .. }));
    world.store.full = false;
    world.wait(40);
    assert!(world.in_step(0) && world.alike() && world.holds(1) == 4);
}

#[test]
fn a_store_set_back_is_told_and_filled_again() {
    let mut world = barn(2, 4);
    world.acts(0, 3);
    world.wait(3);
    world.store.note_yesterday();
    world.acts(0, 4);
    world.acts(1, 2);
    world.wait(3);
    assert!(world.alike());
    world.store.roll_back();
    world.wait(10);
    assert!(world.told(1, |notice| matches!(notice, Notice::WentBack { .. } | Notice::Silent { .. })));
    // Who comes new finds all of it.
    newcomer(&mut world);
    world.wait(10);
    assert_eq!(world.holds(2), 9);
    assert!(world.alike());
}

#[test]
fn what_cannot_be_stored_is_fetched_again_after_a_pause() {
    let mut world = barn(2, 3);
    world.seats[1].full = true;
    world.acts(0, 4);
    world.wait(2);
    let before = world.store.requests;
    world.wait(30);
    assert!(
        world.store.requests - before < 200,
        "{}: a full device fetches and fetches",
        world.store.requests - before
    );
    assert!(!world.in_step(1));
    world.seats[1].full = false;
    world.wait(3);
    assert!(world.in_step(1) && world.alike() && world.holds(1) == 4);
}

#[test]
fn a_new_key_is_told_to_who_has_the_old_one() {
    let mut world = barn(2, 4);
    world.acts(0, 1);
    world.wait(3);
    assert!(!world.told(1, |notice| *notice == Notice::Moved));
    let place = Place::of(crate::device::book(), &crate::safe::Cheap(world.seats[1].key));
    let there = world.store.objects.values().next().cloned().expect("an object");
    world.store.objects.insert(place.moved(), there);
    world.wait(3);
    assert!(world.told(1, |notice| *notice == Notice::Moved));
    // Who did not hear goes on as before.
    world.acts(0, 1);
    world.wait(3);
    assert!(world.alike());
}

#[test]
fn harm_is_told_and_mended_by_who_has_the_lines() {
    type Harm = fn(&mut World, &str);
    let harms: [(Harm, Option<Unfit>); 4] = [
        (|world, path| drop(world.store.objects.remove(path)), None),
        (|world, path| world.store.objects.get_mut(path).expect("there").0 = vec![7; 99], Some(Unfit::Locked)),
        (|world, path| world.store.objects.get_mut(path).expect("there").0.truncate(30), Some(Unfit::Harmed)),
        (
            |world, path| {
                let other = world.path("00000004-");
                let other = world.store.objects[&other].clone();
                world.store.objects.insert(path.to_owned(), other);
            },
            Some(Unfit::Swapped),
        ),
    ];
    for (harm, expected) in harms {
        let mut world = barn(2, 5);
        world.seats[1].kill();
        world.acts(0, 3);
        world.wait(1);
        world.acts(0, 2);
        world.wait(1);
        let path = world.path("00000001-");
        harm(&mut world, &path);
        // Nobody is at work by then: harm is mended at the pace of an idle barn.
        world.wait(3);
        world.open(1);
        world.until(world.now + MINUTE / 3).expect("nothing of anybody's was written over");
        assert!(!world.in_step(1), "something is lacking: {:?}", world.status(1));
        let told = |notice: &Notice| *notice == Notice::Withheld { path: path.clone(), why: expected.clone() };
        assert!(world.told(1, told), "{expected:?}");
        assert_eq!(world.seats[1].fold.records("animal").count(), 0, "nothing of it is shown before it is whole");
        world.wait(60);
        assert!(world.alike() && world.in_step(1) && world.holds(1) == 5, "{expected:?}: {:?}", world.status(1));
    }
}

#[test]
fn a_copied_device_goes_on_under_another_name_and_nothing_is_lost() {
    let mut world = barn(2, 6);
    world.acts(0, 5);
    world.wait(3);
    let mut copy = crate::device::Seat::new(world.seats[0].disk.clone(), 1, crate::chance::Chance::new(5));
    copy.skew = 0;
    let name = copy.disk.dev;
    world.seats.push(copy);
    world.open(2);
    world.wait(2);
    // Both write under one name, before they have seen each other.
    world.acts(0, 2);
    world.acts(2, 3);
    world.wait(20);
    assert!(world.seats[0].disk.dev != name || world.seats[2].disk.dev != name);
    assert!(world.seats[0].disk.dev != world.seats[2].disk.dev);
    assert!(world.alike() && world.holds(1) == 10);
    assert_eq!(world.seats[1].fold.forks().count(), 1, "and the fork is shown");
}

#[test]
fn a_restored_device_writes_over_nothing_of_its_newer_self() {
    let mut world = barn(2, 7);
    world.acts(0, 5);
    world.wait(3);
    let older = world.seats[0].disk.clone();
    world.acts(0, 5);
    world.wait(3);
    let before: Vec<String> = world.store.names().filter(|path| path.contains("/lines/")).cloned().collect();
    world.seats[0].kill();
    world.seats[0].disk = older;
    world.seats[0].fold = world.seats[0].disk.fold();
    world.acts(0, 1);
    world.open(0);
    world.wait(20);
    assert!(before.iter().all(|path| world.store.objects.contains_key(path)));
    assert!(world.alike());
    assert_eq!([world.holds(0), world.holds(1)], [11, 11]);
}

#[test]
fn a_lost_phone_reads_nothing_new() {
    let mut world = barn(3, 8);
    world.acts(0, 3);
    world.wait(3);
    world.seats[2].kill();
    world.seats[2].lost = true;
    world.key = 2;
    (0..2).for_each(|seat| world.new_key(seat));
    world.acts(1, 2);
    world.wait(10);
    assert!(world.in_step(0) && world.in_step(1));
    let old = Cheap(1);
    let folder = Place::of(crate::device::book(), &Cheap(2)).folder().to_owned();
    let new: Vec<_> = world.store.objects.iter().filter(|(path, _)| path.starts_with(&folder)).collect();
    assert!(new.len() >= 5);
    assert!(new.iter().all(|(_, (sealed, _))| old.open(sealed) == Err(Unfit::Locked)));
    let machine = world.seats[0].machine.as_ref().expect("open");
    assert_eq!(machine.welcome(), Welcome::Fits);
}

#[test]
fn nobody_speaks_for_another_device() {
    let mut world = barn(2, 9);
    world.acts(0, 3);
    world.wait(3);
    assert!(world.alike());
    // The other device's key, and so a signature that is none of the first one's.
    let path = world.path(&format!("heads/{}", world.seats[0].disk.dev));
    let safe = Cheap(1);
    let plain = safe.open(&world.store.objects[&path].0).expect("ours");
    let mut text = String::new();
    std::io::Read::read_to_string(&mut flate2::read::GzDecoder::new(plain.as_slice()), &mut text).expect("gzip");
    let (own, other) = (world.seats[0].disk.keypair().public(), Keypair::from_secret(&[9; 32]));
    let words = text.lines().next().expect("words").replace(&own.to_string(), &other.public().to_string());
    let words = words.replace("\"turn\":1", "\"turn\":9");
    let signed = format!("{words}\n{}\n", other.sign_text(&share::Head::message(&words)));
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    std::io::Write::write_all(&mut packer, signed.as_bytes()).expect("memory");
    let sealed = safe.close(&packer.finish().expect("memory")).expect("closed");
    world.store.objects.insert(path.clone(), (sealed, 1_000));
    world.wait(3);
    assert!(world.told(1, |notice| *notice == Notice::Unfit { path: path.clone(), why: Unfit::Forged }));
    world.wait(10);
    assert!(world.in_step(0) && world.in_step(1), "its owner has said it again");
}

#[test]
fn small_pieces_are_packed() {
    for deletes in [false, true] {
        let mut world = World::new(10, Size { devices: 2, acts: 0, steps: 0 });
        world.deletes = deletes;
        (0..2).for_each(|seat| world.open(seat));
        for _ in 0..150 {
            world.acts(0, 1);
            world.wait(1);
        }
        world.wait(10);
        assert!(world.alike() && world.holds(1) == 150);
        let pieces = world.store.names().filter(|path| path.contains("/lines/")).count();
        // Two packs of 64 lines, and 22 alone.
        assert_eq!(pieces, if deletes { 24 } else { 152 });
        // One that comes late reads the packs.
        let before = world.store.requests;
        let disk = crate::device::Disk::new(&mut world.chance);
        world.seats.push(crate::device::Seat::new(disk, 1, crate::chance::Chance::new(3)));
        world.open(2);
        world.until(world.now + 20_000).expect("calm");
        assert_eq!(world.holds(2), 150);
        let asked = world.store.requests - before;
        assert!(asked < 40, "{asked} requests");
    }
}

#[test]
fn the_first_device_puts_there_at_once_what_it_has_of_others() {
    let mut world = barn(2, 12);
    (0..2).for_each(|seat| world.seats[seat].kill());
    world.acts(1, 4);
    let lines: Vec<_> = world.seats[1].disk.lines.values().map(|(line, _)| line.clone()).collect();
    lines.into_iter().for_each(|line| world.seats[0].add(line));
    world.store.objects.clear();
    world.seats[0].disk.kept = None;
    world.open(0);
    world.wait(1);
    assert!(world.in_step(0), "{:?}", world.status(0));
    assert!(world.store.names().any(|name| name.contains("/lines/")));
    // Who comes empty has all of it with the first look.
    newcomer(&mut world);
    world.wait(1);
    assert_eq!(world.holds(2), 4);
}

#[test]
fn what_came_by_hand_of_a_device_without_the_store_travels_on() {
    let mut world = barn(3, 11);
    world.seats[2].kill();
    world.acts(0, 2);
    // Somebody else is there who could put it there.
    world.acts(1, 1);
    world.acts(2, 4);
    world.wait(3);
    let lines: Vec<_> = world.seats[2].disk.lines.values().map(|(line, _)| line.clone()).collect();
    lines.into_iter().for_each(|line| world.seats[0].add(line));
    world.changed(0);
    world.wait(1);
    assert_eq!(world.holds(1), 3, "it is left to that device for a while");
    world.wait(12);
    assert_eq!(world.holds(1), 7);
}
