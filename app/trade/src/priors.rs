//! Written by `cargo run -p trade --example priors`: do not edit by hand.
//!
//! Fitted to constant-temperature durations of the Reptile Development Database (Noble, Stenhouse & Schwanz
//! 2018, Sci. Data 5:180138), of the moisture meta-analysis (doi 10.1242/jeb.249960) and Du & Ji 2008; which rows
//! are left out, and why, is in `published`.

use crate::response::Slopes;
use crate::success::HatchRates;

/// colubrids and elapids: 9 studies, 34 temperatures
pub(crate) const SNAKE: Slopes = Slopes {
    mean: [-0.019428, 0.005992],
    cov: [[1.8864e-4, 3.5203e-5], [3.5203e-5, 1.1334e-5]],
    scatter: 0.0360,
    study: 0.0622,
};

/// colubrids and elapids moved up by 3.5 °C, with 3 times their spread: 9 studies, 34 temperatures
pub(crate) const PYTHON: Slopes = Slopes {
    mean: [-0.061373, 0.005992],
    cov: [[1.6977e-3, 3.1683e-4], [3.1683e-4, 1.0200e-4]],
    scatter: 0.0360,
    study: 0.0622,
};

/// agamids, chameleons, iguanas, lacertids and skinks: 25 studies, 92 temperatures
pub(crate) const LIZARD: Slopes = Slopes {
    mean: [-0.058736, 0.003689],
    cov: [[1.6498e-4, 3.2539e-5], [3.2539e-5, 1.0754e-5]],
    scatter: 0.0360,
    study: 0.0622,
};

/// geckos, on top of what snakes and lizards share, with 3 times the spread in steepness: 3 studies, 10 temperatures
pub(crate) const GECKO: Slopes = Slopes {
    mean: [-0.036272, 0.004587],
    cov: [[1.5298e-3, 4.0375e-5], [4.0375e-5, 1.2176e-5]],
    scatter: 0.0360,
    study: 0.0622,
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
    worth: 4.1,
};
