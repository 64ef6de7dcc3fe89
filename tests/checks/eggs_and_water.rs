//! Measures of eggs and clutches, and water in the box (checks 9–13).

use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use trade::measures::{RelativeClutchMass, egg_volume, hatchling_share};
use trade::units::Mass;
use trade::water::{BoxEvent, ToAdd, VERMICULITE, fill_to, humidity_percent, to_add, water_for};

fn grams(g: f64) -> Mass {
    Mass::from_grams(g).expect("a mass")
}

/// Check 9. Brown 2004 (0.5, 1.0) and Wei 2021 (0.5, 0.9), as compiled in doi 10.1242/jeb.249960; 0.75 is log-log
/// between the points of 0.5 and 0.9.
#[test]
fn water_potentials() {
    for (ratio, kpa) in
        [(0.25, -920.0), (0.5, -300.0), (0.75, -179.0), (0.9, -142.0), (1.0, -135.0), (1.2, -85.0), (3.0, -2.0)]
    {
        let seen = VERMICULITE.potential_kpa(ratio).expect("inside the table");
        assert!((seen - kpa).abs() < 0.5, "{ratio}: {seen}");
    }
    for outside in [0.0, 0.2, 3.5] {
        assert!(VERMICULITE.potential_kpa(outside).is_err(), "{outside}");
    }
    assert_eq!(water_for(grams(200.0), 1.0), Ok(grams(200.0)));
}

/// Check 9b. Arithmetic.
#[test]
fn a_closed_box_through_the_weeks() {
    let day = |n: i64| -> NaiveDateTime {
        NaiveDate::from_ymd_opt(2026, 6, 1).expect("a date").and_time(chrono::NaiveTime::MIN) + TimeDelta::days(n)
    };
    let mut events = vec![
        (day(0), BoxEvent::Baseline { closed: grams(1500.0) }),
        (day(7), BoxEvent::Water { before: Some(grams(1480.0)), added: grams(20.0) }),
    ];
    let full = fill_to(&events).expect("weighed");
    assert_eq!(to_add(full, grams(1490.0), grams(1.0)), ToAdd::Add(grams(10.0)));
    events.push((day(14), BoxEvent::Water { before: Some(grams(1490.0)), added: grams(10.0) }));
    events.push((day(15), BoxEvent::TakenOut { mass: Some(grams(12.0)) }));
    events.push((day(15), BoxEvent::TakenOut { mass: Some(grams(12.0)) }));
    assert_eq!(fill_to(&events).expect("weighed").mass, grams(1476.0));
}

/// Check 10. Kelvin's equation with a molar volume of water of 18.05 cm³/mol (textbook), 27 °C.
#[test]
fn humidity_over_a_medium() {
    for (kpa, percent) in [(-150.0, 99.89), (-300.0, 99.78), (-1100.0, 99.21)] {
        let seen = humidity_percent(kpa, 27.0).expect("in range");
        assert!((seen - percent).abs() < 0.005, "{kpa}: {seen}");
    }
}

/// Check 11. Shapes after Preston 1974 and Iverson 2019; arithmetic.
#[test]
fn an_egg_of_29_6_by_17_mm() {
    let v = egg_volume(29.6, 17.0).expect("an egg");
    for (seen, expected) in [(v.ellipsoid_cm3, 4.479), (v.bicone_cm3, 2.240), (v.cylinder_cm3, 6.719)] {
        assert!((seen - expected).abs() < 5e-4, "{seen}, expected {expected}");
    }
}

/// Check 12. Iverson 2012, bullsnakes: .37 of the gravid female, .59 of the spent one.
#[test]
fn relative_clutch_mass_by_both_definitions() {
    let of_spent = RelativeClutchMass::spent_share(0.37).expect("a share");
    assert!((of_spent - 0.587).abs() < 5e-4, "{of_spent}");
    assert!((of_spent - 0.59).abs() < 0.005, "published");
    let weighed = RelativeClutchMass::from_gravid(grams(370.0), grams(1000.0)).expect("weighed");
    assert!((weighed.of_spent - of_spent).abs() < 1e-9);
}

/// Check 13. Ji 2001: a hatchling of 20.9 g from an egg of 28.1 g.
#[test]
fn hatchling_from_egg() {
    let share = hatchling_share(grams(20.9), grams(28.1)).expect("weighed");
    assert!((share - 0.744).abs() < 5e-4, "{share}");
}
