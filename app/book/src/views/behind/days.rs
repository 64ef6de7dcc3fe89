//! Days from lay to first pip on temperature, a species each, against the figures it started from.

use super::came::{Part, dam_of, dates, parts, unit};
use super::{Numbers, SEED, Whose, position};
use crate::book::Book;
use crate::ids::*;
use trade::look_back::{AgainstCurve, Lasted, against_curve, questions, rounding};
use trade::when::When;

/// A clutch's days at its mean temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct DaysPoint {
    pub clutch: ClutchId,
    pub number: String,
    pub celsius: f64,
    pub days: f64,
    /// Variance of the days that comes of how they were noted.
    pub rounding: f64,
    /// `None` where she is not known, or not which of several.
    pub dam: Option<AnimalId>,
}

/// A species' days against temperature.
#[derive(Clone, Debug, PartialEq)]
pub struct DaysLine {
    pub species: String,
    pub name: String,
    pub points: Vec<DaysPoint>,
    /// The figures it started from: (°C, days).
    pub curve: Vec<(f64, f64)>,
    pub against: Option<AgainstCurve>,
    /// Of the clutches that are compared with those figures.
    pub whose: Whose,
}

impl DaysLine {
    fn lasted(&self) -> Vec<Lasted> {
        let mut dams = Numbers::default();
        let lasted = self.points.iter().map(|point| {
            let unit = dams.of(unit(&point.clutch, point.dam.as_ref()));
            Lasted { celsius: point.celsius, days: point.days, rounding: point.rounding, unit }
        });
        lasted.collect()
    }
}

/// Days from lay to first pip on the mean temperature until then, a species each, most clutches first. The level is shared
/// out among the questions that all lines could answer.
pub fn days_lines(book: &Book) -> Vec<DaysLine> {
    let mut lines: Vec<DaysLine> = Vec::new();
    for part in parts(book) {
        let Some((laid, pip)) = dates(book, &part) else { continue };
        let Some(celsius) = mean_celsius(book, &part, pip) else { continue };
        let species = book.clutch_species(part.clutch).unwrap_or_default();
        let at = position(
            &mut lines,
            |line| line.species == species,
            || DaysLine {
                name: book.species_of(Some(&species)).name.into_owned(),
                species: species.clone(),
                points: Vec::new(),
                curve: Vec::new(),
                against: None,
                whose: Whose::default(),
            },
        );
        lines[at].points.push(DaysPoint {
            clutch: part.clutch.id.clone(),
            number: book.clutch_number(&part.clutch.id),
            celsius,
            days: (pip.middle() - laid.middle()).num_minutes() as f64 / 1440.0,
            rounding: rounding(laid, pip),
            dam: dam_of(part.clutch).cloned(),
        });
    }
    let asked = lines.iter().map(|line| questions(&line.lasted(), &book.unlearned(&line.species))).sum();
    for line in &mut lines {
        let curve = book.unlearned(&line.species);
        let (low, high) = curve.limits();
        let step = (high - low) / 24.0;
        line.curve = (0..=24)
            .filter_map(|i| {
                let celsius = low + step * f64::from(i);
                Some((celsius, curve.days_at(celsius)?))
            })
            .collect();
        let compared = line.points.iter().filter(|point| point.days > 0.0 && curve.days_at(point.celsius).is_some());
        line.whose = Whose::of(compared.map(|point| (&point.clutch, point.dam.as_ref())));
        line.against = against_curve(&line.lasted(), &curve, asked, SEED);
    }
    lines.sort_by(|a, b| b.points.len().cmp(&a.points.len()).then_with(|| a.name.cmp(&b.name)));
    lines
}

/// Mean temperature from lay to pip: as read, and as set where nothing was read.
fn mean_celsius(book: &Book, part: &Part<'_>, pip: When) -> Option<f64> {
    let why = book.window_of(&part.eggs, pip.latest()).ok()?.why;
    let (read, since) = (why.days_read.min(why.days_since_lay), why.days_since_lay);
    Some(match why.mean_read_c {
        Some(mean) if since > 0.0 => (mean * read + why.ahead_c * (since - read)) / since,
        _ => why.ahead_c,
    })
}
