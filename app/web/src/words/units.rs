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

pub fn mass_unit(prefs: &Prefs) -> &'static str {
    if prefs.ounces { "oz" } else { "g" }
}

/// `28.1 °C`, `82.6 °F`.
pub fn temp(t: Temp, prefs: &Prefs) -> String {
    if prefs.fahrenheit { format!("{:.1} °F", t.fahrenheit()) } else { format!("{:.1} °C", t.celsius()) }
}

pub fn temp_unit(prefs: &Prefs) -> &'static str {
    if prefs.fahrenheit { "°F" } else { "°C" }
}

/// A typed number; a decimal comma is as good as a point. `None` when it is not one.
pub fn number(typed: &str) -> Option<f64> {
    typed.trim().replace(',', ".").parse().ok().filter(|n: &f64| n.is_finite())
}

/// A typed mass in this device's unit.
pub fn read_mass(typed: &str, prefs: &Prefs) -> Option<Mass> {
    let n = number(typed)?;
    if prefs.ounces { Mass::from_ounces(n) } else { Mass::from_grams(n) }
}

/// A typed temperature in this device's unit.
pub fn read_temp(typed: &str, prefs: &Prefs) -> Option<Temp> {
    let n = number(typed)?;
    if prefs.fahrenheit { Temp::from_fahrenheit(n) } else { Temp::from_celsius(n) }
}

/// A mass as it stands in an input box: digits only.
pub fn mass_digits(m: Mass, prefs: &Prefs) -> String {
    let text = mass(m, prefs);
    text.split(' ').next().unwrap_or_default().to_owned()
}
