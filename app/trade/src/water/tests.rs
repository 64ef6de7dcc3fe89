use super::*;
use chrono::NaiveDate;
use proptest::prelude::*;

fn day(n: i64) -> NaiveDateTime {
    NaiveDate::from_ymd_opt(2026, 6, 1).expect("a date").and_hms_opt(9, 0, 0).expect("a time") + TimeDelta::days(n)
}

fn g(grams: i64) -> Mass {
    Mass(grams * 1000)
}

use BoxEvent::{Baseline, TakenOut, Water};

fn weighed(n: i64, before: i64, added: i64) -> (NaiveDateTime, BoxEvent) {
    (day(n), Water { before: Some(g(before)), added: g(added) })
}

#[test]
fn fill_to_follows_what_left_the_box() {
    let set = (day(0), Baseline { closed: g(1500) });
    type Row<'a> = (&'a [(NaiveDateTime, BoxEvent)], Result<(i64, u32), WaterRefusal>);
    let rows: &[Row] = &[
        (&[], Err(WaterRefusal::NeverWeighed)),
        (&[weighed(1, 900, 0)], Err(WaterRefusal::NeverWeighed)),
        (&[set], Ok((1500, 0))),
        (&[set, weighed(7, 1480, 20), weighed(14, 1490, 0)], Ok((1500, 0))),
        (&[set, (day(9), TakenOut { mass: Some(g(24)) })], Ok((1476, 0))),
        (&[set, (day(9), TakenOut { mass: Some(g(-24)) })], Ok((1524, 0))),
        (&[set, (day(9), TakenOut { mass: None })], Ok((1500, 1))),
        (&[set, (day(9), TakenOut { mass: None }), (day(10), Baseline { closed: g(1470) })], Ok((1470, 0))),
    ];
    for (events, expected) in rows {
        assert_eq!(fill_to(events).map(|f| (f.mass.0 / 1000, f.unweighed)), *expected, "{events:?}");
    }
}

#[test]
fn to_add_says_enough_and_heavier() {
    let f = FillTo { mass: g(1486), unweighed: 0 };
    for (now, expected) in [
        (1476, ToAdd::Add(g(10))),
        (1486, ToAdd::Enough),
        (1485, ToAdd::Enough),
        (1487, ToAdd::Enough),
        (1490, ToAdd::Heavier(g(4))),
    ] {
        assert_eq!(to_add(f, g(now), g(1)), expected, "{now}");
    }
}

#[test]
fn loss_ignores_what_was_taken_out_and_added() {
    let events = [
        (day(0), Baseline { closed: g(1500) }),
        weighed(10, 1480, 20),
        (day(12), TakenOut { mass: Some(g(24)) }),
        weighed(20, 1456, 0),
    ];
    assert_eq!(loss_per_day(&events), Some(g(2)));
    assert_eq!(level(&events), Some((day(20), g(1456))));
    let blind = [events[0], (day(3), Water { before: None, added: g(5) }), weighed(10, 1485, 0)];
    assert_eq!(loss_per_day(&blind), None);
}

#[test]
fn the_next_weighing_comes_when_it_matters() {
    let set = (day(0), Baseline { closed: g(1500) });
    let two_a_day = [set, weighed(7, 1486, 14)];
    for (events, water, look_from, expected) in [
        (&[set][..], Some(200), None, Some(7)),
        (&[set][..], None, None, Some(7)),
        // 5 % of 200 g at 2 g a day: five days on.
        (&two_a_day[..], Some(200), None, Some(12)),
        // 5 % of 2 kg would be seven weeks: never later than a fortnight.
        (&two_a_day[..], Some(2000), None, Some(21)),
        (&two_a_day[..], Some(200), Some(23), Some(12)),
        (&two_a_day[..], Some(200), Some(21), None),
        (&[][..], Some(200), None, None),
    ] {
        let due = next_check(events, water.map(g), g(1), look_from.map(day));
        assert_eq!(due, expected.map(day), "{events:?} {water:?} {look_from:?}");
    }
}

#[test]
fn eggs_drink_from_the_medium() {
    let m = medium_now(&VERMICULITE, g(200), g(200), Mass::ZERO, g(120), 1.0).expect("a dry mass");
    assert_eq!(m.in_eggs, g(36));
    assert!((m.ratio - 0.82).abs() < 1e-9);
    assert!(m.kpa.expect("inside the table") < -142.0);
    assert_eq!(medium_now(&VERMICULITE, g(0), g(1), g(0), g(0), 0.0), Err(WaterRefusal::NoDryMass));
}

#[test]
fn a_bad_table_is_refused() {
    for points in [
        &[][..],
        &[(1.0, -100.0)],
        &[(1.0, -100.0), (0.5, -50.0)],
        &[(0.5, -50.0), (1.0, -100.0)],
        &[(0.0, -9.0), (1.0, -1.0)],
    ] {
        assert_eq!(Medium::new("own", "own", points, "own"), Err(WaterRefusal::BadCalibration), "{points:?}");
    }
}

proptest! {
    #[test]
    fn potential_and_ratio_are_each_others_way_back(r in 0.25f64..=3.0) {
        let kpa = VERMICULITE.potential_kpa(r).expect("inside");
        prop_assert!((VERMICULITE.ratio_for(kpa).expect("inside") - r).abs() < 1e-9);
    }

    #[test]
    fn outside_the_table_is_refused(r in prop_oneof![0.0f64..0.249, 3.001f64..100.0]) {
        prop_assert!(VERMICULITE.potential_kpa(r).is_err());
    }
}
