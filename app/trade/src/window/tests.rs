use super::*;
use crate::path::{Path, Reading, Track};
use crate::species::Profile;
use crate::units::Temp;
use chrono::TimeDelta;
use proptest::prelude::*;

fn day(n: i64) -> NaiveDateTime {
    NaiveDate::from_ymd_opt(2026, 5, 1).expect("a date").and_hms_opt(18, 0, 0).expect("a time") + TimeDelta::days(n)
}

fn when(s: &str) -> When {
    s.parse().expect("a fixture")
}

fn king() -> Model {
    Model::of(&Profile::find("lampropeltis-getula").expect("built in"))
}

/// Laid on 1 May, on one shelf without readings.
fn ask(model: &Model, set: i32, change: impl FnOnce(&mut Question)) -> Result<Window, Refusal> {
    let track = Track::new(Path::steady(Temp(set)), model);
    let legs = [Leg { from: day(0), place: "shelf", track: &track }];
    let mut q =
        Question { laid: when("2026-05-01"), legs: &legs, eggs: 9, none_by: None, first_pip: None, now: day(10) };
    change(&mut q);
    window(model, &q)
}

fn width(r: (NaiveDateTime, NaiveDateTime)) -> f64 {
    (r.1 - r.0).num_minutes() as f64 / 1440.0
}

#[test]
fn ranges_nest_and_the_stage_follows_the_day() {
    let model = king();
    for (n, stage) in [(1, Stage::Before), (40, Stage::Before), (57, Stage::Open), (90, Stage::Passed)] {
        let w = ask(&model, 2780, |q| q.now = day(n)).expect("a window");
        assert_eq!(w.stage, stage, "day {n}");
        for r in [w.first, w.last, w.unlooked] {
            assert!(
                r.outer.0 <= r.likely.0 && r.likely.0 <= r.median && r.median <= r.likely.1 && r.likely.1 <= r.outer.1
            );
        }
        assert!(w.first.median < w.last.median);
    }
}

#[test]
fn a_windows_days_share_out_its_chance() {
    let first = ask(&king(), 2780, |_| ()).expect("a window").first;
    let days = first.days();
    assert!((days.iter().map(|d| d.1).sum::<f64>() - 1.0).abs() < 1e-9, "{days:?}");
    let likely: f64 =
        days.iter().filter(|d| first.likely.0.date() <= d.0 && d.0 <= first.likely.1.date()).map(|d| d.1).sum();
    assert!((0.8..0.95).contains(&likely), "{likely}");
    let top = days.iter().max_by(|a, b| a.1.total_cmp(&b.1)).expect("days").0;
    assert!((top - first.median.date()).num_days().abs() <= 3, "{top} {}", first.median);
    for (t, chance) in [
        (first.outer.0 - TimeDelta::days(1), 0.0),
        (first.likely.0, 0.1),
        (first.median, 0.5),
        (first.outer.1 + TimeDelta::days(1), 1.0),
    ] {
        assert!((first.chance_by(t) - chance).abs() < 1e-9, "{t}");
    }
}

#[test]
fn no_pip_by_now_moves_the_window_on() {
    let model = king();
    let plain = ask(&model, 2780, |q| q.now = day(62)).expect("a window");
    let looked = ask(&model, 2780, |q| (q.now, q.none_by) = (day(62), Some(day(62)))).expect("a window");
    assert!(plain.first.outer.0 < day(62));
    assert!(looked.first.outer.0 >= day(62) && looked.first.median > plain.first.median);
    assert!(looked.last.outer.0 >= day(62));
    assert_eq!(looked.unlooked, plain.unlooked);
    assert_eq!(looked.look_from(), plain.look_from());
    // Long after, it still answers, and says that it has passed.
    let late = ask(&model, 2780, |q| (q.now, q.none_by) = (day(120), Some(day(120)))).expect("a window");
    assert_eq!(late.stage, Stage::Passed);
    assert!(late.first.likely.1 < day(160), "{:?}", late.first);
}

#[test]
fn the_first_pip_leaves_only_the_clutch_to_spread() {
    let model = king();
    let pip = when("2026-06-29T20:00/2026-06-30T08:00");
    let w = ask(&model, 2780, |q| (q.now, q.first_pip) = (day(60), Some(pip))).expect("a window");
    assert_eq!(w.stage, Stage::Hatching);
    assert!(w.first.outer.0 >= pip.earliest() && w.first.outer.1 <= pip.latest());
    assert!(w.last.median > pip.latest() && width(w.last.outer) < 6.0, "{:?}", w.last);
    assert_eq!(w.developed, 1.0);
    let later = ask(&model, 2780, |q| (q.now, q.first_pip) = (day(64), Some(pip))).expect("a window");
    assert!(later.last.outer.0 >= day(64) - TimeDelta::minutes(1), "{:?}", later.last);
    // Where next to no clutch has an egg left the answer is now, not weeks from now.
    let straggler = ask(&model, 2780, |q| (q.now, q.first_pip) = (day(120), Some(pip))).expect("a window");
    assert!((straggler.last.outer.1 - day(120)).abs() < TimeDelta::days(1), "{:?}", straggler.last);
    let one = ask(&model, 2780, |q| (q.now, q.first_pip, q.eggs) = (day(60), Some(pip), 1)).expect("a window");
    assert_eq!(one.first, one.last);
    let wrong = ask(&model, 2780, |q| q.first_pip = Some(when("2026-04-20")));
    assert_eq!(wrong, Err(Refusal::PipBeforeLay));
}

#[test]
fn what_is_not_known_widens_and_is_named() {
    let model = king();
    let plain = ask(&model, 2780, |_| ()).expect("a window");
    let vague = ask(&model, 2780, |q| (q.laid, q.now) = (when("2026-04-24/2026-05-08"), day(20))).expect("a window");
    assert!(width(vague.first.likely) > width(plain.first.likely) + 1.0);
    assert!(vague.why.causes.iter().any(|c| c.0 == Cause::LayDate && c.1 > 3.0), "{:?}", vague.why.causes);
    assert!((vague.why.lay_days - 15.0).abs() < 0.01);
    assert!(plain.why.causes.windows(2).all(|w| w[0].1 >= w[1].1));
    assert_eq!(plain.why.mean_read_c, None);
    assert_eq!(plain.why.ahead_c, 27.8);
    let exact = ask(&model.clone().with_thermometer(0.0), 2780, |_| ()).expect("a window");
    assert!(width(exact.first.likely) < width(plain.first.likely));
}

#[test]
fn warmer_is_sooner_and_the_page_is_told_when_not_tolerated() {
    let model = king();
    let mut last = day(1000);
    for (set, side) in [(2200, Some(Side::Cold)), (2500, None), (2800, None), (3000, None), (3150, Some(Side::Hot))] {
        let w = ask(&model, set, |_| ()).expect("a window");
        assert!(w.first.median < last, "{set}");
        last = w.first.median;
        assert_eq!(w.why.not_tolerated.map(|t| t.0), side, "{set}");
    }
}

#[test]
fn outside_what_is_known_there_is_no_window() {
    let model = king();
    let limits = (20.0, 33.5);
    for (set, refused) in
        [(1990, Refusal::SoFarOutside { hours: 0.0, limits }), (3360, Refusal::SoFarOutside { hours: 0.0, limits })]
    {
        let seen = ask(&model, set, |_| ()).expect_err("refused");
        assert_eq!(std::mem::discriminant(&seen), std::mem::discriminant(&refused), "{set}: {seen}");
    }
    let ahead = ask(&model, 3400, |q| q.now = day(1)).expect_err("refused");
    assert_eq!(ahead, Refusal::AheadOutside { celsius: 34.0, limits });
    assert_eq!(ask(&model, 2800, |q| q.laid = when("2026-06-01")), Err(Refusal::NotLaidYet));
    assert_eq!(ask(&model, 2800, |q| q.legs = &[]), Err(Refusal::NoPlace));
    let vague = ask(&model, 2800, |q| (q.laid, q.now) = (when("2026-03-01/2026-04-30"), day(0)));
    assert!(matches!(vague, Err(Refusal::LaidTooVaguely { .. })));
    // A python's shelf is no colubrid's, nor a crested gecko's.
    for (key, inside, outside) in
        [("python-regius", 3150, 2500), ("correlophus-ciliatus", 2300, 3150), ("eublepharis-macularius", 3300, 2200)]
    {
        let model = Model::of(&Profile::find(key).expect("built in"));
        assert!(ask(&model, inside, |_| ()).is_ok(), "{key}");
        assert!(ask(&model, outside, |_| ()).is_err(), "{key}");
    }
}

#[test]
fn a_short_power_cut_delays_and_widens_but_does_not_refuse() {
    let model = king();
    let hourly = |cut: bool| -> Vec<Reading> {
        (0..24 * 30)
            .map(|h| {
                let cold = cut && (240..264).contains(&h);
                Reading { at: day(0) + TimeDelta::hours(h), temp: Temp(if cold { 1500 } else { 2780 }) }
            })
            .collect()
    };
    let [even, cut] = [false, true].map(|cut| {
        let track = Track::new(Path::new(&hourly(cut), Some(Temp(2780)), Temp(0)).expect("read"), &model);
        let legs = [Leg { from: day(0), place: "shelf", track: &track }];
        let laid = When::time(day(0));
        let q = Question { laid, legs: &legs, eggs: 9, none_by: None, first_pip: None, now: day(30) };
        window(&model, &q).expect("a window")
    });
    let delay = width((even.first.median, cut.first.median));
    assert!((0.5..1.0).contains(&delay), "{delay}");
    assert!(cut.why.outside_hours > 22.0 && cut.why.causes.iter().any(|c| c.0 == Cause::OutsideLimits));
    assert!(even.why.causes.iter().all(|c| c.0 != Cause::OutsideLimits));
    assert!((even.why.days_read - 30.0).abs() < 0.1 && even.why.mean_read_c.is_some_and(|c| (c - 27.8).abs() < 1e-6));
}

#[test]
fn a_reading_taken_as_the_eggs_came_is_told() {
    let model = king();
    for (read, now) in [(0, 0), (0, 5), (-10, 1), (3, 3), (0, 600)] {
        let [read, now] = [read, now].map(|m| day(0) + TimeDelta::minutes(m));
        let readings = [Reading { at: read, temp: Temp(3100) }];
        let track = Track::new(Path::new(&readings, Some(Temp(2780)), Temp(0)).expect("read"), &model);
        let legs = [Leg { from: day(0), place: "shelf", track: &track }];
        let q = Question { laid: When::time(day(0)), legs: &legs, eggs: 9, none_by: None, first_pip: None, now };
        let why = window(&model, &q).expect("a window").why;
        assert!(why.mean_read_c.is_some_and(|c| (c - 31.0).abs() < 1e-6), "read {read}, told {now}: {why:?}");
    }
}

/// A reading a day of 82 °F, one of them typed as 87: 2.78 °C too much (arithmetic).
#[test]
fn a_typo_among_daily_readings_is_named_and_moves_little() {
    let model = king();
    let shelf = |typo: Option<i64>, set: Option<Temp>, upto: i64| {
        let one = |d: i64| Reading { at: day(d), temp: Temp(if typo == Some(d) { 3058 } else { 2780 }) };
        let readings: Vec<Reading> = (0..upto).map(one).collect();
        let track = Track::new(Path::new(&readings, set, Temp(0)).expect("read"), &model);
        let legs = [Leg { from: day(0), place: "shelf", track: &track }];
        let laid = When::time(day(0));
        let now = day(upto);
        window(&model, &Question { laid, legs: &legs, eggs: 9, none_by: None, first_pip: None, now }).expect("a window")
    };
    for set in [None, Some(Temp(2780))] {
        for (typo, upto) in [(12, 30), (29, 30), (0, 30), (28, 30)] {
            let (sound, odd) = (shelf(None, set, upto), shelf(Some(typo), set, upto));
            let moved = width((odd.first.median, sound.first.median)).abs();
            assert!(moved < 0.15, "day {typo}, {set:?}: {moved}");
            assert_eq!(odd.why.odd, [Reading { at: day(typo), temp: Temp(3058) }], "day {typo}, {set:?}");
            assert_eq!(sound.why.odd, []);
        }
    }
    // A shelf that is warm for days is warm: what others bear out is not odd.
    let readings: Vec<Reading> =
        (0..30).map(|d| Reading { at: day(d), temp: Temp(if d > 20 { 3058 } else { 2780 }) }).collect();
    assert_eq!(Path::new(&readings, None, Temp(0)).expect("read").odd(), []);
}

#[test]
fn a_box_that_moved_is_the_sum_of_its_stays() {
    let model = king();
    let (cool, warm) = (Track::new(Path::steady(Temp(2600)), &model), Track::new(Path::steady(Temp(2900)), &model));
    let (d_cool, d_warm) = (model.days_at(26.0).expect("inside"), model.days_at(29.0).expect("inside"));
    // The first leg is over before lay and must not count; a place visited twice is one thermometer.
    let legs = [
        Leg { from: day(-9), place: "warm", track: &warm },
        Leg { from: day(-1), place: "cool", track: &cool },
        Leg { from: day(15), place: "warm", track: &warm },
        Leg { from: day(25), place: "cool", track: &cool },
    ];
    let q = Question { laid: When::time(day(0)), legs: &legs, eggs: 1, none_by: None, first_pip: None, now: day(30) };
    let w = window(&model, &q).expect("a window");
    let expected = 25.0 + (1.0 - 15.0 / d_cool - 10.0 / d_warm) * d_cool;
    assert!((width((day(0), w.first.median)) - expected).abs() < 0.01, "{expected}");
    let so_far = 15.0 / d_cool + 10.0 / d_warm + 5.0 / d_cool;
    assert!((w.developed - so_far).abs() < 1e-3);
}

proptest! {
    #[test]
    fn no_input_panics_or_disorders(
        set in 0i32..5000,
        now in -5i64..400,
        laid_back in 0i64..60,
        none in proptest::option::of(-20i64..500),
        pip in proptest::option::of(-20i64..500),
        eggs in 0u32..200,
    ) {
        let model = king();
        let laid = When::span(crate::when::Point::Time(day(-laid_back)), crate::when::Point::Time(day(0)));
        let w = ask(&model, set, |q| {
            (q.laid, q.now, q.none_by, q.first_pip, q.eggs) =
                (laid, day(now), none.map(day), pip.map(|p| When::time(day(p))), eggs);
        });
        if let Ok(w) = w {
            for r in [w.first, w.last, w.unlooked] {
                prop_assert!(r.outer.0 <= r.likely.0 && r.likely.0 <= r.median, "{r:?}");
                prop_assert!(r.median <= r.likely.1 && r.likely.1 <= r.outer.1, "{r:?}");
            }
            prop_assert!((0.0..=1.0).contains(&w.developed));
            prop_assert!(w.developed_likely.0 <= w.developed && w.developed <= w.developed_likely.1);
        }
    }
}
