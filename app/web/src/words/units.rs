//! Masses and temperatures as this device shows and reads them.

use crate::prefs::Prefs;
use trade::units::{Mass, Temp};

/// `1486 g`, `8.2 g`, `52.4 oz`: whole grams from 100 g up, as a barn's scale shows them.
pub fn mass(m: Mass, prefs: &Prefs) -> String {
    if prefs.ounces {
        format!("{} oz", decimal(m.ounces(), 2))
    } else if m.grams().abs() >= 100.0 {
        format!("{} g", decimal(m.grams(), 0))
    } else {
        let text = decimal(m.grams(), 1);
        format!("{} g", text.strip_suffix(".0").unwrap_or(&text))
    }
}

/// `28.1 °C`, `82.6 °F`.
pub fn temp(t: Temp, prefs: &Prefs) -> String {
    match prefs.fahrenheit {
        true => format!("{} °F", decimal(t.fahrenheit(), 1)),
        false => format!("{} °C", decimal(t.celsius(), 1)),
    }
}

/// A number with so many figures after the point, halves away from nought; below 10¹⁵.
///
/// The standard library's own printing of fractions is exact to the last of a thousand figures, and would be a part
/// of every first download.
pub fn decimal(value: f64, figures: u32) -> String {
    let one = 10_u64.pow(figures);
    let parts = (value.abs() * one as f64).round() as u64;
    let minus = if value < 0.0 && parts > 0 { "-" } else { "" };
    match figures {
        0 => format!("{minus}{parts}"),
        _ => format!("{minus}{}.{:0wide$}", parts / one, parts % one, wide = figures as usize),
    }
}

#[cfg(test)]
mod tests {
    use super::decimal;

    #[test]
    fn halves_go_away_from_nought() {
        let shown = [(8.25, 1), (-8.25, 1), (0.04, 1), (-0.04, 1), (99.96, 1), (1486.0, 0), (52.416, 2), (0.05, 2)];
        let shown = shown.map(|(value, figures)| decimal(value, figures));
        assert_eq!(shown, ["8.3", "-8.3", "0.0", "0.0", "100.0", "1486", "52.42", "0.05"]);
    }
}
