//! Sex by incubation temperature, for the geckos that have it. Never for snakes.
//!
//! The published shares rise and fall again, so the table is interpolated; no curve is fitted. What counts is the mean
//! temperature of the middle third of incubation. Few animals stand behind a point, studies differ, and the thermometer is
//! off: all three widen the answer. Near 33–34 °C it turns over.

use crate::path::Path;
use crate::rates::wilson_of;
use crate::species::{Profile, SexBy};
use chrono::NaiveDateTime;

/// A published share of males at a temperature: the lowest and the highest told.
struct Told {
    celsius: f64,
    lowest: Seen,
    highest: Seen,
}

/// A share of males, and the animals it stands on.
#[derive(Clone, Copy)]
struct Seen {
    males: f64,
    of: f64,
}

/// Animals behind a share whose count our copy of the table does not have. One of its points is known to rest on five; that
/// no other rests on fewer is an assumption.
const UNCOUNTED: f64 = 5.0;

const fn told(celsius: f64, lowest: f64, highest: f64) -> Told {
    let (lowest, highest) = (Seen { males: lowest, of: UNCOUNTED }, Seen { males: highest, of: UNCOUNTED });
    Told { celsius, lowest, highest }
}

/// *Eublepharis macularius*.
///
/// Viets et al. 1993, J. Exp. Zool. 265(6), doi 10.1002/jez.1402650610. At 30 °C two figures; at 34 and 35 °C "mostly
/// female again" is taken as 0 to a quarter. At 32.5 °C a second study had 37 % of 18 where the first has 74 %: told by a
/// reader who checked this table, without its name.
const LEOPARD: [Told; 10] = [
    told(26.0, 0.0, 0.0),
    told(28.0, 0.0, 0.0),
    told(29.0, 0.20, 0.20),
    told(30.0, 0.24, 0.33),
    told(31.0, 0.83, 0.83),
    told(32.0, 0.87, 0.87),
    Told { celsius: 32.5, lowest: Seen { males: 0.37, of: 18.0 }, highest: Seen { males: 0.74, of: UNCOUNTED } },
    told(33.0, 0.80, 0.80),
    told(34.0, 0.0, 0.25),
    told(35.0, 0.0, 0.25),
];

/// Of ranges: four of five.
const CONFIDENCE: f64 = 0.8;

impl Told {
    /// Middle of what was told, and how low and how high the share itself may lie by the animals behind it.
    fn range(&self) -> [f64; 3] {
        let ends = |seen: Seen| wilson_of(seen.males, seen.of, CONFIDENCE);
        [0.5 * (self.lowest.males + self.highest.males), ends(self.lowest).low, ends(self.highest).high]
    }
}

/// Expected share of males among hatchlings, 0–1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Males {
    /// as published, at the temperature itself
    pub at: f64,
    /// four times of five between these: by the few animals behind each published share, and anywhere within the
    /// thermometer's error
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
    let table = (LEOPARD[0].celsius, LEOPARD[LEOPARD.len() - 1].celsius);
    if !(table.0..=table.1).contains(&celsius) {
        return Err(NoSexShare::Outside { celsius, table });
    }
    let (lo, hi) = ((celsius - error_c.abs()).max(table.0), (celsius + error_c.abs()).min(table.1));
    // Between table points the share runs in lines, so its extremes lie at them or at the ends.
    let inside = LEOPARD.iter().map(|told| told.celsius).filter(|c| (lo..=hi).contains(c)).chain([lo, hi, celsius]);
    let (mut low, mut high) = (1.0f64, 0.0f64);
    for c in inside {
        let [_, l, h] = leopard(c);
        (low, high) = (low.min(l), high.max(h));
    }
    let [at, ..] = leopard(celsius);
    Ok(Males { at, low, high })
}

/// Middle, low and high at a temperature: straight lines between the table's points.
fn leopard(celsius: f64) -> [f64; 3] {
    let i = LEOPARD.partition_point(|told| told.celsius <= celsius).clamp(1, LEOPARD.len() - 1);
    let (a, b) = (&LEOPARD[i - 1], &LEOPARD[i]);
    let f = ((celsius - a.celsius) / (b.celsius - a.celsius)).clamp(0.0, 1.0);
    let (a, b) = (a.range(), b.range());
    std::array::from_fn(|i| a[i] + (b[i] - a[i]) * f)
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
    fn the_table_is_followed() {
        // Viets 1993 at the table's points; halfway between them by arithmetic. At 32.5 °C the middle of two studies.
        for (c, at) in
            [(26.0, 0.0), (29.0, 0.20), (30.0, 0.285), (28.5, 0.10), (31.5, 0.85), (33.0, 0.80), (32.5, 0.555)]
        {
            let m = males_at(&leo(), c, 0.0).expect("inside");
            assert!((m.at - at).abs() < 1e-9 && m.low <= at && at <= m.high, "{c}: {m:?}");
        }
    }

    #[test]
    fn few_animals_studies_that_differ_and_the_thermometer_widen_it() {
        let range = |c: f64, error: f64| {
            let m = males_at(&leo(), c, error).expect("inside");
            (m.low, m.high)
        };
        // Wilson's bounds at four of five (scipy's binomtest): 0 of 5 up to .247.
        let (low, high) = range(26.0, 0.0);
        assert!(low == 0.0 && (high - 0.2473).abs() < 1e-3, "{high}");
        // 74 % and, elsewhere, 37 % of 18.
        let (low, high) = range(32.5, 0.0);
        assert!(low < 0.27 && high > 0.86, "{low} {high}");
        assert!(range(32.0, 0.5).0 <= low, "half a degree reaches the other study");
        let (low, high) = range(33.0, 1.0);
        assert!(low == 0.0 && high > 0.9, "a degree turns it over: {low} {high}");
        let wide = |error| range(30.5, error).1 - range(30.5, error).0;
        assert!(wide(0.5) > wide(0.0));
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
