use super::*;

fn counted(rows: &[(usize, usize, u32, u32)]) -> Vec<Counted> {
    rows.iter().enumerate().map(|(unit, &(group, stratum, k, n))| Counted { group, stratum, unit, k, n }).collect()
}

/// Clutches of two groups with the same luck: each clutch's rate is drawn anew, so clutches vary more than eggs.
fn same_luck(draws: &mut Draws) -> Vec<Counted> {
    let unit = |d: &mut Draws| (d.next() >> 11) as f64 / (1u64 << 53) as f64;
    (0..24)
        .map(|i| {
            let rate = 0.4 + 0.6 * unit(draws);
            let k = (0..10).filter(|_| unit(draws) < rate).count() as u32;
            Counted { group: i % 2, stratum: 0, unit: i, k, n: 10 }
        })
        .collect()
}

#[test]
fn chance_alone_is_called_chance_and_eggs_on_their_own_would_not_be() {
    let (mut differ, mut by_eggs) = (0, 0);
    let runs = 300;
    for seed in 0..runs {
        let seen = same_luck(&mut Draws::named(seed, "null"));
        let (rates, verdict) = rates(2, &seen, 1, seed);
        differ += u32::from(verdict.ranks());
        // The textbook's test of two shares, as if eggs were independent.
        let p = |i: usize| f64::from(rates[i].k) / f64::from(rates[i].n);
        let all = f64::from(rates[0].k + rates[1].k) / 240.0;
        let z = (p(0) - p(1)) / (all * (1.0 - all) * (2.0 / 120.0)).sqrt();
        by_eggs += u32::from(z.abs() > 1.96);
    }
    let share = |n: u32| f64::from(n) / runs as f64;
    assert!(share(differ) < 0.09, "{}", share(differ));
    assert!(share(by_eggs) > 0.12, "the test can tell: {}", share(by_eggs));
}

#[test]
fn a_bad_shelf_is_found_and_a_shelf_of_easy_species_is_not() {
    let bad: Vec<Counted> = (0..16)
        .map(|i| Counted { group: i % 2, stratum: 0, unit: i, k: if i % 2 == 0 { 9 } else { 4 + i as u32 % 3 }, n: 10 })
        .collect();
    assert!(matches!(rates(2, &bad, 1, 1).1, Verdict::Differ { p } if p < 0.01));
    // Shelf 0 holds mostly species 0, which hatches well anywhere.
    let mut rows = Vec::new();
    for i in 0..20u32 {
        let easy = i % 10 != 9;
        let wobble = i % 3;
        rows.push((0, usize::from(!easy), if easy { 8 + wobble.min(2) } else { 3 + wobble }, 10));
        rows.push((1, usize::from(easy), if easy { 3 + wobble } else { 8 + wobble.min(2) }, 10));
    }
    let mixed = counted(&rows);
    assert!(matches!(rates(2, &mixed, 1, 1).1, Verdict::Alike { .. }), "{:?}", rates(2, &mixed, 1, 1).1);
    let blind: Vec<Counted> = mixed.iter().map(|c| Counted { stratum: 0, ..*c }).collect();
    assert!(rates(2, &blind, 1, 1).1.ranks(), "without strata it would be ranked");
}

#[test]
fn few_clutches_carry_no_ranking() {
    for (rows, what) in [
        (vec![], "none"),
        (vec![(0, 0, 9, 10), (1, 0, 0, 10)], "two"),
        (vec![(0, 0, 9, 10), (0, 0, 9, 10), (0, 0, 8, 10), (1, 0, 0, 10), (1, 0, 1, 10)], "ten ways"),
        (vec![(0, 0, 9, 10); 12], "one group"),
        ((0..8).map(|i| (i % 2, i % 2, 9 - i as u32, 10)).collect(), "no stratum in common"),
        ((0..12).map(|i| (i % 2, 0, 10, 10)).collect(), "all hatched"),
    ] {
        assert_eq!(rates(2, &counted(&rows), 1, 1).1, Verdict::TooFew, "{what}");
    }
}

#[test]
fn rates_carry_their_n_and_clutches_widen_them() {
    let even = counted(&[(0, 0, 5, 10); 6]);
    let uneven = counted(&[(0, 0, 0, 10), (0, 0, 10, 10), (0, 0, 0, 10), (0, 0, 10, 10), (0, 0, 1, 10), (0, 0, 9, 10)]);
    let width = |seen: &[Counted]| {
        let rate = rates(1, seen, 1, 1).0[0];
        assert_eq!((rate.k, rate.n, rate.clutches), (30, 60, 6));
        let share = rate.share.expect("counted");
        share.high - share.low
    };
    let plain = crate::rates::wilson(30, 60, 0.95).expect("counted");
    assert!((width(&even) - (plain.high - plain.low)).abs() < 1e-12);
    assert!(width(&uneven) > 2.0 * width(&even));
    assert_eq!(rates(1, &[], 1, 1).0[0].share, None);
}

/// Clutches with their units, of values that are not rounded.
fn valued(rows: &[(usize, f64)]) -> Vec<Measured> {
    let measured = |&(unit, value)| Measured { group: 0, stratum: 0, unit, value, rounding: 0.0 };
    rows.iter().map(measured).collect()
}

#[test]
fn units_that_come_out_alike_are_not_known_to_the_last_digit() {
    assert_eq!(mean(&valued(&[(0, 8.3), (1, 8.3), (2, 8.3)])).interval, None, "as if nothing varied");
    let alike: Vec<Measured> =
        valued(&[(0, 60.0), (1, 60.0)]).into_iter().map(|m| Measured { rounding: 1.0 / 6.0, ..m }).collect();
    // Two days to the day: variance 1/12 each, so t(1) 12.7062 × √(1/6) over √2.
    let (low, high) = mean(&alike).interval.expect("rounded");
    assert!((low - 60.0 + 3.6679).abs() < 1e-3 && (high - 60.0 - 3.6679).abs() < 1e-3, "{low} {high}");
    let apart: Vec<Measured> = alike.iter().map(|m| Measured { value: m.value + 4.0 * m.unit as f64, ..*m }).collect();
    let plain: Vec<Measured> = apart.iter().map(|m| Measured { rounding: 0.0, ..*m }).collect();
    assert_eq!(mean(&apart), mean(&plain), "what is seen to vary holds its rounding already");
    let day = |text: &str| text.parse::<When>().expect("a fixture");
    assert!((rounding(day("2026-03-01"), day("2026-05-01")) - 1.0 / 6.0).abs() < 1e-12);
    let near = rounding(day("2026-03-01T12:00"), day("2026-05-01T12:00"));
    assert!(near > 0.0 && near < 1e-6, "{near}");
}

/// Dams with rates of their own, one of them with most of the eggs.
#[test]
fn a_rates_interval_knows_that_one_dam_sways_it() {
    let (mut held, mut equal) = (0, 0);
    let runs = 400;
    for seed in 0..runs {
        let mut draws = Draws::named(seed, "sways");
        let mut unit = || (draws.next() >> 11) as f64 / (1u64 << 53) as f64;
        // Each dam's rate lies about 0.6 by as much either way.
        let mut rows = Vec::new();
        for (dam, clutches) in [12, 1, 1, 1, 1, 1, 1, 1, 1, 1].into_iter().enumerate() {
            let rate = if unit() < 0.5 { 0.4 } else { 0.8 };
            for _ in 0..clutches {
                let k = (0..10).filter(|_| unit() < rate).count() as u32;
                rows.push(Counted { group: 0, stratum: 0, unit: dam, k, n: 10 });
            }
        }
        let holds = |design: f64| {
            let (k, n) = rows.iter().fold((0, 0), |(k, n), c| (k + c.k, n + c.n));
            let share = wilson_clustered(k, n, design, CONFIDENCE).expect("counted");
            u32::from(share.low <= 0.6 && 0.6 <= share.high)
        };
        let share = rates(1, &rows, 1, seed).0[0].share.expect("counted");
        held += u32::from(share.low <= 0.6 && 0.6 <= share.high);
        // As if each dam swayed it alike: Pearson's statistic by its degrees of freedom.
        let (k, n) = rows.iter().fold((0, 0), |(k, n), c| (k + c.k, n + c.n));
        let p = f64::from(k) / f64::from(n);
        let mut dams = [(0.0, 0.0); 10];
        rows.iter().for_each(|c| dams[c.unit] = (dams[c.unit].0 + f64::from(c.k), dams[c.unit].1 + f64::from(c.n)));
        let chi: f64 = dams.iter().map(|(k, n)| (k - n * p).powi(2) / (n * p * (1.0 - p))).sum();
        equal += holds((chi / 9.0).max(1.0));
    }
    let share = |n: u32| f64::from(n) / runs as f64;
    println!("held {:.3}, {:.3} as if all swayed it alike", share(held), share(equal));
    assert!(share(held) >= 0.88, "{}", share(held));
    assert!(share(equal) < 0.8, "the test can tell: {}", share(equal));
}

#[test]
fn means_carry_their_interval() {
    // Textbook: 1…5 has mean 3, standard deviation 1.5811, t(4) 2.7764.
    let m = mean(&valued(&[(0, 1.0), (1, 2.0), (2, 3.0), (3, 4.0), (4, 5.0)]));
    let (low, high) = m.interval.expect("five");
    assert!((m.mean - 3.0).abs() < 1e-12 && (low - 1.0368).abs() < 1e-3 && (high - 4.9632).abs() < 1e-3);
    assert_eq!(mean(&valued(&[(0, 7.0)])).interval, None);
    // A dam of three clutches is one dam: 2 and 4 of two, not 2.5 of four.
    let uneven = mean(&valued(&[(0, 1.0), (0, 2.0), (0, 3.0), (1, 4.0)]));
    let (low, high) = uneven.interval.expect("two");
    // t(1) 12.7062, standard deviation √2, over √2.
    assert_eq!((uneven.mean, uneven.clutches, uneven.units), (3.0, 4, 2));
    assert!((low - 3.0 + 12.7062).abs() < 1e-3 && (high - 3.0 - 12.7062).abs() < 1e-3);
    let seen: Vec<Measured> = (0..20)
        .map(|i| Measured {
            group: i % 2,
            stratum: i / 10,
            unit: i,
            value: 60.0 + (i % 2 * 4 + i % 5) as f64 + (i / 10 * 9) as f64,
            rounding: 0.0,
        })
        .collect();
    let (means, verdict) = means(2, &seen, 1, 1);
    assert!(verdict.ranks() && means[1].mean > means[0].mean + 3.0, "{means:?} {verdict:?}");
}

#[test]
fn the_same_seed_gives_the_same_verdict() {
    let seen = same_luck(&mut Draws::named(5, "null"));
    assert_eq!(rates(2, &seen, 1, 9), rates(2, &seen, 1, 9));
}

/// Dams with rates of their own, four clutches each, each always on one shelf: the shelves are alike.
fn dams_on_shelves(dams: usize, shelves: usize, draws: &mut Draws) -> Vec<Counted> {
    let unit = |d: &mut Draws| (d.next() >> 11) as f64 / (1u64 << 53) as f64;
    let rates: Vec<f64> = (0..dams).map(|_| 0.3 + 0.65 * unit(draws)).collect();
    (0..4 * dams)
        .map(|i| {
            let dam = i % dams;
            let k = (0..9).filter(|_| unit(draws) < rates[dam]).count() as u32;
            Counted { group: dam % shelves, stratum: 0, unit: dam, k, n: 9 }
        })
        .collect()
}

#[test]
fn a_dam_is_not_mistaken_for_the_shelf_she_always_lies_on() {
    // Six dams on three shelves cannot tell: there are fifteen ways to pair them off.
    for (dams, shelves, can) in [(6, 3, false), (12, 3, true), (10, 2, true)] {
        let (mut ranked, mut blind) = (0, 0);
        let runs = 300;
        for seed in 0..runs {
            let seen = dams_on_shelves(dams, shelves, &mut Draws::named(seed, "dams"));
            let verdict = rates(shelves, &seen, 1, seed).1;
            assert_eq!(verdict != Verdict::TooFew, can);
            ranked += u32::from(verdict.ranks());
            let clutches: Vec<Counted> = seen.iter().enumerate().map(|(unit, c)| Counted { unit, ..*c }).collect();
            blind += u32::from(rates(shelves, &clutches, 1, seed).1.ranks());
        }
        let share = |n: u32| f64::from(n) / runs as f64;
        println!("{dams} dams: ranked {:.3} of {runs} by dams, {:.3} by clutches", share(ranked), share(blind));
        assert!(share(ranked) <= 0.08 && (ranked > 0) == can, "{}", share(ranked));
        assert!(share(blind) > 0.15, "the test can tell: {}", share(blind));
    }
}

#[test]
fn a_bad_shelf_is_found_within_the_dams_that_lie_on_both() {
    let seen: Vec<Counted> = (0..24)
        .map(|i| {
            let (dam, shelf) = (i % 6, i / 6 % 2);
            Counted { group: shelf, stratum: 0, unit: dam, k: if shelf == 0 { 8 } else { 4 } + dam as u32 % 2, n: 10 }
        })
        .collect();
    let (rates, verdict) = rates(2, &seen, 1, 1);
    assert!(verdict.ranks(), "{verdict:?}");
    assert_eq!((rates[0].clutches, rates[0].units), (12, 6));
}

#[test]
fn who_may_ask_forty_questions_is_not_told_of_a_chance_in_one() {
    let (mut any, mut uncorrected) = (0, 0);
    let books = 40;
    for seed in 0..books {
        // Forty questions to which the answer is no.
        let mut draws = Draws::named(seed, "forty");
        let tables: Vec<Vec<Counted>> = (0..40).map(|_| same_luck(&mut draws)).collect();
        any += u32::from(tables.iter().any(|seen| rates(2, seen, 40, seed).1.ranks()));
        uncorrected += u32::from(tables.iter().any(|seen| rates(2, seen, 1, seed).1.ranks()));
    }
    assert!(any <= 6, "{any} of {books}");
    assert!(uncorrected > 25, "the test can tell: {uncorrected}");
}

#[test]
fn what_could_tell_is_a_question() {
    assert!(!could_tell(&[]));
    assert!(!could_tell(&[(0, 0, 0), (1, 0, 1)]));
    let ten: Vec<(usize, usize, usize)> = (0..10).map(|i| (i % 2, 0, i)).collect();
    assert!(could_tell(&ten));
    // Ten clutches of two dams, each on her own shelf: two ways to deal them out.
    let two: Vec<(usize, usize, usize)> = (0..10).map(|i| (i % 2, 0, i % 2)).collect();
    assert!(!could_tell(&two));
}
