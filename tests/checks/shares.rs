//! Shares and counts with their spread (checks 17–20).

use trade::rates::{Belief, exact, poisson_binomial, wilson};

fn close(seen: f64, expected: f64, by: f64, what: &str) {
    assert!((seen - expected).abs() <= by, "{what}: {seen}, expected {expected}");
}

/// Check 17. Newcombe 1998, Statistics in Medicine 17:857, table I, method 3.
#[test]
fn wilson_intervals() {
    for (k, n, low, high) in
        [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)]
    {
        let s = wilson(k, n, 0.95).expect("counted");
        close(s.low, low, 5.1e-5, "low");
        close(s.high, high, 5.1e-5, "high");
    }
}

/// Check 18. NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.4.1: exact 90 % interval for 4 of 20.
#[test]
fn exact_interval() {
    let s = exact(4, 20, 0.90).expect("counted");
    close(s.low, 0.0714, 5.1e-5, "low");
    close(s.high, 0.4010, 5.1e-5, "high");
}

/// Check 19. Gelman et al., Bayesian Data Analysis, the rat tumours: Beta(1.4, 8.6), then 4 of 14.
#[test]
fn beta_update() {
    let b = Belief::new(1.4, 8.6).and_then(|b| b.seen(4, 14)).expect("counts");
    close(b.mean(), 0.225, 5e-4, "mean");
    close(b.sd(), 0.084, 5.1e-4, "sd");
}

/// Check 20. Arithmetic: e.g. none of three is .8 × .5 × .1.
#[test]
fn poisson_binomial_counts() {
    let seen = poisson_binomial(&[0.2, 0.5, 0.9]).expect("chances");
    for (p, expected) in seen.iter().zip([0.04, 0.41, 0.46, 0.09]) {
        close(*p, expected, 1e-12, "chance");
    }
}
