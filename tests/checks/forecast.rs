//! The season ahead and the shares beneath it against scipy: an independent simulation of the same barn, and its own
//! distributions for checks 17–20.
//!
//! Needs a Python with `scipy`, named in CANDLEMARK_PYTHON or `python3`. `cargo xtask test checks` fetches it.

use chrono::{NaiveDate, NaiveDateTime, NaiveTime};
use std::ffi::OsString;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use trade::forecast::{After, Eggs, Event, Group, MEAL_DAYS, Timing, season};
use trade::rates::{Belief, count_given, exact, poisson_binomial, wilson};
use trade::success::Seen;

const WEEKS: usize = 12;

fn python(args: &[&str], input: &str) -> Vec<Vec<f64>> {
    let program: OsString = std::env::var_os("CANDLEMARK_PYTHON").unwrap_or_else(|| "python3".into());
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("forecast.py");
    let mut child = Command::new(&program)
        .arg(script)
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap_or_else(|why| panic!("{} could not be started ({why}): install Python with scipy, or run `cargo xtask test checks`, which does", program.display()));
    child.stdin.take().expect("piped").write_all(input.as_bytes()).expect("Python reads");
    let out = child.wait_with_output().expect("Python ends");
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let numbers = |line: &str| line.split_whitespace().map(|n| n.parse().expect(line)).collect();
    String::from_utf8_lossy(&out.stdout).lines().map(numbers).collect()
}

struct Clutch {
    species: &'static str,
    shelf: &'static str,
    /// days from the Monday of the forecast
    laid: f64,
    length: f64,
    /// variances of ln duration: the species', the shelf's, the clutch's own
    variances: (f64, f64, f64),
    within: f64,
    eggs: usize,
    rate: (f64, f64),
}

/// Thirty clutches of three species on two shelves, none due before the Monday.
fn barn() -> Vec<Clutch> {
    (0..30)
        .map(|i| {
            let f = i as f64;
            let (species, length, figures) =
                [("eastern", 60.0, 0.0016), ("corn", 57.0, 0.0036), ("hognose", 62.0, 0.0009)][i % 3];
            let (shelf, shelf_var) = [("N1", 0.0004), ("N2", 0.0009)][i % 2];
            Clutch {
                species,
                shelf,
                laid: -42.0 + (f * 7.3) % 55.0,
                length,
                variances: (figures, shelf_var, 0.0006 + 0.0001 * (f % 4.0)),
                within: 0.55 + 0.02 * (f % 5.0),
                eggs: 5 + (i * 5) % 13,
                rate: (3.0 + f % 5.0, 0.6 + 0.3 * (f % 3.0)),
            }
        })
        .collect()
}

const OUT_H: (f64, f64) = (12.0, 48.0);

#[test]
fn weekly_babies_as_scipy_simulates_them() {
    let monday: NaiveDateTime = NaiveDate::from_ymd_opt(2026, 6, 8).expect("a day").and_time(NaiveTime::MIN);
    let today = (monday.and_utc().timestamp() / 86_400) as f64;
    let barn = barn();
    let mut text = "species,shelf,laid,length,figures,shelf_var,own,within,eggs,yes,no,out_low,out_high\n".to_owned();
    let mut groups = Vec::new();
    for (i, c) in barn.iter().enumerate() {
        let (figures, shelf, own) = c.variances;
        text += &format!(
            "{},{},{},{},{figures},{shelf},{own},{},{},{},{},{},{}\n",
            c.species, c.shelf, c.laid, c.length, c.within, c.eggs, c.rate.0, c.rate.1, OUT_H.0, OUT_H.1
        );
        groups.push(Group {
            key: format!("clutch {i}"),
            species: c.species.to_owned(),
            shelf: c.shelf.to_owned(),
            boxes: 1,
            laid: 1.0,
            eggs: Eggs::Seen { eggs: vec![Seen::NotYet; c.eggs], late: false },
            rate: Belief::new(c.rate.0, c.rate.1).expect("counts"),
            timing: Timing::steady(today + c.laid, c.length, c.variances, c.within),
            after: After { out_h: OUT_H, shed_days: (5.0, 14.0), meal_days: MEAL_DAYS },
            pipped: Vec::new(),
            young: Vec::new(),
        });
    }
    let ours = season(&groups, monday, WEEKS, 8);
    let file = std::env::temp_dir().join(format!("candlemark-season-{}.csv", std::process::id()));
    std::fs::write(&file, text).expect("room for temporary files");
    let draws = 20_000;
    let name = file.to_str().expect("a plain path");
    let theirs = python(&["season", name, &draws.to_string(), &WEEKS.to_string()], "");
    // A file left behind harms nobody.
    std::fs::remove_file(&file).ok();
    assert_eq!(theirs.len(), WEEKS);
    let mut compared = 0;
    for (week, line) in theirs.iter().enumerate() {
        let [mean, sd, quantiles @ ..] = line.as_slice() else { panic!("a short line") };
        let seen = ours.week(Event::Out, week);
        // Four standard errors of the two simulations, and a share for dates kept on a grid.
        let error = 4.0 * sd * (1.0 / ours.draws as f64 + 1.0 / f64::from(draws)).sqrt() + 0.01 * mean + 0.02;
        assert!((seen.mean - mean).abs() <= error, "week {week}: mean {} and {mean} (±{error})", seen.mean);
        // Four standard errors of a tenth are two in a hundred at 4,000 draws: the ends lie between those quantiles.
        let within = |end: u32, low: f64, high: f64| low <= f64::from(end) && f64::from(end) <= high;
        assert!(within(seen.low, quantiles[1], quantiles[3]), "week {week}: {seen:?} and {quantiles:?}");
        assert!(within(seen.high, quantiles[6], quantiles[8]), "week {week}: {seen:?} and {quantiles:?}");
        compared += usize::from(*mean > 3.0);
    }
    assert!(compared >= 7, "most weeks have babies");
}

/// Checks 17–20 again, over many more cases, by another's hand.
#[test]
fn shares_as_scipy_has_them() {
    let mut asked = String::new();
    let mut ours: Vec<Vec<f64>> = Vec::new();
    for (k, n, confidence) in [
        (81, 263, 0.95),
        (15, 148, 0.95),
        (0, 20, 0.95),
        (1, 29, 0.95),
        (4, 20, 0.9),
        (7, 7, 0.8),
        (3, 11, 0.8),
        (399, 400, 0.99),
    ] {
        for (name, f) in [("wilson", wilson as fn(u32, u32, f64) -> _), ("exact", exact)] {
            asked += &format!("{name} {k} {n} {confidence}\n");
            let s = f(k, n, confidence).expect("counted");
            ours.push(vec![s.low, s.high]);
        }
    }
    for (yes, no, p) in [(5.4, 18.6, 0.1), (3.6, 0.5, 0.1), (0.7, 0.9, 0.9), (40.0, 2.0, 0.5)] {
        asked += &format!("beta {yes} {no} {p}\n");
        let b = Belief::new(yes, no).expect("counts");
        ours.push(vec![b.mean(), b.sd(), b.quantile(p).expect("a chance")]);
    }
    for (n, yes, no) in [(8, 3.6, 0.5), (1, 1.0, 1.0), (22, 16.0, 4.0)] {
        asked += &format!("beta-binomial {n} {yes} {no}\n");
        ours.push(count_given(n, Belief::new(yes, no).expect("counts")));
    }
    for chances in [vec![0.2, 0.5, 0.9], vec![0.0, 1.0, 0.3, 0.3, 0.77], vec![0.05; 14]] {
        let words: Vec<String> = chances.iter().map(f64::to_string).collect();
        asked += &format!("poisson-binomial {}\n", words.join(" "));
        ours.push(poisson_binomial(&chances).expect("chances"));
    }
    let theirs = python(&["shares"], &asked);
    assert_eq!(theirs.len(), ours.len());
    for ((line, a), b) in asked.lines().zip(&ours).zip(&theirs) {
        // A product whose last coefficients are 0 comes back without them.
        for (i, a) in a.iter().enumerate() {
            let b = b.get(i).copied().unwrap_or(0.0);
            assert!((a - b).abs() < 2e-7, "{line}: {a} and {b}");
        }
    }
}
