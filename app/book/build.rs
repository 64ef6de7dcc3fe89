//! Writes the standard library's lower-case letters as runs, for `src/lower.rs`.

use std::fmt::Write;
use std::path::Path;

/// From a letter to a letter, each so many after the one before: the lower-case one lies so far from it.
struct Run {
    first: u32,
    last: u32,
    step: u32,
    by: i64,
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    println!("cargo:rerun-if-changed=build.rs");
    let mut runs: Vec<Run> = Vec::new();
    for c in ('\u{80}'..=char::MAX).filter(|c| c.to_lowercase().len() == 1) {
        let (at, lower) = (u32::from(c), c.to_lowercase().map(u32::from).sum::<u32>());
        let by = i64::from(lower) - i64::from(at);
        if by == 0 {
            continue;
        }
        match runs.last_mut() {
            Some(run) if run.by == by && at - run.last <= 2 && [0, at - run.last].contains(&run.step) => {
                run.step = at - run.last;
                run.last = at;
            }
            _ => runs.push(Run { first: at, last: at, step: 0, by }),
        }
    }
    let mut text = String::from("&[\n");
    for Run { first, last, step, by } in runs {
        writeln!(text, "    ({first}, {}, {}, {by}),", last - first, step.max(1))?;
    }
    text.push_str("]\n");
    std::fs::write(Path::new(&std::env::var("OUT_DIR")?).join("lower.rs"), text)?;
    Ok(())
}
