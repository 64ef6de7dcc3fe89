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
    let m = medium_now(&VERMICULITE, g(200), g(200), Mass::ZERO, g(120), 1.0, g(0)).expect("a dry mass");
    assert_eq!(m.in_eggs, g(36));
    assert!((m.ratio - 0.82).abs() < 1e-9);
    assert!(m.kpa.expect("inside the table") < -142.0);
    assert_eq!(medium_now(&VERMICULITE, g(0), g(1), g(0), g(0), 0.0, g(0)), Err(WaterRefusal::NoDryMass));
}

#[test]
fn what_removed_eggs_drank_is_gone_from_the_medium() {
    // Ten 12 g eggs drink 3.6 g each; two leave when full. The box is then filled to what it should weigh without them.
    let left = carried_off(g(12), Some(Mass(15_600)), 1.0);
    assert_eq!(left, Mass(3600));
    assert_eq!(carried_off(g(12), None, 1.0), Mass(3600));
    assert_eq!(carried_off(g(12), None, 0.5), Mass(1800));
    assert_eq!(carried_off(g(12), Some(g(9)), 1.0), g(0), "an egg that shrank gave nothing back");
    let all = medium_now(&VERMICULITE, g(200), g(200), g(0), g(120), 1.0, g(0)).expect("a dry mass");
    let eight = medium_now(&VERMICULITE, g(200), g(200), g(0), g(96), 1.0, left + left).expect("a dry mass");
    assert!((all.ratio - eight.ratio).abs() < 1e-9, "{all:?} {eight:?}");
}

#[test]
fn what_has_a_day_only_goes_by_the_order_of_writing_among_that_day_s_weighings() {
    let at = |text: &str| text.parse::<When>().expect(text);
    let (out, lid) = (TakenOut { mass: Some(g(12)) }, Baseline { closed: g(1400) });
    let noted = |rows: &[(&str, BoxEvent)]| -> Vec<Noted> {
        rows.iter().enumerate().map(|(turn, (when, event))| Noted { when: at(when), turn, event: *event }).collect()
    };
    let from = at("2026-06-01T15:00").earliest();
    for (rows, full, why) in [
        (vec![("2026-06-01", out)], 1488, "the set-up day"),
        (vec![("2026-05-31", out)], 1500, "the day before"),
        (vec![("2026-06-01T14:00", out)], 1500, "before the set-up"),
        (vec![("2026-06-05T10:00", lid), ("2026-06-05", out)], 1388, "noted after the lid"),
        (vec![("2026-06-05", out), ("2026-06-05T10:00", lid)], 1400, "noted before the lid"),
        (vec![("2026-06-05", lid), ("2026-06-05", out)], 1388, "neither has a time"),
        (vec![("2026-06-05", out), ("2026-06-05", lid)], 1400, "neither has a time, the other way"),
        (vec![("2026-06-05", lid), ("2026-06-05T18:00", out)], 1388, "the lid has none"),
        (vec![("2026-06-05T10:00", out), ("2026-06-05T10:00", lid)], 1400, "one minute: the lid is last"),
        (vec![("2026-06-05T10:00", lid), ("2026-06-05T10:00", out)], 1400, "the same, written otherwise"),
        (vec![("2026-06-05T10:00", lid), ("2026-06-04", out)], 1400, "the day before the lid"),
        (vec![("2026-06-05T10:00", lid), ("2026-06-04/2026-06-06", out)], 1388, "a span around it, noted after"),
    ] {
        let order = in_order(from, Some(g(1500)), &noted(&rows));
        assert_eq!(fill_to(&order).map(|f| f.mass), Ok(g(full)), "{why}: {order:?}");
        assert!(order.windows(2).all(|w| w[0].0 <= w[1].0), "{why}: {order:?}");
    }
    // A day's plain weighing counts as well: what left after it was no water lost.
    let dry = Water { before: Some(g(1490)), added: g(10) };
    let later = Water { before: Some(g(1488)), added: g(0) };
    let rows = [("2026-06-05T10:00", dry), ("2026-06-05", out), ("2026-06-10T10:00", later)];
    let order = in_order(from, Some(g(1500)), &noted(&rows));
    assert_eq!(level(&order).map(|l| l.1), Some(g(1488)));
    assert_eq!(fill_to(&order).map(|f| f.mass), Ok(g(1488)));
    assert!(loss_per_day(&order).expect("weighed") < Mass(1200), "{order:?}");
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
