//! How good a drawing is. The weights are judgement: common practice, no source.

use super::{Page, Plan, Strip, Where};
use crate::text::{Face, Lack, Part};

/// How well a drawing reads: type sizes, and the strip's height and width, mm.
pub(super) struct Reads {
    pub plain: f64,
    pub title: f64,
    pub code: f64,
    pub strip: (f64, f64),
}

impl Page<'_> {
    pub(super) fn score(&self, plan: &Plan, width: f64, reads: &Reads, lacks: &[(Part, Lack)]) -> f64 {
        let lost: f64 = lacks.iter().map(|&(part, lack)| worth(part, lack)).sum();
        let module = plan.square.map_or(0.0, |(_, m)| module_worth(m));
        let legible = 55.0 * (reads.plain.clamp(1.2, 2.6) - 1.2);
        let ample = 45.0 * (reads.plain / self.suits).min(1.0);
        let named = 6.0 * reads.title.min(self.suits * 3.2);
        let typed = 8.0 * reads.code.min(3.4);
        let written = 2.0 * reads.strip.0.min(8.0) + 0.15 * reads.strip.1;
        let pencil = if matches!(self.text.face, Face::Blank { .. }) { 1.5 * width } else { 0.0 };
        module + legible + ample + named + typed + written + pencil - lost
    }

    /// No drawing of this plan can score more.
    pub(super) fn at_most(&self, plan: &Plan) -> f64 {
        let width = match (plan.square, &self.matrix) {
            (Some((Where::Right, module)), Some(m)) => self.size.w - self.margin - m.with_quiet() as f64 * module,
            _ => self.size.w - 2.0 * self.margin,
        };
        let strip = if plan.strip == Strip::None { (0.0, 0.0) } else { (8.0, self.size.w) };
        let reads = Reads { plain: f64::MAX, title: self.suits * 3.2, code: 3.4, strip };
        let mut lacks = Vec::new();
        lacks.extend(plan.square.is_none().then_some((Part::Square, Lack::LeftOut)));
        lacks.extend((plan.strip == Strip::None && self.text.notes.is_some()).then_some((Part::Notes, Lack::LeftOut)));
        self.score(plan, width, &reads, &lacks)
    }
}

/// What missing a part costs.
fn worth(part: Part, lack: Lack) -> f64 {
    match (part, lack) {
        (Part::Square, _) => 500.0,
        (Part::Code, Lack::LeftOut) | (Part::Title | Part::Species, Lack::LeftOut) => 300.0,
        (Part::LookFrom, Lack::LeftOut) => 150.0,
        (Part::Laid, Lack::LeftOut) => 90.0,
        (Part::FillTo, Lack::LeftOut) => 80.0,
        (Part::Eggs, Lack::LeftOut) => 70.0,
        (Part::Morph, Lack::LeftOut) => 60.0,
        (Part::Parents, Lack::LeftOut) => 45.0,
        (Part::Notes, _) => 30.0,
        (Part::Line(i), Lack::LeftOut) => (60.0 - 5.0 * i as f64).max(15.0),
        (Part::Title, Lack::Shortened) => 80.0,
        (Part::Species, Lack::Shortened) => 60.0,
        (Part::Morph | Part::Parents, Lack::Shortened) => 25.0,
        (_, Lack::Shortened) => 15.0,
    }
}

/// What a module of so many mm is worth: steep while phones struggle, flat past what an arm's length
/// needs.
fn module_worth(mm: f64) -> f64 {
    let steps = [(0.33, 0.0), (0.5, 60.0), (0.625, 85.0), (0.75, 110.0), (0.875, 113.0), (1.1, 116.0)];
    let at = steps.iter().position(|&(m, _)| m >= mm).unwrap_or(steps.len() - 1).max(1);
    let ((m0, w0), (m1, w1)) = (steps[at - 1], steps[at]);
    w0 + (w1 - w0) * ((mm - m0) / (m1 - m0)).clamp(0.0, 1.0)
}
