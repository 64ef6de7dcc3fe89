//! Masses and temperatures as this device shows and reads them.

use crate::prefs::Prefs;
use trade::units::{Mass, Temp};

/// `1486 g`, `8.2 g`, `52.4 oz`: whole grams from 100 g up, as a barn's scale shows them.
pub fn mass(m: Mass, prefs: &Prefs) -> String {
    if prefs.ounces {
        format!("{:.2} oz", m.ounces())
    } else if m.grams().abs() >= 100.0 {
        format!("{:.0} g", m.grams())
    } else {
        let text = format!("{:.1}", m.grams());
        format!("{} g", text.strip_suffix(".0").unwrap_or(&text))
    }
}

/// How far two temperatures lie apart: `0.8 °C`, `1.4 °F`.
pub fn degrees_between(celsius: f64, prefs: &Prefs) -> String {
    if prefs.fahrenheit { format!("{:.1} °F", celsius * 1.8) } else { format!("{celsius:.1} °C") }
}

/// `28.1 °C`, `82.6 °F`.
pub fn temp(t: Temp, prefs: &Prefs) -> String {
    if prefs.fahrenheit { format!("{:.1} °F", t.fahrenheit()) } else { format!("{:.1} °C", t.celsius()) }
}
