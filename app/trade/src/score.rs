//! Scoring the model on published durations it may never have met.
//!
//! Of each study of a species the constant row nearest 28 °C (of two as near, the one with more eggs) is taken as known.
//! From it and the family's slopes every other row of the same study is foretold, and every row of each other paper
//! on the same species: what a figure from the literature is worth in another colony. A fluctuating row is foretold as
//! a sine of its full swing about its mean.

use crate::fit::{BEND, Shape};
use crate::gauss::{Gaussian, quantile};
use crate::published::{Refused, Row, Why, kin_of, misleading, read};
use crate::response::{Slopes, unknown};
use crate::species::Kin;
use std::collections::BTreeMap;
use std::fmt;

/// Rows as near as this to the known one, °C, are told apart from those beyond.
pub const NEAR_C: f64 = 4.0;

/// One row foretold.
#[derive(Clone, Debug, PartialEq)]
pub struct Foretold {
    pub row: Row,
    /// the study and °C of the row taken as known
    pub known_study: String,
    pub known_c: f64,
    /// days
    pub median: f64,
    /// days between which nine of ten should lie
    pub low: f64,
    pub high: f64,
}

impl Foretold {
    /// Whether the observed days lie in the 90 % interval.
    pub fn held(&self) -> bool {
        (self.low..=self.high).contains(&self.row.days)
    }

    /// |median − observed| ÷ observed.
    pub fn error(&self) -> f64 {
        (self.median / self.row.days - 1.0).abs()
    }

    /// Width of the 90 % interval relative to the median.
    pub fn width(&self) -> f64 {
        (self.high - self.low) / self.median
    }

    /// Whether the row is within [`NEAR_C`] of the known one.
    pub fn near(&self) -> bool {
        (self.row.celsius - self.known_c).abs() <= NEAR_C
    }

    /// Log density the forecast gave to what was seen, as a normal in ln days (less a constant): a proper score of middle
    /// and width.
    pub fn log_score(&self) -> f64 {
        let sd = (self.high / self.low).ln() / (2.0 * quantile(0.95));
        let z = (self.row.days / self.median).ln() / sd;
        -0.5 * z * z - sd.ln()
    }
}

/// A file scored.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Report {
    /// from a known row of the same study
    pub foretold: Vec<Foretold>,
    /// from a known row of another paper on the same species
    pub elsewhere: Vec<Foretold>,
    pub refused: Vec<Refused>,
}

/// What some forecasts came to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Summary {
    pub rows: usize,
    /// share of rows in their 90 % interval
    pub held: f64,
    /// mean |median − observed| ÷ observed
    pub error: f64,
    /// mean width of the interval relative to the median
    pub width: f64,
    pub log_score: f64,
}

/// Over some forecasts; `None` when there are none.
pub fn summary<'a>(some: impl Iterator<Item = &'a Foretold>) -> Option<Summary> {
    let some: Vec<&Foretold> = some.collect();
    let mean = |f: &dyn Fn(&Foretold) -> f64| some.iter().map(|r| f(r)).sum::<f64>() / some.len() as f64;
    (!some.is_empty()).then(|| Summary {
        rows: some.len(),
        held: mean(&|r| f64::from(u8::from(r.held()))),
        error: mean(&Foretold::error),
        width: mean(&Foretold::width),
        log_score: mean(&Foretold::log_score),
    })
}

impl fmt::Display for Foretold {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let swing = if self.row.swing > 0.0 { format!(" ± {}", self.row.swing / 2.0) } else { String::new() };
        write!(f, "{} | {} | {}{swing} | ", self.row.species, self.row.study, self.row.celsius)?;
        if self.known_study != self.row.study {
            write!(f, "{}, ", self.known_study)?;
        }
        write!(f, "{} | {} | {:.1} | ", self.known_c, self.row.days, self.median)?;
        write!(f, "{:.1}–{:.1} | {}", self.low, self.high, if self.held() { "yes" } else { "no" })
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (title, rows) in [
            ("known row from the same study", &self.foretold),
            ("known row from another paper on the same species", &self.elsewhere),
        ] {
            writeln!(f, "{title}:\nspecies | study | °C | known at °C | observed | median | 90 % interval | inside")?;
            for r in rows {
                writeln!(f, "{r}")?;
            }
            writeln!(f)?;
        }
        let told: Vec<&Refused> =
            self.refused.iter().filter(|r| !matches!(r.why, Why::NotADuration | Why::TheKnownRow)).collect();
        let count = |w: &Why| self.refused.iter().filter(|r| r.why == *w).count();
        writeln!(
            f,
            "not foretold within their study: {} rows taken as known, {} that are no duration, {} refused:",
            count(&Why::TheKnownRow),
            count(&Why::NotADuration),
            told.len()
        )?;
        for r in told {
            writeln!(f, "line {}: {}: {}", r.line, r.what, r.why)?;
        }
        writeln!(f, "\nknown row of | °C from it | rows | 90 % intervals hold | mean error | mean relative width")?;
        for (what, rows) in [("the same study", &self.foretold), ("another paper, same species", &self.elsewhere)] {
            let near = summary(rows.iter().filter(|r| r.near()));
            let beyond = summary(rows.iter().filter(|r| !r.near()));
            for (where_, s) in [(format!("within ±{NEAR_C}"), near), ("beyond".to_owned(), beyond)] {
                if let Some(Summary { rows, held, error, width, .. }) = s {
                    writeln!(f, "{what} | {where_} | {rows} | {held:.3} | {error:.4} | {width:.3}")?;
                }
            }
        }
        for (of, rows) in [("other_study_", &self.elsewhere), ("", &self.foretold)] {
            match summary(rows.iter()) {
                Some(Summary { rows, held, error, width, .. }) => writeln!(
                    f,
                    "{of}coverage={held:.3} {of}mean_abs_rel_error={error:.4} {of}mean_rel_width={width:.3} {of}n={rows}"
                )?,
                None => writeln!(f, "{of}coverage=nan {of}mean_abs_rel_error=nan {of}mean_rel_width=nan {of}n=0")?,
            }
        }
        Ok(())
    }
}

/// Scores the shipped figures on a table in the shape [`crate::published`] reads. `Err` when the table has no usable
/// header.
pub fn score(csv_text: &str) -> Result<Report, String> {
    score_with(csv_text, &BEND, |kin, _| Some(Slopes::of(kin)))
}

/// The same under another shape or other slopes; `slopes` is asked per kin and species, so that a species can be
/// foretold by slopes that never saw it.
pub fn score_with(
    csv_text: &str,
    shape: &Shape,
    slopes: impl Fn(Kin, &str) -> Option<Slopes>,
) -> Result<Report, String> {
    let (rows, refused) = read(csv_text)?;
    let mut report = Report { refused, ..Report::default() };
    let mut species: BTreeMap<String, BTreeMap<String, Vec<Row>>> = BTreeMap::new();
    for row in rows {
        let refuse = match kin_of(&row.family) {
            None => Some(Why::UnknownFamily(row.family.clone())),
            Some((_, limits)) if !(limits.0..=limits.1).contains(&row.celsius) => {
                Some(Why::OutsideLimits { celsius: row.celsius, limits })
            }
            Some(_) => misleading(&row).map(Why::Misleading),
        };
        match refuse {
            Some(why) => report.refuse(&row, why),
            None => species.entry(row.species.clone()).or_default().entry(row.study.clone()).or_default().push(row),
        }
    }
    for (name, studies) in &species {
        let kin = studies.values().flatten().next().and_then(|r| kin_of(&r.family)).map(|k| k.0);
        let slopes = kin.and_then(|k| slopes(k, name));
        for (study, rows) in studies {
            let (Some(known), Some(slopes)) = (known(rows), &slopes) else {
                rows.iter().for_each(|r| report.refuse(r, Why::NoConstantRow));
                continue;
            };
            let curve = Curve::through(&rows[known], slopes, shape);
            report.refuse(&rows[known], Why::TheKnownRow);
            let others = rows.iter().enumerate().filter(|(i, _)| *i != known).map(|(_, row)| row);
            report.foretold.extend(others.map(|row| curve.foretell(row)));
            let elsewhere = studies.iter().filter(|(other, _)| *other != study).flat_map(|(_, rows)| rows);
            report.elsewhere.extend(elsewhere.map(|row| curve.foretell(row)));
        }
    }
    report.refused.sort_by_key(|r| r.line);
    Ok(report)
}

/// Which row of a study is taken as known.
fn known(rows: &[Row]) -> Option<usize> {
    let far = |r: &Row| ((r.celsius - 28.0).abs() * 1e6) as i64;
    let eggs = |r: &Row| r.n.unwrap_or(0.0);
    (0..rows.len())
        .filter(|&i| rows[i].constant)
        .min_by(|&a, &b| far(&rows[a]).cmp(&far(&rows[b])).then(eggs(&rows[b]).total_cmp(&eggs(&rows[a]))))
}

/// A species' curve through one known row.
struct Curve<'a> {
    known: &'a Row,
    slopes: &'a Slopes,
    shape: &'a Shape,
    belief: Gaussian,
}

impl<'a> Curve<'a> {
    fn through(known: &'a Row, slopes: &'a Slopes, shape: &'a Shape) -> Self {
        let mut belief = unknown(slopes);
        let ln = known.days.ln() - (shape.known)(known.celsius);
        belief.observe(&(shape.basis)(known.celsius), (ln, ln), slopes.scatter * slopes.scatter);
        Self { known, slopes, shape, belief }
    }

    fn foretell(&self, row: &Row) -> Foretold {
        // A day's development at a swing is the mean of the rates over the sine; the lean on b and c likewise.
        let (mut dev, mut lean) = (0.0, [0.0; 3]);
        for i in 0..96 {
            let phase = std::f64::consts::TAU * (f64::from(i) + 0.5) / 96.0;
            let celsius = row.celsius + row.swing / 2.0 * phase.sin();
            let h = (self.shape.basis)(celsius);
            let rate = (-self.belief.mean_of(&h) - (self.shape.known)(celsius)).exp() / 96.0;
            dev += rate;
            lean.iter_mut().zip(h).for_each(|(l, h)| *l += rate * h);
        }
        let lean = lean.map(|l| l / dev);
        // Both studies lie off their species' level, each by itself.
        let studies = if row.study == self.known.study { 0.0 } else { 2.0 * self.slopes.study.powi(2) };
        let sd = (self.belief.variance_of(&lean) + self.slopes.scatter.powi(2) + studies).sqrt();
        let (ln, z) = (-dev.ln(), quantile(0.95));
        Foretold {
            row: row.clone(),
            known_study: self.known.study.clone(),
            known_c: self.known.celsius,
            median: ln.exp(),
            low: (ln - z * sd).exp(),
            high: (ln + z * sd).exp(),
        }
    }
}

impl Report {
    fn refuse(&mut self, row: &Row, why: Why) {
        let what = format!("{}, {}, {} °C", row.species, row.study, row.celsius);
        self.refused.push(Refused { line: row.line, what, why });
    }
}
