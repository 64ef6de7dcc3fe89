//! The map of crates in DEVELOPERS.md is what cargo says of them: each crate has its row, each arrow is a dependency and
//! each dependency an arrow, and what a row says is absent is not used.

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;

/// What brings a browser, a clock or randomness with it.
const BROWSER: [&str; 6] = ["web-sys", "js-sys", "wasm-bindgen", "wasm-bindgen-futures", "leptos", "gloo-storage"];
const RANDOMNESS: [&str; 3] = ["getrandom", "rand", "fastrand"];

/// A crate in the map.
struct Row {
    uses: BTreeSet<String>,
    absent: String,
}

/// A crate as cargo knows it.
struct Package {
    uses: BTreeSet<String>,
    dependencies: Vec<Value>,
}

/// The rows of the map by folder: `| \`app/book\` → trade, journal | … | … | absent |`.
fn map() -> BTreeMap<String, Row> {
    let text = std::fs::read_to_string(crate::say::root().join("DEVELOPERS.md")).expect("DEVELOPERS.md");
    let rows = text.lines().filter_map(|line| line.strip_prefix("| `"));
    let row = |line: &str| {
        let (folder, rest) = line.split_once('`')?;
        let cells: Vec<&str> = rest.split('|').map(str::trim).collect();
        let [arrows, _, _, absent, ""] = cells.as_slice() else { return None };
        let uses = arrows.strip_prefix('→').unwrap_or_default().split(',').map(str::trim);
        let uses = uses.filter(|name| !name.is_empty()).map(str::to_owned).collect();
        Some((folder.to_owned(), Row { uses, absent: absent.to_string() }))
    };
    rows.filter_map(row).collect()
}

/// The crates of the workspace by folder.
fn packages() -> BTreeMap<String, Package> {
    let args = ["metadata", "--no-deps", "--format-version", "1", "--offline"];
    let output = Command::new(env!("CARGO")).args(args).current_dir(crate::say::root()).output().expect("cargo");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let read: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let text = |value: &Value, name: &str| value[name].as_str().unwrap_or_default().to_owned();
    let root = text(&read, "workspace_root");
    let package = |package: &Value| {
        let manifest = text(package, "manifest_path");
        let folder = Path::new(&manifest).strip_prefix(&root).ok()?.parent()?.to_str()?.to_owned();
        let dependencies = package["dependencies"].as_array()?.clone();
        let own = dependencies.iter().filter(|used| used["path"].is_string());
        Some((folder, Package { uses: own.map(|used| text(used, "name")).collect(), dependencies }))
    };
    read["packages"].as_array().expect("packages").iter().filter_map(package).collect()
}

#[test]
fn the_map_is_what_cargo_says() {
    let (map, packages) = (map(), packages());
    let drawn: Vec<&String> = map.keys().collect();
    assert_eq!(drawn, packages.keys().collect::<Vec<_>>(), "the crates of the map, and those there are");
    for (folder, row) in &map {
        assert_eq!(row.uses, packages[folder].uses, "{folder}: the arrows of the map, and its Cargo.toml");
    }
}

#[test]
fn what_is_absent_by_design_is_not_used() {
    let (packages, mut impure) = (packages(), Vec::new());
    for (folder, row) in map() {
        let absent = |what: &str| row.absent.split(", ").any(|word| word == what);
        // A test may do more than what is shipped.
        for used in packages[&folder].dependencies.iter().filter(|used| used["kind"] != "dev") {
            let name = used["name"].as_str().expect("a name");
            if absent("browser") && BROWSER.contains(&name) || absent("randomness") && RANDOMNESS.contains(&name) {
                impure.push(format!("{folder} uses {name}"));
            }
            let features = used["features"].as_array().expect("features");
            let clock = used["uses_default_features"] == true
                || features.iter().any(|held| held == "clock" || held == "now" || held == "wasmbind");
            if absent("clock") && name == "chrono" && clock {
                impure.push(format!("{folder} takes the clock of chrono"));
            }
        }
    }
    assert!(impure.is_empty(), "{}", impure.join(", "));
}

/// The rooms below the browser say so in the map.
#[test]
fn what_decides_has_no_browser_no_clock_and_no_randomness() {
    let map = map();
    for room in ["app/trade", "app/journal", "app/book", "app/desk", "app/labels", "app/storage"] {
        for absent in ["browser", "clock", "randomness"] {
            assert!(map[room].absent.split(", ").any(|word| word == absent), "{room} does not say: {absent}");
        }
    }
}
