//! Devices that only ever exchange bundles: late, twice, cut off, in any order. They end up with the same records,
//! and what a preview says is what happens.

mod world;

use journal::bundle::{Arrivals, BadBundle, Bundle, Contents, Heads, Ledger, Person, Signed, Unvouched, read, write};
use journal::{ChainHead, DeviceId, Draft, Fold, Hash, Id, Keypair, Ref, SignedHead, Signs};
use proptest::prelude::*;
use proptest::test_runner::{TestCaseError, TestRunner};
use serde_json::json;
use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet, HashSet};
use world::*;

const MADE: &str = "2026-06-09T21:40+02:00";

fn quiet(_: usize, _: usize) {}

fn ledger(device: &Device) -> Ledger<'_> {
    Ledger::of(book(), [], device.lines.iter().map(String::as_str))
}

/// What else a device keeps for exchanging bundles.
#[derive(Clone, Default)]
struct Desk {
    signed: BTreeMap<DeviceId, Signed>,
    /// What each other device last told.
    heads: BTreeMap<DeviceId, Heads>,
}

fn bundle_of(device: &Device, desk: &Desk, signer: Option<&dyn Signs>, lacks: Option<&Heads>) -> Vec<u8> {
    let contents = Contents {
        by: device.identity.dev,
        made: MADE,
        app: "0.1.0",
        signer,
        signed: &desk.signed,
        lacks,
        people: &[],
        photos: &[],
        readme: "Lines.",
    };
    write(&ledger(device), &contents, &mut quiet).expect("an archive")
}

fn opened(bytes: &[u8]) -> Bundle {
    read(bytes, &mut quiet).expect("a bundle just made is whole")
}

/// Takes a bundle in as the app does, and checks the preview against what came of it.
fn take(device: &mut Device, desk: &mut Desk, bytes: &[u8]) -> Arrivals {
    let bundle = opened(bytes);
    let arrivals = Arrivals::of(&ledger(device), &bundle, &desk.signed, false, device.wall).expect("the same book");
    assert_eq!(arrivals.new.len() + arrivals.known, bundle.lines.len());
    assert_eq!(arrivals.before_digest, device.fold.digest());
    let before: HashSet<String> = device.lines.iter().cloned().collect();
    arrivals.new.iter().for_each(|line| assert!(!before.contains(line), "new means new"));
    arrivals.new.iter().for_each(|line| device.receive(line));
    assert_eq!(view(&device.fold), view(&arrivals.after));
    assert_eq!(device.fold.digest(), arrivals.after_digest);
    let held: u32 = device.fold.missing().map(|chain| chain.missing).sum();
    assert_eq!(held, arrivals.missing.iter().map(|(_, missing)| missing).sum::<u32>());
    desk.signed = arrivals.signed.clone();
    let told = bundle.manifest.devices.iter().filter_map(|(dev, device)| Some((*dev, (device.count, device.head?))));
    desk.heads.insert(bundle.manifest.by, told.collect());
    arrivals
}

/// A bundle on its way.
#[derive(Clone)]
struct Post {
    to: usize,
    bytes: Vec<u8>,
}

/// Lives through the steps; a `Sync` is a bundle, which may arrive at once, later, twice, or cut off.
fn live_by_bundles(steps: &[Step], partial: &Cell<usize>, cut: &Cell<usize>) -> Vec<Device> {
    let mut devices = begin();
    let mut desks: Vec<Desk> = vec![Desk::default(); DEVICES];
    let mut post: Vec<Post> = Vec::new();
    for step in steps {
        let Step::Sync { from, to, share } = *step else {
            walk(&mut devices, step);
            continue;
        };
        if let Step::Sync { .. } = step
            && from == to
        {
            continue;
        }
        let lacks = desks[from].heads.get(&devices[to].identity.dev).filter(|_| share % 2 == 0);
        partial.set(partial.get() + usize::from(lacks.is_some()));
        post.push(Post { to, bytes: bundle_of(&devices[from], &desks[from], None, lacks) });
        match share {
            0..=3 => {}
            4 => {
                // Cut off on the way: refused, and nothing is changed.
                let bytes = &post[post.len() - 1].bytes;
                assert!(read(&bytes[..bytes.len() * 2 / 3], &mut quiet).is_err());
                cut.set(cut.get() + 1);
            }
            _ => {
                // The oldest on its way arrives, perhaps to be sent again.
                let Post { to, bytes } = post.remove(0);
                take(&mut devices[to], &mut desks[to], &bytes);
                if share == 5 {
                    post.push(Post { to, bytes });
                }
            }
        }
    }
    // What was delayed arrives in the end, newest first.
    while let Some(Post { to, bytes }) = post.pop() {
        take(&mut devices[to], &mut desks[to], &bytes);
    }
    devices
}

/// How many random histories a run lives through.
const HISTORIES: u32 = 300;

fn over_histories(test: impl Fn(Vec<Step>) -> Result<(), TestCaseError>) {
    let mut runner = TestRunner::new(ProptestConfig::with_cases(HISTORIES));
    runner.run(&steps(), test).unwrap_or_else(|fault| panic!("{fault}"));
}

#[test]
fn whoever_has_all_bundles_has_the_same_records() {
    let (partial, cut, clashing, forked) = (Cell::new(0), Cell::new(0), Cell::new(0), Cell::new(0));
    over_histories(|steps| {
        let mut devices = live_by_bundles(&steps, &partial, &cut);
        let acknowledged: BTreeSet<String> = all_lines(&devices).into_iter().collect();
        // Everyone hands everything to the first, who hands it back.
        let (first, others) = devices.split_first_mut().expect("devices");
        let mut desk = Desk::default();
        for other in others.iter() {
            let bytes = bundle_of(other, &Desk::default(), None, None);
            take(first, &mut desk, &bytes);
        }
        for other in others.iter_mut() {
            let theirs = ledger(other).heads();
            let bytes = bundle_of(first, &desk, None, Some(&theirs));
            take(other, &mut Desk::default(), &bytes);
        }
        let expected = view(&fold_of(&acknowledged));
        for device in &devices {
            prop_assert_eq!(&view(&device.fold), &expected);
            let has: BTreeSet<String> = device.lines.iter().cloned().collect();
            prop_assert!(has == acknowledged, "nothing that was said to be saved is missing");
        }
        clashing.set(clashing.get() + devices[0].fold.clashes().count());
        forked.set(forked.get() + devices[0].fold.forks().count());
        Ok(())
    });
    for (what, count) in
        [("partial bundles", partial), ("cut bundles", cut), ("clashes", clashing), ("copied devices", forked)]
    {
        assert!(count.get() > 0, "{HISTORIES} histories without {what}");
    }
}

#[test]
fn settled_clashes_stay_settled_wherever_they_travel() {
    over_histories(|steps| {
        let mut devices = live_by_bundles(&steps, &Cell::new(0), &Cell::new(0));
        let lines = all_lines(&devices);
        lines.iter().for_each(|line| devices[0].receive(line));
        for _ in 0..3 {
            settle(&mut devices[0]);
        }
        let bytes = bundle_of(&devices[0], &Desk::default(), None, None);
        let (_, others) = devices.split_first_mut().expect("devices");
        for other in others {
            take(other, &mut Desk::default(), &bytes);
            prop_assert_eq!(other.fold.clashes().count(), 0);
        }
        Ok(())
    });
}

fn keyed(n: u8) -> (Device, Keypair) {
    let keypair = Keypair::from_secret(&[n; 32]);
    let mut device = Device::new(n, NOON);
    device.identity.key = keypair.public();
    (device, keypair)
}

fn note(device: &mut Device, n: u32) -> Ref {
    device.set("animal", "A1", json!({"note": n}))
}

#[test]
fn a_device_vouches_for_its_own_and_another_passes_that_on() {
    let ((mut ann, ann_key), (mut ben, ben_key), (mut cem, _)) = (keyed(1), keyed(2), keyed(3));
    let (mut bens, mut cems) = (Desk::default(), Desk::default());
    note(&mut ann, 1);
    note(&mut ann, 2);
    let arrivals = take(&mut ben, &mut bens, &bundle_of(&ann, &Desk::default(), Some(&ann_key), None));
    assert_eq!((arrivals.new.len(), arrivals.unvouched), (2, vec![]));
    note(&mut ben, 3);
    let arrivals = take(&mut cem, &mut cems, &bundle_of(&ben, &bens, Some(&ben_key), None));
    assert_eq!((arrivals.new.len(), arrivals.unvouched), (3, vec![]));
    assert_eq!(cems.signed.keys().copied().collect::<Vec<_>>(), [ann.identity.dev, ben.identity.dev]);

    // Somebody without Ann's key writes on in her name.
    let mut false_ann = ann.clone();
    note(&mut false_ann, 66);
    let unsigned = take(&mut cem.clone(), &mut cems.clone(), &bundle_of(&false_ann, &bens, None, None));
    let expected = Unvouched { dev: ann.identity.dev, acts: 1, forged: false };
    assert_eq!(unsigned.unvouched, [expected]);
    let signed = bundle_of(&false_ann, &bens, Some(&ben_key), None);
    let forged = take(&mut cem.clone(), &mut cems.clone(), &signed);
    assert_eq!(forged.unvouched, [Unvouched { forged: true, ..expected }]);

    // The same on a branch of its own, behind the head she did sign.
    let mut branch = keyed(1).0;
    note(&mut branch, 1);
    note(&mut branch, 67);
    let parted = take(&mut cem.clone(), &mut cems.clone(), &bundle_of(&branch, &bens, None, None));
    assert_eq!(parted.unvouched, [expected]);
    assert_eq!(parted.forks.len(), 1);

    // A whole chain under her name by another key: the key first known stays the one believed.
    let (mut stranger, stranger_key) = keyed(4);
    stranger.identity.dev = ann.identity.dev;
    note(&mut stranger, 1);
    note(&mut stranger, 2);
    note(&mut stranger, 3);
    let taken = take(&mut cem, &mut cems, &bundle_of(&stranger, &Desk::default(), Some(&stranger_key), None));
    assert_eq!(taken.unvouched, [Unvouched { dev: ann.identity.dev, acts: 3, forged: true }]);
}

#[test]
fn a_head_signed_beforehand_vouches_for_no_other() {
    let ((mut ann, key), (ben, _)) = (keyed(1), keyed(2));
    let first = note(&mut ann, 1);
    let head = ChainHead { book: ann.identity.book, dev: first.dev, seq: first.seq, hash: first.hash };
    let signed = SignedHead { head, signature: key.sign(&head) };
    let vouched = take(&mut ben.clone(), &mut Desk::default(), &bundle_of(&ann, &Desk::default(), Some(&signed), None));
    assert_eq!((vouched.new.len(), vouched.unvouched), (1, vec![]));
    note(&mut ann, 2);
    let later = take(&mut ben.clone(), &mut Desk::default(), &bundle_of(&ann, &Desk::default(), Some(&signed), None));
    assert_eq!(later.new.len(), 2);
    assert_eq!(later.unvouched, [Unvouched { dev: first.dev, acts: 2, forged: false }], "not signed, and not falsely");
}

#[test]
fn a_cloned_or_restored_device_is_found() {
    let (mut phone, _) = keyed(1);
    note(&mut phone, 1);
    let old = phone.clone();
    note(&mut phone, 2);
    let sent = bundle_of(&phone, &Desk::default(), None, None);
    let mut restored = old;
    // It goes on where its old copy stood, and meets what it wrote before.
    note(&mut restored, 3);
    let arrivals = take(&mut restored, &mut Desk::default(), &sent);
    assert_eq!(
        arrivals.forks.iter().map(|fork| (fork.dev, fork.parted)).collect::<Vec<_>>(),
        [(phone.identity.dev, 2)]
    );
    assert_eq!(arrivals.clashes.len(), 1);
    // Once known, it is no news.
    let again = take(&mut restored, &mut Desk::default(), &sent);
    assert_eq!((again.new.len(), again.forks.len()), (0, 0));
}

#[test]
fn a_gap_is_said_and_filled() {
    let ((mut ann, _), (mut ben, _)) = (keyed(1), keyed(2));
    let mut heads = Heads::new();
    let mut bundles = Vec::new();
    for n in 1..=3 {
        note(&mut ann, n);
        bundles.push(bundle_of(&ann, &Desk::default(), None, Some(&heads)));
        heads = ledger(&ann).heads();
    }
    let mut desk = Desk::default();
    let third = take(&mut ben, &mut desk, &bundles[2]);
    assert_eq!((third.new.len(), third.waiting, third.missing), (1, 1, vec![(ann.identity.dev, 2)]));
    let first = take(&mut ben, &mut desk, &bundles[0]);
    assert_eq!((first.new.len(), first.waiting, first.missing), (1, 0, vec![(ann.identity.dev, 1)]));
    let second = take(&mut ben, &mut desk, &bundles[1]);
    assert_eq!((second.new.len(), second.waiting, second.missing), (1, 0, vec![]));
    assert_eq!(ben.fold.digest(), ann.fold.digest());
}

#[test]
fn only_what_the_other_lacks_is_sent() {
    let ((mut ann, _), (mut ben, _)) = (keyed(1), keyed(2));
    let (mut anns, mut bens) = (Desk::default(), Desk::default());
    for n in 1..=4 {
        note(&mut ann, n);
    }
    take(&mut ben, &mut bens, &bundle_of(&ann, &anns, None, None));
    note(&mut ben, 5);
    let back = bundle_of(&ben, &bens, None, bens.heads.get(&ann.identity.dev));
    take(&mut ann, &mut anns, &back);
    note(&mut ann, 6);
    let told = anns.heads.get(&ben.identity.dev).expect("Ben told").clone();
    let sent = opened(&bundle_of(&ann, &anns, None, Some(&told)));
    assert_eq!((sent.lines.len(), sent.manifest.whole), (1, false));
    // A head that is not one of ours: the whole chain, to be sure.
    let mut wrong = told;
    wrong.insert(ann.identity.dev, (4, Hash::of(b"another history")));
    assert_eq!(opened(&bundle_of(&ann, &anns, None, Some(&wrong))).lines.len(), 5);
}

#[test]
fn who_did_what_since_when() {
    let ((mut ann, _), (mut ben, _)) = (keyed(1), keyed(2));
    note(&mut ben, 1);
    let shared = bundle_of(&ben, &Desk::default(), None, None);
    take(&mut ann, &mut Desk::default(), &shared);
    note(&mut ann, 2);
    ben.set("animal", "A1", json!({"note": 3}));
    ben.set("egg", "E1", json!({"note": 3}));
    ben.act(
        Draft {
            act: "Candled".into(),
            sets: vec![ben.fold.set("egg", "E2", map(json!({"name": 1})))],
            ..Draft::default()
        },
        None,
    );
    ben.wall = NOON + 30 * HOUR;
    note(&mut ben, 4);
    let arrivals = take(&mut ann, &mut Desk::default(), &bundle_of(&ben, &Desk::default(), None, None));
    assert_eq!((arrivals.new.len(), arrivals.known), (4, 1));
    let [ben_did] = arrivals.doings.as_slice() else { panic!("one person: {:?}", arrivals.doings) };
    let expected = BTreeMap::from([("Candled".to_owned(), 1), ("Noted".to_owned(), 3)]);
    assert_eq!((ben_did.by.as_str(), &ben_did.acts), ("P2", &expected));
    assert_eq!(arrivals.counts, BTreeMap::from([("egg".to_owned(), (0, 2))]));
    let clashes: Vec<String> = arrivals.clashes.iter().map(|(key, field)| format!("{key} {field}")).collect();
    assert_eq!(clashes, ["animal:A1 note"]);
    assert_eq!(arrivals.odd_clocks.iter().map(|odd| odd.dev).collect::<Vec<_>>(), [ben.identity.dev]);
}

#[test]
fn another_book_is_joined_only_when_asked() {
    let (ann, _) = keyed(1);
    let (mut stranger, _) = keyed(2);
    let other = Id::mint([9; 5]);
    stranger.identity.book = other;
    stranger.fold = Fold::new(other);
    stranger.set("animal", "A9", json!({"name": "Bel"}));
    let lines: Vec<&str> = stranger.lines.iter().map(String::as_str).collect();
    let theirs = Ledger::of(other, [], lines);
    let contents = Contents {
        by: stranger.identity.dev,
        made: MADE,
        app: "0.1.0",
        signer: None,
        signed: &BTreeMap::new(),
        lacks: None,
        people: &[],
        photos: &[],
        readme: "",
    };
    let bundle = opened(&write(&theirs, &contents, &mut quiet).expect("an archive"));
    let mine = ledger(&ann);
    let refused = Arrivals::of(&mine, &bundle, &BTreeMap::new(), false, NOON).expect_err("another book");
    assert_eq!(refused, BadBundle::OtherBook { book: other });
    let joined = Arrivals::of(&mine, &bundle, &BTreeMap::new(), true, NOON).expect("asked for");
    assert_eq!((joined.new.len(), joined.after.joined().collect::<Vec<_>>()), (1, vec![other]));
    // From then on its bundles come in unasked, and one's own carry both.
    let both = Ledger::of(book(), [other], joined.new.iter().map(String::as_str));
    let bundle = opened(&write(&both, &contents, &mut quiet).expect("an archive"));
    assert_eq!(bundle.manifest.books().collect::<Vec<_>>(), [book(), other]);
    assert!(Arrivals::of(&both, &bundle, &BTreeMap::new(), false, NOON).is_ok());
}

#[test]
fn people_and_photos_travel_beside_and_may_be_missing() {
    let (mut ann, _) = keyed(1);
    let person = Person::new([3; 16], r#"{"name":"A. Buyer"}"#.to_owned());
    let digest = person.digest().expect("a salt of 16 bytes");
    let jpeg = [&[0xff, 0xd8][..], &[0xff, 0xc0, 0, 17, 8, 0, 3, 0, 4, 3, 1, 0x22, 0, 2, 0x11, 1, 3, 0x11, 1]].concat();
    let hash = Hash::of(&jpeg);
    ann.set("person", "P1", json!({"details": digest.to_string()}));
    let contents = Contents {
        by: ann.identity.dev,
        made: MADE,
        app: "0.1.0",
        signer: None,
        signed: &BTreeMap::new(),
        lacks: None,
        people: std::slice::from_ref(&person),
        photos: &[(hash, jpeg.clone())],
        readme: "",
    };
    let with = opened(&write(&ledger(&ann), &contents, &mut quiet).expect("an archive"));
    assert_eq!((with.people, with.photos), (vec![(digest, person.clone())], vec![(hash, jpeg.clone())]));
    // Erased for good: the chain does not notice.
    let bare = Contents { people: &[], photos: &[], ..contents };
    let without = opened(&write(&ledger(&ann), &bare, &mut quiet).expect("an archive"));
    assert_eq!(without.lines, with.lines);
    let arrivals = Arrivals::of(&Ledger::of(book(), [], []), &without, &BTreeMap::new(), false, NOON).expect("whole");
    assert_eq!(
        arrivals.after.record("person", "P1").and_then(|p| p.text("details")),
        Some(digest.to_string().as_str())
    );
}
