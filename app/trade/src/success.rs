//! How many of a clutch's eggs may hatch: published rates by temperature, and what candling shows. What the keeper's own
//! clutches add is [`crate::luck`].

use crate::priors;
use crate::species::Kin;

/// Published hatch rates by shelf temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HatchRates {
    /// (°C, mean share over all studies)
    pub by_celsius: &'static [(f64, f64)],
    pub studies: Studies,
}

/// How studies lie about the mean share, in logits: a treatment's share is the mean's at its temperature, moved by
/// `shift`, by its study's own effect and by its own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Studies {
    /// logit of the median study less the logit of the pooled mean
    pub shift: f64,
    /// standard deviation between studies, and how many there are
    pub between: f64,
    pub studies: u32,
    /// standard deviation between the treatments of a study that no temperature explains
    pub within: f64,
}

/// The published rates of colubrids and elapids. `None` for other kin: no table of theirs was found that serves.
pub fn published(kin: Kin) -> Option<HatchRates> {
    (kin == Kin::Snake).then_some(priors::SNAKE_HATCH)
}

impl HatchRates {
    /// The published mean share at a temperature. Straight lines between the table's points; `None` outside them.
    pub fn at(&self, celsius: f64) -> Option<f64> {
        let t = self.by_celsius;
        let i = t.partition_point(|p| p.0 <= celsius);
        let ((c0, p0), (c1, p1)) = match i {
            0 => return None,
            i if i == t.len() => (t[i - 1].0 == celsius).then_some((t[i - 1], (celsius + 1.0, t[i - 1].1)))?,
            i => (t[i - 1], t[i]),
        };
        let mean = p0 + (p1 - p0) * (celsius - c0) / (c1 - c0);
        Some(mean.clamp(0.02, 0.98))
    }

    /// The share at a temperature of a study in the middle, as a logit. `None` outside the table.
    pub fn typical(&self, celsius: f64) -> Option<f64> {
        let mean = self.at(celsius)?;
        Some((mean / (1.0 - mean)).ln() + self.studies.shift)
    }

    /// How far the published rate at `celsius` lies below the best of the table, as a share of it: above
    /// [`FALLS_OFF`] the page warns. `None` outside the table.
    pub fn shortfall(&self, celsius: f64) -> Option<f64> {
        let best = self.by_celsius.iter().map(|p| p.1).fold(0.0, f64::max);
        Some(1.0 - self.at(celsius)? / best)
    }
}

/// A published rate this much below the best wants a warning.
pub const FALLS_OFF: f64 = 0.20;

/// How an egg was last seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Seen {
    NotYet,
    Veins,
    Unsure,
    Clear,
    Dented,
    Mouldy,
    Dark,
    /// judged dead by the keeper
    Dead,
}

/// How much a sighting moves an egg's odds (common practice, no source). No sighting but the keeper's own judgement
/// makes an egg dead: late eggs go dark, and no veins is then normal.
fn odds(seen: Seen) -> f64 {
    match seen {
        Seen::NotYet | Seen::Unsure => 1.0,
        Seen::Veins => 3.0,
        Seen::Clear => 0.25,
        Seen::Dented => 0.8,
        Seen::Mouldy => 0.4,
        Seen::Dark => 0.7,
        Seen::Dead => 0.0,
    }
}

/// The same; `late` (the last two weeks): clear and dark eggs stay unmoved.
pub(crate) fn odds_of(seen: Seen, late: bool) -> f64 {
    if late && matches!(seen, Seen::Clear | Seen::Dark) { 1.0 } else { odds(seen) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rates_fall_off_where_published_eggs_died() {
        let r = published(Kin::Snake).expect("a table");
        for (c, warned) in [(21.0, true), (22.5, true), (25.0, false), (28.0, false), (31.0, false), (32.5, true)] {
            let short = r.shortfall(c).expect("inside");
            assert_eq!(short > FALLS_OFF, warned, "{c} °C: {short}");
        }
        assert_eq!(r.at(12.0), None);
        assert_eq!(r.at(40.0), None);
        assert_eq!(published(Kin::Python), None);
    }
}
