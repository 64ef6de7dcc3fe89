//! Lines that short references cannot tell apart: two of one device and number whose hashes begin with the same eight
//! digits. They are a copied device's lines like any others, and both are kept.

mod world;

use journal::bundle::{Arrivals, Contents, Ledger, read, write};
use journal::{Entry, Fold, Named, Taken};
use proptest::prelude::*;
use serde_json::json;
use std::collections::{BTreeMap, HashSet};
use world::alike::{alike, fold_entries, over, two};
use world::*;

fn name(fold: &Fold) -> Vec<String> {
    let heads = fold.any_record("animal", "A1").map(|record| record.heads("name").to_vec());
    heads.unwrap_or_default().into_iter().map(|head| head.value.as_str().unwrap_or_default().to_owned()).collect()
}

/// The states of the lines in every order, each also written down and read back on the way.
fn states(lines: &[&String]) -> Vec<View> {
    let mut orders: Vec<Vec<&String>> = vec![Vec::new()];
    for line in lines {
        orders = orders
            .iter()
            .flat_map(|order| (0..=order.len()).map(|at| [&order[..at], &[*line], &order[at..]].concat()))
            .collect();
    }
    let mut states = Vec::new();
    for order in orders {
        states.push(view(&fold_of(&order)));
        for cut in 1..order.len() {
            let mut fold = Fold::restore(&fold_of(&order[..cut]).snapshot()).expect("whole");
            let taken: Vec<Taken> = order[cut..].iter().map(|line| fold.take(line).expect("taken")).collect();
            if !taken.contains(&Taken::NeedsHistory) {
                states.push(view(&fold));
            }
        }
    }
    states
}

#[test]
fn both_are_kept_and_told_apart_in_any_order() {
    for form in [1, 2] {
        let [one, other] = two(form);
        let [first, second] = [&one, &other].map(|line| Entry::read(line).expect("reads").reference);
        assert_eq!(first.short(), second.short());
        assert_ne!(first, second);
        let (a, b) = (fold_of([&one]), fold_of([&other]));
        assert_ne!(name(&a), name(&b));
        assert_ne!(a.digest(), b.digest(), "what is shown differs, so must the digest");
        let both = [fold_of([&one, &other]), fold_of([&other, &one])];
        assert_eq!(view(&both[0]), view(&both[1]));
        for fold in &both {
            assert_eq!((name(fold).len(), fold.forks().count(), fold.clashes().count()), (2, 1, 1));
            assert_eq!(Fold::restore(&fold.snapshot()).expect("whole").digest(), fold.digest());
        }
    }
}

#[test]
fn a_whole_reference_means_one_of_them_and_a_short_one_both() {
    for form in [1, 2] {
        let [one, other] = two(form);
        for (old, left) in [(false, 2), (true, 1)] {
            let over = over(old, &[&one]);
            let lines = [&one, &other, &over];
            assert_eq!(name(&fold_of(lines)).len(), left, "old: {old}");
            let states = states(&lines);
            // Six orders, and four ways to cut one that need no history.
            assert_eq!(states.len(), 10);
            states.iter().for_each(|state| assert_eq!(state, &states[0], "old: {old}"));
            let entries: Vec<Entry> = entries_of(&lines.map(String::clone));
            assert_eq!(heads(&fold_of(lines)), oracle(&entries));
        }
    }
}

#[test]
fn a_bundle_that_holds_one_is_taken_where_the_other_is() {
    for form in [1, 2] {
        let [one, other] = two(form);
        let theirs = Ledger::of(book(), [], [other.as_str()]);
        let contents = Contents {
            by: "00000001".parse().expect("an id"),
            made: "2026-06-09T21:40+02:00",
            app: "0.1.0",
            signer: None,
            signed: &BTreeMap::new(),
            lacks: None,
            people: &[],
            photos: &[],
            readme: "",
        };
        let bytes = write(&theirs, &contents, &mut |_, _| {}).expect("an archive");
        let bundle = read(&bytes, &mut |_, _| {}).expect("a bundle just made is whole");
        let mine = Ledger::of(book(), [], [one.as_str()]);
        let arrivals = Arrivals::of(&mine, &bundle, &BTreeMap::new(), false, NOON).expect("taken");
        assert_eq!((arrivals.new.as_slice(), arrivals.forks.len()), ([other.clone()].as_slice(), 1));
        assert_eq!(view(&arrivals.after), view(&fold_of([&other, &one])));
        // And one bundle that holds both is as sound as any.
        let both = Ledger::of(book(), [], [one.as_str(), other.as_str()]);
        let bytes = write(&both, &contents, &mut |_, _| {}).expect("an archive");
        assert_eq!(read(&bytes, &mut |_, _| {}).expect("whole").lines.len(), 2);
    }
}

/// What short references wrote over before a snapshot is not in it, so an entry that one of them could mean is not folded
/// upon it, even where it follows a known one.
#[test]
fn on_a_snapshot_a_look_alike_of_what_was_written_over_needs_history() {
    let mut first = Device::new(1, NOON);
    first.set("animal", "A1", json!({"name": "Bel"}));
    let mut copy = first.clone();
    copy.wall += HOUR;
    for device in [&mut first, &mut copy] {
        device.set("animal", "A1", json!({"note": device.wall}));
        device.set("animal", "A1", json!({"name": "Belle"}));
    }
    let mut other = Device::new(2, NOON + 2 * HOUR);
    other.old = true;
    first.lines.iter().for_each(|line| other.receive(line));
    other.set("animal", "A1", json!({"name": "Moss"}));
    let lines = [first.lines.as_slice(), &copy.lines[1..2], &other.lines[other.lines.len() - 1..], &copy.lines[2..3]];
    let entries = alike(&lines.concat());
    let (late, before) = entries.split_last().expect("entries");
    assert_eq!(name(&fold_entries(&entries)), ["Moss"]);
    let mut fold = Fold::restore(&fold_entries(before).snapshot()).expect("whole");
    assert_eq!(fold.take_entry(late.clone()), Ok(Taken::NeedsHistory));
    // Not so where nobody used short references.
    let mut fold = Fold::restore(&fold_entries(&entries[..4]).snapshot()).expect("whole");
    assert!(matches!(fold.take_entry(late.clone()), Ok(Taken::New { .. })));
}

#[test]
fn a_device_goes_on_in_form_2_and_undoes_across() {
    let mut device = Device::new(1, NOON);
    device.old = true;
    device.set("animal", "A1", json!({"name": "Bel", "note": "calm"}));
    let renamed = device.set("animal", "A1", json!({"name": "Belle"}));
    device.old = false;
    let noted = device.set("animal", "A1", json!({"note": "shy"}));
    let forms: Vec<bool> = device.lines.iter().map(|line| line.starts_with(r#"{"v":2,"#)).collect();
    assert_eq!(forms, [false, false, true]);
    let over = |device: &Device, n: usize| {
        let entry = Entry::read(&device.lines[n]).expect("reads");
        entry.sets[0].over.values().flatten().copied().collect::<Vec<Named>>()
    };
    assert!(matches!(over(&device, 1)[..], [Named::Short(_)]) && matches!(over(&device, 2)[..], [Named::Whole(_)]));
    let shown = |device: &Device| {
        let record = device.fold.record("animal", "A1").expect("there");
        (record.text("name").map(str::to_owned), record.text("note").map(str::to_owned))
    };
    // The act taken back is of form 2 and what stood before of form 1; then the other way about.
    device.undo(&noted).expect("nobody has written since");
    assert_eq!(shown(&device), (Some("Belle".into()), Some("calm".into())));
    let undone = device.undo(&renamed).expect("nobody has written since");
    assert_eq!(shown(&device), (Some("Bel".into()), Some("calm".into())));
    device.undo(&undone).expect("an undo can be undone");
    assert_eq!(shown(&device), (Some("Belle".into()), Some("calm".into())));
    let entry = device.find(&undone).expect("kept");
    assert_eq!(entry.undoes, Some(Named::Whole(renamed)));
    let again = fold_of(device.lines.iter().rev());
    assert_eq!(view(&again), view(&device.fold));
    assert_eq!((again.clashes().count(), again.missing().count()), (0, 0));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(192))]

    /// As for any other lines: the same entries, the same state, and that of the definition.
    #[test]
    fn copied_devices_whose_lines_all_look_alike_converge(
        steps in steps(), keys in prop::collection::vec(any::<u32>(), 1..40), cut in 0..100usize,
    ) {
        let entries = alike(&all_lines(&live(&steps)));
        let plain = fold_entries(&entries);
        prop_assert_eq!(heads(&plain), oracle(&entries));
        let mixed = jumble(&entries, &keys);
        prop_assert_eq!(view(&fold_entries(&mixed)), view(&plain));
        let (first, rest) = mixed.split_at(mixed.len() * cut / 100);
        let mut before = Fold::new(book());
        let mut folded = HashSet::new();
        for entry in first {
            if let Taken::New { folded: refs, .. } = before.take_entry(entry.clone()).expect("of this book") {
                folded.extend(refs);
            }
        }
        let text = before.snapshot();
        let mut fold = Fold::restore(&text).expect("a snapshot just made is whole");
        prop_assert_eq!(fold.snapshot(), text);
        prop_assert_eq!(view(&fold).digests(), view(&before).digests());
        let mut whole = true;
        for entry in first.iter().chain(rest) {
            let taken = fold.take_entry(entry.clone()).expect("of this book");
            whole &= taken != Taken::NeedsHistory || folded.contains(&entry.reference);
        }
        if whole {
            prop_assert_eq!(view(&fold), view(&plain));
        }
    }
}
