//! Fails when a room uses what the drawing in README's map of rooms does not let it use.
//!
//! Asks cargo itself, so every way of writing a dependency counts.

use serde_json::Value;
use std::collections::BTreeMap;
use std::process::Command;

/// Room, and the rooms it may use. The shells of `scan`, `carry` and `lock` are started by `web` as programs of their
/// own; of `carry` it shares the messages.
const DRAWN: [(&str, &[&str]); 13] = [
    ("trade", &[]),
    ("journal", &[]),
    ("labels", &[]),
    ("scan", &[]),
    ("carry", &["journal"]),
    ("lock", &[]),
    ("book", &["trade", "journal"]),
    ("storage", &["journal", "book"]),
    ("share", &["journal", "lock"]),
    ("desk", &["trade", "journal", "book"]),
    ("web", &["book", "trade", "journal", "labels", "scan", "carry", "storage", "desk"]),
    ("xtask", &[]),
    ("checks", &["trade", "journal", "book", "labels", "scan", "carry"]),
];

/// Rooms without a browser, a clock or chance of their own.
const PURE: [&str; 7] = ["trade", "journal", "book", "desk", "labels", "storage", "share"];
const IMPURE: [&str; 9] = [
    "web-sys",
    "js-sys",
    "wasm-bindgen",
    "wasm-bindgen-futures",
    "leptos",
    "gloo-storage",
    "getrandom",
    "rand",
    "fastrand",
];

fn packages() -> BTreeMap<String, Vec<Value>> {
    let args = ["metadata", "--no-deps", "--format-version", "1", "--offline"];
    let output = Command::new(env!("CARGO")).args(args).current_dir(crate::say::root()).output().expect("cargo");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let read: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let name = |value: &Value| value["name"].as_str().expect("a name").to_owned();
    let packages = read["packages"].as_array().expect("packages").iter();
    packages.map(|package| (name(package), package["dependencies"].as_array().expect("dependencies").clone())).collect()
}

#[test]
fn every_room_is_drawn() {
    let drawn: Vec<String> = BTreeMap::from(DRAWN).into_keys().map(str::to_owned).collect();
    assert_eq!(packages().into_keys().collect::<Vec<_>>(), drawn);
}

#[test]
fn no_arrow_is_undrawn() {
    let drawn = BTreeMap::from(DRAWN);
    let mut undrawn = Vec::new();
    for (room, uses) in packages() {
        for used in uses {
            let name = used["name"].as_str().expect("a name");
            if used["path"].is_string() && !drawn[room.as_str()].contains(&name) {
                undrawn.push(format!("{room} → {name}"));
            }
        }
    }
    assert!(undrawn.is_empty(), "arrows that the architecture does not draw: {}", undrawn.join(", "));
}

#[test]
fn pure_rooms_stay_pure() {
    let packages = packages();
    let mut impure = Vec::new();
    for room in PURE {
        for used in &packages[room] {
            let name = used["name"].as_str().expect("a name");
            // A test may do more than what is shipped.
            if used["kind"] == "dev" {
                continue;
            }
            if IMPURE.contains(&name) {
                impure.push(format!("{room} uses {name}"));
            }
            let features = used["features"].as_array().expect("features");
            let clock = used["uses_default_features"] == true
                || features.iter().any(|held| held == "clock" || held == "now" || held == "wasmbind");
            if name == "chrono" && clock {
                impure.push(format!("{room} takes the clock of chrono"));
            }
        }
    }
    assert!(impure.is_empty(), "{}", impure.join(", "));
}
