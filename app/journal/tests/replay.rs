//! The replay command's search: it finds planted faults and shrinks them to the smallest case; the real fold has none.

mod orders;
mod world;

use orders::{Way, apart, ways};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use serde_json::json;
use world::*;

/// Forty lines by three devices that do not know of each other; two of them write the same field.
fn lines() -> Vec<String> {
    let mut devices: Vec<Device> = (0..3).map(|n| Device::new(n, NOON)).collect();
    for turn in 0..13 {
        for (n, device) in devices.iter_mut().enumerate() {
            device.wall += 20_000;
            device.set("egg", &format!("E{n}{turn}"), json!({"note": turn}));
        }
    }
    devices[2].set("animal", "A1", json!({"name": "Moss"}));
    all_lines(&devices)
}

#[test]
fn a_fold_that_believes_who_comes_last_is_shrunk_to_two_lines() {
    let mut devices: Vec<Device> = (0..2).map(|n| Device::new(n, NOON)).collect();
    devices[0].set("animal", "A1", json!({"name": "Bel"}));
    let lines = [lines(), all_lines(&devices)].concat();
    let last = |way: &Way| {
        let named = way.order.iter().rev().find(|line| lines[**line].contains(r#""name":"#));
        Some(named.map(|line| lines[*line].clone()).unwrap_or_default())
    };
    let found = apart(&ways(&[lines.len()]), &last).expect("the fault is found").shrunk(&last);
    assert_eq!(found.lines().len(), 2, "{found:?}");
    assert!(found.lines().iter().all(|line| lines[*line].contains(r#""name":"#)));
    let Way { order, cut } = &found.one;
    assert_eq!(found.other, Way { order: order.iter().rev().copied().collect(), cut: None });
    assert_eq!(*cut, None);
}

#[test]
fn a_fold_that_counts_repetitions_is_shrunk_to_one_line() {
    let count = |way: &Way| Some(way.order.len().to_string());
    let found = apart(&ways(&[10, 30]), &count).expect("the fault is found").shrunk(&count);
    assert_eq!((found.one.order.len(), found.other.order.len(), found.lines().len()), (1, 2, 1));
}

#[test]
fn a_fold_that_forgets_what_waits_when_written_down_is_shrunk_to_one_chain() {
    let lines = lines();
    // Half-way, lines that wait for earlier ones are dropped: a snapshot written without them.
    let forgetful = |way: &Way| {
        let brought: Vec<&String> = way.order.iter().map(|line| &lines[*line]).collect();
        let (first, rest) = brought.split_at(way.cut.unwrap_or(0));
        let waits: Vec<_> = fold_of(first).waiting().collect();
        let kept = first.iter().filter(|line| {
            let reference = journal::Entry::read(line).expect("a sealed line reads").reference;
            !waits.contains(&reference)
        });
        Some(fold_of(kept.chain(rest)).digest().short())
    };
    let found = apart(&ways(&[lines.len()]), &forgetful).expect("the fault is found").shrunk(&forgetful);
    assert_eq!(found.lines().len(), 2, "one line and the one it waits for: {found:?}");
    assert!(found.one.cut.is_some() != found.other.cut.is_some());
}

#[test]
fn the_real_fold_comes_to_one_state() {
    let mut runner = TestRunner::deterministic();
    for _ in 0..24 {
        let steps = steps().new_tree(&mut runner).expect("steps").current();
        let lines = all_lines(&live(&steps));
        let comes = |way: &Way| orders::real(&lines, way, book(), &[]);
        assert_eq!(apart(&ways(&[lines.len() / 3, lines.len() - lines.len() / 3]), &comes), None);
    }
}
