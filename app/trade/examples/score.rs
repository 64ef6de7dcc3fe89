//! Scores a table of published durations: `cargo run -p trade --example score -- FILE.csv`.

use std::process::ExitCode;

fn main() -> ExitCode {
    let Some(file) = std::env::args().nth(1) else {
        eprintln!("name the table: score FILE.csv");
        return ExitCode::FAILURE;
    };
    // Author names in an old encoding spoil no figure.
    let text = std::fs::read(&file).map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
    match text.map_err(|why| why.to_string()).and_then(|text| trade::score::score(&text)) {
        Ok(report) => {
            println!("{report}");
            ExitCode::SUCCESS
        }
        Err(why) => {
            eprintln!("{file}: {why}");
            ExitCode::FAILURE
        }
    }
}
