//! What a still code says, and what two devices conclude from it.

use journal::bundle::{self, Arrivals, Contents, Heads, Ledger, write};
use journal::{Draft, DraftId, DraftSet, Hash, Id, Identity, Keypair, Tip, Wall, seal};
use light::{
    Frame, Gap, HEADER, Here, MAX_STILL, No, Pace, SIZES, Seen, Sender, Still, Turn, gap, is_same_barn, known, read,
    version,
};
use proptest::prelude::*;
use serde_json::{Map, Value};
use std::collections::BTreeMap;

fn id(n: u8) -> Id {
    Id::mint([n, 1, 2, 3, n])
}

fn still(heads: usize) -> Still {
    let head = |n: usize| (id(n as u8), (1000 - n as u32, Hash([n as u8; 32])));
    Still { by: Some(id(0)), books: vec![id(200)], number: [1, 2, 3, 4], heads: (0..heads).map(head).collect() }
}

#[test]
fn twelve_devices_and_more_fit_one_code() {
    for devices in [0, 1, 12, 20] {
        let still = still(devices);
        let bytes = still.bytes();
        assert!(bytes.len() <= MAX_STILL);
        assert_eq!(read(&bytes), Some(Seen::Still(still)), "{devices} devices");
    }
    // The easiest of the moving codes holds twelve.
    assert!(still(12).bytes().len() <= Pace::Easy.capacity());
}

#[test]
fn of_very_many_devices_those_with_the_most_entries_are_named() {
    let Some(Seen::Still(read)) = read(&still(60).bytes()) else { panic!("a still code") };
    assert_eq!(read.heads.len(), 20);
    assert!(read.heads.values().all(|(seq, _)| *seq > 1000 - 20));
}

#[test]
fn a_later_form_is_told_from_no_code_of_ours() {
    assert_eq!(read(b"CL\x02Sxyz"), Some(Seen::Later));
    assert_eq!(read(b"CL\x01Sxyz"), None);
    assert_eq!(read(b"CL\x01Qxyz"), None);
    assert_eq!(read(b"HTTPS://BARN.EXAMPLE/#/B/7K3QX2M9"), None);
}

#[test]
fn two_shown_at_two_times_are_told_apart() {
    let (one, two) = (still(3), Still { number: [1, 2, 3, 5], ..still(3) });
    assert_ne!(one.stamp(), two.stamp());
}

#[test]
fn one_barn() {
    assert!(is_same_barn(&[id(1)], &[id(1)]));
    assert!(is_same_barn(&[id(1), id(2)], &[id(3), id(2)]));
    assert!(!is_same_barn(&[id(1)], &[id(2)]));
    assert!(is_same_barn(&[], &[id(2)]) && is_same_barn(&[id(1)], &[]));
}

#[test]
fn only_what_was_asked_for_is_taken() {
    let here = Here { by: Some(id(1)), books: vec![id(200)], shown: vec![still(3).stamp()] };
    let heed = |still: Still| here.heed(&Seen::Still(still));
    assert_eq!(heed(still(3)), Ok(()));
    assert_eq!(heed(Still { by: Some(id(1)), ..still(3) }), Err(No::Itself));
    assert_eq!(heed(Still { books: vec![id(201)], ..still(3) }), Err(No::OtherBarn));
    assert_eq!(heed(Still { by: None, books: vec![], ..still(0) }), Ok(()));
    assert_eq!(here.heed(&Seen::Later), Err(No::Later));
    let moving = |book: Id, answers| {
        let frame = Sender::new(vec![1; 40], book, answers, 1, 200).expect("small enough").frame(0);
        here.heed(&Seen::Moving(Frame::read(&frame).expect("a frame")))
    };
    assert_eq!(moving(id(200), still(3).stamp()), Ok(()));
    assert_eq!(moving(id(201), still(3).stamp()), Err(No::OtherBarn));
    // What was shown at another time is not answered now.
    assert_eq!(moving(id(200), Still { number: [0; 4], ..still(3) }.stamp()), Err(No::NotAsked));
    // An empty phone belongs to no barn yet: it takes what answers its own code.
    let empty = Here { by: None, books: vec![], shown: vec![[7; 4]] };
    assert_eq!(empty.heed(&Seen::Still(still(3))), Ok(()));
}

#[test]
fn turns() {
    assert_eq!(Gap { give: 3, get: 5 }.turn(), Turn::Give);
    assert_eq!(Gap { give: 0, get: 5 }.turn(), Turn::Ask);
    assert_eq!(Gap { give: 0, get: 0 }.turn(), Turn::Level);
    assert_eq!(Gap { give: 3, get: 5 }.given(), Turn::Look);
    assert_eq!(Gap { give: 3, get: 0 }.given(), Turn::Level);
}

#[test]
fn how_many_codes_and_how_long() {
    let block = Pace::Usual.capacity() - HEADER;
    assert_eq!(Pace::Usual.codes(1), 1);
    assert_eq!(Pace::Usual.codes(block), 1);
    assert_eq!(Pace::Usual.codes(block + 1), 2);
    for pace in Pace::ALL {
        let sender = Sender::new(vec![0; 76_575], id(1), [0; 4], 1, pace.capacity()).expect("small enough");
        assert_eq!(sender.least(), pace.codes(76_575));
        assert!(sender.frame(0).len() <= pace.capacity());
        assert!(SIZES.iter().any(|(_, holds)| *holds == pace.capacity()));
    }
    assert_eq!(
        [1, 271, 272, MAX_STILL, 1273, 1274].map(version),
        [Some(10), Some(10), Some(15), Some(20), Some(25), None]
    );
    // 641 entries of a season are so many bytes.
    assert_eq!(Pace::Usual.seconds(76_575), 9);
}

/// A device of the barn, with all lines it holds.
struct Device {
    identity: Identity,
    tip: Tip,
    lines: Vec<String>,
}

impl Device {
    fn new(number: u8) -> Device {
        let key = Keypair::from_secret(&[number; 32]).public();
        let identity = Identity { book: id(100), dev: id(number), by: "Keeper".into(), app: "test".into(), key };
        Device { identity, tip: Tip::default(), lines: vec![] }
    }

    fn writes(&mut self, count: u32) {
        for _ in 0..count {
            let fields = Map::from_iter([("text".to_owned(), Value::from("eats well"))]);
            let set = DraftSet { kind: "note".into(), id: DraftId::Known("A1".into()), fields, over: BTreeMap::new() };
            let wall = Wall { ms: 1_780_000_000_000, text: "2026-06-09T21:40+02:00".into() };
            let draft = Draft { act: "Noted".into(), sets: vec![set], ..Draft::default() };
            let sealed = seal(draft, &self.identity, &self.tip, &wall).expect("it seals");
            self.tip = sealed.tip;
            self.lines.push(sealed.line);
        }
    }

    fn ledger(&self) -> Ledger<'_> {
        Ledger::of(id(100), [], self.lines.iter().map(String::as_str))
    }

    /// A bundle of what somebody with these heads lacks.
    fn bundle(&self, theirs: &Heads) -> Vec<u8> {
        let ledger = self.ledger();
        let contents = Contents {
            by: self.identity.dev,
            made: "2026-06-09T21:40+02:00",
            app: "test",
            signer: None,
            signed: &BTreeMap::new(),
            lacks: Some(&known(ledger.fold(), theirs)),
            people: &[],
            photos: &[],
            readme: "",
        };
        write(&ledger, &contents, &mut |_, _| {}).expect("an archive")
    }

    /// Takes a bundle in: how many lines came, and how many of them were new.
    fn take(&mut self, file: &[u8]) -> (u32, u32) {
        let bundle = bundle::read(file, &mut |_, _| {}).expect("a bundle");
        let arrivals = Arrivals::of(&self.ledger(), &bundle, &BTreeMap::new(), false, 1_780_000_000_000);
        let new = arrivals.expect("of this barn").new;
        let counts = (bundle.lines.len() as u32, new.len() as u32);
        self.lines.extend(new);
        counts
    }
}

/// One code each way: each is sent just what it lacks, and the page said how many.
fn evening(one: &mut Device, two: &mut Device) {
    let theirs = one.ledger().heads();
    let said = gap(two.ledger().fold(), &theirs);
    let file = two.bundle(&theirs);
    let (sent, new) = one.take(&file);
    assert_eq!((sent, new), (said.give, said.give), "no line that was there already");
    let theirs = two.ledger().heads();
    let back = gap(one.ledger().fold(), &theirs);
    assert_eq!(back.give, said.get);
    let file = one.bundle(&theirs);
    let (sent, new) = two.take(&file);
    assert_eq!((sent, new), (back.give, back.give), "no line that was there already");
    assert_eq!(one.ledger().fold().digest(), two.ledger().fold().digest());
    assert_eq!(gap(one.ledger().fold(), &two.ledger().heads()), Gap::default());
}

#[test]
fn an_evening_both_ways_and_the_next_ones() {
    let (mut one, mut two, mut new) = (Device::new(1), Device::new(2), Device::new(3));
    one.writes(9);
    evening(&mut one, &mut two);
    one.writes(3);
    two.writes(4);
    evening(&mut one, &mut two);
    evening(&mut two, &mut one);
    one.writes(1);
    two.writes(2);
    evening(&mut two, &mut one);
    // One that has nothing is given all of it, and what it writes then comes back.
    evening(&mut new, &mut two);
    new.writes(5);
    evening(&mut one, &mut new);
    evening(&mut one, &mut two);
    assert_eq!(one.lines.len(), 9 + 3 + 4 + 1 + 2 + 5);
}

/// A phone was copied to another: both wrote on under one name. All of it arrives, and goes whole from then on.
#[test]
fn a_copied_device_hides_nothing() {
    let (mut one, mut two) = (Device::new(1), Device::new(2));
    one.writes(5);
    let mut copy = Device { identity: one.identity.clone(), tip: one.tip, lines: one.lines.clone() };
    one.writes(2);
    let fields = |text: &str| Map::from_iter([("text".to_owned(), Value::from(text))]);
    let set = DraftSet {
        kind: "note".into(),
        id: DraftId::Known("B2".into()),
        fields: fields("lost"),
        over: BTreeMap::new(),
    };
    let wall = Wall { ms: 1_780_000_000_001, text: "2026-06-09T21:40+02:00".into() };
    let draft = Draft { act: "Noted".into(), sets: vec![set], ..Draft::default() };
    let sealed = seal(draft, &copy.identity, &copy.tip, &wall).expect("it seals");
    copy.lines.push(sealed.line);
    for _ in 0..2 {
        for from in [&one, &copy] {
            let file = from.bundle(&two.ledger().heads());
            two.take(&file);
        }
        for to in [&mut one, &mut copy] {
            let file = two.bundle(&to.ledger().heads());
            to.take(&file);
        }
    }
    assert_eq!(two.lines.len(), 8);
    assert_eq!(one.ledger().fold().digest(), two.ledger().fold().digest());
    assert_eq!(copy.ledger().fold().digest(), two.ledger().fold().digest());
}

proptest! {
    #[test]
    fn any_still_code_comes_back(heads in prop::collection::btree_map(any::<[u8; 5]>(), (1..=journal::MAX_SEQ, any::<[u8; 32]>()), 0..12),
                                 by in any::<Option<[u8; 5]>>(), books in prop::collection::vec(any::<[u8; 5]>(), 0..4), number in any::<[u8; 4]>()) {
        let heads: Heads = heads.into_iter().map(|(dev, (seq, hash))| (Id::mint(dev), (seq, Hash(hash)))).collect();
        let still = Still { by: by.map(Id::mint), books: books.into_iter().map(Id::mint).collect(), number, heads };
        let mut bytes = still.bytes();
        prop_assert_eq!(read(&bytes), Some(Seen::Still(still)));
        // One bit harmed, and it is no code of ours.
        let at = usize::from(number[0]) % bytes.len();
        bytes[at] ^= 4;
        prop_assert!(!matches!(read(&bytes), Some(Seen::Still(_))));
    }
}
