//! Running the tests, part by part, and counting what really ran.

use crate::Outcome;
use crate::page;
use crate::say::{ask, doing, root, run, typed};
use crate::tools;
use std::env;
use std::io::{BufRead, BufReader};
use std::ops::AddAssign;
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

/// A part of the tests that can be run alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Part {
    /// Unit and property tests beside the code.
    Unit,
    /// The job against published sources and outside readers.
    Checks,
    /// What is shipped, in real browsers.
    Browser,
}

impl Part {
    pub const ALL: [Self; 3] = [Self::Unit, Self::Checks, Self::Browser];

    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|part| part.name() == name)
    }

    fn name(self) -> &'static str {
        match self {
            Self::Unit => "unit",
            Self::Checks => "checks",
            Self::Browser => "browser",
        }
    }

    /// `page`: being built meanwhile, where other parts run first.
    fn run(self, page: &mut Option<page::Ahead>) -> Outcome<Count> {
        match self {
            Self::Unit => {
                let mut count = tidy()? + alone()?;
                let tests = |which: &[String]| {
                    let mut tests = cargo();
                    tests.args(["test", "--workspace", "--exclude", "checks"]).args(which);
                    tests
                };
                let given = |which: &[&str]| which.iter().map(|&arg| arg.to_owned()).collect::<Vec<_>>();
                run(&mut tests(&given(&["--no-run"])))?;
                let files = test_files()?;
                // The longest are one thread each, so those in the crates and those beside them run at once.
                let (within, beside) = thread::scope(|both| {
                    let beside = both.spawn(|| counted(&mut tests(&files)));
                    (counted(&mut tests(&given(&["--lib", "--bins"]))), beside.join())
                });
                let beside = beside.unwrap_or_else(|_| Err("the tests beside the crates could not be run".to_owned()));
                run(&mut tests(&given(&["--doc", "--quiet"])))?;
                count += within?;
                count += beside?;
                Ok(count)
            }
            Self::Checks => {
                let python = tools::for_checks()?;
                let mut count = counted(cargo().args(["test", "-p", "checks"]).env("CANDLEMARK_PYTHON", &python))?;
                if !files("tests/checks", ".test.mjs")?.is_empty() {
                    count += counted(tests(&["tests/checks"], ".test.mjs", 1)?.env("CANDLEMARK_PYTHON", &python))?;
                }
                let stores = ["test", "-p", "share", "--features", "servers", "--test", "servers"];
                count += counted(cargo().args(stores).env("CANDLEMARK_PYTHON", tools::for_stores()?))?;
                Ok(count)
            }
            Self::Browser => {
                tools::for_browsers()?;
                let stores = tools::for_stores()?;
                match page.take() {
                    Some(page) => page.done()?,
                    None => drop(page::build(page::Kind::Shipped)?),
                }
                // Most of a browser test is waiting. (Three at once were not faster on two cores.)
                let mut tests = tests(&["tests/browser", "tests/browser/monkey"], ".test.mjs", 2)?;
                counted(tests.env("CANDLEMARK_PYTHON", stores))
            }
        }
    }
}

/// Tests that ran, by their runners' own closing lines.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Count {
    passed: u32,
    failed: u32,
}

impl AddAssign for Count {
    fn add_assign(&mut self, other: Self) {
        self.passed += other.passed;
        self.failed += other.failed;
    }
}

impl std::ops::Add for Count {
    type Output = Self;
    fn add(mut self, other: Self) -> Self {
        self += other;
        self
    }
}

impl Count {
    /// What one line of a runner adds: cargo's `test result:` lines, node's `# pass` or `ℹ pass`.
    fn of(line: &str) -> Self {
        let mut count = Self::default();
        if let Some(rest) = line.strip_prefix("test result: ") {
            for part in rest.split([';', '.']) {
                match part.trim().split_once(' ') {
                    Some((number, "passed")) => count.passed = number.parse().unwrap_or(0),
                    Some((number, "failed")) => count.failed = number.parse().unwrap_or(0),
                    _ => {}
                }
            }
        }
        let node = line.strip_prefix("ℹ ").or_else(|| line.strip_prefix("# "));
        match node.and_then(|rest| rest.split_once(' ')) {
            Some(("pass", number)) => count.passed = number.parse().unwrap_or(0),
            Some(("fail" | "cancelled", number)) => count.failed = number.parse().unwrap_or(0),
            _ => {}
        }
        count
    }
}

/// Runs the parts in turn, all of them even when one fails, and closes with the totals.
pub fn test(parts: &[Part]) -> Outcome {
    let began = Instant::now();
    let mut total = Count::default();
    let mut told = Vec::new();
    let mut broken = Vec::new();
    let mut page = None;
    if parts.len() > 1 {
        // Fetched before, so that two never install at once. What fails here is said by the part that needs it.
        let fetched = [tools::for_checks().map(drop), tools::for_stores().map(drop), tools::for_browsers()];
        page = fetched.iter().all(Result::is_ok).then(page::Ahead::begin).transpose()?;
    }
    for part in parts {
        println!("\n== {} ==", part.name());
        let start = Instant::now();
        let result = part.run(&mut page);
        let took = minutes(start.elapsed());
        match result {
            Ok(count) => {
                total += count;
                let end = if count.failed == 0 { "ok" } else { "FAILED" };
                told.push(format!("{:8} {end}  {} passed, {} failed  {took}", part.name(), count.passed, count.failed));
                if count.failed > 0 {
                    broken.push(part.name());
                }
            }
            Err(why) => {
                told.push(format!("{:8} BROKEN  {why}  {took}", part.name()));
                broken.push(part.name());
            }
        }
    }
    println!("\n== results after {} ==", minutes(began.elapsed()));
    told.iter().for_each(|line| println!("{line}"));
    // The closing line stands for the whole run, so it appears only when every part could be counted.
    if !told.iter().any(|line| line.contains("BROKEN")) {
        println!("{} passed, {} failed", total.passed, total.failed);
    }
    if broken.is_empty() { Ok(()) } else { Err(format!("not well: {}", broken.join(", "))) }
}

/// Every `tests/bench/*.bench.mjs`, on what is shipped; the numbers also go to `target/bench/`.
pub fn bench() -> Outcome {
    tools::for_browsers()?;
    page::build(page::Kind::Shipped)?;
    let empty = page::build(page::Kind::Empty)?;
    for name in files("tests/bench", ".bench.mjs")? {
        run(node()?.arg(name).env("CANDLEMARK_EMPTY", &empty))?;
    }
    Ok(())
}

/// The shipped figures against a table of published durations, by `trade`'s own example: what it prints is its report.
pub fn score(file: &Path) -> Outcome {
    let file = std::path::absolute(file).map_err(crate::say::about("find", file))?;
    run(cargo().args(["run", "--quiet", "-p", "trade", "--example", "score", "--"]).arg(file))
}

/// Harmed bundles for ten minutes, 10,000 histories of any acts, simulated devices for `CANDLEMARK_MINUTES` (30 unless told), as long devices that share a
/// store, after a barn of 50 devices and 200,000 acts, then every `tests/bench/*.soak.mjs`, on what is shipped.
pub fn soak() -> Outcome {
    run(cargo().args(["run", "--release", "-p", "journal", "--example", "shake", "--", "600"]))?;
    let histories = ["test", "--release", "-p", "book", "--test", "any_acts"];
    run(cargo().args(histories).env("CANDLEMARK_HISTORIES", "10000"))?;
    let minutes = env::var("CANDLEMARK_MINUTES").unwrap_or_else(|_| "30".to_owned());
    let seeds = ["test", "--release", "-p", "storage", "what_is", "--", "--nocapture"];
    run(cargo().args(seeds).env("CANDLEMARK_MINUTES", &minutes))?;
    let barn = ["test", "--release", "-p", "share", "--test", "simulation", "--", "--nocapture"];
    let barn = |only: &str| {
        let mut test = cargo();
        test.args(barn).arg(only);
        test
    };
    run(barn("many").env("CANDLEMARK_DEVICES", "50").env("CANDLEMARK_ACTS", "200000"))?;
    run(barn("all_come").env("CANDLEMARK_MINUTES", minutes))?;
    tools::for_browsers()?;
    page::build(page::Kind::Shipped)?;
    let count = counted(&mut tests(&["tests/bench"], ".soak.mjs", 1)?)?;
    if count.failed == 0 { Ok(()) } else { Err(format!("{} of the long runs failed", count.failed)) }
}

/// The shipped label reader and another one side by side, on a folder of frames.
pub fn scan_bench(dir: &Path) -> Outcome {
    for name in ["frames.bin", "corpus.json"] {
        if !dir.join(name).is_file() {
            return Err(format!(
                "{} holds no {name}. It takes two files: frames.bin, grey frames of 1280 × 720 bytes one after another, and corpus.json, a list with each frame's category `cat` and `text` (null where there is no code)",
                dir.display()
            ));
        }
    }
    let dir = dir.canonicalize().map_err(crate::say::about("find", dir))?;
    tools::for_browsers()?;
    page::build(page::Kind::Shipped)?;
    run(node()?.arg("tests/bench/scan/bench.mjs").arg(dir))
}

/// The README's pictures into tests/pictures/, of what is shipped.
pub fn pictures() -> Outcome {
    tools::for_browsers()?;
    page::build(page::Kind::Shipped)?;
    run(node()?.arg("tests/browser/pictures.mjs"))
}

/// `--test` and the name of each file of tests beside a crate, but for those of `checks` and those that want a feature.
fn test_files() -> Outcome<Vec<String>> {
    let unread = || "`cargo metadata` does not tell what there is to test".to_owned();
    let told = ask("cargo", &["metadata", "--no-deps", "--format-version", "1"]).ok_or_else(unread)?;
    let told: serde_json::Value = serde_json::from_str(&told).map_err(|_| unread())?;
    let packages = told["packages"].as_array().ok_or_else(unread)?;
    let targets = packages.iter().filter(|package| package["name"] != "checks").filter_map(|p| p["targets"].as_array());
    let plain = |target: &&serde_json::Value| {
        target["kind"] == serde_json::json!(["test"])
            && target["required-features"].as_array().is_none_or(Vec::is_empty)
    };
    let names = targets.flatten().filter(plain).filter_map(|target| target["name"].as_str());
    let files: Vec<String> = names.flat_map(|name| ["--test".to_owned(), name.to_owned()]).collect();
    if files.is_empty() { Err(unread()) } else { Ok(files) }
}

/// The code as the formatter has it, and nothing for the linter to warn of. One of another version may know other warnings:
/// those are shown and fail nothing.
fn tidy() -> Outcome<Count> {
    tools::for_tidying()?;
    doing("formatting and lints");
    run(cargo().args(["fmt", "--all", "--check"]))?;
    let mut clippy = cargo();
    clippy.args(["clippy", "--workspace", "--all-targets", "--quiet"]);
    let ours = concat!("rustc ", env!("CARGO_PKG_RUST_VERSION"), ".");
    if ask("rustc", &["--version"]).is_some_and(|version| version.starts_with(ours)) {
        clippy.args(["--", "-D", "warnings"]);
    }
    run(&mut clippy)?;
    Ok(Count { passed: 2, failed: 0 })
}

/// Compiles each pure room by itself: together, one room's wish for a clock would be granted to all.
fn alone() -> Outcome<Count> {
    let mut count = Count::default();
    for room in ["trade", "journal", "labels", "light", "book", "storage", "share"] {
        doing(&format!("compiling {room} alone"));
        run(cargo().args(["check", "-p", room, "--lib"]))?;
        count.passed += 1;
    }
    Ok(count)
}

fn cargo() -> Command {
    let mut cargo = Command::new("cargo");
    cargo.current_dir(root()).env("CARGO_TERM_COLOR", "never");
    cargo
}

fn files(dir: &str, ending: &str) -> Outcome<Vec<String>> {
    let path = root().join(dir);
    let found = std::fs::read_dir(&path).map_err(crate::say::about("read", &path))?;
    let names = found.filter_map(|entry| entry.ok().map(|entry| entry.file_name().to_string_lossy().into_owned()));
    let mut names: Vec<String> =
        names.filter(|name| name.ends_with(ending)).map(|name| format!("{dir}/{name}")).collect();
    names.sort();
    Ok(names)
}

/// Node, knowing where this program is.
fn node() -> Outcome<Command> {
    let own = env::current_exe().map_err(|why| format!("this program cannot find itself: {why}"))?;
    let mut node = Command::new("node");
    node.current_dir(root()).env("CANDLEMARK_XTASK", own);
    Ok(node)
}

/// Node's own runner over the files of some folders, one folder after another, so many files `at_once`.
fn tests(dirs: &[&str], ending: &str, at_once: u32) -> Outcome<Command> {
    let mut names = Vec::new();
    for dir in dirs {
        let found = files(dir, ending)?;
        if found.is_empty() {
            return Err(format!("no {dir}/*{ending} to run"));
        }
        names.extend(found);
    }
    let mut node = node()?;
    node.args(["--test", "--test-reporter=spec"]).arg(format!("--test-concurrency={at_once}")).args(names);
    Ok(node)
}

/// Runs a test runner, shows what it says and counts by its closing lines. One that ran nothing, or failed without
/// counting a failure, is an error.
fn counted(command: &mut Command) -> Outcome<Count> {
    let mut child = command
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .spawn()
        .map_err(|why| format!("could not start `{}`: {why}", typed(command)))?;
    let mut count = Count::default();
    if let Some(out) = child.stdout.take() {
        for line in BufReader::new(out).split(b'\n').map_while(Result::ok) {
            let line = String::from_utf8_lossy(&line);
            println!("{line}");
            count += Count::of(&line);
        }
    }
    let status = child.wait().map_err(|why| why.to_string())?;
    let program = Path::new(command.get_program()).display();
    match (status.success(), count) {
        (true, Count { passed: 0, .. }) => Err(format!("`{}` ran no test", typed(command))),
        (false, Count { failed: 0, .. }) => Err(format!("{program} failed before its tests ended ({status})")),
        _ => Ok(count),
    }
}

fn minutes(time: Duration) -> String {
    let seconds = time.as_secs();
    format!("{} min {:02} s", seconds / 60, seconds % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn closing_lines_are_counted() {
        for (line, passed, failed) in [
            ("test result: ok. 12 passed; 0 failed; 0 ignored; 0 measured; 0 filtered out; finished in 0.02s", 12, 0),
            ("test result: FAILED. 3 passed; 2 failed; 0 ignored; 0 measured; 0 filtered out; finished in 0.02s", 3, 2),
            ("ℹ pass 7", 7, 0),
            ("ℹ fail 1", 0, 1),
            ("# pass 7", 7, 0),
            ("ℹ cancelled 2", 0, 2),
            ("ℹ tests 9", 0, 0),
            ("test trade::adds ... ok", 0, 0),
            ("  12 passed", 0, 0),
        ] {
            assert_eq!(Count::of(line), Count { passed, failed }, "{line}");
        }
    }

    #[test]
    fn parts_have_one_name_each() {
        for part in Part::ALL {
            assert_eq!(Part::named(part.name()), Some(part));
        }
        assert_eq!(Part::named("everything"), None);
    }
}
