//! Masses and temperatures as this device shows them; how is the desk's to say (`desk::Units`).

use crate::prefs::Prefs;
use trade::units::{Mass, Temp};

/// `1486 g`, `8.2 g`, `52.4 oz`.
pub fn mass(m: Mass, prefs: &Prefs) -> String {
    prefs.units().mass(m)
}

/// `28.1 °C`, `82.6 °F`.
pub fn temp(t: Temp, prefs: &Prefs) -> String {
    prefs.units().temp(t)
}
