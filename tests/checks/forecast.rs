//! The season ahead and the shares beneath it against scipy: an independent simulation of the same barn, and its own
//! distributions for checks 17–20.
//!
//! Needs a Python with `scipy`, named in CANDLEMARK_PYTHON or `python3`. `cargo xtask test checks` fetches it.

use chrono::{NaiveDate, NaiveDateTime, NaiveTime};
use std::ffi::OsString;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use trade::fit_hatch::studies;
use trade::forecast::{After, Eggs, Event, Group, MEAL_DAYS, Timing, season};
use trade::luck::{Ended, Luck, Of, Start};
use trade::published::read_hatch_rates;
use trade::rates::{Belief, count_given, exact, poisson_binomial, wilson};
use trade::species::Kin;
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
    /// days from the Monday of the forecast
    laid: f64,
    length: f64,
    /// variances of ln duration: the species', the shelf's, the clutch's own
    variances: (f64, f64, f64),
    within: f64,
    eggs: usize,
    of: Of,
}

/// Whose luck a clutch shares, and where its rate begins, as a logit.
fn of(start: f64, species: &str, dam: usize, shelf: &str, season: usize) -> Of {
    Of {
        start: Start::middle(start),
        species: species.to_owned(),
        dam: format!("dam {dam}"),
        pair: format!("dam {dam} and {}", dam % 2),
        shelf: shelf.to_owned(),
        season: season.to_string(),
    }
}

/// The same as a line of the file that the other program reads.
fn shared(start: f64, of: &Of) -> String {
    format!("{start},{},{},{},{},{}", of.species, of.dam, of.pair, of.shelf, of.season)
}

const SHARED: &str = "start,species,dam,pair,shelf,season";

/// Thirty clutches of three species on two shelves, none due before the Monday.
fn barn() -> Vec<Clutch> {
    (0..30)
        .map(|i| {
            let f = i as f64;
            let (species, length, figures) =
                [("eastern", 60.0, 0.0016), ("corn", 57.0, 0.0036), ("hognose", 62.0, 0.0009)][i % 3];
            let (shelf, shelf_var) = [("N1", 0.0004), ("N2", 0.0009)][i % 2];
            Clutch {
                laid: -42.0 + (f * 7.3) % 55.0,
                length,
                variances: (figures, shelf_var, 0.0006 + 0.0001 * (f % 4.0)),
                within: 0.55 + 0.02 * (f % 5.0),
                eggs: 5 + (i * 5) % 13,
                of: of(START, species, i % 11, shelf, 2026),
            }
        })
        .collect()
}

const OUT_H: (f64, f64) = (12.0, 48.0);
/// A logit that is a whole number of the app's steps.
const START: f64 = 2.25;

#[test]
fn weekly_babies_as_scipy_simulates_them() {
    let monday: NaiveDateTime = NaiveDate::from_ymd_opt(2026, 6, 8).expect("a day").and_time(NaiveTime::MIN);
    let today = (monday.and_utc().timestamp() / 86_400) as f64;
    let barn = barn();
    let mut text = format!("{SHARED},laid,length,figures,shelf_var,own,within,eggs,out_low,out_high\n");
    let mut groups = Vec::new();
    for (i, c) in barn.iter().enumerate() {
        let (figures, shelf, own) = c.variances;
        text += &format!(
            "{},{},{},{figures},{shelf},{own},{},{},{},{}\n",
            shared(START, &c.of),
            c.laid,
            c.length,
            c.within,
            c.eggs,
            OUT_H.0,
            OUT_H.1
        );
        let timing = Timing::steady(today + c.laid, c.length, c.variances, c.within);
        groups.push(group(i, c.of.clone(), c.eggs, timing));
    }
    let ours = season(&groups, &Luck::learned(&[], 8), monday, WEEKS, 8);
    let draws = 20_000;
    let theirs = with_files(&[text], |names| python(&["season", names[0], &draws.to_string(), &WEEKS.to_string()], ""));
    assert_eq!(theirs.len(), WEEKS + 1);
    let mut compared = 0;
    for (week, line) in theirs.iter().enumerate() {
        let [mean, sd, quantiles @ ..] = line.as_slice() else { panic!("a short line") };
        // The last line is of all weeks together.
        let seen = if week == WEEKS { ours.upto(Event::Out, WEEKS - 1) } else { ours.week(Event::Out, week) };
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

fn group(i: usize, of: Of, eggs: usize, timing: Timing) -> Group {
    Group {
        key: format!("clutch {i}"),
        of,
        boxes: 1,
        laid: 1.0,
        eggs: Eggs::Seen { eggs: vec![Seen::NotYet; eggs], late: false },
        timing,
        after: After { out_h: OUT_H, shed_days: (5.0, 14.0), meal_days: MEAL_DAYS },
        pipped: Vec::new(),
        young: Vec::new(),
    }
}

/// Texts as files for as long as the other program reads them.
fn with_files<T>(texts: &[String], read: impl FnOnce(&[&str]) -> T) -> T {
    let dir = std::env::temp_dir();
    let name =
        |i: usize| dir.join(format!("candlemark-{}-{:?}-{i}.csv", std::process::id(), std::thread::current().id()));
    let names: Vec<std::path::PathBuf> = (0..texts.len()).map(name).collect();
    for (name, text) in names.iter().zip(texts) {
        std::fs::write(name, text).expect("room for temporary files");
    }
    let plain: Vec<&str> = names.iter().map(|name| name.to_str().expect("a plain path")).collect();
    let found = read(&plain);
    for name in &names {
        // A file left behind harms nobody.
        std::fs::remove_file(name).ok();
    }
    found
}

/// Clutches that have ended: dams that differ, a clutch that failed whole, two shelves, two seasons.
fn ended() -> Vec<Ended> {
    let of = |dam, shelf, season| of(START, "corn", dam, shelf, season);
    [
        (of(0, "N1", 1), 4, 9),
        (of(0, "N2", 2), 3, 8),
        (of(1, "N1", 1), 10, 10),
        (of(1, "N1", 2), 8, 9),
        (of(2, "N2", 1), 7, 8),
        (of(2, "N1", 2), 0, 9),
        (of(3, "N2", 1), 9, 11),
        (of(3, "N2", 2), 6, 7),
    ]
    .into_iter()
    .map(|(of, hatched, eggs)| Ended { of, hatched, eggs })
    .collect()
}

#[test]
fn what_ended_clutches_teach_as_scipy_weighs_it() {
    let monday: NaiveDateTime = NaiveDate::from_ymd_opt(2026, 6, 8).expect("a day").and_time(NaiveTime::MIN);
    let today = (monday.and_utc().timestamp() / 86_400) as f64;
    let ended = ended();
    let mut past = format!("{SHARED},hatched,eggs\n");
    for e in &ended {
        past += &format!("{},{},{}\n", shared(START, &e.of), e.hatched, e.eggs);
    }
    let learned = Luck::learned(&ended, 8);
    for dam in [0, 1, 9] {
        let coming: Vec<Of> = ["N1", "N2", "N1"].iter().map(|shelf| of(START, "corn", dam, shelf, 3)).collect();
        let mut text = format!("{SHARED},eggs\n");
        coming.iter().for_each(|of| text += &format!("{},10\n", shared(START, of)));
        let theirs = with_files(&[past.clone(), text], |names| python(&["luck", names[0], names[1], "200000"], ""));
        let [mean, sd, worth, quantiles @ ..] = theirs[0].as_slice() else { panic!("a short line") };
        assert!(*worth > 1500.0, "the weighed draws are worth {worth}");
        let timing = |_| Timing::steady(today - 30.0, 60.0, (0.001, 0.0005, 0.001), 0.6);
        let groups: Vec<Group> = coming.into_iter().enumerate().map(|(i, of)| group(i, of, 10, timing(i))).collect();
        let ours = season(&groups, &learned, monday, WEEKS, 8).whole(Event::Out);
        println!("dam {dam}: {ours:?}, scipy {mean:.2} ± {sd:.2} {quantiles:?}");
        // Some hundred of the walk's states are worth being called independent.
        let error = 4.0 * sd / 300f64.sqrt();
        assert!((ours.mean - mean).abs() <= error.max(0.6), "dam {dam}: {} and {mean} (±{error})", ours.mean);
        let within = |end: u32, low: f64, high: f64| low - 1.0 <= f64::from(end) && f64::from(end) <= high + 1.0;
        assert!(within(ours.low, quantiles[1], quantiles[3]), "dam {dam}: {ours:?} and {quantiles:?}");
        assert!(within(ours.high, quantiles[6], quantiles[8]), "dam {dam}: {ours:?} and {quantiles:?}");
    }
}

/// The spread of published hatch rates between studies is what scipy finds in the same table.
#[test]
fn studies_differ_as_scipy_finds() {
    let table = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../app/trade/data/published.csv");
    let treatments = read_hatch_rates(&std::fs::read_to_string(table).expect("the table"), Kin::Snake);
    let rates = trade::success::published(Kin::Snake).expect("a table");
    let mean = |celsius: f64| rates.at(celsius).map(|p| (p / (1.0 - p)).ln());
    let mut text = "study,mean,hatched,eggs\n".to_owned();
    for t in &treatments {
        let Some(mean) = mean(t.celsius) else { continue };
        text += &format!("{},{mean},{},{}\n", t.study, t.hatched, t.eggs);
    }
    let theirs = with_files(&[text], |names| python(&["studies", names[0]], ""));
    let (ours, told) = (studies(&treatments, mean), rates.studies);
    println!("{ours:?}, shipped {told:?}, scipy {theirs:?}");
    for (ours, theirs) in [ours.shift, ours.between, ours.within].iter().zip(&theirs[0]) {
        assert!((ours - theirs).abs() < 0.04, "{ours} and {theirs}");
    }
    for (ours, told) in [(ours.shift, told.shift), (ours.between, told.between), (ours.within, told.within)] {
        // Shipped are figures of two digits, fitted to the table of three.
        assert!((ours - told).abs() < 0.03, "{ours} and {told} shipped");
    }
    assert_eq!(ours.studies, told.studies);
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
