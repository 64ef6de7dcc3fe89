//! Published durations foretold, and clutches weighed against each other, beside another's reckoning (`durations.py`).
//!
//! Needs a Python with `scipy`, named in CANDLEMARK_PYTHON or `python3`. `cargo xtask test checks` fetches it.

use chrono::{NaiveDate, NaiveTime, TimeDelta};
use std::io::Write;
use std::process::{Command, Stdio};
use trade::journey::Leg;
use trade::learn::{Hatched, Learner, NAMED, Pip};
use trade::path::{Path, Reading, Track};
use trade::published::kin_of;
use trade::response::{Model, Slopes};
use trade::score::score;
use trade::species::Profile;
use trade::units::Temp;
use trade::when::When;

const TABLE: &str = include_str!("../../app/trade/data/published.csv");

fn python(what: &str, input: &str) -> Vec<Vec<f64>> {
    let program = std::env::var_os("CANDLEMARK_PYTHON").unwrap_or_else(|| "python3".into());
    let script = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("durations.py");
    let mut child = Command::new(&program)
        .arg(script)
        .arg(what)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap_or_else(|why| {
            panic!("{} could not be started ({why}): run `cargo xtask test checks`", program.display())
        });
    let mut stdin = child.stdin.take().expect("piped");
    let input = input.to_owned();
    let writer = std::thread::spawn(move || stdin.write_all(input.as_bytes()));
    let out = child.wait_with_output().expect("Python ends");
    writer.join().expect("no panic").expect("Python reads");
    assert!(out.status.success());
    let numbers = |line: &str| line.split_whitespace().map(|n| n.parse().expect(line)).collect();
    String::from_utf8_lossy(&out.stdout).lines().map(numbers).collect()
}

#[test]
fn every_constant_row_is_foretold_as_scipy_does() {
    let report = score(TABLE).expect("the header");
    let rows: Vec<_> = report.foretold.iter().chain(&report.elsewhere).filter(|f| f.row.constant).collect();
    let (known, _) = trade::published::read(TABLE).expect("the header");
    let mut input = String::new();
    for f in &rows {
        let slopes = Slopes::of(kin_of(&f.row.family).expect("a family").0);
        let ([b, c], [[vb, vbc], [_, vc]]) = (slopes.mean, slopes.cov);
        // Which of several rows at the known temperature was taken: the one with most eggs.
        let same = known
            .iter()
            .filter(|r| r.species == f.row.species && r.study == f.known_study && r.celsius == f.known_c && r.constant);
        let usable = same.filter(|r| trade::published::misleading(r).is_none());
        let eggs = |r: &trade::published::Row| r.n.unwrap_or(0.0);
        let days = usable.reduce(|a, r| if eggs(r) > eggs(a) { r } else { a }).expect("the known row").days;
        let other = u8::from(f.known_study != f.row.study);
        input += &format!(
            "{b} {c} {vb} {vbc} {vc} {} {} {} {days} {} {other}\n",
            slopes.scatter, slopes.study, f.known_c, f.row.celsius
        );
    }
    let theirs = python("foretell", &input);
    assert_eq!(theirs.len(), rows.len());
    assert!(rows.len() > 200, "{}", rows.len());
    for (ours, theirs) in rows.iter().zip(&theirs) {
        for (a, b) in [ours.median, ours.low, ours.high].iter().zip(theirs) {
            // Nothing known of the level is a standard deviation of 30 here, and endless there.
            assert!((a / b - 1.0).abs() < 1e-4, "{ours}: {theirs:?}");
        }
    }
}

/// A thermometer without error and a reading an hour leave one unknown, the days at 28 °C.
#[test]
fn clutches_are_weighed_as_a_fine_grid_has_it() {
    let barns: [&[f64]; 6] = [
        &[60.0],
        &[49.0, 59.0, 60.0],
        &[59.0, 60.0, 49.0],
        &[48.0, 60.0, 61.0, 59.0, 90.0],
        &[66.0, 65.0, 67.0, 66.0, 56.0, 65.0, 66.0],
        &[61.0, 58.0, 63.0, 57.0, 60.0],
    ];
    let model = Model::of(&Profile::find("lampropeltis-getula").expect("built in")).with_thermometer(0.0);
    let (mean, sd) = (model.days_at(28.0).expect("inside").ln(), model.spread_at(28.0).0.sqrt());
    let start = NaiveDate::from_ymd_opt(2026, 5, 1).expect("a day").and_time(NaiveTime::MIN);
    let readings: Vec<Reading> =
        (0..24 * 100).map(|h| Reading { at: start + TimeDelta::hours(h), temp: Temp(2800) }).collect();
    let track = Track::new(Path::new(&readings, None, Temp(0)).expect("read"), &model);
    let mut input = String::new();
    let mut ours = Vec::new();
    for noted in barns {
        let mut learner = Learner::new(model.clone());
        for days in noted {
            let pip = When::time(start + TimeDelta::minutes((days * 1440.0) as i64));
            let legs = [Leg { from: start, place: "shelf", track: &track }];
            let clutch =
                Hatched { laid: When::time(start), legs: &legs, pip: Pip::Between(pip), eggs: 8, last_pip: None };
            learner.add(&clutch).expect("learned");
        }
        learner.settle();
        input += &format!("{mean} {sd}");
        noted.iter().for_each(|days| input += &format!(" {days}"));
        input.push('\n');
        let of = learner.model();
        let chances: Vec<Option<f64>> = learner.doubts().iter().map(|d| d.map(|d| d.chance)).collect();
        ours.push((of.days_at(28.0).expect("inside").ln(), of.spread_at(28.0).0.sqrt(), chances));
    }
    for (((mean, sd, chances), theirs), noted) in ours.iter().zip(python("weigh", &input)).zip(barns) {
        println!("{noted:?}: {mean:.4} ± {sd:.4} {chances:.3?}; by a grid {theirs:.4?}");
        assert!((mean - theirs[0]).abs() < 0.2 * theirs[1], "{noted:?}");
        assert!((0.75..1.25).contains(&(sd / theirs[1])), "{noted:?}");
        for (ours, theirs) in chances.iter().zip(&theirs[2..]) {
            match ours {
                Some(ours) => assert!((ours - theirs).abs() < 0.1, "{noted:?}"),
                None => assert!(*theirs < NAMED + 0.1, "{noted:?}"),
            }
        }
    }
}
