use super::*;
use crate::forecast::draws::Draws;
use crate::path::{Path, Track};
use crate::response::Model;
use crate::species::Profile;
use crate::units::Temp;
use chrono::TimeDelta;

/// Days since a fixed midnight.
fn at(days: f64) -> NaiveDateTime {
    "2026-03-01T00:00:00".parse::<NaiveDateTime>().expect("a fixture") + TimeDelta::minutes((days * 1440.0) as i64)
}

fn on(days: f64) -> When {
    When::time(at(days))
}

fn between(from: f64, to: f64) -> Laying {
    Laying::Between(When::span(Point::Time(at(from)), Point::Time(at(to))))
}

/// One shelf at 28 °C, and the days to a first pip there.
struct Shelf {
    track: Track,
    length: f64,
}

impl Shelf {
    fn new() -> Self {
        let model = Model::of(&Profile::find("lampropeltis-getula").expect("built in"));
        let track = Track::new(Path::steady(Temp(2800)), &model);
        Self { track, length: model.days_at(28.0).expect("inside") }
    }

    fn legs(&self) -> [Leg<'_>; 1] {
        [Leg { from: at(0.0), place: "N1", track: &self.track }]
    }

    /// Clutches laid on day 0 that passed a mark between two days; 0 where they showed it at the first look.
    fn marks(&self, seen: &[(Mark, f64, f64)]) -> Marks {
        let noted =
            seen.iter().flat_map(|&(mark, after, by)| noted(on(0.0), &self.legs(), &[passing(mark, after, by)]));
        Marks::of(&noted.collect::<Vec<_>>())
    }
}

fn passing(mark: Mark, not_by: f64, by: f64) -> Passing {
    Passing { mark, not_by: (not_by > 0.0).then(|| at(not_by)), by: at(by) }
}

fn days_of(told: &Told) -> (f64, f64) {
    let since = |t: NaiveDateTime| (t - at(0.0)).num_minutes() as f64 / 1440.0;
    (since(told.laid.earliest()), since(told.laid.latest()))
}

const VEINS: [(Mark, f64, f64); 5] = [
    (Mark::Veins, 5.0, 9.0),
    (Mark::Veins, 6.0, 8.0),
    (Mark::Veins, 0.0, 10.0),
    (Mark::Veins, 7.0, 11.0),
    (Mark::Veins, 4.0, 8.0),
];

const DARK: [(Mark, f64, f64); 4] =
    [(Mark::Dark, 40.0, 46.0), (Mark::Dark, 38.0, 44.0), (Mark::Dark, 42.0, 50.0), (Mark::Dark, 30.0, 47.0)];

/// The same by adding up, for every lay date, mean and spread, the normal's density over every share at which the mark may
/// have lain: no distribution function, no table between, and a finer grid.
fn brute(length: f64, taught: &[(Mark, f64, f64)], span: (f64, f64), seen: &[(Mark, f64, f64)]) -> (f64, f64) {
    const FINE: f64 = 0.02;
    let share = |days: f64| if days > 0.0 { (days / length).ln() } else { f64::NEG_INFINITY };
    let shares: Vec<f64> = (0..900).map(|i| -7.0 + 0.01 * f64::from(i)).collect();
    let within = |density: &[f64], after: f64, by: f64| {
        let held = shares.iter().zip(density).filter(|(at, _)| after < **at && **at <= by);
        0.95 * held.map(|(_, d)| d).sum::<f64>() + 0.05 * (by.exp() - after.exp()).min(1.0)
    };
    let mut dates: Vec<(f64, f64)> =
        (0..400).map(|i| (span.0 + (span.1 - span.0) * (f64::from(i) + 0.5) / 400.0, 1.0)).collect();
    for mark in Mark::ALL {
        let of = |all: &[(Mark, f64, f64)]| all.iter().copied().filter(|s| s.0 == mark).collect::<Vec<_>>();
        let (taught, seen) = (of(taught), of(seen));
        if taught.is_empty() || seen.is_empty() {
            continue;
        }
        let mut chances = vec![0.0; dates.len()];
        for i in 0..264 {
            let mean = -4.6 + FINE * f64::from(i);
            for sd in [0.04f64, 0.07, 0.12, 0.2, 0.33, 0.55] {
                let mut density: Vec<f64> = shares.iter().map(|s| (-0.5 * ((s - mean) / sd).powi(2)).exp()).collect();
                let total: f64 = density.iter().sum();
                density.iter_mut().for_each(|d| *d /= total);
                let weight: f64 = taught.iter().map(|s| within(&density, share(s.1), share(s.2))).product();
                for (date, chance) in dates.iter().zip(&mut chances) {
                    let told = seen.iter().map(|s| within(&density, share(s.1 - date.0), share(s.2 - date.0)));
                    *chance += weight * told.product::<f64>();
                }
            }
        }
        dates.iter_mut().zip(&chances).for_each(|(date, chance)| date.1 *= chance);
    }
    // They were laid before anybody looked at them.
    let first = seen.iter().map(|s| if s.1 > 0.0 { s.1 } else { s.2 }).fold(f64::INFINITY, f64::min);
    dates.retain(|date| date.0 < first);
    let total: f64 = dates.iter().map(|d| d.1).sum();
    let mean = dates.iter().map(|d| d.0 * d.1).sum::<f64>() / total;
    (mean, (dates.iter().map(|d| (d.0 - mean).powi(2) * d.1).sum::<f64>() / total).sqrt())
}

#[test]
fn a_lay_date_is_told_as_adding_everything_up_tells_it() {
    let shelf = Shelf::new();
    let both: Vec<(Mark, f64, f64)> = VEINS.iter().chain(&DARK).copied().collect();
    // The box's own looks, as days on which the lay date is sought too.
    let cases: [&[(Mark, f64, f64)]; 3] = [
        &[(Mark::Veins, 6.0, 10.0)],
        &[(Mark::Dark, 38.0, 45.0)],
        &[(Mark::Veins, 4.0, 12.0), (Mark::Dark, 36.0, 44.0)],
    ];
    for seen in cases {
        let span = (-30.0, 16.0);
        let passings: Vec<Passing> = seen.iter().map(|&(mark, after, by)| passing(mark, after, by)).collect();
        let told = shelf.marks(&both).told(between(span.0, span.1), &shelf.legs(), &passings).expect("told");
        let (mean, sd) = brute(shelf.length, &both, span, seen);
        let (from, to) = days_of(&told);
        let first = passings.iter().map(|p| p.not_by.unwrap_or(p.by)).min().expect("looked at");
        let last = (first - at(0.0)).num_minutes() as f64 / 1440.0;
        let (low, high) = ((mean - 3f64.sqrt() * sd).max(span.0), (mean + 3f64.sqrt() * sd).min(span.1).min(last));
        println!("{seen:?}: {from:.2} to {to:.2}, added up {low:.2} to {high:.2}");
        assert!((from - low).abs() < 0.25 && (to - high).abs() < 0.25, "{seen:?}: {from} {to}, {low} {high}");
    }
}

#[test]
fn nothing_is_told_by_too_few_or_of_what_is_known() {
    let shelf = Shelf::new();
    let seen = [passing(Mark::Veins, 6.0, 8.0)];
    let told = |taught: &[(Mark, f64, f64)], laying| shelf.marks(taught).told(laying, &shelf.legs(), &seen);
    assert_eq!(told(&[], between(-14.0, 3.0)), None, "no candling of one's own");
    assert_eq!(told(&VEINS[..2], between(-14.0, 3.0)), None, "two");
    assert_eq!(told(&DARK, between(-14.0, 3.0)), None, "another mark");
    assert_eq!(told(&VEINS, between(-14.0, 3.0)).map(|told| (told.clutches, told.is_learned())), Some((5, false)));
    // A known day stays as it is, also where what is seen says otherwise by weeks.
    let known = Laying::Between(When::day(at(-30.0).date()));
    assert_eq!(told(&VEINS, known), None);
    assert_eq!(shelf.marks(&VEINS).told(between(-14.0, 3.0), &[], &seen), None, "no shelf");
    assert_eq!(shelf.marks(&VEINS).told(between(-14.0, 3.0), &shelf.legs(), &[]), None, "no candling of the box");
    assert_eq!(told(&VEINS, between(9.0, 20.0)), None, "seen before they can have been laid");
    // What every lay date foretells alike tells nothing: veins at a first look, weeks after.
    let late = [passing(Mark::Veins, 0.0, 40.0)];
    assert_eq!(shelf.marks(&VEINS).told(between(-14.0, 3.0), &shelf.legs(), &late), None);
}

#[test]
fn a_clutch_of_unknown_date_teaches_nothing() {
    let shelf = Shelf::new();
    let seen = [passing(Mark::Veins, 6.0, 8.0)];
    let open = When::span(Point::Time(at(-2.0)), Point::Time(at(2.0)));
    assert_eq!(noted(open, &shelf.legs(), &seen), []);
    assert_eq!(noted(on(0.0), &[], &seen), []);
    assert_eq!(noted(on(9.0), &shelf.legs(), &seen), [], "seen before it was laid");
    assert_eq!(noted(When::day(at(0.0).date()), &shelf.legs(), &seen).len(), 1);
}

#[test]
fn eggs_found_late_are_told_by_how_soon_they_go_dark() {
    let shelf = Shelf::new();
    let marks = shelf.marks(&DARK);
    let told = |not_by, by| marks.told(Laying::Found(on(0.0)), &shelf.legs(), &[passing(Mark::Dark, not_by, by)]);
    let (from, to) = days_of(&told(18.0, 24.0).expect("told"));
    let middle = 0.5 * (from + to);
    assert!((-28.0..-15.0).contains(&middle) && to - from < 25.0, "{from} {to}");
    // Those that go dark as fresh eggs do were found soon after they were laid.
    let fresh = days_of(&told(40.0, 44.0).expect("told"));
    assert!(fresh.0 > -9.0 && fresh.1 <= 0.0, "{fresh:?}");
}

#[test]
fn one_slip_among_many_hardly_moves_what_is_told() {
    let shelf = Shelf::new();
    let slipped: Vec<(Mark, f64, f64)> = VEINS.iter().copied().chain([(Mark::Veins, 40.0, 45.0)]).collect();
    let told = |taught: &[(Mark, f64, f64)]| {
        let told = shelf.marks(taught).told(between(-14.0, 3.0), &shelf.legs(), &[passing(Mark::Veins, 6.0, 8.0)]);
        let (from, to) = days_of(&told.expect("told"));
        0.5 * (from + to)
    };
    assert!((told(&VEINS) - told(&slipped)).abs() < 1.0, "{} {}", told(&VEINS), told(&slipped));
}

/// Barns whose clutches differ as said below, candled on days of the keeper's own: the told spread is as wide as what it is
/// off by.
#[test]
fn told_dates_are_off_by_as_much_as_they_say() {
    let shelf = Shelf::new();
    let mut draws = Draws::named(17, "told");
    let mut unit = || (draws.next() >> 11) as f64 / (1u64 << 53) as f64;
    let (mut held, mut all, mut width, mut before) = (0, 0, 0.0, 0.0);
    for _ in 0..150 {
        let mut normal = || crate::gauss::quantile(unit().clamp(1e-9, 1.0 - 1e-9));
        let means =
            [(Mark::Veins, 0.13f64.ln() + 0.2 * normal(), 0.15), (Mark::Dark, 0.72f64.ln() + 0.05 * normal(), 0.06)];
        let mut clutch = |laid: f64| -> Vec<Passing> {
            let first = 4.0 + 4.0 * unit();
            let looks: Vec<f64> = [0.0, 4.0, 9.0, 20.0, 33.0, 39.0, 46.0].iter().map(|d| first + d).collect();
            let pass = |(mark, mean, sd): (Mark, f64, f64)| {
                let day =
                    laid + shelf.length * (mean + sd * crate::gauss::quantile(unit().clamp(1e-9, 1.0 - 1e-9))).exp();
                let by = *looks.iter().find(|look| **look >= day)?;
                let not_by = looks.iter().rev().find(|look| **look < day).copied();
                Some(Passing { mark, not_by: not_by.map(at), by: at(by) })
            };
            means.into_iter().filter_map(pass).collect()
        };
        let mut taught = Vec::new();
        for _ in 0..8 {
            taught.extend(noted(on(0.0), &shelf.legs(), &clutch(0.0)));
        }
        let marks = Marks::of(&taught);
        for laid in [-11.0, -8.0, -5.0, -2.0] {
            let Some(told) = marks.told(between(-14.0, 1.0), &shelf.legs(), &clutch(laid)) else { continue };
            let (from, to) = days_of(&told);
            let (middle, sd) = (0.5 * (from + to), (to - from) / 12f64.sqrt());
            held += u32::from((laid - middle).abs() <= 1.281_55 * sd);
            all += 1;
            width += sd;
            before += 15.0 / 12f64.sqrt();
        }
    }
    let share = f64::from(held) / f64::from(all);
    println!(
        "{all} of 600 told: {share:.3} within what four of five should be, spread {:.2} of what it was",
        width / before
    );
    assert!(all > 400, "{all}");
    assert!((0.76..0.92).contains(&share), "{share}");
    assert!(width < 0.7 * before, "{}", width / before);
}
