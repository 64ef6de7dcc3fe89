//! Turns published durations into the priors the app ships.
//!
//! `cargo run -p trade --example priors -- app/trade/data/published.csv` rewrites `app/trade/src/priors.rs`.

use std::path::Path;
use trade::fit::{BEND, Fit, hatch_rates};
use trade::published::{read, read_hatch_rates};
use trade::species::Kin;

fn main() -> Result<(), String> {
    let file = std::env::args().nth(1).ok_or("name the table: priors FILE.csv")?;
    let text = std::fs::read_to_string(&file).map_err(|e| format!("{file}: {e}"))?;
    let (rows, _) = read(&text)?;
    let mut out = String::from(
        "//! Written by `cargo run -p trade --example priors`: do not edit by hand.\n\
         //!\n\
         //! Fitted to constant-temperature durations of the Reptile Development Database (Noble, Stenhouse & Schwanz\n\
         //! 2018, Sci. Data 5:180138), of the moisture meta-analysis (doi 10.1242/jeb.249960) and Du & Ji 2008; which rows\n\
         //! are left out, and why, is in `published`.\n\n\
         use crate::response::Slopes;\n\
         use crate::success::HatchRates;\n",
    );
    let fit = Fit::of(&rows, "", &BEND).ok_or("too few studies")?;
    for (name, kin) in [("SNAKE", Kin::Snake), ("PYTHON", Kin::Python), ("LIZARD", Kin::Lizard), ("GECKO", Kin::Gecko)]
    {
        let (of, from) = (fit.slopes(kin).ok_or_else(|| format!("{name}: too few studies"))?, fit.stands_on(kin));
        out += &format!(
            "\n/// {from}\npub(crate) const {name}: Slopes = Slopes {{\n    mean: [{:.6}, {:.6}],\n    cov: [[{:.4e}, {:.4e}], [{:.4e}, {:.4e}]],\n    scatter: {:.4},\n    study: {:.4},\n}};\n",
            of.mean[0], of.mean[1], of.cov[0][0], of.cov[0][1], of.cov[1][0], of.cov[1][1], of.scatter, of.study
        );
    }
    let treatments = read_hatch_rates(&text, Kin::Snake);
    let (table, worth) = hatch_rates(&treatments).ok_or("hatch rates: too few treatments")?;
    out += &format!(
        "\n/// colubrids and elapids kept constant: {} treatments\npub(crate) const SNAKE_HATCH: HatchRates = HatchRates {{\n    by_celsius: &[\n",
        treatments.len()
    );
    for (c, share) in table {
        out += &format!("        ({c:.1}, {share:.3}),\n");
    }
    out += &format!("    ],\n    worth: {worth:.1},\n}};\n");
    let target = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/priors.rs");
    std::fs::write(&target, out).map_err(|e| format!("{}: {e}", target.display()))
}
