//! Scoring the model on published durations it may never have met.
//!
//! Of each study of a species the constant row nearest 28 °C (of two as near, the one with more eggs) is taken as known;
//! every other row is foretold from it and the family's slopes. A fluctuating row is foretold as a sine of its full
//! swing about its mean.

use crate::fit::Shape;
use crate::gauss::quantile;
use crate::published::{Refused, Row, Why, kin_of, misleading, read};
use crate::response::{Slopes, basis, known_at};
use crate::species::Kin;
use std::collections::BTreeMap;
use std::fmt;

/// One row foretold.
#[derive(Clone, Debug, PartialEq)]
pub struct Foretold {
    pub row: Row,
    /// °C of the row taken as known
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
}

/// A file scored.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Report {
    pub foretold: Vec<Foretold>,
    pub refused: Vec<Refused>,
}

impl Report {
    /// Share of rows in their 90 % interval, mean relative error, mean interval width relative to the median.
    pub fn summary(&self) -> Option<(f64, f64, f64)> {
        self.summary_of(|_| true)
    }

    /// The same over some of the rows; `None` when there are none.
    pub fn summary_of(&self, which: impl Fn(&Foretold) -> bool) -> Option<(f64, f64, f64)> {
        let some: Vec<&Foretold> = self.foretold.iter().filter(|f| which(f)).collect();
        let mean = |f: &dyn Fn(&Foretold) -> f64| some.iter().map(|r| f(r)).sum::<f64>() / some.len() as f64;
        (!some.is_empty()).then(|| {
            (mean(&|r| f64::from(u8::from(r.held()))), mean(&Foretold::error), mean(&|r| (r.high - r.low) / r.median))
        })
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "species | study | °C | known at °C | observed | median | 90 % interval | inside")?;
        for r in &self.foretold {
            writeln!(
                f,
                "{} | {} | {}{} | {} | {:.1} | {:.1} | {:.1}–{:.1} | {}",
                r.row.species,
                r.row.study,
                r.row.celsius,
                if r.row.swing > 0.0 { format!(" ± {}", r.row.swing / 2.0) } else { String::new() },
                r.known_c,
                r.row.days,
                r.median,
                r.low,
                r.high,
                if r.held() { "yes" } else { "no" }
            )?;
        }
        let told: Vec<&Refused> =
            self.refused.iter().filter(|r| !matches!(r.why, Why::NotADuration | Why::TheKnownRow)).collect();
        let count = |w: &Why| self.refused.iter().filter(|r| r.why == *w).count();
        writeln!(
            f,
            "\nnot foretold: {} rows taken as known, {} that are no duration, {} refused:",
            count(&Why::TheKnownRow),
            count(&Why::NotADuration),
            told.len()
        )?;
        for r in told {
            writeln!(f, "line {}: {}: {}", r.line, r.what, r.why)?;
        }
        match self.summary() {
            Some((held, error, width)) => write!(
                f,
                "coverage={held:.3} mean_abs_rel_error={error:.4} mean_rel_width={width:.3} n={}",
                self.foretold.len()
            ),
            None => write!(f, "coverage=nan mean_abs_rel_error=nan mean_rel_width=nan n=0"),
        }
    }
}

/// Scores the shipped figures on a table in the shape [`crate::published`] reads. `Err` when the table has no usable
/// header.
pub fn score(csv_text: &str) -> Result<Report, String> {
    score_with(csv_text, basis, |kin, _| Some(Slopes::of(kin)))
}

/// The same under another shape or other slopes; `slopes` is asked per kin and species, so that a species can be
/// foretold by slopes that never saw it.
pub fn score_with(
    csv_text: &str,
    shape: Shape,
    slopes: impl Fn(Kin, &str) -> Option<Slopes>,
) -> Result<Report, String> {
    let (rows, refused) = read(csv_text)?;
    let mut report = Report { foretold: Vec::new(), refused };
    let mut groups: BTreeMap<(String, String), Vec<Row>> = BTreeMap::new();
    for row in rows {
        let refuse = match kin_of(&row.family) {
            None => Some(Why::UnknownFamily(row.family.clone())),
            Some((_, limits)) if !(limits.0..=limits.1).contains(&row.celsius) => {
                Some(Why::OutsideLimits { celsius: row.celsius, limits })
            }
            Some(_) => misleading(&row).map(Why::Misleading),
        };
        match refuse {
            Some(why) => report.refuse(row, why),
            None => groups.entry((row.species.clone(), row.study.clone())).or_default().push(row),
        }
    }
    for ((species, _), mut rows) in groups {
        let far = |r: &Row| ((r.celsius - 28.0).abs() * 1e6) as i64;
        let eggs = |r: &Row| r.n.unwrap_or(0.0);
        let known = (0..rows.len())
            .filter(|&i| rows[i].constant)
            .min_by(|&a, &b| far(&rows[a]).cmp(&far(&rows[b])).then(eggs(&rows[b]).total_cmp(&eggs(&rows[a]))));
        let kin = rows.first().and_then(|r| kin_of(&r.family)).map(|k| k.0);
        let (Some(known), Some(slopes)) = (known, kin.and_then(|k| slopes(k, &species))) else {
            rows.into_iter().for_each(|r| report.refuse(r, Why::NoConstantRow));
            continue;
        };
        let known = rows.remove(known);
        let belief = curve(&slopes, shape, known.celsius, known.days.ln());
        for row in rows {
            // A day's development at a swing is the mean of the rates over the sine; the lean on b and c likewise.
            let (mut dev, mut lean) = (0.0, [0.0; 3]);
            for i in 0..96 {
                let phase = std::f64::consts::TAU * (f64::from(i) + 0.5) / 96.0;
                let h = shape(row.celsius + row.swing / 2.0 * phase.sin());
                let rate = (-belief.mean_of(&h)).exp() / 96.0;
                dev += rate;
                lean.iter_mut().zip(h).for_each(|(l, h)| *l += rate * h);
            }
            let lean = lean.map(|l| l / dev);
            let sd = (belief.variance_of(&lean) + slopes.scatter * slopes.scatter).sqrt();
            let (ln, z) = (-dev.ln(), quantile(0.95));
            report.foretold.push(Foretold {
                known_c: known.celsius,
                median: ln.exp(),
                low: (ln - z * sd).exp(),
                high: (ln + z * sd).exp(),
                row,
            });
        }
        report.refuse(known, Why::TheKnownRow);
    }
    report.refused.sort_by_key(|r| r.line);
    Ok(report)
}

fn curve(slopes: &Slopes, shape: Shape, celsius: f64, ln_days: f64) -> crate::gauss::Gaussian {
    let h = shape(celsius);
    let mut belief = known_at(slopes, crate::response::REFERENCE_C, 4.0, 30.0);
    belief.observe(&h, (ln_days, ln_days), slopes.scatter * slopes.scatter);
    belief
}

impl Report {
    fn refuse(&mut self, row: Row, why: Why) {
        let what = format!("{}, {}, {} °C", row.species, row.study, row.celsius);
        self.refused.push(Refused { line: row.line, what, why });
    }
}
