//! Quantities as the records keep them: integers in small units, converted only for the eye.
//!
//! Factors are exact (NIST SP 811, appendix B: 1 oz = 28.349 523 125 g; t°F = t°C × 1.8 + 32).

use serde::{Deserialize, Serialize};

/// A mass in whole milligrams. May be negative where it is a difference.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Mass(pub i64);

/// Milligrams in one avoirdupois ounce (exact).
const MG_PER_OZ: f64 = 28_349.523_125;

impl Mass {
    pub const ZERO: Self = Self(0);

    /// From grams, rounded to the nearest milligram. `None` when not finite or beyond ±1000 t.
    pub fn from_grams(g: f64) -> Option<Self> {
        (g.is_finite() && g.abs() <= 1e9).then(|| Self((g * 1000.0).round() as i64))
    }

    /// From avoirdupois ounces, rounded to the nearest milligram. `None` when not finite or beyond ±1000 t.
    pub fn from_ounces(oz: f64) -> Option<Self> {
        Self::from_grams(oz * MG_PER_OZ / 1000.0)
    }

    /// In grams.
    pub fn grams(self) -> f64 {
        self.0 as f64 / 1000.0
    }

    /// In avoirdupois ounces.
    pub fn ounces(self) -> f64 {
        self.0 as f64 / MG_PER_OZ
    }
}

impl std::ops::Add for Mass {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self(self.0.saturating_add(o.0))
    }
}

impl std::ops::Sub for Mass {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Self(self.0.saturating_sub(o.0))
    }
}

impl std::iter::Sum for Mass {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, |a, b| a + b)
    }
}

/// A temperature in hundredths of a degree Celsius.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Temp(pub i32);

impl Temp {
    /// From degrees Celsius, rounded to 0.01. `None` outside −90…150 °C, which no shelf reaches.
    pub fn from_celsius(c: f64) -> Option<Self> {
        (c.is_finite() && (-90.0..=150.0).contains(&c)).then(|| Self((c * 100.0).round() as i32))
    }

    /// From degrees Fahrenheit, rounded to 0.01 °C. `None` outside −90…150 °C.
    pub fn from_fahrenheit(f: f64) -> Option<Self> {
        Self::from_celsius((f - 32.0) / 1.8)
    }

    /// In degrees Celsius.
    pub fn celsius(self) -> f64 {
        f64::from(self.0) / 100.0
    }

    /// In degrees Fahrenheit.
    pub fn fahrenheit(self) -> f64 {
        self.celsius() * 1.8 + 32.0
    }
}

/// A relative humidity in tenths of a percent, 0–1000.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Humidity(pub u16);

impl Humidity {
    /// From percent, rounded to a tenth. `None` outside 0–100 %, which no air has.
    pub fn from_percent(pct: f64) -> Option<Self> {
        (0.0..=100.0).contains(&pct).then(|| Self((pct * 10.0).round() as u16))
    }

    /// From tenths of a percent. `None` outside 0–1000.
    pub fn from_tenths(tenths: i64) -> Option<Self> {
        u16::try_from(tenths).ok().filter(|tenths| *tenths <= 1000).map(Self)
    }
}
