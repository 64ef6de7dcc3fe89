//! Whatever several devices do and however their lines travel: the same set of lines, the same state.

mod world;

use journal::{Entry, Fold, Stamp, Taken};
use proptest::prelude::*;
use serde_json::json;
use std::collections::HashSet;
use world::*;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn any_order_and_repetition_gives_the_same_state(
        steps in steps(), one in prop::collection::vec(any::<u32>(), 1..40), two in prop::collection::vec(any::<u32>(), 1..40),
    ) {
        let lines = all_lines(&live(&steps));
        let plain = fold_of(&lines);
        let expected = view(&plain);
        prop_assert_eq!(heads(&plain), oracle(&entries_of(&lines)));
        prop_assert_eq!(&expected, &view(&fold_of(jumble(&lines, &one))));
        prop_assert_eq!(&expected, &view(&fold_of(jumble(&lines, &two))));
        prop_assert_eq!(&expected, &view(&fold_of(by_device(&lines, &two))));
        prop_assert_eq!(plain.missing().count(), 0);
    }

    #[test]
    fn gaps_are_held_counted_and_filled(
        steps in steps(), keep in prop::collection::vec(any::<bool>(), 8..30), keys in prop::collection::vec(any::<u32>(), 1..40),
    ) {
        let lines = all_lines(&live(&steps));
        let kept = |i: usize| keep[i % keep.len()];
        let (part, rest): (Vec<_>, Vec<_>) = lines.iter().cloned().enumerate().partition(|(i, _)| kept(*i));
        let part: Vec<String> = part.into_iter().map(|(_, line)| line).collect();
        let rest: Vec<String> = rest.into_iter().map(|(_, line)| line).collect();
        let mut fold = fold_of(&part);
        prop_assert_eq!(&view(&fold), &view(&fold_of(jumble(&part, &keys))));
        prop_assert_eq!(heads(&fold), oracle(&entries_of(&part)));
        let held: u32 = fold.chains().map(|chain| chain.held).sum();
        let folded: u32 = fold.chains().map(|chain| chain.folded).sum();
        prop_assert_eq!((held + folded) as usize, part.len());
        prop_assert_eq!(held > 0 && fold.missing().count() == 0, false);
        for line in jumble(&rest, &keys) {
            fold.take(&line).expect("a sealed line is taken");
        }
        prop_assert_eq!(view(&fold), view(&fold_of(&lines)));
    }

    #[test]
    fn a_snapshot_in_parts_is_the_whole(steps in steps(), salt in any::<u32>(), parts in 1..4u32) {
        let whole = fold_of(all_lines(&live(&steps)));
        let part = |kind: &str, id: &str| kind.bytes().chain(id.bytes()).fold(salt, |h, b| h.wrapping_mul(31) ^ u32::from(b)) % parts;
        let mut fold = Fold::restore(&whole.snapshot_of(|kind, id| part(kind, id) == 0).0).expect("the first part");
        let mut came = 0;
        for n in 1..parts {
            came += fold.take_part(&whole.snapshot_of(|kind, id| part(kind, id) == n).0).expect("a part").0.len();
        }
        let records = |fold: &Fold| fold.kinds().map(|kind| fold.any_records(kind).count()).sum::<usize>();
        let first = whole.kinds().flat_map(|kind| whole.any_records(kind).map(move |(id, _)| part(kind, id))).filter(|n| *n == 0);
        prop_assert_eq!(came + first.count(), records(&whole));
        prop_assert_eq!(fold.snapshot(), whole.snapshot());
        prop_assert_eq!(fold.digest(), whole.digest());
        prop_assert_eq!(fold.clashes().collect::<Vec<_>>(), whole.clashes().collect::<Vec<_>>());
        // What is there is the newer, so taking a part again changes nothing.
        prop_assert_eq!(fold.take_part(&Fold::new(book()).snapshot()).expect("an empty part").0, []);
        prop_assert_eq!(fold.take_part(&whole.snapshot()).expect("all again").0, []);
        prop_assert_eq!(fold.snapshot(), whole.snapshot());
    }

    #[test]
    fn a_snapshot_and_the_rest_is_the_whole(
        steps in steps(), cut in 0..100usize, whole in any::<bool>(), keys in prop::collection::vec(any::<u32>(), 1..40),
    ) {
        let lines = all_lines(&live(&steps));
        let lines = if whole { by_device(&lines, &keys) } else { jumble(&lines, &keys) };
        let (first, rest) = lines.split_at(lines.len() * cut / 100);
        let mut before = Fold::new(book());
        let mut folded = HashSet::new();
        for line in first {
            if let Taken::New { folded: refs, .. } = before.take(line).expect("a sealed line is taken") {
                folded.extend(refs);
            }
        }
        let text = before.snapshot();
        let mut fold = Fold::restore(&text).expect("a snapshot just made is whole");
        prop_assert_eq!(fold.snapshot(), text);
        prop_assert_eq!(heads(&fold), heads(&before));
        prop_assert_eq!(fold.digest(), before.digest());
        prop_assert_eq!(fold.entry_set(), before.entry_set());
        prop_assert_eq!(fold.clashes().collect::<Vec<_>>(), before.clashes().collect::<Vec<_>>());
        let forked: HashSet<_> = fold_of(&lines).forks().map(|fork| fork.dev).collect();
        let mut short = false;
        for line in first.iter().chain(rest) {
            let taken = fold.take(line).expect("a sealed line is taken");
            let reference = Entry::read(line).expect("a sealed line reads").reference;
            if folded.contains(&reference) {
                prop_assert!(matches!(taken, Taken::Already | Taken::NeedsHistory));
            } else if taken == Taken::NeedsHistory {
                // Only a second branch that parted before the snapshot can be unknown and old.
                prop_assert!(forked.contains(&reference.dev));
                short = true;
            }
        }
        if !short {
            prop_assert_eq!(view(&fold), view(&fold_of(&lines)));
        }
    }

    #[test]
    fn settled_clashes_stay_settled(steps in steps(), keys in prop::collection::vec(any::<u32>(), 1..40)) {
        let mut devices = live(&steps);
        let lines = all_lines(&devices);
        let mut keeper = devices.remove(0);
        lines.iter().for_each(|line| keeper.receive(line));
        // Reviving a withdrawn record can show a field that differs; the keeper settles that as well.
        for _ in 0..3 {
            settle(&mut keeper);
        }
        prop_assert_eq!(keeper.fold.clashes().count(), 0);
        let again = fold_of(jumble(&keeper.lines, &keys));
        prop_assert_eq!(again.clashes().count(), 0);
        prop_assert_eq!(again.digest(), keeper.fold.digest());
    }

    #[test]
    fn undo_restores_what_is_visible(steps in steps(), act in 0..4u8, id in 0..3u8, value in 1..9u8) {
        let mut devices = live(&steps);
        let lines = all_lines(&devices);
        let mut keeper = devices.remove(0);
        lines.iter().for_each(|line| keeper.receive(line));
        let before = visible(&keeper.fold);
        let done = match act {
            0 => keeper.set("animal", &record_id(id), json!({"name": value, "note": null})),
            1 => keeper.set("egg", "new1", json!({"name": value})),
            2 => keeper.set("animal", &record_id(id), json!({"mass_mg": value, "name": "Bel"})),
            _ => {
                let set = keeper.fold.withdraw("animal", &record_id(id));
                keeper.act(journal::Draft { act: "Withdrawn".into(), sets: vec![set], ..Default::default() }, None)
            }
        };
        let after = visible(&keeper.fold);
        let undone = keeper.undo(&done).expect("an act just done can be undone");
        prop_assert_eq!(visible(&keeper.fold), before.clone());
        prop_assert!(keeper.undo(&done).is_none(), "an act is undone once");
        let redone = keeper.undo(&undone).expect("an undo can be undone");
        prop_assert_eq!(visible(&keeper.fold), after);
        keeper.undo(&redone).expect("and so on");
        prop_assert_eq!(visible(&keeper.fold), before);
    }

    #[test]
    fn what_is_unknown_survives(steps in steps()) {
        let devices = live(&steps);
        let lines = all_lines(&devices);
        let fold = fold_of(&lines);
        for line in &lines {
            let entry = Entry::read(line).expect("a sealed line reads");
            if entry.act == "ActOfNextYear" {
                prop_assert_eq!(&entry.other["part"], &json!({"deep": [125, -30_000_000]}));
                let set = &entry.sets[0];
                let record = fold.any_record(&set.kind, &set.id).expect("folded like any other");
                prop_assert!(record.read_only(&["something_else"]));
                prop_assert!(!record.read_only(&["locks"]));
            }
            prop_assert!(devices.iter().any(|device| device.lines.contains(line)));
        }
    }

    #[test]
    fn a_future_clock_moves_no_one_else(
        moves in prop::collection::vec((0..4usize, 0..4usize, -43_200_000..43_200_000i64), 1..40), ahead in 50..100_000u64,
    ) {
        let mut devices: Vec<Device> = (0..4).map(|n| Device::new(n, NOON)).collect();
        devices[3].wall = NOON + ahead * HOUR;
        let mut sane = NOON;
        for (writer, reader, shift) in moves {
            if writer != 3 {
                devices[writer].wall = NOON.saturating_add_signed(shift);
                sane = sane.max(devices[writer].wall);
            }
            let seen = devices[writer].fold.clock(devices[writer].wall);
            let reference = devices[writer].set("animal", "A1", json!({"note": writer}));
            let at = devices[writer].find(&reference).expect("just written").at;
            prop_assert!(at > seen, "later than everything it follows");
            prop_assert!(writer == 3 || at.ms() <= sane, "{at} is beyond every clock that is right");
            let lines = devices[writer].lines.clone();
            lines.iter().for_each(|line| devices[reader].receive(line));
        }
        devices[3].set("animal", "A1", json!({"note": "from the future"}));
        let fold = fold_of(all_lines(&devices));
        let odd: Vec<_> = fold.odd_clocks(sane).map(|odd| odd.dev).collect();
        prop_assert_eq!(odd, vec![devices[3].identity.dev]);
        // Set right again, the device itself comes back too.
        devices[3].wall = sane;
        let reference = devices[3].set("animal", "A1", json!({"note": "back"}));
        let at = devices[3].find(&reference).expect("just written").at;
        prop_assert!(at.ms() <= sane && at > Stamp::ZERO);
    }

    #[test]
    fn a_cloned_device_is_found(before in 0..4u8, one in 1..4u8, two in 1..4u8) {
        let mut first = Device::new(1, NOON);
        (0..before).for_each(|n| { first.set("animal", "A1", json!({"note": n})); });
        let mut second = first.clone();
        (0..one).for_each(|n| { first.set("animal", "A1", json!({"name": n})); });
        (0..two).for_each(|n| { second.set("animal", "A1", json!({"mass_mg": n})); });
        let mut fold = fold_of(&first.lines);
        prop_assert_eq!(fold.forks().count(), 0);
        let mut told = 0;
        for line in &second.lines {
            if let Taken::New { forked: true, .. } = fold.take(line).expect("a sealed line is taken") {
                told += 1;
            }
        }
        prop_assert_eq!(told, 1);
        let fork = fold.forks().next().expect("found");
        prop_assert_eq!((fork.dev, fork.parted), (first.identity.dev, u32::from(before) + 1));
        prop_assert_eq!(fork.tips.len(), 2);
        let chain = fold.chain(fork.dev).expect("known");
        prop_assert_eq!((chain.folded, chain.held, chain.missing), (u32::from(before + one + two), 0, 0));
        let record = fold.record("animal", "A1").expect("both branches fold");
        prop_assert!(record.get("name").is_some() && record.get("mass_mg").is_some());
    }
}
