//! The response against published eggs (check 7). Source: Reptile Development Database, Noble, Stenhouse & Schwanz
//! 2018, Sci. Data 5:180138, with Du & Ji 2008.

use trade::fit::{SHAPES, Shape, family};
use trade::published::{kin_of, read};
use trade::score::{Foretold, Report, score_with};
use trade::species::Kin;

const TABLE: &str = include_str!("../../app/trade/data/published.csv");

/// Every species foretold by slopes fitted without it.
fn left_out(shape: Shape) -> Report {
    let (rows, _) = read(TABLE).expect("the header");
    score_with(TABLE, shape, |kin, species| family(&rows, kin, species, shape).map(|f| f.0)).expect("the header")
}

fn snake(f: &Foretold) -> bool {
    kin_of(&f.row.family).is_some_and(|k| k.0 == Kin::Snake)
}

/// Mean log density the forecast gave to what was seen, as a normal in ln days: a proper score of middle and width.
fn log_score(report: &Report, which: impl Fn(&Foretold) -> bool) -> f64 {
    let some: Vec<f64> = report
        .foretold
        .iter()
        .filter(|f| which(f))
        .map(|f| {
            let sd = (f.high / f.low).ln() / (2.0 * 1.644_853_6);
            let z = (f.row.days / f.median).ln() / sd;
            -0.5 * z * z - sd.ln()
        })
        .collect();
    some.iter().sum::<f64>() / some.len() as f64
}

#[test]
fn the_shape_in_use_beats_the_baseline_on_species_it_never_saw() {
    println!(
        "| shape | rows | coverage of 90 % | mean error | log score | snakes: rows | coverage | error | 22–32 °C | within 2 °C | log score |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|---|");
    let mut scores = Vec::new();
    for (name, shape) in SHAPES {
        let report = left_out(shape);
        let (held, error, _) = report.summary().expect("rows");
        let (snake_held, snake_error, _) = report.summary_of(snake).expect("rows");
        let mid = report.summary_of(|f| snake(f) && (22.0..=32.0).contains(&f.row.celsius)).expect("rows").1;
        let near = report.summary_of(|f| snake(f) && (f.row.celsius - f.known_c).abs() <= 2.0).expect("rows").1;
        let snakes = report.foretold.iter().filter(|f| snake(f)).count();
        let (all_log, snake_log) = (log_score(&report, |_| true), log_score(&report, snake));
        println!(
            "| {name} | {} | {held:.3} | {error:.4} | {all_log:.3} | {snakes} | {snake_held:.3} | {snake_error:.4} | {mid:.4} | {near:.4} | {snake_log:.3} |",
            report.foretold.len()
        );
        scores.push((error, all_log, snake_error, snake_log, held, snake_held, mid, near));
    }
    let (own, baseline) = (scores[0], scores[1]);
    assert!(own.0 < baseline.0 && own.1 > baseline.1, "all families");
    assert!(own.2 < baseline.2 && own.3 > baseline.3, "snakes");
    for held in [own.4, own.5] {
        assert!((0.85..=0.95).contains(&held), "90 % intervals hold {held}");
    }
    assert!(own.6 <= 0.08, "snakes, 22–32 °C: mean error {}", own.6);
    assert!(own.7 <= 0.04, "snakes, within 2 °C: mean error {}", own.7);
}
