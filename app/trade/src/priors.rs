//! Written by `cargo run -p trade --example priors`: do not edit by hand.
//!
//! Fitted to constant-temperature durations of the Reptile Development Database (Noble, Stenhouse & Schwanz
//! 2018, Sci. Data 5:180138) and Du & Ji 2008; which rows are left out, and why, is in `published`.

use crate::response::Slopes;
use crate::success::{HatchRates, Studies};

/// colubrids and elapids: 8 studies, 30 temperatures
pub(crate) const SNAKE: Slopes =
    Slopes { mean: [-0.005537, 0.007429], cov: [[3.9389e-4, 1.8365e-5], [1.8365e-5, 5.8453e-6]], scatter: 0.0454 };

/// colubrids and elapids moved up by 3.5 °C, with three times their spread: 8 studies, 30 temperatures
pub(crate) const PYTHON: Slopes =
    Slopes { mean: [-0.057541, 0.007429], cov: [[3.5450e-3, 1.6529e-4], [1.6529e-4, 5.2607e-5]], scatter: 0.0454 };

/// agamids and chameleons: 20 studies, 77 temperatures
pub(crate) const LIZARD: Slopes =
    Slopes { mean: [-0.052133, 0.004349], cov: [[6.6731e-4, 1.0856e-4], [1.0856e-4, 2.2906e-5]], scatter: 0.0295 };

/// agamids, chameleons and geckos, with twice their spread: 23 studies, 87 temperatures
pub(crate) const GECKO: Slopes =
    Slopes { mean: [-0.050596, 0.004310], cov: [[2.0924e-3, 3.3666e-4], [3.3666e-4, 9.0230e-5]], scatter: 0.0309 };

/// colubrids and elapids kept constant: 37 treatments
pub(crate) const SNAKE_HATCH: HatchRates = HatchRates {
    by_celsius: &[
        (20.0, 0.175),
        (21.0, 0.409),
        (22.0, 0.662),
        (23.0, 0.695),
        (24.0, 0.684),
        (25.0, 0.759),
        (26.0, 0.838),
        (27.0, 0.878),
        (28.0, 0.883),
        (29.0, 0.822),
        (30.0, 0.777),
        (31.0, 0.742),
        (32.0, 0.701),
        (33.0, 0.691),
    ],
    studies: Studies { shift: 0.45, between: 1.20, studies: 8, within: 0.77 },
};
