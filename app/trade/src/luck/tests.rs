use super::*;

const WARM: f64 = 28.0;

fn of(dam: &str, shelf: &str, season: &str) -> Of {
    let start = Start::at(Kin::Snake, WARM);
    let text = str::to_owned;
    Of { start, species: text("corn"), dam: text(dam), pair: text(dam), shelf: text(shelf), season: text(season) }
}

fn ended(of: Of, hatched: u32, eggs: u32) -> Ended {
    Ended { of, hatched, eggs }
}

/// Mean rate and its standard deviation, a clutch that fails whole counted as none.
fn rate(luck: &Luck, of: &Of) -> (f64, f64) {
    let normals = Normals::new();
    let draws = 3000;
    let shared = Shares::new(luck, draws, &normals).of(of, "new");
    let mut own = Draws::named(5, "own");
    let rates: Vec<f64> = (0..draws)
        .map(|draw| {
            let x = shared.rate(draw, normals.at(own.next()), false).0;
            let stands = 1.0 - f64::from(shared.fails(draw)) / 65_536.0;
            share(f64::from(x) / f64::from(LOGIT)) * stands
        })
        .collect();
    let mean = rates.iter().sum::<f64>() / draws as f64;
    (mean, (rates.iter().map(|r| (r - mean).powi(2)).sum::<f64>() / draws as f64).sqrt())
}

#[test]
fn of_a_keeper_nobody_knows_the_published_mean_is_expected() {
    let nothing = Luck::learned(&[], 1);
    for celsius in [24.0, 26.0, 28.0, 30.0] {
        let start = Start::at(Kin::Snake, celsius);
        let (mean, sd) = rate(&nothing, &Of { start, ..of("Bel", "N1", "1") });
        let told = success::published(Kin::Snake).and_then(|r| r.at(celsius)).expect("inside");
        assert!((mean - told).abs() < 0.10 && sd > 0.2, "{celsius}: {mean} ± {sd}, published {told}");
    }
    let python = rate(&nothing, &Of { start: Start::at(Kin::Python, 31.5), ..of("Bel", "N1", "1") });
    assert!((python.0 - UNTABLED).abs() < 0.10, "{python:?}");
}

#[test]
fn own_clutches_outweigh_the_published_and_one_does_not() {
    let clutch = |i: usize, hatched| ended(of(&format!("d{}", i % 10), &format!("s{}", i % 4), "1"), hatched, 10);
    let poor: Vec<Ended> = (0..40).map(|i| clutch(i, 3 + i as u32 % 3)).collect();
    let (mean, _) = rate(&Luck::learned(&poor, 1), &of("new", "s1", "1"));
    assert!((0.33..0.50).contains(&mean), "{mean}");
    let one = rate(&Luck::learned(&poor[..1], 1), &of("new", "s1", "1")).0;
    let none = rate(&Luck::learned(&[], 1), &of("new", "s1", "1")).0;
    assert!(one < none && one > 0.5, "{one} {none}");
    let wrong = [ended(of("d1", "s1", "1"), 9, 3)];
    assert_eq!(rate(&Luck::learned(&wrong, 1), &of("new", "s1", "1")).0, none, "more than there were teach nothing");
}

#[test]
fn dams_shelves_and_seasons_are_told_apart() {
    // Dam 0 hatches half of her eggs wherever they lie, the others nine of ten.
    let clutch = |i: usize| {
        let hatched = if i.is_multiple_of(6) { 5 } else { 9 };
        ended(of(&format!("d{}", i % 6), &format!("s{}", i / 6 % 3), &format!("{}", i / 18)), hatched, 10)
    };
    let all: Vec<Ended> = (0..36).map(clutch).collect();
    let luck = Luck::learned(&all, 1);
    let at = |dam: &str, shelf: &str, season: &str| rate(&luck, &of(dam, shelf, season));
    assert!(at("d0", "s1", "1").0 < 0.65 && at("d1", "s1", "1").0 > 0.8);
    assert!((at("d1", "s0", "1").0 - at("d1", "s2", "1").0).abs() < 0.05, "shelves are alike");
    // What is new is less sure than what is known.
    assert!(at("new", "s1", "2").1 > at("d1", "s1", "1").1);
}

#[test]
fn a_clutch_that_failed_whole_is_no_sign_of_a_low_rate() {
    let fail = |i: usize| i % 6 == 5;
    let clutch = |i: usize| {
        let hatched = if fail(i) { 0 } else { 9 + i as u32 % 2 };
        ended(of(&format!("d{i}"), &format!("s{}", i % 4), "1"), hatched, 10)
    };
    let all: Vec<Ended> = (0..36).map(clutch).collect();
    let luck = Luck::learned(&all, 1);
    let normals = Normals::new();
    let shared = Shares::new(&luck, 1000, &normals).of(&of("new", "s1", "1"), "new");
    let fails = (0..1000).map(|d| f64::from(shared.fails(d)) / 65_536.0).sum::<f64>() / 1000.0;
    // Six of thirty-six, and the belief beforehand of one in twenty.
    assert!((0.10..0.20).contains(&fails), "{fails}");
    let rate = rate(&luck, &of("new", "s1", "1")).0 / (1.0 - fails);
    assert!(rate > 0.88, "{rate}");
}

#[test]
fn a_shelf_that_failed_is_one_season_s_story() {
    // Shelf 2 lost all of season 1; its clutches of season 0 did as well as the others.
    let clutch = |i: usize| {
        let (shelf, season) = (i % 4, i / 20);
        let hatched = if shelf == 2 && season == 1 { 0 } else { 9 };
        ended(of(&format!("d{i}"), &format!("s{shelf}"), &season.to_string()), hatched, 10)
    };
    let luck = Luck::learned(&(0..40).map(clutch).collect::<Vec<_>>(), 1);
    assert!(rate(&luck, &of("new", "s2", "1")).0 < 0.25, "what else lies there is lost too");
    assert!(rate(&luck, &of("new", "s2", "2")).0 > 0.6);
}

#[test]
fn the_walk_is_the_same_each_time_and_another_by_another_seed() {
    let all: Vec<Ended> = (0..12).map(|i| ended(of(&format!("d{}", i % 3), "s", "1"), 5 + i as u32 % 5, 10)).collect();
    let read = |seed| {
        let luck = Luck::learned(&all, seed);
        luck.known.states.iter().map(|s| (s.levels.clone(), s.fails)).collect::<Vec<_>>()
    };
    assert_eq!(read(1), read(1));
    assert_ne!(read(1), read(2));
}

#[test]
fn rounding_by_hand_is_the_library_s() {
    let normals = Normals::new();
    for width in tables::WIDTHS {
        for r in 0..1 << crate::forecast::draws::BITS {
            let x = f64::from(width) * normals.at(r);
            assert_eq!(rounded(x), x.round() as i32, "{x}");
        }
    }
    for (x, whole) in [(0.5, 1), (-0.5, -1), (2.5, 3), (-1.5, -2), (0.25, 0), (-0.25, 0)] {
        assert_eq!(rounded(x), whole, "{x}");
    }
}
