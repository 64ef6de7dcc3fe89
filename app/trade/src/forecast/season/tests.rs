use super::*;
use crate::forecast::needs::{Need, runs_short};
use crate::forecast::{After, Eggs, MEAL_DAYS, Timing, Young};
use crate::luck::{Of, Start};
use crate::path::days;
use crate::rates::{count_range, sum_of};
use crate::success::Seen;

pub(super) fn at(text: &str) -> NaiveDateTime {
    text.parse().expect(text)
}

pub(super) const NOW: &str = "2026-06-08T12:00:00"; // a Monday

fn of(dam: &str) -> Of {
    Of {
        start: Start::middle(2.0),
        species: "a snake".to_owned(),
        dam: dam.to_owned(),
        pair: String::new(),
        shelf: "N1".to_owned(),
        season: "2026".to_owned(),
    }
}

fn luck() -> Luck {
    Luck::learned(&[], 1)
}

/// A clutch whose first pip comes `ahead` days from now, give or take `sd` (a share of 60 days), all of it its own.
pub(super) fn clutch(key: &str, ahead: f64, sd: f64, eggs: usize) -> Group {
    let now = days(at(NOW));
    Group {
        key: key.to_owned(),
        of: of(key),
        boxes: 1,
        laid: 1.0,
        eggs: Eggs::Seen { eggs: vec![Seen::NotYet; eggs], late: false },
        timing: Timing::steady(now + ahead - 60.0, 60.0, (0.0, 0.0, sd * sd), 0.6),
        after: After { out_h: (12.0, 48.0), shed_days: (5.0, 14.0), meal_days: MEAL_DAYS },
        pipped: Vec::new(),
        young: Vec::new(),
    }
}

fn barn(n: usize) -> Vec<Group> {
    (0..n).map(|i| clutch(&format!("c{i}"), 4.0 + i as f64 * 1.7 % 70.0, 0.04, 6 + i % 9)).collect()
}

#[test]
fn the_same_seed_gives_the_same_season_and_another_another() {
    let groups = barn(12);
    let read = |seed| {
        let s = season(&groups, &luck(), at(NOW), 16, seed);
        (0..16).map(|w| s.week(Event::Out, w)).collect::<Vec<_>>()
    };
    assert_eq!(read(7), read(7));
    assert_ne!(read(7), read(8));
}

#[test]
fn parts_add_up_and_a_changed_clutch_moves_no_other() {
    let mut groups = barn(10);
    let all = season_of(&groups, &luck(), at(NOW), 16, 1500, 3);
    let (left, right) = groups.split_at(4);
    let (a, b) = (season_of(left, &luck(), at(NOW), 16, 1500, 3), season_of(right, &luck(), at(NOW), 16, 1500, 3));
    for event in Event::ALL {
        for w in 0..=16 {
            let sum: Vec<u16> = a.drawn(event, w).zip(b.drawn(event, w)).map(|(x, y)| x + y).collect();
            assert_eq!(all.drawn(event, w).collect::<Vec<_>>(), sum, "{event:?} {w}");
        }
    }
    groups[0].eggs = Eggs::Seen { eggs: vec![Seen::Dead; 6], late: false };
    let changed = season_of(&groups, &luck(), at(NOW), 16, 1500, 3);
    assert_eq!(changed.of_group(0).mean, 0.0);
    for i in 1..10 {
        assert_eq!(all.out_of(i), changed.out_of(i));
    }
}

#[test]
fn clutches_share_their_luck_and_sums_are_wider_than_of_clutches_on_their_own() {
    // All dates far apart and sure: each week's count is one clutch's.
    let groups: Vec<Group> = (0..4).map(|i| clutch(&format!("c{i}"), 10.0 + 14.0 * i as f64, 0.0005, 8)).collect();
    let s = season_of(&groups, &luck(), at(NOW), 16, 4000, 11);
    let alone = (0..4).map(|i| {
        let mut chances = vec![0.0; 9];
        s.out_of(i).iter().for_each(|n| chances[usize::from(*n)] += 1.0 / 4000.0);
        chances
    });
    let alone = alone.reduce(|sum, one| sum_of(&sum, &one)).expect("four");
    let whole = s.whole(Event::Out);
    let mean: f64 = alone.iter().enumerate().map(|(k, p)| k as f64 * p).sum();
    assert!((whole.mean - mean).abs() < 1e-6, "{whole:?} {mean}");
    let (low, high) = count_range(&alone, 0.8).expect("not empty");
    assert!(whole.low + 2 <= low as u32 && whole.high >= high as u32, "{whole:?} {low} {high}");
    let some: Vec<usize> = (0..=16).filter(|&w| s.week(Event::Out, w).mean > 1.0).collect();
    for &w in &some {
        assert_eq!(s.makers(Event::Out, w).len(), 1, "week {w}");
    }
    assert!(some.len() >= 4);
}

#[test]
fn what_follows_follows() {
    let s = season_of(&barn(20), &luck(), at(NOW), 40, 1000, 5);
    for w in 0..40 {
        let upto = |e| s.upto(e, w).mean;
        assert!(upto(Event::Out) >= upto(Event::Shed) && upto(Event::Shed) >= upto(Event::Meal) - 1.0, "week {w}");
    }
    assert_eq!(s.whole(Event::Out).mean, s.whole(Event::Meal).mean);
}

#[test]
fn none_seen_by_now_speaks_for_a_dead_clutch() {
    let early = clutch("c", 20.0, 0.04, 8);
    let mut late = early.clone();
    late.timing.unseen = 0.001;
    let mean = |g: Group| season_of(&[g], &luck(), at(NOW), 16, 4000, 1).whole(Event::Out).mean;
    let (early, late) = (mean(early), mean(late));
    assert!(late < early * 0.85, "{early} {late}");
}

#[test]
fn pipped_and_young_have_their_own_way() {
    let mut g = clutch("c", 20.0, 0.04, 0);
    g.pipped = vec![at("2026-06-07T20:00:00"); 3];
    g.young = vec![
        Young { out: at("2026-06-01T08:00:00"), shed: false, fed: false },
        Young { out: at("2026-05-01T08:00:00"), shed: true, fed: false },
        Young { out: at("2026-04-01T08:00:00"), shed: true, fed: true },
    ];
    let s = season_of(&[g], &luck(), at(NOW), 20, 4000, 1);
    assert!((s.week(Event::Out, 0).mean - 2.85).abs() < 0.05, "three pipped, nearly all out this week");
    assert!((s.whole(Event::Shed).mean - 3.85).abs() < 0.05);
    assert!((s.whole(Event::Meal).mean - 4.85).abs() < 0.05);
    assert_eq!(s.whole(Event::Pip).mean, 0.0);
}

#[test]
fn a_pairing_may_come_to_nothing() {
    let mut g = clutch("p", 60.0, 0.1, 0);
    g.eggs = Eggs::Usual((6.0, 12.0));
    g.laid = 0.6;
    let s = season_of(&[g.clone()], &luck(), at(NOW), 30, 4000, 1);
    let whole = s.whole(Event::Out);
    let laid = season_of(&[Group { laid: 1.0, ..g }], &luck(), at(NOW), 30, 4000, 1);
    let all = laid.whole(Event::Out);
    assert!((whole.mean - 0.6 * all.mean).abs() < 0.15, "{whole:?} {all:?}");
    // Six to twelve eggs are nine: as many babies as nine eggs that are laid and seen give (a mean of sums is the sum of
    // means, whatever they share).
    let nine = season_of(&[clutch("p", 60.0, 0.1, 9)], &luck(), at(NOW), 30, 4000, 1).whole(Event::Out);
    assert!((all.mean - nine.mean).abs() < 0.25, "{all:?} {nine:?}");
    assert_eq!(whole.low, 0);
    let pips = laid.whole(Event::Pip).mean;
    assert!((s.whole(Event::Pip).mean - 0.6 * pips).abs() < 0.02 && pips < 1.0);
}

#[test]
fn wishes_stand_against_the_same_draws() {
    let groups = barn(3);
    let s = season_of(&groups, &luck(), at(NOW), 30, 4000, 1);
    let all: Vec<(usize, f64)> = (0..3).map(|i| (i, 1.0)).collect();
    let sure = s.enough(&all, 1);
    assert!((sure.expected - s.whole(Event::Out).mean).abs() < 1e-9 && sure.chance > 0.95);
    let quarter = s.enough(&[(0, 0.25)], 3);
    assert!((quarter.expected - 0.25 * s.of_group(0).mean).abs() < 0.1);
    assert!(s.enough(&[(0, 0.25)], 2).chance > quarter.chance);
    assert_eq!(s.enough(&[], 1).chance, 0.0);
    assert_eq!(s.enough(&[(99, 1.0)], 1).expected, 0.0);
}

#[test]
fn needs_run_short_in_a_week() {
    let s = season_of(&barn(20), &luck(), at(NOW), 26, 1000, 5);
    let need = Need { of: Event::Out, each: 1.0, base: 4.0 };
    let weeks = need.weeks(&s, Some(40));
    let short = runs_short(&weeks).expect("a week");
    assert!(weeks[short].needed.high > 40 && weeks[short - 1].short < weeks[short].short);
    assert!(weeks.windows(2).all(|w| w[0].needed.mean <= w[1].needed.mean));
    assert_eq!(runs_short(&need.weeks(&s, Some(9999))), None);
    assert_eq!(runs_short(&need.weeks(&s, None)), None);
}

#[test]
fn a_season_of_nothing_is_nothing() {
    let s = season(&[], &luck(), at(NOW), 0, 1);
    assert_eq!((s.weeks, s.whole(Event::Out)), (1, Count { mean: 0.0, low: 0, high: 0 }));
}
