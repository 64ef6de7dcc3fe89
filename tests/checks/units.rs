//! Units (check 25). NIST SP 811, appendix B: t/°C = (t/°F − 32)/1.8 exactly; 1 oz (avoirdupois) = 28.349 523 125 g
//! exactly.

use trade::units::{Mass, Temp};

#[test]
fn fahrenheit_and_celsius() {
    for (f, centi_c) in [(32.0, 0), (212.0, 10_000), (82.0, 2778), (-40.0, -4000), (89.6, 3200), (77.0, 2500)] {
        let t = Temp::from_fahrenheit(f).expect("a temperature");
        assert_eq!(t, Temp(centi_c), "{f} °F");
        assert!((t.fahrenheit() - f).abs() <= 0.009, "{f} °F there and back");
    }
    assert_eq!(Temp::from_fahrenheit(f64::NAN), None);
}

#[test]
fn ounces_and_grams() {
    for (oz, mg) in [(1.0, 28_350), (16.0, 453_592), (35.274, 1_000_001), (0.5, 14_175)] {
        assert_eq!(Mass::from_ounces(oz), Some(Mass(mg)), "{oz} oz");
    }
    assert!((Mass(453_592_370 / 1000).ounces() - 16.0).abs() < 1e-4);
}
