//! Measures of an egg and of a clutch.

use crate::units::Mass;

/// Volumes, in cm³, that an egg of a given length and breadth may have.
///
/// An egg is taken as a solid of revolution. The ellipsoid is the usual figure; the bicone (two cones base to
/// base) and the cylinder are what no egg is beyond. Shapes: Preston 1974; Iverson 2019.
/// The volume is never turned into a mass here: blunt eggs run heavier than their ellipsoid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EggVolume {
    pub bicone_cm3: f64,
    pub ellipsoid_cm3: f64,
    pub cylinder_cm3: f64,
}

/// Volume from length and greatest breadth in millimetres.
///
/// Valid for 1–500 mm each; `None` outside, or when the breadth exceeds the length (the two were swapped).
pub fn egg_volume(length_mm: f64, breadth_mm: f64) -> Option<EggVolume> {
    let sane = |v: f64| v.is_finite() && (1.0..=500.0).contains(&v);
    if !sane(length_mm) || !sane(breadth_mm) || breadth_mm > length_mm {
        return None;
    }
    let lb2 = std::f64::consts::PI * length_mm * breadth_mm * breadth_mm / 1000.0;
    Some(EggVolume { bicone_cm3: lb2 / 12.0, ellipsoid_cm3: lb2 / 6.0, cylinder_cm3: lb2 / 4.0 })
}

/// Relative clutch mass by both definitions in use; a number without its definition is worthless.
///
/// Bullsnakes: .37 of the gravid female is .587 of the spent one (Iverson 2012 gives .37 and .59).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RelativeClutchMass {
    /// clutch mass ÷ the gravid female's mass
    pub of_gravid: f64,
    /// clutch mass ÷ the spent female's mass
    pub of_spent: f64,
}

impl RelativeClutchMass {
    /// From the female weighed before laying and the clutch. `None` unless 0 < clutch < female.
    ///
    /// An egg weighed days late has drunk from the medium and inflates the figure.
    pub fn from_gravid(clutch: Mass, gravid: Mass) -> Option<Self> {
        Self::of(clutch, gravid, gravid - clutch)
    }

    /// From the female weighed after laying and the clutch. `None` unless both are above zero.
    pub fn from_spent(clutch: Mass, spent: Mass) -> Option<Self> {
        Self::of(clutch, spent + clutch, spent)
    }

    /// From all three masses as weighed. `None` unless all are above zero and the clutch is lighter than the
    /// gravid female.
    pub fn of(clutch: Mass, gravid: Mass, spent: Mass) -> Option<Self> {
        (clutch > Mass::ZERO && spent > Mass::ZERO && gravid > clutch)
            .then(|| Self { of_gravid: clutch.grams() / gravid.grams(), of_spent: clutch.grams() / spent.grams() })
    }

    /// The same clutch by the other definition, for a published figure: of gravid → of spent, exact when the
    /// female lost nothing but the clutch. `None` outside 0 < share < 1.
    pub fn spent_share(of_gravid: f64) -> Option<f64> {
        (of_gravid > 0.0 && of_gravid < 1.0).then(|| of_gravid / (1.0 - of_gravid))
    }
}

/// Hatchling mass ÷ egg mass at laying. `None` unless both are above zero.
///
/// Published colubrids run .63–.75 (e.g. .744: 20.9 g from 28.1 g, Ji 2001).
pub fn hatchling_share(hatchling: Mass, egg: Mass) -> Option<f64> {
    (hatchling > Mass::ZERO && egg > Mass::ZERO).then(|| hatchling.grams() / egg.grams())
}

/// Fertility: a share of the eggs that were judged, never of those nobody can tell of yet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Fertility {
    /// in which life was seen
    pub fertile: u32,
    /// these, and those judged to be infertile
    pub judged: u32,
    /// shelled eggs that nobody judged
    pub unjudged: u32,
}

impl Fertility {
    /// One more shelled egg (slugs never had a shell and do not count); `fertile` is `None` where nobody judged it.
    pub fn add(&mut self, fertile: Option<bool>) {
        match fertile {
            Some(fertile) => {
                self.judged += 1;
                self.fertile += u32::from(fertile);
            }
            None => self.unjudged += 1,
        }
    }

    /// Both together.
    pub fn and(self, other: Self) -> Self {
        Self {
            fertile: self.fertile + other.fertile,
            judged: self.judged + other.judged,
            unjudged: self.unjudged + other.unjudged,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nonsense_has_no_measure() {
        for (l, b) in [(0.0, 10.0), (30.0, f64::NAN), (20.0, 30.0), (-3.0, 1.0), (900.0, 20.0)] {
            assert_eq!(egg_volume(l, b), None, "{l} × {b}");
        }
        assert_eq!(RelativeClutchMass::from_gravid(Mass(10), Mass(10)), None);
        assert_eq!(RelativeClutchMass::from_spent(Mass(0), Mass(10)), None);
        assert_eq!(hatchling_share(Mass(10), Mass(0)), None);
        let mut all = Fertility::default();
        [Some(true), None, Some(false), None, Some(true)].into_iter().for_each(|egg| all.add(egg));
        assert_eq!(all, Fertility { fertile: 2, judged: 3, unjudged: 2 });
        assert_eq!(all.and(all), Fertility { fertile: 4, judged: 6, unjudged: 4 });
    }

    #[test]
    fn both_ways_of_weighing_agree() {
        let a = RelativeClutchMass::from_gravid(Mass(370), Mass(1000));
        let b = RelativeClutchMass::from_spent(Mass(370), Mass(630));
        assert_eq!(a, b);
        assert!((a.expect("both are positive").of_gravid - 0.37).abs() < 1e-12);
    }
}
