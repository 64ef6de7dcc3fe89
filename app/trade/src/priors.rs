//! Written by `cargo run -p trade --example priors`: do not edit by hand.
//!
//! Fitted to constant-temperature durations of the Reptile Development Database (Noble, Stenhouse & Schwanz
//! 2018, Sci. Data 5:180138), of the moisture meta-analysis (doi 10.1242/jeb.249960) and Du & Ji 2008; which rows
//! are left out, and why, is in `published`.

use crate::response::Slopes;
use crate::success::{HatchRates, Studies};

/// colubrids and elapids: 9 studies, 34 temperatures
pub(crate) const SNAKE: Slopes = Slopes {
    mean: [-0.014857, 0.006655],
    cov: [[1.9096e-4, 3.3583e-5], [3.3583e-5, 1.0752e-5]],
    scatter: 0.0377,
    study: 0.0611,
};

/// colubrids and elapids moved up by 3.5 °C, with 3 times their spread: 9 studies, 34 temperatures
pub(crate) const PYTHON: Slopes = Slopes {
    mean: [-0.061442, 0.006655],
    cov: [[1.7187e-3, 3.0224e-4], [3.0224e-4, 9.6768e-5]],
    scatter: 0.0377,
    study: 0.0611,
};

/// agamids, chameleons, iguanas, lacertids and skinks: 25 studies, 92 temperatures
pub(crate) const LIZARD: Slopes = Slopes {
    mean: [-0.059560, 0.003537],
    cov: [[1.5202e-4, 2.8622e-5], [2.8622e-5, 9.7335e-6]],
    scatter: 0.0377,
    study: 0.0611,
};

/// geckos, on top of what snakes and lizards share, with 3 times the spread in steepness: 3 studies, 10 temperatures
pub(crate) const GECKO: Slopes = Slopes {
    mean: [-0.034008, 0.004088],
    cov: [[1.5976e-3, 4.7770e-5], [4.7770e-5, 1.3316e-5]],
    scatter: 0.0377,
    study: 0.0611,
};

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
