//! Small stories of writing, clashing, withdrawing and undoing; sealing; keys; snapshots that cannot be used.

mod world;

use journal::{
    BadDraft, BadSnapshot, ChainHead, Digest, Digesting, Draft, DraftId, DraftSet, Entry, Fold, Hash, Id, Keypair,
    Skipped, Stamp, Taken, Tip, Wall, Why, own, seal,
};
use serde_json::{Value, json};
use world::*;

/// Two devices that know the same first acts.
fn pair(acts: &[Value]) -> (Device, Device) {
    let (mut a, mut b) = (Device::new(1, NOON), Device::new(2, NOON + 5));
    acts.iter().for_each(|fields| {
        a.set("animal", "A1", fields.clone());
    });
    exchange(&mut a, &mut b);
    (a, b)
}

fn exchange(a: &mut Device, b: &mut Device) {
    a.lines.clone().iter().for_each(|line| b.receive(line));
    b.lines.clone().iter().for_each(|line| a.receive(line));
}

fn clashes(fold: &Fold) -> Vec<String> {
    fold.clashes()
        .map(|clash| {
            let values: Vec<String> = clash.heads.iter().map(|head| head.value.to_string()).collect();
            format!(
                "{}.{} {}{}",
                clash.key,
                clash.field,
                values.join("|"),
                if clash.withdrawn.is_some() { " withdrawn" } else { "" }
            )
        })
        .collect()
}

/// What A and B write without knowing of each other, and the clashes of that.
fn check_clash(a_writes: Value, b_writes: Value, expected: &[&str]) {
    let (mut a, mut b) = pair(&[json!({"name": "Bel", "mass_mg": 1})]);
    for (device, fields) in [(&mut a, a_writes), (&mut b, b_writes)] {
        if fields == json!("withdraw") {
            let set = device.fold.withdraw("animal", "A1");
            device.act(Draft { act: "Withdrawn".into(), sets: vec![set], ..Draft::default() }, None);
        } else {
            device.set("animal", "A1", fields);
        }
    }
    exchange(&mut a, &mut b);
    assert_eq!(clashes(&a.fold), expected);
    assert_eq!(clashes(&b.fold), expected);
    settle(&mut a);
    exchange(&mut a, &mut b);
    assert_eq!(clashes(&b.fold), [""; 0], "settled on one device is settled on the other");
    assert_eq!(a.fold.digest().short(), b.fold.digest().short());
}

#[test]
fn what_clashes_and_what_does_not() {
    let none: &[&str] = &[];
    let rows: &[(Value, Value, &[&str])] = &[
        (json!({"name": "Moss"}), json!({"note": "shy"}), none),
        (json!({"name": "Moss"}), json!({"name": "Moss"}), none),
        (json!({"name": "Moss"}), json!({"name": "Mose"}), &[r#"animal:A1.name "Moss"|"Mose""#]),
        (json!({"name": "Moss"}), json!({"name": null}), &[r#"animal:A1.name "Moss"|null"#]),
        (json!({"name": null}), json!({"name": null}), none),
        (json!({"fresh": 1}), json!({"fresh": 2}), &["animal:A1.fresh 1|2"]),
        (json!("withdraw"), json!("withdraw"), none),
        (json!("withdraw"), json!({"name": "Moss"}), &[r#"animal:A1.name null|"Moss" withdrawn"#]),
        (json!("withdraw"), json!({"fresh": 1}), &["animal:A1.fresh 1 withdrawn"]),
        (json!({"fresh": 1}), json!("withdraw"), &["animal:A1.fresh 1 withdrawn"]),
    ];
    rows.iter().for_each(|(a, b, expected)| check_clash(a.clone(), b.clone(), expected));
}

#[test]
fn withdrawn_and_empty_records_are_not_there() {
    let (mut a, _) = pair(&[json!({"name": "Bel"})]);
    assert!(a.fold.record("animal", "A1").is_some());
    let set = a.fold.withdraw("animal", "A1");
    a.act(Draft { act: "Withdrawn".into(), sets: vec![set], ..Draft::default() }, None);
    assert!(a.fold.record("animal", "A1").is_none());
    assert!(a.fold.any_record("animal", "A1").is_some_and(|record| record.withdrawn()));
    a.set("animal", "A2", json!({"name": "Moss"}));
    a.set("animal", "A2", json!({"name": null}));
    assert_eq!(a.fold.records("animal").count(), 0);
    assert_eq!(a.fold.any_records("animal").count(), 2);
}

#[test]
fn a_creation_undone_is_withdrawn_and_the_undo_undone_brings_it_back() {
    let (mut a, _) = pair(&[]);
    let made = a.set("animal", "A1", json!({"name": "Bel", "note": "calm"}));
    let undone = a.undo(&made).expect("nobody has written since");
    assert!(a.fold.record("animal", "A1").is_none());
    assert!(a.fold.any_record("animal", "A1").is_some_and(|record| record.withdrawn()));
    a.undo(&undone).expect("nobody has written since");
    let record = a.fold.record("animal", "A1").expect("back");
    assert_eq!((record.text("name"), record.text("note")), (Some("Bel"), Some("calm")));
}

#[test]
fn an_act_brought_back_can_be_undone_again() {
    let (mut a, mut b) = pair(&[]);
    let made = a.set("animal", "A1", json!({"name": "Bel", "note": "calm"}));
    let named = a.set("animal", "A1", json!({"name": "Moss"}));
    let name = |device: &Device| device.fold.record("animal", "A1").and_then(|r| r.text("name").map(str::to_owned));
    for _ in 0..3 {
        let undone = a.undo(&named).expect("it stands, or stands again");
        assert_eq!(name(&a).as_deref(), Some("Bel"));
        assert!(a.undo(&named).is_none(), "it is undone already");
        a.undo(&undone).expect("nobody has written since");
        assert_eq!(name(&a).as_deref(), Some("Moss"));
    }
    // The newest of those undos is the last word: with it taken back, the creation can be undone, whole.
    a.undo(&named).expect("it stands again");
    for _ in 0..2 {
        let undone = a.undo(&made).unwrap_or_else(|| panic!("{:?}", a.fold.record("animal", "A1")));
        assert!(a.fold.record("animal", "A1").is_none_or(|r| r.text("note").is_none()));
        a.undo(&undone).expect("nobody has written since");
        assert_eq!(a.fold.record("animal", "A1").and_then(|r| r.text("note")), Some("calm"));
    }
    // What somebody wrote over the act that was brought back stays.
    exchange(&mut a, &mut b);
    b.set("animal", "A1", json!({"note": "shy"}));
    exchange(&mut a, &mut b);
    let entry = a.find(&made).expect("kept");
    let plan = a.fold.undo(&entry, |named| a.named(named));
    assert!(plan.skipped.iter().any(|skip| skip.field == "note" && skip.why == Why::Changed), "{plan:?}");
}

#[test]
fn parts_of_one_deed_name_the_first_of_them() {
    let mut device = Device::new(1, NOON);
    let first = device.set("animal", "A1", json!({"name": "Bel"}));
    let set = device.fold.set("animal", "A2", map(json!({"name": "Moss"})));
    let second = Draft { act: "Noted".into(), sets: vec![set], with: Some(first), ..Draft::default() };
    let second = device.act(second, None);
    let entry = device.find(&second).expect("kept");
    assert_eq!(entry.with, Some(journal::Named::Whole(first)));
    assert!(entry.other.is_empty());
    let others = device.set("animal", "A3", json!({"name": "Ash"}));
    let entries: Vec<Entry> = device.lines.iter().map(|line| Entry::read(line).expect("own line")).collect();
    let deed = |of: &journal::Ref| journal::deed(&device.find(of).expect("kept"), entries.iter());
    assert_eq!((deed(&first), deed(&second), deed(&others)), (vec![first, second], vec![first, second], vec![others]));
    // Whatever another version may mean by it, no line is refused for it.
    let line = device.lines[1].replace(&first.to_string(), "something else");
    let other = Entry::read(&line).expect("still a line");
    assert_eq!((other.with, other.other.get("with")), (None, Some(&json!("something else"))));
}

#[test]
fn undo_says_what_it_leaves() {
    let skipped = |device: &Device, act: &journal::Ref| -> Vec<(String, Why)> {
        let entry = device.find(act).expect("kept");
        let plan = device.fold.undo(&entry, |named| device.named(named));
        plan.skipped.into_iter().map(|Skipped { field, why, .. }| (field, why)).collect()
    };
    let (mut a, mut b) = pair(&[]);
    let made = a.set("animal", "A1", json!({"name": "Bel", "note": "calm", "mass_mg": 1}));
    exchange(&mut a, &mut b);
    b.set("animal", "A1", json!({"note": "not calm"}));
    exchange(&mut a, &mut b);
    assert_eq!(skipped(&a, &made), [("note".to_owned(), Why::Changed)]);
    a.undo(&made).expect("two fields are still as made");
    let record = a.fold.record("animal", "A1").expect("what somebody else wrote stays");
    assert_eq!(record.fields().collect::<Vec<_>>(), [("note", &json!("not calm"))]);

    let one = a.set("animal", "A2", json!({"name": "Moss"}));
    b.set("animal", "A2", json!({"name": "Mose"}));
    exchange(&mut a, &mut b);
    assert_eq!(skipped(&a, &one), [("name".to_owned(), Why::Clashing)]);
    assert!(a.undo(&one).is_none());

    let first = a.set("animal", "A3", json!({"name": "Bel"}));
    let second = a.set("animal", "A3", json!({"name": "Belle"}));
    let entry = a.find(&second).expect("kept");
    let plan = a.fold.undo(&entry, |_| Vec::new());
    assert_eq!(plan.draft, None);
    assert_eq!(plan.skipped.into_iter().map(|skip| skip.why).collect::<Vec<_>>(), [Why::NoHistory(first.into())]);
}

#[test]
fn the_act_that_settled_a_clash_undone_shows_what_was_shown() {
    let (mut a, mut b) = pair(&[]);
    a.set("animal", "A1", json!({"name": "Moss"}));
    b.set("animal", "A1", json!({"name": "Mose"}));
    exchange(&mut a, &mut b);
    let settled = a.set("animal", "A1", json!({"name": "Bel"}));
    a.undo(&settled).expect("the sole head");
    assert_eq!(a.fold.record("animal", "A1").and_then(|record| record.text("name")), Some("Mose"));
}

#[test]
fn a_gap_is_counted_and_filled() {
    let (mut a, mut b) =
        pair(&[json!({"name": "1"}), json!({"name": "2"}), json!({"name": "3"}), json!({"name": "4"})]);
    b.set("animal", "A1", json!({"name": "5"}));
    exchange(&mut a, &mut b);
    let dev = a.identity.dev;
    let missing = |fold: &Fold| fold.chain(dev).map(|chain| (chain.folded, chain.held, chain.missing));
    let own: Vec<&String> = a.lines.iter().filter(|line| line.contains(&format!("\"dev\":\"{dev}\""))).collect();
    let others = a.lines.iter().find(|line| !own.contains(line)).expect("one act of the other");
    let mut fold = Fold::new(book());
    // The other device wrote over the fourth act: so there are four.
    fold.take(others).expect("taken");
    assert_eq!(missing(&fold), Some((0, 0, 4)));
    assert_eq!(fold.take(own[3]), Ok(Taken::Held));
    assert_eq!(missing(&fold), Some((0, 1, 3)));
    fold.take(own[0]).expect("taken");
    fold.take(own[1]).expect("taken");
    assert_eq!(missing(&fold), Some((2, 1, 1)));
    assert_eq!(fold.record("animal", "A1").and_then(|record| record.text("name")), Some("5"));
    let Ok(Taken::New { folded, changed, forked }) = fold.take(own[2]) else { panic!("the gap is filled") };
    assert_eq!((folded.len(), changed.len(), forked), (2, 1, false));
    assert_eq!(missing(&fold), Some((4, 0, 0)));
    assert_eq!(fold.digest(), a.fold.digest());
}

#[test]
fn an_act_of_another_branch_counts_its_forerunner_as_missing() {
    let mut first = Device::new(1, NOON);
    first.set("animal", "A1", json!({"name": "Bel"}));
    let mut second = first.clone();
    first.set("animal", "A1", json!({"name": "Moss"}));
    second.set("animal", "A1", json!({"name": "Mose"}));
    second.set("animal", "A1", json!({"name": "Mosey"}));
    let mut fold = fold_of(&first.lines);
    assert_eq!(fold.take(&second.lines[2]), Ok(Taken::Held));
    let chain = fold.chain(first.identity.dev).expect("known");
    assert_eq!((chain.held, chain.missing), (1, 1));
}

#[test]
fn observations_are_named_when_sealed() {
    let mut device = Device::new(1, NOON);
    device.set("animal", "A1", json!({"name": "Bel"}));
    let fields = map(json!({"about": format!("candling:{}", own(0)), "list": [own(0)], "by_id": {own(0): "veins"}}));
    let sets =
        vec![DraftSet::observation("candling", map(json!({"note": "one"}))), DraftSet::observation("note", fields)];
    device.act(Draft { act: "Seen".into(), sets, ..Draft::default() }, None);
    let dev = device.identity.dev;
    let record = device.fold.record("note", &format!("{dev}.2.1")).expect("named by its place");
    assert_eq!(record.text("about"), Some(format!("candling:{dev}.2.0").as_str()));
    assert_eq!(record.texts("list").collect::<Vec<_>>(), [format!("{dev}.2.0")]);
    assert_eq!(record.get("by_id"), Some(&json!({format!("{dev}.2.0"): "veins"})));
}

fn check_draft(fields: Value, expected: &str) {
    let device = Device::new(1, NOON);
    let sets = vec![DraftSet {
        kind: "animal".into(),
        id: DraftId::Known("A1".into()),
        fields: map(fields),
        over: Default::default(),
    }];
    let wall = Wall { ms: NOON, text: "2026-06-09T21:40+02:00".into() };
    let sealed =
        seal(Draft { act: "Noted".into(), sets, ..Draft::default() }, &device.identity, &Tip::default(), &wall);
    match sealed {
        Ok(_) => assert_eq!(expected, ""),
        Err(bad) => assert!(!expected.is_empty() && bad.to_string().contains(expected), "{bad}"),
    }
}

#[test]
fn drafts_that_cannot_be_sealed() {
    let rows = [
        (json!({"mass_mg": 1, "note": "Bel", "list": [1, null, true]}), ""),
        (json!({"mass_mg": 1.5}), "without a fraction"),
        (json!({"list": [{"deep": 0.1}]}), "without a fraction"),
        (json!({"mass_mg": u64::MAX}), "without a fraction"),
        (json!({"note": "a\u{1a}b"}), "control character"),
        (json!({"note": "\u{1a}x\u{1a}"}), "control character"),
        // The set it names is no observation, or is not there.
        (json!({"note": own(0)}), "control character"),
        (json!({"note": own(1)}), "control character"),
        (json!({"a b": 1}), "could not be saved"),
        (json!({"note": "x".repeat(1_100_000)}), "bytes long"),
    ];
    rows.into_iter().for_each(|(fields, expected)| check_draft(fields, expected));
    let device = Device::new(1, NOON);
    let wall = Wall { ms: NOON, text: "2026-06-09T21:40+02:00".into() };
    let last = Tip { seq: journal::MAX_SEQ, ..Tip::default() };
    assert_eq!(seal(Draft::default(), &device.identity, &last, &wall), Err(BadDraft::Exhausted));
    let late = Wall { ms: u64::MAX, ..wall };
    assert_eq!(seal(Draft::default(), &device.identity, &Tip::default(), &late), Err(BadDraft::Exhausted));
}

#[test]
fn the_clock_follows_what_it_can_believe() {
    const H: u64 = HOUR;
    // Last followed, wall, next: as hours after noon and counter.
    let rows = [
        ((0, 0), 1, (1, 0)),
        ((1, 0), 1, (1, 1)),
        ((1, 7), 0, (1, 8)),
        ((24, 0), 0, (24, 1)),
        ((25, 0), 0, (0, 0)),
        ((9000, 5), 0, (0, 0)),
    ];
    let stamp = |(hour, count): (u64, u16)| -> Stamp {
        format!("{:012x}-{count:04x}", NOON + hour * H).parse().expect("a stamp")
    };
    for (last, wall, next) in rows {
        assert_eq!(stamp(last).next(NOON + wall * H), stamp(next), "{last:?} at {wall}");
    }
    let full: Stamp = "019eadd4a1c0-ffff".parse().expect("a stamp");
    assert_eq!(full.next(full.ms()).to_string(), "019eadd4a1c1-0000", "a full counter borrows a millisecond");
    assert_eq!(Stamp::ZERO.next(0).to_string(), "000000000000-0001");
}

#[test]
fn heads_are_signed_and_verified() {
    let (own, other) = (Keypair::from_secret(&[1; 32]), Keypair::from_secret(&[2; 32]));
    let head = ChainHead { book: book(), dev: Id::mint([1; 5]), seq: 12, hash: Hash([3; 32]) };
    let signature = own.sign(&head);
    let again = signature.to_string().parse().expect("as text and back");
    assert!(own.public().verifies(&head, &again));
    for (key, head) in [
        (other.public(), head),
        (own.public(), ChainHead { seq: 13, ..head }),
        (own.public(), ChainHead { hash: Hash([4; 32]), ..head }),
        (own.public(), ChainHead { dev: Id::mint([2; 5]), ..head }),
        (own.public(), ChainHead { book: Id::mint([2; 5]), ..head }),
        (journal::PublicKey([255; 32]), head),
        (journal::PublicKey([0; 32]), head),
    ] {
        assert!(!key.verifies(&head, &signature), "{key} {head:?}");
    }
}

/// SHA-256 and Crockford's Base32 as others compute them: `printf '' | sha256sum`, and by hand from its first
/// 40 bits, e3b0c44298 = 11100 01110 11000 01100 01000 10000 10100 11000.
#[test]
fn digests_are_what_other_programs_compute() {
    let empty = Fold::new(book());
    assert_eq!(empty.digest().to_string(), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    assert_eq!(empty.digest().short(), "WERC8GMR");
    let mut device = Device::new(1, NOON);
    let one = device.set("animal", "A1", json!({"name": "Bel", "note": null}));
    let record = Hash::of(format!("name\t{one}\nnote\t{one}\n").as_bytes());
    assert_eq!(device.fold.digests().map(|(_, digest)| digest).collect::<Vec<_>>(), [Digest(record.0)]);
    assert_eq!(device.fold.digest().0, Hash::of(format!("animal\tA1\t{record}\n").as_bytes()).0);
    // In the order of references, whatever the stamps say.
    let (mut one, mut two) = (Device::new(1, NOON + HOUR), Device::new(2, NOON));
    let refs = [&mut one, &mut two].map(|device| device.set("animal", "A1", json!({"name": device.wall})));
    exchange(&mut one, &mut two);
    let record = Hash::of(format!("name\t{}\nname\t{}\n", refs[0], refs[1]).as_bytes());
    assert_eq!(one.fold.digest().0, Hash::of(format!("animal\tA1\t{record}\n").as_bytes()).0);
    let hash = Hash::of(device.lines[0].as_bytes());
    let entries = format!("{}\t1\t{hash}\n", device.identity.dev);
    assert_eq!(device.fold.entry_set().0, Hash::of(entries.as_bytes()).0);
}

#[test]
fn a_digest_made_piece_by_piece_is_the_whole_one() {
    let mut device = Device::new(1, NOON);
    for n in 0..7 {
        let kind = ["animal", "clutch", "place"][n % 3];
        device.set(kind, &format!("A{n}"), json!({"name": n, "note": "seen"}));
        device.set(kind, "A0", json!({"name": n}));
    }
    let fold = &device.fold;
    let records = fold.digests().count();
    assert_eq!(records, 9, "more than one of each kind");
    for piece in 1..=records + 1 {
        let (mut digesting, mut turns) = (Digesting::default(), 1);
        let digest = loop {
            match fold.digest_on(&mut digesting, piece) {
                Some(digest) => break digest,
                None => turns += 1,
            }
        };
        assert_eq!((digest, turns), (fold.digest(), records.div_ceil(piece)), "{piece} at a time");
    }
    assert_eq!(Fold::new(book()).digest_on(&mut Digesting::default(), 1), Some(Fold::new(book()).digest()));
}

#[test]
fn snapshots_that_cannot_be_used() {
    let mut device = Device::new(1, NOON);
    device.set("animal", "A1", json!({"name": "Bel"}));
    let whole = device.fold.snapshot();
    assert!(Fold::restore(&whole).is_ok());
    let other = whole.replace("\"fold\":2,", "\"fold\":1,");
    assert_ne!(other, whole);
    assert_eq!(Fold::restore(&other).err(), Some(BadSnapshot::OtherFold));
    for cut in (0..whole.len()).filter(|&cut| whole.is_char_boundary(cut)) {
        assert!(matches!(Fold::restore(&whole[..cut]), Err(BadSnapshot::Damaged { .. })), "cut at {cut}");
    }
    // A hash has four bits in its last letter, so not every letter can stand there.
    let place = whole.find("\"hashes\":\"").expect("hashes") + 10;
    let hash = whole[place..place + 43].to_owned();
    for (from, to) in [
        ("[\"animal\",[\"A1\",0,0,\"Bel\"]]", "[\"animal\",[\"A1\",9,0,\"Bel\"]]"),
        ("[\"animal\",[\"A1\",0,0,\"Bel\"]]", "[\"animal\",[\"A1\",0,9,\"Bel\"]]"),
        ("[\"animal\",[\"A1\",0,0,\"Bel\"]]", "[\"animal\",[\"A1\",0,0]]"),
        ("[\"animal\",[\"A1\",0,0,\"Bel\"]]", "[[\"A1\"]]"),
        ("\"entries\":[[0,", "\"entries\":[[9,"),
        ("\"hashes\":\"", "\"hashes\":\"A"),
        ("\"hashes\":\"", "\"hashes\":\"AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA"),
        (&hash, &format!("{}*", &hash[..hash.len() - 1])),
        (&hash, &format!("{}B", &hash[..hash.len() - 1])),
        ("\"pending\":[]", "\"pending\":[[\"animal\",\"A9\",\"name\",\"7K3QX2M9.1.00000000\"]]"),
    ] {
        let damaged = whole.replace(from, to);
        assert_ne!(damaged, whole, "{from} is in the snapshot");
        assert!(matches!(Fold::restore(&damaged), Err(BadSnapshot::Damaged { .. })), "{to}");
    }
}

#[test]
fn a_snapshot_remembers_what_was_written_over_before_it_arrived() {
    let (mut a, mut b) = pair(&[json!({"name": "Bel"})]);
    let own = b.lines.len();
    b.set("animal", "A1", json!({"name": "Moss"}));
    exchange(&mut a, &mut b);
    let fold = fold_of(&b.lines[own..]);
    let mut fold = Fold::restore(&fold.snapshot()).expect("whole");
    a.lines.iter().for_each(|line| drop(fold.take(line).expect("a sealed line is taken")));
    assert_eq!(clashes(&fold), [""; 0]);
    assert_eq!(fold.digest(), a.fold.digest());
}

#[test]
fn a_line_is_its_bytes() {
    let mut device = Device::new(1, NOON);
    device.set("animal", "A1", json!({"name": "Bel"}));
    let line = device.lines[0].clone();
    let spaced = line.replacen(',', ", ", 1);
    let (one, two) = (Entry::read(&line).expect("reads"), Entry::read(&spaced).expect("reads"));
    assert_eq!(one.sets, two.sets);
    assert_ne!(one.reference, two.reference, "another line is another entry");
    let mut fold = fold_of([&line, &spaced]);
    assert_eq!(fold.forks().count(), 1);
    assert_eq!(fold.take(&spaced), Ok(Taken::Already));
}
