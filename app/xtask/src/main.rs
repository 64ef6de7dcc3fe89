//! `cargo xtask …`: builds, serves and tests Candlemark, fetching what is missing first. Nothing of it ships.
//!
//! Guarantees: every tool is pinned; it says what it fetches; a tool is either whole or not there.
//! Absent by design: any knowledge of the app itself, and any step that a person would have to do by hand.

mod finish;
mod host;
mod notices;
mod page;
mod parts;
mod say;
mod suite;
mod tools;

#[cfg(test)]
mod arrows;

use std::process::ExitCode;

const USAGE: &str = "\
cargo xtask build                          dist/, ready for any static host
cargo xtask serve [--port N] [--quick]     build it and serve it on this machine (N: 8080 unless told)
cargo xtask test [unit|checks|browser]     all tests, or one part
cargo xtask score FILE.csv                 foretell a table of published incubation durations, and score it
cargo xtask bench                          sizes and times of what is shipped
cargo xtask pictures                       the README's pictures, taken anew
cargo xtask soak                           harmed bundles, simulated devices, long use offline, then odd taps and texts, watched for growth and faults
cargo xtask scan-bench DIR                 the shipped label reader beside zxing-wasm on DIR/frames.bin
                                           (1280 × 720 grey frames) and DIR/corpus.json, and on films of a hand

--quick builds faster and larger, into target/quick-dist: for everyday work, not for hosting.
Used by the above:
cargo xtask finish                         Trunk's last step (header files, list of the service worker)
cargo xtask host DIR [--port N] [--folder NAME]   serve a built folder as it is";

/// What a step gives: its result, or a sentence that says what went wrong and what to do.
type Outcome<T = ()> = Result<T, String>;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match order(&words) {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("xtask: {why}");
            ExitCode::FAILURE
        }
    }
}

fn order(words: &[String]) -> Outcome {
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words.as_slice() {
        ["build"] => {
            page::build(page::Kind::Shipped).map(|dist| say::done(&format!("{} is ready to upload", dist.display())))
        }
        ["serve", rest @ ..] => {
            let quick = rest.contains(&"--quick");
            let rest: Vec<&str> = rest.iter().copied().filter(|word| *word != "--quick").collect();
            let site = host::Site::read(&rest, 8080)?;
            let dist = page::build(if quick { page::Kind::Quick } else { page::Kind::Shipped })?;
            host::serve(&dist, &site)
        }
        ["host", dir, rest @ ..] => host::serve(dir.as_ref(), &host::Site::read(rest, 0)?),
        ["finish"] => finish::staged(),
        ["test"] => suite::test(&suite::Part::ALL),
        ["test", part] => suite::test(&[
            suite::Part::named(part).ok_or_else(|| format!("there is no part {part:?} of the tests\n{USAGE}"))?
        ]),
        ["score", file] => suite::score(file.as_ref()),
        ["score"] => Err("name the table: cargo xtask score FILE.csv".to_owned()),
        ["bench"] => suite::bench(),
        ["soak"] => suite::soak(),
        ["pictures"] => suite::pictures(),
        ["scan-bench", dir] => suite::scan_bench(dir.as_ref()),
        [] | ["help" | "--help" | "-h"] => {
            println!("{USAGE}");
            Ok(())
        }
        _ => Err(format!("unknown command {:?}\n{USAGE}", words.join(" "))),
    }
}
