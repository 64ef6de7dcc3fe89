//! Durations by temperature (checks 1–8): degree-day lines, rate sums, fluctuation, and windows against published eggs.

use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use trade::degree_days::Line;
use trade::journey::Leg;
use trade::path::{Path, Reading, Track};
use trade::response::Model;
use trade::species::Profile;
use trade::units::Temp;
use trade::when::When;
use trade::window::{Question, Range, window};

/// Du & Ji 2008, *Elaphe taeniura*, abstract: °C and mean days.
const BEAUTY: [(f64, f64); 5] = [(22.0, 101.7), (24.0, 86.0), (27.0, 66.3), (30.0, 53.9), (32.0, 50.5)];

fn close(seen: f64, expected: f64, by: f64, what: &str) {
    assert!((seen - expected).abs() <= by, "{what}: {seen}, expected {expected} ± {by}");
}

fn day(n: i64) -> NaiveDateTime {
    NaiveDate::from_ymd_opt(2026, 5, 1).expect("a date").and_time(chrono::NaiveTime::MIN) + TimeDelta::days(n)
}

fn temp(c: f64) -> Temp {
    Temp::from_celsius(c).expect("a temperature")
}

fn profile(key: &str) -> Profile {
    Profile::find(key).expect("built in")
}

/// Checks 1–3. Source: Du & Ji 2008; the line's constants are arithmetic on its figures.
#[test]
fn degree_day_lines() {
    let two = Line::fit(&[BEAUTY[1], BEAUTY[3]]).expect("two points");
    close(two.t0, 13.925, 5e-4, "T0");
    close(two.k, 866.43, 5e-3, "K");
    for (c, days, outside) in [(27.0, 66.27, false), (22.0, 107.3, true), (32.0, 47.9, true)] {
        let at = two.days_at(c).expect("above T0");
        close(at.days, days, 0.05, "days");
        assert_eq!(at.outside_data, outside, "{c} °C");
    }
    let five = Line::fit(&BEAUTY).expect("five points");
    close(five.t0, 12.576, 5e-4, "T0");
    close(five.k, 962.89, 5e-3, "K");
    close(five.r2, 0.9944, 5e-5, "R²");
}

/// Check 2's other half: what the app itself uses follows the published bend where the line does not.
#[test]
fn the_model_follows_the_bend() {
    let model = Model::of(&profile("elaphe-taeniura")).knowing(&[BEAUTY[1], BEAUTY[3]], 0.02);
    let line = Line::fit(&[BEAUTY[1], BEAUTY[3]]).expect("two points");
    let error = |at: &dyn Fn(f64) -> f64| {
        [BEAUTY[0], BEAUTY[4]].map(|(c, seen)| (at(c) / seen - 1.0).abs()).iter().sum::<f64>()
    };
    let own = error(&|c| model.days_at(c).expect("inside"));
    let straight = error(&|c| line.days_at(c).expect("above T0").days);
    println!("22 and 32 °C together: off by {own:.3}, the line by {straight:.3}");
    assert!(own < straight, "{own} against {straight}");
    assert_eq!(model.days_at(19.9), None);
    assert_eq!(model.days_at(33.6), None);
}

/// Check 4. Twenty days at 27 °C, then 30 °C, with the published 66.3 and 53.9 days: arithmetic,
/// 20 + (1 − 20/66.3) × 53.9.
#[test]
fn rates_add() {
    let model = Model::of(&profile("elaphe-taeniura")).knowing(&[BEAUTY[2], BEAUTY[3]], 1e-4);
    let (first, then) = (Track::new(Path::steady(temp(27.0)), &model), Track::new(Path::steady(temp(30.0)), &model));
    let legs = [Leg { from: day(0), place: "a", track: &first }, Leg { from: day(20), place: "b", track: &then }];
    let laid: When = "2026-05-01T00:00".parse().expect("a time");
    let q = Question { laid, legs: &legs, eggs: 1, none_by: None, first_pip: None, now: day(0) };
    let w = window(&model, &q).expect("a window");
    close((w.first.median - day(0)).num_minutes() as f64 / 1440.0, 57.64, 0.01, "day of the first pip");
}

/// A day and night about a mean, one reading an hour, over 40 days.
fn swinging(mean: f64, half: f64) -> Path {
    let readings: Vec<Reading> = (0..=40 * 24)
        .map(|h| Reading {
            at: day(0) + TimeDelta::hours(h),
            temp: temp(mean + half * (std::f64::consts::TAU * h as f64 / 24.0).sin()),
        })
        .collect();
    Path::new(&readings, Some(temp(mean)), Temp(0)).expect("readings")
}

/// Check 5. With a rate that grows 2.5-fold in 10 °C, a sine of ±6 °C multiplies the mean rate by
/// I₀(0.6 ln 2.5) = I₀(0.5498) = 1.0770 (Bessel function, analytic); ±0 by 1.
#[test]
fn swings_speed_a_straight_response() {
    let days = |c: f64| 60.0 * 2.5f64.powf((26.5 - c) / 10.0);
    // A response that is straight in ln D over the whole swing: known so at enough temperatures.
    let known: Vec<(f64, f64)> = (0..=26).map(|i| 20.25 + 0.5 * f64::from(i)).map(|c| (c, days(c))).collect();
    let model = Model::of(&profile("elaphe-taeniura")).knowing(&known, 1e-4);
    for (half, expected) in [(0.0, 1.0), (6.0, 1.0770)] {
        let seen = Track::new(swinging(26.5, half), &model).development(day(0), day(40)) * days(26.5) / 40.0;
        close(seen, expected, 1e-3, "mean rate");
    }
}

/// Check 6. Löwenborg 2012, *Natrix natrix*: 40.4 days at a constant 25 °C, 41.8 days cycling 19–31 °C; the square wave
/// between his constant 19 °C (70.7 days) and 31 °C (32.6 days) would take 2 / (1/70.7 + 1/32.6) = 44.6.
#[test]
fn swings_slow_cool_eggs() {
    let known = [(25.0, 40.44), (31.0, 32.625)];
    let model = Model::of(&Profile::unlisted()).knowing(&known, 0.01);
    let constant = model.days_at(25.0).expect("inside");
    let cycling = 40.0 / Track::new(swinging(25.0, 6.0), &model).development(day(0), day(40));
    let square = 2.0 / (1.0 / 70.66667 + 1.0 / 32.625);
    println!("25 °C constant {constant:.1}, cycling {cycling:.1} (seen 41.8), bound {square:.1}");
    assert!(constant < cycling && cycling < square, "{constant} < {cycling} < {square}");
}

/// Check 8. A kingsnake at 82 °F takes 56–62 days, about 60 (common practice, no source).
#[test]
fn a_kingsnake_at_82_f() {
    let model = Model::of(&profile("lampropeltis-getula"));
    let track = Track::new(Path::steady(Temp::from_fahrenheit(82.0).expect("a temperature")), &model);
    let legs = [Leg { from: day(0), place: "shelf", track: &track }];
    let laid: When = "2026-05-01".parse().expect("a day");
    let q = Question { laid, legs: &legs, eggs: 9, none_by: None, first_pip: None, now: day(1) };
    let Range { median, likely, outer } = window(&model, &q).expect("a window").first;
    let after = |t: NaiveDateTime| (t - day(0)).num_hours() as f64 / 24.0;
    assert!((58.0..=60.5).contains(&after(median)), "median {}", after(median));
    assert!(after(likely.0) <= 56.0 && after(likely.1) >= 62.0, "{} to {}", after(likely.0), after(likely.1));
    assert!(after(outer.0) > 45.0 && after(outer.1) < 75.0, "{} to {}", after(outer.0), after(outer.1));
}
