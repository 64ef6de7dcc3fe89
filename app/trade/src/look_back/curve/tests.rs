use super::*;
use crate::forecast::draws::Draws;
use crate::gauss::quantile;
use crate::species::Profile;

fn king() -> Model {
    Model::of(&Profile::find("lampropeltis-getula").expect("built in"))
}

/// Clutches that took so many times (as a logarithm) the curve's days.
fn lasted(model: &Model, rows: &[(usize, f64, f64)]) -> Vec<Lasted> {
    let days = |c: f64, off: f64| model.days_at(c).expect("inside") * off.exp();
    let lasted = |&(unit, celsius, off)| Lasted { celsius, days: days(celsius, off), rounding: 1e-6, unit };
    rows.iter().map(lasted).collect()
}

const EACH: [f64; 5] = [26.0, 27.0, 28.0, 29.0, 30.0];

#[test]
fn days_against_the_published_curve() {
    let model = king();
    let of = |off: &dyn Fn(f64) -> f64| -> Vec<Lasted> {
        let rows: Vec<(usize, f64, f64)> = EACH.iter().enumerate().map(|(i, c)| (i, *c, off(*c))).collect();
        lasted(&model, &rows)
    };
    let longer = of(&|_| 1.05f64.ln());
    assert_eq!(questions(&longer, &model), 2);
    let a = against_curve(&longer, &model, 2, 1).expect("points");
    assert!((a.longer - 0.05).abs() < 1e-6 && a.verdict.ranks());
    let slope = a.slope.expect("five");
    assert!(slope.per_degree.abs() < 1e-9 && !slope.verdict.ranks(), "{slope:?}");
    let steeper = against_curve(&of(&|c| -0.02 * (c - 28.0)), &model, 2, 1).expect("points");
    let slope = steeper.slope.expect("five");
    assert!((slope.per_degree + 0.02).abs() < 1e-9 && slope.verdict.ranks(), "{slope:?}");
    assert!(!steeper.verdict.ranks() && (steeper.clutches, steeper.units) == (5, 5));
    let mut one = lasted(&model, &[(0, 28.0, 0.0)]);
    let odd = Lasted { celsius: 50.0, days: 60.0, rounding: 1e-6, unit: 1 };
    // What came before it was laid is no matter of temperature.
    one.extend([odd, Lasted { celsius: 28.0, days: 0.0, ..odd }, Lasted { celsius: 28.0, days: -3.0, ..odd }]);
    assert_eq!(questions(&one, &model), 0);
    let one = against_curve(&one, &model, 0, 1).expect("one");
    assert_eq!((one.clutches, one.outside, one.slope, one.longer_interval), (1, 1, None, None));
    assert_eq!(one.verdict, Verdict::TooFew);
    assert_eq!(against_curve(&[], &model, 0, 1), None);
}

#[test]
fn means_go_by_dams() {
    let model = king();
    let four = |unit: usize, off: f64| (0..4).map(move |_| (unit, 28.0, off));
    let of_three: Vec<_> = four(0, 0.06).chain(four(1, 0.01)).chain(four(2, 0.05)).collect();
    let seen = lasted(&model, &of_three);
    let by_dam = against_curve(&seen, &model, 1, 1).expect("twelve");
    assert_eq!((by_dam.clutches, by_dam.units, by_dam.slope), (12, 3, None), "all at one temperature");
    // 1, 5 and 6 %: mean 4, standard deviation 2.6458, t(2) 4.3027, over √3.
    let (low, high) = by_dam.longer_interval.expect("three");
    assert!((low.ln_1p() + 0.025726).abs() < 1e-5 && (high.ln_1p() - 0.105726).abs() < 1e-5, "{low} {high}");
    assert!(matches!(by_dam.verdict, Verdict::Alike { p } if (p - 0.1201).abs() < 1e-3), "{:?}", by_dam.verdict);
    let alone: Vec<Lasted> = seen.iter().enumerate().map(|(unit, clutch)| Lasted { unit, ..*clutch }).collect();
    assert!(against_curve(&alone, &model, 1, 1).expect("twelve").verdict.ranks(), "as if clutches were dams");
}

/// Dams of one pace and a curve that is right: how often they are called longer or shorter than it.
fn called(clutches: &[usize], apart: f64, whole_days: bool) -> (f64, f64) {
    let model = king();
    let (mut called, mut by_clutches) = (0, 0);
    let runs = 1000;
    for seed in 0..runs {
        let mut draws = Draws::named(seed, "called");
        let mut normal = || quantile(((draws.next() >> 11) as f64 + 0.5) / (1u64 << 53) as f64);
        let mut rows = Vec::new();
        for (dam, several) in clutches.iter().enumerate() {
            let pace = apart * normal();
            rows.extend((0..*several).map(|_| (dam, 28.0, pace + 0.01 * normal())));
        }
        let mut seen = lasted(&model, &rows);
        if whole_days {
            seen.iter_mut().for_each(|clutch| (clutch.days, clutch.rounding) = (clutch.days.round(), 1.0 / 6.0));
        }
        called += u32::from(against_curve(&seen, &model, 1, seed).expect("some").verdict.ranks());
        // As it was: the mean of clutches, with an error of the dams' means about it; nothing for rounding.
        let off: Vec<(usize, f64)> = off(&seen, &model).iter().map(|clutch| (clutch.unit, clutch.off)).collect();
        let middle = off.iter().map(|o| o.1).sum::<f64>() / off.len() as f64;
        let dams = clutches.len() as f64;
        let of_dam = |dam: usize| {
            let own: Vec<f64> = off.iter().filter(|o| o.0 == dam).map(|o| o.1).collect();
            own.iter().sum::<f64>() / own.len() as f64
        };
        let squares: f64 = (0..clutches.len()).map(|dam| (of_dam(dam) - middle).powi(2)).sum();
        let error = (squares / (dams - 1.0) / dams).sqrt();
        let t = StudentsT::new(0.0, 1.0, dams - 1.0).expect("dams").inverse_cdf(0.975);
        by_clutches += u32::from(middle.abs() > t * error);
    }
    (f64::from(called) / runs as f64, f64::from(by_clutches) / runs as f64)
}

#[test]
fn a_dam_of_many_clutches_counts_once() {
    let (called, by_clutches) = called(&[8, 1, 1, 1, 1, 1, 1, 1], 0.04, false);
    println!("called {called:.3}, {by_clutches:.3} by clutches");
    assert!((0.03..=0.065).contains(&called), "{called}");
    assert!(by_clutches > 0.075, "the test can tell: {by_clutches}");
}

#[test]
fn two_dams_of_the_same_whole_days_are_no_certain_difference() {
    let model = king();
    let two = |rounding: f64| -> Vec<Lasted> {
        (0..2).map(|unit| Lasted { celsius: 28.0, days: 61.0, rounding, unit }).collect()
    };
    let a = against_curve(&two(1.0 / 6.0), &model, 1, 1).expect("two");
    let (low, high) = a.longer_interval.expect("rounded");
    assert!(low < 0.0 && 0.0 < high && matches!(a.verdict, Verdict::Alike { .. }), "{a:?}");
    for (apart, least) in [(0.002, 0.2), (0.04, 0.0)] {
        let (called, before) = called(&[1, 1], apart, true);
        println!("called {called:.3}, {before:.3} with nothing for rounding");
        assert!(called <= 0.07, "{called}");
        assert!(before >= least, "the test can tell: {before}");
    }
}

/// All 120 orders of five, each tried at a slope: how many are as far from none as what was seen.
fn as_far(celsius: &[f64], off: &[f64], slope: f64) -> f64 {
    let left: Vec<f64> = celsius.iter().zip(off).map(|(c, o)| o - slope * c).collect();
    let middle = left.iter().sum::<f64>() / 5.0;
    let sum = |order: &[usize]| order.iter().zip(&left).map(|(at, l)| celsius[*at] * (l - middle)).sum::<f64>().abs();
    let seen = sum(&[0, 1, 2, 3, 4]);
    let mut orders: Vec<Vec<usize>> = vec![Vec::new()];
    for _ in 0..5 {
        let next = |order: &Vec<usize>| {
            let order = order.clone();
            (0..5)
                .filter(|i| !order.contains(i))
                .map(|i| order.iter().copied().chain([i]).collect())
                .collect::<Vec<_>>()
        };
        orders = orders.iter().flat_map(next).collect();
    }
    assert_eq!(orders.len(), 120);
    orders.iter().filter(|order| sum(order) >= seen - 1e-12).count() as f64 / 120.0
}

#[test]
fn a_slopes_interval_holds_what_all_orders_would_not_call_wrong() {
    let model = king();
    let off = [0.031, 0.012, 0.004, -0.018, -0.011];
    let rows: Vec<(usize, f64, f64)> = EACH.iter().zip(off).enumerate().map(|(i, (c, off))| (i, *c, off)).collect();
    let slope = against_curve(&lasted(&model, &rows), &model, 1, 1).expect("five").slope.expect("five");
    let p = |slope: f64| as_far(&EACH, &off, slope);
    let (Verdict::Alike { p: seen } | Verdict::Differ { p: seen }) = slope.verdict else { panic!("{slope:?}") };
    assert!((seen - p(0.0)).abs() < 0.01, "{seen} {}", p(0.0));
    let (low, high) = slope.interval.expect("bounded");
    assert!(low < slope.per_degree && slope.per_degree < high, "{slope:?}");
    for (end, out) in [(low, -1.0), (high, 1.0)] {
        assert!(p(end + out * 2e-4) <= 0.06, "{slope:?}: {}", p(end + out * 2e-4));
        assert!(p(end - out * 2e-4) >= 0.04, "{slope:?}: {}", p(end - out * 2e-4));
    }
}

/// Dams with a pace of their own, four clutches each, all of hers at one temperature; the curve is right.
fn paced(model: &Model, dams: usize, moved: bool, steeper: f64, draws: &mut Draws) -> Vec<Lasted> {
    let mut normal = || quantile(((draws.next() >> 11) as f64 + 0.5) / (1u64 << 53) as f64);
    let pace: Vec<f64> = (0..dams).map(|_| 0.04 * normal()).collect();
    let rows: Vec<(usize, f64, f64)> = (0..4 * dams)
        .map(|i| {
            let dam = i % dams;
            let shelf = if moved { (dam + i / dams) % 4 } else { dam % 4 };
            let celsius = 26.0 + shelf as f64;
            (dam, celsius, pace[dam] + 0.01 * normal() + steeper * (celsius - 27.5))
        })
        .collect();
    lasted(model, &rows)
}

#[test]
fn a_dam_is_not_mistaken_for_the_temperature_she_is_kept_at() {
    let model = king();
    for moved in [false, true] {
        let (mut called, mut blind, mut held) = (0, 0, 0);
        let runs = 150;
        for seed in 0..runs {
            let seen = paced(&model, 8, moved, 0.0, &mut Draws::named(seed, "pace"));
            let slope = |seen: &[Lasted]| against_curve(seen, &model, 1, seed).and_then(|a| a.slope).expect("can tell");
            let own = slope(&seen);
            called += u32::from(own.verdict.ranks());
            held += u32::from(own.interval.is_some_and(|(low, high)| low <= 0.0 && 0.0 <= high));
            let alone: Vec<Lasted> = seen.iter().enumerate().map(|(unit, c)| Lasted { unit, ..*c }).collect();
            blind += u32::from(slope(&alone).verdict.ranks());
        }
        let share = |n: u32| f64::from(n) / runs as f64;
        println!(
            "moved {moved}: called {:.3} by dams, {:.3} by clutches; {:.3} held",
            share(called),
            share(blind),
            share(held)
        );
        assert!(share(called) <= 0.09 && share(held) >= 0.9, "{} {}", share(called), share(held));
        assert!(moved || share(blind) > 0.2, "the test can tell: {}", share(blind));
    }
}

#[test]
fn a_steeper_curve_is_found_and_best_within_dams() {
    let model = king();
    let found = |moved: bool| {
        let runs = 60;
        let ranks = |seed: u64| {
            let seen = paced(&model, 8, moved, 0.02, &mut Draws::named(seed, "steeper"));
            against_curve(&seen, &model, 1, seed).and_then(|a| a.slope).is_some_and(|slope| slope.verdict.ranks())
        };
        (0..runs).filter(|seed| ranks(*seed)).count() as f64 / runs as f64
    };
    let (apart, moved) = (found(false), found(true));
    println!("found {apart:.2} where each dam has one shelf, {moved:.2} where she is moved");
    assert!(moved > 0.95 && apart < moved, "{apart} {moved}");
}

#[test]
fn the_level_is_shared_out_among_what_could_be_asked() {
    let model = king();
    let seen = paced(&model, 8, true, 0.01, &mut Draws::named(3, "asked"));
    let slope = |asked: usize| against_curve(&seen, &model, asked, 3).and_then(|a| a.slope).expect("can tell").verdict;
    let Verdict::Differ { p } = slope(1) else { panic!("{:?}", slope(1)) };
    assert_eq!(slope((0.05 / p) as usize + 1), Verdict::Alike { p });
}
