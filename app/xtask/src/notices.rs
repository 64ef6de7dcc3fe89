//! The page of notices: every library that ships, its licence and that licence's text, from Cargo's own account of what is
//! built for a browser.

use crate::Outcome;
use crate::say::{about, root};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

pub const NAME: &str = "licences.html";
/// What is built for the browser: the app and its workers.
const SHIPPED: [&str; 5] = ["web", "carry", "scan", "lock", "share"];

/// A library that ships.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Library {
    name: String,
    version: String,
    licence: String,
    authors: String,
    /// The texts that come with it: the MIT one alone, where it may be chosen.
    texts: Vec<String>,
}

/// Writes the page into a built folder.
pub fn write(dir: &Path) -> Outcome {
    let told = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
        .args(["metadata", "--format-version=1", "--locked", "--filter-platform=wasm32-unknown-unknown"])
        .current_dir(root())
        .output()
        .map_err(|why| format!("could not ask cargo what ships: {why}"))?;
    if !told.status.success() {
        return Err(format!("cargo could not say what ships: {}", String::from_utf8_lossy(&told.stderr).trim()));
    }
    let told = serde_json::from_slice(&told.stdout).map_err(|why| format!("cargo's account is not read: {why}"))?;
    let libraries = libraries(&told)?;
    fs::write(dir.join(NAME), page(&libraries)).map_err(about("write in", dir))
}

/// What the shipped crates use when they run; what only builds them does not ship.
fn libraries(told: &Value) -> Outcome<BTreeSet<Library>> {
    let list = |of: &Value| of.as_array().cloned().unwrap_or_default();
    let word = |of: &Value, field: &str| of[field].as_str().unwrap_or_default().to_owned();
    let packages: BTreeMap<String, Value> =
        list(&told["packages"]).into_iter().map(|package| (word(&package, "id"), package)).collect();
    let uses: BTreeMap<String, Vec<String>> = list(&told["resolve"]["nodes"])
        .into_iter()
        .map(|node| {
            let runs = |dep: &Value| list(&dep["dep_kinds"]).iter().any(|kind| kind["kind"].is_null());
            let deps = list(&node["deps"]).iter().filter(|dep| runs(dep)).map(|dep| word(dep, "pkg")).collect();
            (word(&node, "id"), deps)
        })
        .collect();
    let own = |package: &&Value| package["source"].is_null() && SHIPPED.contains(&word(package, "name").as_str());
    let mut waiting: Vec<String> = packages.values().filter(own).map(|package| word(package, "id")).collect();
    if waiting.len() != SHIPPED.len() {
        return Err(format!("of {SHIPPED:?} cargo knows only {}", waiting.len()));
    }
    let (mut seen, mut found) = (BTreeSet::new(), BTreeSet::new());
    while let Some(id) = waiting.pop() {
        let Some(package) = packages.get(&id).filter(|_| seen.insert(id.clone())) else { continue };
        let is_macro = |target: &Value| list(&target["kind"]).iter().any(|kind| kind == "proc-macro");
        if list(&package["targets"]).iter().any(is_macro) {
            continue;
        }
        waiting.extend(uses.get(&id).into_iter().flatten().cloned());
        if package["source"].is_null() {
            continue;
        }
        let licence = word(package, "license");
        let manifest = word(package, "manifest_path");
        let authors =
            list(&package["authors"]).iter().filter_map(|name| Some(name.as_str()?.to_owned())).collect::<Vec<_>>();
        found.insert(Library {
            name: word(package, "name"),
            version: word(package, "version"),
            texts: texts(Path::new(&manifest).parent().unwrap_or(Path::new("")), &licence)?,
            licence,
            authors: authors.join(", "),
        });
    }
    Ok(found)
}

fn texts(dir: &Path, licence: &str) -> Outcome<Vec<String>> {
    let within = |dir: &Path| -> Outcome<Vec<PathBuf>> {
        Ok(fs::read_dir(dir).map_err(about("read", dir))?.filter_map(|entry| Some(entry.ok()?.path())).collect())
    };
    let mut files = within(dir)?;
    files.retain(|path| named(path).is_some_and(|name| is_notice(&name)));
    // Some keep them in a folder, as REUSE has it: https://reuse.software/spec/
    for folder in files.extract_if(.., |path| path.is_dir()).collect::<Vec<_>>() {
        files.extend(within(&folder)?);
    }
    files.retain(|path| path.is_file());
    files.sort();
    let mit = |path: &&PathBuf| named(path).is_some_and(|name| name.contains("mit"));
    if licence.contains("MIT") && !licence.contains("AND") && files.iter().any(|path| mit(&path)) {
        files.retain(|path| mit(&path));
    }
    files
        .iter()
        .map(|path| Ok(String::from_utf8_lossy(&fs::read(path).map_err(about("read", path))?).into_owned()))
        .collect()
}

fn named(path: &Path) -> Option<String> {
    Some(path.file_name()?.to_str()?.to_lowercase())
}

fn is_notice(name: &str) -> bool {
    ["license", "licence", "copying", "copyright", "notice", "unlicense"].iter().any(|start| name.starts_with(start))
}

/// The same text once, with all that it stands for.
fn page(libraries: &BTreeSet<Library>) -> String {
    let mut texts: BTreeMap<String, (&str, Vec<&str>)> = BTreeMap::new();
    for library in libraries {
        for text in &library.texts {
            let alike = text.split_whitespace().collect::<Vec<_>>().join(" ");
            texts.entry(alike).or_insert((text, Vec::new())).1.push(&library.name);
        }
    }
    let row = |library: &Library| {
        let Library { name, version, licence, authors, .. } = library;
        let by = if authors.is_empty() { String::new() } else { format!("; {}", safe(authors)) };
        format!("<li><b>{}</b> {}: {}{by}</li>\n", safe(name), safe(version), safe(licence))
    };
    let rows: String = libraries.iter().map(row).collect();
    let texts: String = texts
        .into_values()
        .map(|(text, names)| format!("<h3>{}</h3>\n<pre>{}</pre>\n", safe(&names.join(", ")), safe(text.trim())))
        .collect();
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'self'\">\n\
         <title>Licences · Candlemark</title>\n<link rel=\"stylesheet\" href=\"./format/format.css\">\n</head>\n<body>\n<main>\n\
         <h1>Licences</h1>\n<p>Candlemark is under the MIT licence or the Apache License 2.0, as you choose. It is made with \
         the Rust standard library (MIT or Apache-2.0) and the libraries below. Where one comes without a text of its own, \
         the standard text of the licence it names holds.</p>\n\
         <ul>\n{rows}</ul>\n\
         <h2>Their texts</h2>\n{texts}</main>\n</body>\n</html>\n"
    )
}

fn safe(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_that_ships_is_named_with_its_licence_and_nothing_that_only_builds_it() {
        let dir = std::env::temp_dir().join(format!("candlemark-notices-{}", std::process::id()));
        fs::create_dir_all(&dir).expect("a folder");
        write(&dir).expect("written");
        let page = fs::read_to_string(dir.join(NAME)).expect("the page");
        fs::remove_dir_all(&dir).expect("tidied");
        for name in ["leptos", "chrono", "qrcode", "serde_json", "web-sys", "scrypt"] {
            assert!(page.contains(&format!("<li><b>{name}</b> ")), "{name}");
        }
        // What makes code, what tests, and this program's own.
        for name in ["serde_derive", "proptest", "tiny_http", "web", "book"] {
            assert!(!page.contains(&format!("<li><b>{name}</b> ")), "{name}");
        }
        assert!(
            !page.contains("</b> :") && !page.contains(": </li>") && !page.contains(": ;"),
            "each has a version and a licence"
        );
        assert!(page.contains("Permission is hereby granted, free of charge"));
    }

    #[test]
    fn one_text_stands_once_however_its_lines_break_and_nothing_of_it_is_markup() {
        let library = |name: &str, text: &str| Library {
            name: name.into(),
            version: "1.0.0".into(),
            licence: "MIT".into(),
            authors: "A <a@b.example>".into(),
            texts: vec![text.into()],
        };
        let page = page(&BTreeSet::from([library("one", "Copyright <c>\nAll"), library("two", "Copyright <c> All\n")]));
        assert_eq!(page.matches("Copyright &lt;c&gt;").count(), 1);
        assert!(page.contains("<h3>one, two</h3>") && page.contains("A &lt;a@b.example&gt;"));
    }
}
