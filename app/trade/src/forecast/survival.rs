//! How many eggs of a clutch hatch: one rate for the clutch, drawn with everything it shares ([`crate::luck`]), each egg as
//! last seen, and the chance that none does.

use super::draws::Draws;
use crate::luck::{LOGIT, share};
use crate::species::Span;
use crate::success::{self, Seen};

/// The eggs of a clutch that may still pip.
#[derive(Clone, Debug, PartialEq)]
pub enum Eggs {
    /// counted, each as last seen; `late`: in the last two weeks clear and dark eggs say nothing
    Seen { eggs: Vec<Seen>, late: bool },
    /// not laid yet: shelled eggs, the span that four clutches of five fall in
    Usual(Span),
}

pub(super) const FULL: f64 = 65_536.0;
/// Rates are told apart within so many sixteenths of a logit.
const REACH: i32 = 12 * LOGIT;

/// Chances, of 65 536, by logit.
pub(super) struct Chances(Vec<u32>);

impl Chances {
    pub fn new() -> Self {
        let chance = |x: i32| (share(f64::from(x) / f64::from(LOGIT)) * FULL).round() as u32;
        Self((-REACH..=REACH).map(chance).collect())
    }

    #[inline(always)]
    pub fn at(&self, x: i32) -> u32 {
        self.0[(x.clamp(-REACH, REACH) + REACH) as usize]
    }
}

/// A clutch's eggs, ready to be drawn.
pub(super) struct Survival {
    /// eggs of each class, and how far what was seen moves their odds, in sixteenths of a logit
    classes: Vec<(u32, i32)>,
    /// standing for the classes' one count: mean and standard deviation of a number not known yet
    usual: Option<(f64, f64)>,
    /// how far what was seen of the best egg speaks against the whole clutch failing; `None`: it cannot any more
    best: Option<f64>,
}

impl Survival {
    /// `left`: the share of eggs that will hatch and would not have been seen to pip by now, 0–1. `begun`: some egg has
    /// pipped.
    pub fn new(eggs: &Eggs, left: f64, begun: bool) -> Self {
        let moved = |odds: f64| ((odds * left).max(1e-6).ln() * f64::from(LOGIT)).round() as i32;
        let mut classes: Vec<(f64, u32)> = Vec::new();
        let usual = match eggs {
            Eggs::Usual((low, high)) => {
                classes.push((1.0, 0));
                Some(super::timing::span((*low, *high)))
            }
            Eggs::Seen { eggs, late } => {
                for odds in eggs.iter().map(|egg| success::odds_of(*egg, *late)).filter(|odds| *odds > 0.0) {
                    match classes.iter_mut().find(|c| c.0 == odds) {
                        Some(class) => class.1 += 1,
                        None => classes.push((odds, 1)),
                    }
                }
                None
            }
        };
        let best = classes.iter().map(|c| c.0).fold(0.0, f64::max);
        let best = (!begun && best > 0.0).then_some(best);
        Self { classes: classes.into_iter().map(|(odds, n)| (n, moved(odds))).collect(), usual, best }
    }

    /// Chance, of 65 536, that the clutch fails whole, `before` anything was seen of it.
    pub fn fails(&self, before: u32) -> u32 {
        let Some(best) = self.best else { return 0 };
        if best == 1.0 {
            return before;
        }
        let p = f64::from(before) / FULL;
        (p / (p + (1.0 - p) * best) * FULL).round() as u32
    }

    /// Calls `hatched` with 48 fresh bits for each egg that hatches at a rate; `z` moves a number not yet known.
    #[inline(always)]
    pub fn each(&self, chances: &Chances, rate: i32, z: f64, draws: &mut Draws, mut hatched: impl FnMut(u64)) {
        for &(n, moved) in &self.classes {
            let chance = chances.at(rate + moved);
            for _ in 0..self.eggs(n, z) {
                let r = draws.next();
                if ((r & 0xffff) as u32) < chance {
                    hatched(r >> 16);
                }
            }
        }
    }

    fn eggs(&self, n: u32, z: f64) -> u32 {
        self.usual.map_or(n, |(mean, sd)| (mean + sd * z).round().max(1.0) as u32)
    }

    /// Chance that none hatches at a rate.
    pub fn none(&self, chances: &Chances, rate: i32) -> f64 {
        let missed = |(n, moved): &(u32, i32)| {
            (1.0 - f64::from(chances.at(rate + moved)) / FULL).powi(self.eggs(*n, 0.0) as i32)
        };
        self.classes.iter().map(missed).product()
    }

    /// Eggs that may hatch, as expected.
    pub fn count(&self) -> f64 {
        self.classes.iter().map(|c| f64::from(self.eggs(c.0, 0.0))).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mean(eggs: &[Seen], late: bool) -> f64 {
        let (chances, mut draws) = (Chances::new(), Draws::named(1, "x"));
        let s = Survival::new(&Eggs::Seen { eggs: eggs.to_vec(), late }, 1.0, false);
        let mut n = 0;
        (0..20_000).for_each(|_| s.each(&chances, 22, 0.0, &mut draws, |_| n += 1));
        f64::from(n) / 20_000.0
    }

    #[test]
    fn what_candling_saw_moves_the_count() {
        let plain = mean(&[Seen::NotYet; 8], false);
        // Twenty-two sixteenths of a logit are a share of .798.
        assert!((plain - 6.38).abs() < 0.05, "{plain}");
        assert!(mean(&[Seen::Veins; 8], false) > plain + 0.5);
        assert!(mean(&[Seen::Clear; 8], false) < plain - 0.5);
        assert!(mean(&[Seen::Clear; 8], false) > 0.5, "no veins never marks an egg dead");
        assert_eq!(mean(&[Seen::Dead; 8], false), 0.0);
        assert!((mean(&[Seen::Dark; 8], true) - plain).abs() < 0.1);
    }

    #[test]
    fn veins_speak_against_a_clutch_failing_whole_and_a_pip_rules_it_out() {
        let fails = |seen: &[Seen], begun| {
            Survival::new(&Eggs::Seen { eggs: seen.to_vec(), late: false }, 1.0, begun).fails(6554)
        };
        assert_eq!(fails(&[Seen::NotYet; 5], false), 6554);
        assert_eq!(fails(&[Seen::Clear, Seen::Veins], false), 2341, "odds of 1 : 9 are 1 : 27");
        assert!(fails(&[Seen::Clear; 5], false) > 15_000);
        assert_eq!(fails(&[Seen::NotYet; 5], true), 0);
    }

    #[test]
    fn none_is_every_egg_missed() {
        let chances = Chances::new();
        let s = Survival::new(&Eggs::Seen { eggs: vec![Seen::NotYet; 3], late: false }, 1.0, false);
        assert!((s.none(&chances, 0) - 0.125).abs() < 1e-4);
        assert_eq!(s.count(), 3.0);
    }
}
