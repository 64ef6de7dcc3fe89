use super::*;
use crate::species::Profile;
use proptest::prelude::*;

fn at(hours: i64) -> NaiveDateTime {
    EPOCH + TimeDelta::days(20_000) + TimeDelta::hours(hours)
}

fn read(hours: i64, centi: i32) -> Reading {
    Reading { at: at(hours), temp: Temp(centi) }
}

fn model() -> Model {
    Model::of(&Profile::find("lampropeltis-getula").expect("built in"))
}

#[test]
fn readings_are_joined_and_gaps_take_the_set_point() {
    let path = Path::new(&[read(24, 2700), read(0, 2600), read(120, 2900)], Some(Temp(2800)), Temp(10)).expect("read");
    for (hour, celsius, known) in [
        (-13, 28.0, false),
        (-6, 26.1, true),
        (0, 26.1, true),
        (12, 26.6, true),
        (24, 27.1, true),
        (30, 27.1, true),
        (48, 28.0, false),
        (109, 29.1, true),
        (120, 29.1, true),
        (140, 28.0, false),
    ] {
        let (c, was_read) = path.at(at(hour));
        assert!((c - celsius).abs() < 1e-9 && was_read == known, "hour {hour}: {c} {was_read}");
    }
}

#[test]
fn of_two_readings_at_one_moment_the_later_given_counts() {
    let path = Path::new(&[read(0, 2600), read(0, 2800)], None, Temp(0)).expect("read");
    assert_eq!(path.at(at(0)), (28.0, true));
}

#[test]
fn without_a_set_point_the_last_days_stand_for_the_future() {
    let path = Path::new(&[read(0, 3000), read(96, 2700), read(120, 2800)], None, Temp(-50)).expect("read");
    assert!((path.assumed() - 27.0).abs() < 1e-9);
    assert_eq!(Path::new(&[], None, Temp(0)), Err(NoTemperature));
}

#[test]
fn a_steady_shelf_develops_as_its_temperature_says() {
    let model = model();
    let days_27 = model.days_at(27.0).expect("inside");
    let steady = Track::new(Path::steady(Temp(2700)), &model);
    let hourly: Vec<Reading> = (0..24 * 90).map(|h| read(h, 2700)).collect();
    let read_out = Track::new(Path::new(&hourly, Some(Temp(2500)), Temp(0)).expect("read"), &model);
    for track in [steady, read_out] {
        let grown = track.development(at(0), at(24 * 60));
        assert!((grown - 60.0 / days_27).abs() < 1e-9, "{grown}");
    }
}

#[test]
fn outside_the_limits_it_is_marked_and_does_not_run_away() {
    let model = model();
    let track = Track::new(Path::steady(Temp(4500)), &model);
    let sums = track.until(10.0);
    assert!((sums.outside_days - 10.0).abs() < 1e-9 && (sums.outside - sums.dev).abs() < 1e-9);
    assert!((sums.dev - 10.0 / model.days_at(33.5).expect("inside")).abs() < 1e-6);
    let cold = Track::new(Path::steady(Temp(1200)), &model).until(10.0);
    assert!(cold.dev < 10.0 / model.days_at(20.0).expect("inside"));
}

#[test]
fn a_gap_takes_what_was_set_at_the_time() {
    let then = [(at(200), Temp(2600)), (at(400), Temp(3000))];
    let set = SetTo { first: Some(Temp(2800)), then: &then };
    let path = Path::dated(&[read(0, 2500), read(300, 2700)], set, Temp(0)).expect("set");
    for (hour, celsius, known) in [
        (-50, 28.0, false),
        (0, 25.0, true),
        (100, 28.0, false),
        (199, 28.0, false),
        (201, 26.0, false),
        (300, 27.0, true),
        (350, 26.0, false),
        (401, 30.0, false),
        (9000, 30.0, false),
    ] {
        assert_eq!(path.at(at(hour)), (celsius, known), "hour {hour}");
    }
    assert_eq!(path.assumed(), 30.0);
    // What was set first is not known: the first that is known counts for the time before.
    let path = Path::dated(&[], SetTo { first: None, then: &then }, Temp(0)).expect("set");
    assert_eq!((path.at(at(0)).0, path.at(at(201)).0, path.at(at(401)).0), (26.0, 26.0, 30.0));
    let track = Track::new(path, &model());
    let slow = track.development(at(0), at(400));
    assert!((slow - 400.0 / 24.0 / model().days_at(26.0).expect("inside")).abs() < 1e-9);
}

#[test]
fn a_sketch_keeps_every_spike_and_tells_gaps() {
    let readings: Vec<Reading> = (0..240).map(|h| read(h, if h == 131 { 3400 } else { 2780 })).collect();
    let path = Path::new(&readings, Some(Temp(2750)), Temp(0)).expect("read");
    let strokes = path.sketch(at(-48), at(480), 40);
    assert_eq!(strokes.len(), 40);
    assert!(strokes.windows(2).all(|w| w[0].to == w[1].from));
    let spikes = strokes.iter().filter(|s| (s.high - 34.0).abs() < 1e-9 && s.read).count();
    assert!((1..=2).contains(&spikes), "{spikes}");
    assert!(strokes.iter().filter(|s| !s.read).all(|s| s.low == 27.5 && s.high == 27.5));
    assert!(!strokes[0].read && !strokes[39].read && strokes[10].read);
    assert!(Path::steady(Temp(2750)).sketch(at(0), at(10), 3).iter().all(|s| !s.read && s.low == 27.5));
    assert!(path.sketch(at(5), at(5), 10).is_empty());
}

#[test]
fn a_reading_that_does_not_fit_is_told_and_counts_half() {
    let daily =
        |odd: i32| -> Vec<Reading> { (0..9).map(|d| read(24 * d, if d == 4 { 2800 + odd } else { 2800 })).collect() };
    let track = |odd: i32| Track::new(Path::new(&daily(odd), None, Temp(-20)).expect("read"), &model());
    let (sound, typo, end) = (track(0), track(278), days(at(192)));
    assert_eq!((sound.path.odd(), sound.until(end).odd), (&[][..], 0.0));
    // Shown as it was read, the thermometer's known error apart.
    assert_eq!(typo.path.odd(), [read(96, 3078)]);
    assert!((typo.path.at(at(96)).0 - 30.58).abs() < 1e-9);
    // Half of 2.78 °C at one end of two days is 1.39 °C-days, in development by the curve's slope, and as much unknown.
    let more = typo.until(end).dev - sound.until(end).dev;
    let per_degree = (sound.until(days(at(0))).slope - sound.until(end).slope) / 8.0;
    assert!((more / (1.39 * per_degree) - 1.0).abs() < 0.08, "{more}");
    assert!((typo.until(end).odd.abs() / more - 1.0).abs() < 0.1, "{}", typo.until(end).odd);
    // The newest may be a slip or the beginning of something: the next tells.
    let newest = [2800, 2800, 2810, 2500];
    let upto = |n: usize, more: i32| {
        let all = newest.iter().chain([&more]).enumerate().map(|(i, c)| read(24 * i as i64, *c)).take(n);
        Path::new(&all.collect::<Vec<_>>(), None, Temp(0)).expect("read").odd().len()
    };
    assert_eq!((upto(3, 0), upto(4, 0), upto(5, 2490), upto(5, 2800)), (0, 1, 0, 1));
}

proptest! {
    #[test]
    fn sums_split_anywhere_and_turn_back_into_moments(
        temps in proptest::collection::vec(2100i32..3300, 2..60),
        gap in 1i64..60,
        cut in 0.0f64..1.0,
    ) {
        let model = model();
        let readings: Vec<Reading> = temps.iter().enumerate().map(|(i, t)| read(i as i64 * gap, *t)).collect();
        let track = Track::new(Path::new(&readings, Some(Temp(2750)), Temp(0)).expect("read"), &model);
        let end = days(at(temps.len() as i64 * gap + 200));
        let begin = days(at(-50));
        let t = begin + (end - begin) * cut;
        // Development only ever grows, and the moment it reached a value is found again.
        let (a, b, c) = (track.until(begin).dev, track.until(t).dev, track.until(end).dev);
        prop_assert!(a <= b + 1e-12 && b <= c + 1e-12);
        prop_assert!((track.when_reaches(b) - t).abs() < 1e-4, "{} {}", track.when_reaches(b), t);
        // A fine sum by the plain rule agrees.
        let steps = 4000;
        let h = (t - begin) / f64::from(steps);
        let plain: f64 = (0..steps)
            .map(|i| {
                let t = begin + (f64::from(i) + 0.5) * h;
                let piece = track.path.pieces.iter().find(|p| p.from <= t && t < p.to);
                // As it counts: an odd reading with half of what it stands out by.
                let celsius = piece.map_or(track.path.at(moment(t)).0, |p| p.counted((t - p.from) / (p.to - p.from)));
                h / model.days_at(celsius).expect("inside")
            })
            .sum();
        prop_assert!((plain - (b - a)).abs() < 2e-3, "{plain} {}", b - a);
    }

    #[test]
    fn extending_is_the_same_as_summing_anew(temps in proptest::collection::vec(2100i32..3300, 3..40), step in 1i64..50) {
        let model = model();
        let readings: Vec<Reading> = temps.iter().enumerate().map(|(i, t)| read(i as i64 * step, *t)).collect();
        let path = |n: usize| Path::new(&readings[..n], Some(Temp(2800)), Temp(0)).expect("read");
        let mut grown = Track::new(path(1), &model);
        for n in 2..=readings.len() {
            grown.extend(path(n));
        }
        let anew = Track::new(path(readings.len()), &model);
        let t = days(at(100));
        prop_assert_eq!(grown.until(t), anew.until(t));
        prop_assert_eq!(&grown.sums, &anew.sums);
    }
}
