//! Sex by incubation temperature, for the geckos that have it. Never for snakes.
//!
//! The published shares rise and fall again, so the table is interpolated; no curve is fitted. What counts is the mean
//! temperature of the middle third of incubation, and the thermometer's error widens the answer: near 33–34 °C it
//! turns over.

use crate::path::Path;
use crate::species::{Profile, SexBy};
use chrono::NaiveDateTime;

/// *Eublepharis macularius*: °C, lowest and highest published share of males.
///
/// Viets et al. 1993, J. Exp. Zool. 265(6), doi 10.1002/jez.1402650610. At 30 °C two figures; at 34 and 35 °C "mostly
/// female again" is taken as 0 to a quarter.
const LEOPARD: [(f64, f64, f64); 10] = [
    (26.0, 0.0, 0.0),
    (28.0, 0.0, 0.0),
    (29.0, 0.20, 0.20),
    (30.0, 0.24, 0.33),
    (31.0, 0.83, 0.83),
    (32.0, 0.87, 0.87),
    (32.5, 0.74, 0.74),
    (33.0, 0.80, 0.80),
    (34.0, 0.0, 0.25),
    (35.0, 0.0, 0.25),
];

/// Expected share of males among hatchlings, 0–1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Males {
    /// at the temperature itself
    pub at: f64,
    /// least and most anywhere within the thermometer's error
    pub low: f64,
    pub high: f64,
}

/// Why no share can be told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoSexShare {
    /// the species' sex does not depend on temperature
    NotByTemperature,
    /// it does, or may, but no table is known for this species
    NoTable,
    /// outside the table, or further off by the thermometer's error
    Outside { celsius: f64, table: (f64, f64) },
}

impl std::fmt::Display for NoSexShare {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NotByTemperature => f.write_str("sex does not depend on temperature in this species"),
            Self::NoTable => f.write_str("no published table of sex by temperature is known here for this species"),
            Self::Outside { celsius, table: (lo, hi) } => {
                write!(f, "{celsius:.1} °C is outside the published table ({lo}–{hi} °C)")
            }
        }
    }
}

impl std::error::Error for NoSexShare {}

/// Share of males at a steady temperature that is known within ± `error_c`.
///
/// Only the leopard gecko has a table. Ends of the error that reach past the table are cut at it; a temperature itself
/// outside is refused.
pub fn males_at(profile: &Profile, celsius: f64, error_c: f64) -> Result<Males, NoSexShare> {
    match (profile.sex_by, &*profile.latin) {
        (SexBy::Chromosomes, _) => return Err(NoSexShare::NotByTemperature),
        (SexBy::Temperature, "Eublepharis macularius") => {}
        _ => return Err(NoSexShare::NoTable),
    }
    let table = (LEOPARD[0].0, LEOPARD[LEOPARD.len() - 1].0);
    if !(table.0..=table.1).contains(&celsius) {
        return Err(NoSexShare::Outside { celsius, table });
    }
    let (lo, hi) = ((celsius - error_c.abs()).max(table.0), (celsius + error_c.abs()).min(table.1));
    // Between table points the share runs in lines, so its extremes lie at them or at the ends.
    let inside = LEOPARD.iter().map(|r| r.0).filter(|c| (lo..=hi).contains(c)).chain([lo, hi, celsius]);
    let (mut low, mut high) = (1.0f64, 0.0f64);
    for c in inside {
        let (l, h) = leopard(c);
        (low, high) = (low.min(l), high.max(h));
    }
    let (l, h) = leopard(celsius);
    Ok(Males { at: 0.5 * (l + h), low, high })
}

fn leopard(celsius: f64) -> (f64, f64) {
    let i = LEOPARD.partition_point(|r| r.0 <= celsius).clamp(1, LEOPARD.len() - 1);
    let (a, b) = (LEOPARD[i - 1], LEOPARD[i]);
    let f = ((celsius - a.0) / (b.0 - a.0)).clamp(0.0, 1.0);
    (a.1 + (b.1 - a.1) * f, a.2 + (b.2 - a.2) * f)
}

/// Mean °C of the middle third between lay and (expected) pip: what decides, where temperature decides.
pub fn middle_third_c(path: &Path, laid: NaiveDateTime, pip: NaiveDateTime) -> Option<f64> {
    let length = pip - laid;
    if length.num_hours() < 24 {
        return None;
    }
    const STEPS: i32 = 240;
    let sum: f64 = (0..STEPS).map(|i| path.at(laid + length / 3 + length * i / (3 * STEPS)).0).sum();
    Some(sum / f64::from(STEPS))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn leo() -> Profile {
        Profile::find("eublepharis-macularius").expect("built in")
    }

    #[test]
    fn the_table_is_followed_and_the_error_widens() {
        // Viets 1993 at the table's points; halfway between them by arithmetic.
        for (c, error, at, low, high) in [
            (26.0, 0.0, 0.0, 0.0, 0.0),
            (29.0, 0.0, 0.20, 0.20, 0.20),
            (30.0, 0.0, 0.285, 0.24, 0.33),
            (28.5, 0.0, 0.10, 0.10, 0.10),
            (32.0, 0.5, 0.87, 0.74, 0.87),
            (31.5, 0.5, 0.85, 0.83, 0.87),
            (33.0, 1.0, 0.80, 0.0, 0.87),
            (28.0, 0.5, 0.0, 0.0, 0.10),
        ] {
            let m = males_at(&leo(), c, error).expect("inside");
            for (seen, expected) in [(m.at, at), (m.low, low), (m.high, high)] {
                assert!((seen - expected).abs() < 1e-9, "{c} ± {error}: {m:?}");
            }
        }
    }

    #[test]
    fn what_has_no_table_gets_no_share() {
        let find = |k| Profile::find(k).expect("built in");
        assert_eq!(males_at(&find("lampropeltis-getula"), 28.0, 0.5), Err(NoSexShare::NotByTemperature));
        assert_eq!(males_at(&find("python-regius"), 31.0, 0.5), Err(NoSexShare::NotByTemperature));
        assert_eq!(males_at(&find("correlophus-ciliatus"), 24.0, 0.5), Err(NoSexShare::NoTable));
        assert!(matches!(males_at(&leo(), 24.0, 0.5), Err(NoSexShare::Outside { .. })));
    }
}
