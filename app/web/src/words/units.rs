//! Masses and temperatures as this device shows them; how is the desk's to say (`desk::Units`).

use crate::prefs::Prefs;
use trade::units::{Humidity, Mass, Temp};

/// `1486 g`, `8.2 g`, `52.4 oz`.
pub fn mass(m: Mass, prefs: &Prefs) -> String {
    prefs.units().mass(m)
}

/// How far two temperatures lie apart: `0.8 °C`, `1.4 °F`.
pub fn degrees_between(celsius: f64, prefs: &Prefs) -> String {
    if prefs.fahrenheit { format!("{:.1} °F", celsius * 1.8) } else { format!("{celsius:.1} °C") }
}

/// `28.1 °C`, `82.6 °F`.
pub fn temp(t: Temp, prefs: &Prefs) -> String {
    prefs.units().temp(t)
}

/// `62.5 % humidity`.
pub fn humidity(humidity: Humidity) -> String {
    format!("{} humidity", desk::Units::default().humidity(humidity))
}
