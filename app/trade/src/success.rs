//! How many of a clutch's eggs may hatch: published rates by temperature, the keeper's own, the dam's, and what candling
//! shows.

use crate::priors;
use crate::rates::{Belief, NoShare, count_given, poisson_binomial};
use crate::species::Kin;

/// Published hatch rates by shelf temperature: (°C, mean share), and how many eggs that opinion is worth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HatchRates {
    pub by_celsius: &'static [(f64, f64)],
    pub worth: f64,
}

/// The published rates of colubrids and elapids. `None` for other kin: no table of theirs was found that serves.
pub fn published(kin: Kin) -> Option<HatchRates> {
    (kin == Kin::Snake).then_some(priors::SNAKE_HATCH)
}

impl HatchRates {
    /// What is believed of a clutch's hatch rate at a shelf's mean temperature, before any egg of the keeper's own.
    /// Straight lines between the table's points; `None` outside them.
    pub fn at(&self, celsius: f64) -> Option<Belief> {
        let t = self.by_celsius;
        let i = t.partition_point(|p| p.0 <= celsius);
        let ((c0, p0), (c1, p1)) = match i {
            0 => return None,
            i if i == t.len() => (t[i - 1].0 == celsius).then_some((t[i - 1], (celsius + 1.0, t[i - 1].1)))?,
            i => (t[i - 1], t[i]),
        };
        let mean = p0 + (p1 - p0) * (celsius - c0) / (c1 - c0);
        Belief::around(mean.clamp(0.02, 0.98), self.worth).ok()
    }

    /// How far the published rate at `celsius` lies below the best of the table, as a share of it: above
    /// [`FALLS_OFF`] the page warns. `None` outside the table.
    pub fn shortfall(&self, celsius: f64) -> Option<f64> {
        let best = self.by_celsius.iter().map(|p| p.1).fold(0.0, f64::max);
        Some(1.0 - self.at(celsius)?.mean() / best)
    }
}

/// A published rate this much below the best wants a warning.
pub const FALLS_OFF: f64 = 0.20;

/// What is believed of a keeper's clutches counts for at most this many eggs towards one dam, and a dam's for at most
/// this many towards her next clutch: clutches differ more than eggs (common practice, no source).
pub const CARRIED: f64 = 20.0;

/// Pools published → keeper → dam: each level's hatched and incubated eggs update what the level above hands down, which
/// is never worth more than [`CARRIED`] eggs.
pub fn pooled(published: Belief, keeper: (u32, u32), dam: (u32, u32)) -> Result<Belief, NoShare> {
    let carried = |b: Belief| Belief::around(b.mean(), (b.yes + b.no).min(CARRIED));
    carried(carried(published.seen(keeper.0, keeper.1)?)?.seen(dam.0, dam.1)?)
}

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

/// The same; late, clear and dark eggs stay unmoved.
pub(crate) fn odds_of(seen: Seen, late: bool) -> f64 {
    if late && matches!(seen, Seen::Clear | Seen::Dark) { 1.0 } else { odds(seen) }
}

/// Chances of 0, 1, … hatchlings from a clutch's eggs as last seen.
///
/// The clutch's own rate is uncertain and shared by its eggs, so counts spread more than independent eggs would; the
/// rate is taken at [`STEPS`] equally likely values. `late` (the last two weeks) leaves clear and dark eggs unmoved.
pub fn hatchlings(belief: Belief, eggs: &[Seen], late: bool) -> Result<Vec<f64>, NoShare> {
    if eggs.iter().all(|e| matches!(e, Seen::NotYet | Seen::Unsure)) {
        return Ok(count_given(eggs.len() as u32, belief));
    }
    let mut all = vec![0.0; eggs.len() + 1];
    for i in 0..STEPS {
        let p = belief.quantile((f64::from(i) + 0.5) / f64::from(STEPS))?;
        let chances: Vec<f64> = eggs
            .iter()
            .map(|&e| {
                let o = odds_of(e, late);
                let chance = p * o / (1.0 - p + p * o);
                if chance.is_finite() { chance } else { 1.0 }
            })
            .collect();
        for (sum, c) in all.iter_mut().zip(poisson_binomial(&chances)?) {
            *sum += c / f64::from(STEPS);
        }
    }
    Ok(all)
}

/// Values of the clutch's rate tried.
const STEPS: u32 = 25;

#[cfg(test)]
mod tests {
    use super::*;

    fn mean(chances: &[f64]) -> f64 {
        chances.iter().enumerate().map(|(i, p)| i as f64 * p).sum()
    }

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

    #[test]
    fn own_eggs_outweigh_the_published() {
        let start = Belief::around(0.85, 5.0).expect("a mean");
        let poor = pooled(start, (40, 100), (0, 0)).expect("counts");
        assert!((0.40..0.46).contains(&poor.mean()), "{poor:?}");
        let good_dam = pooled(start, (40, 100), (20, 20)).expect("counts");
        assert!(good_dam.mean() > 0.65 && good_dam.yes + good_dam.no <= CARRIED + 1e-9);
        assert_eq!(pooled(start, (3, 2), (0, 0)), Err(NoShare::MoreThanAll));
    }

    #[test]
    fn candling_moves_the_count_and_late_darkness_does_not() {
        let b = Belief::around(0.8, 8.0).expect("a mean");
        let count = |eggs: &[Seen], late| mean(&hatchlings(b, eggs, late).expect("chances"));
        let plain = count(&[Seen::NotYet; 8], false);
        assert!((plain - 6.4).abs() < 1e-6, "{plain}");
        assert!(count(&[Seen::Veins; 8], false) > plain + 0.5);
        assert!(count(&[Seen::Clear; 8], false) < plain - 0.5);
        assert!(count(&[Seen::Clear; 8], false) > 0.5, "no veins never marks an egg dead");
        assert!((count(&[Seen::Dark; 8], true) - plain).abs() < 0.1);
        assert_eq!(count(&[Seen::Dead; 8], false), 0.0);
        assert!((hatchlings(b, &[], false).expect("none")[0] - 1.0).abs() < 1e-9);
    }
}
