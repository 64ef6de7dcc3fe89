//! Cuts the app's wasm into a first part and parts fetched when a page of theirs is opened.
//!
//! Trunk knows nothing of parts. So its own build of the app is only a name and a place: what it put there is made
//! again here from the linker's output, by the cutter, wasm-bindgen and wasm-opt.

use crate::Outcome;
use crate::say::{about, ask, root, run};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Mutex;

/// Told to the build's last step when it is not the shipped build: the profile the app was built with.
pub const PROFILE: &str = "CANDLEMARK_PROFILE";

/// What the names of imports from the browser begin with.
const IMPORT: &str = "__wbg_";
/// Letters of the hash at the end of an import's name.
const HASH: usize = 16;

/// Classes that a crate beneath Leptos exports for streams; nothing here makes one.
const UNUSED: &str = "--remove-exports=*intounderlying*";

/// What Rust's compiler uses of WebAssembly beyond the first version.
const FEATURES: [&str; 6] = [
    "--enable-bulk-memory",
    "--enable-multivalue",
    "--enable-mutable-globals",
    "--enable-nontrapping-float-to-int",
    "--enable-reference-types",
    "--enable-sign-ext",
];

/// Replaces the app in Trunk's staging folder by its parts; where that was done already, nothing changes.
pub fn cut(staging: &Path) -> Outcome {
    let stem = stem(staging)?;
    if staging.join(loader(&stem)).exists() {
        return Ok(());
    }
    let profile = std::env::var(PROFILE).unwrap_or_else(|_| "release".to_owned());
    let linked = target()?.join("wasm32-unknown-unknown").join(&profile).join("web.wasm");
    let work = staging.with_extension("parts");
    fs::remove_dir_all(&work).ok();
    run(Command::new("wasm-split-cli").arg(&linked).arg(&work).args(["--out-name", &stem]))?;
    let first = work.join(format!("{stem}.wasm"));
    let mut bindgen = Command::new("wasm-bindgen");
    bindgen.args(["--target", "web", "--no-typescript", "--keep-lld-exports"]);
    bindgen.args(["--remove-name-section", "--remove-producers-section"]);
    run(bindgen.arg("--out-dir").arg(&work).args(["--out-name", &stem]).arg(&first))?;
    fs::remove_file(&first).map_err(about("remove", &first))?;
    number_imports(&work, &stem)?;
    if profile == "release" {
        shrink(&files(&work, "wasm")?)?;
    }
    move_in(&work, staging, &stem)?;
    fs::remove_dir_all(&work).map_err(about("remove", &work))
}

/// Cargo's target folder, wherever it was told to be.
fn target() -> Outcome<PathBuf> {
    let manifest = root().join("Cargo.toml").display().to_string();
    let told = ask("cargo", &["metadata", "--no-deps", "--format-version", "1", "--manifest-path", &manifest]);
    let told: serde_json::Value = told
        .and_then(|text| serde_json::from_str(&text).ok())
        .ok_or("`cargo metadata` does not tell where the build is")?;
    told["target_directory"].as_str().map(PathBuf::from).ok_or_else(|| "`cargo metadata` names no target folder".into())
}

/// The name Trunk gave the app: `web-` and a hash.
fn stem(staging: &Path) -> Outcome<String> {
    let wasm = files(staging, "wasm")?;
    let names = wasm.iter().filter_map(|path| path.file_name()?.to_str()?.strip_suffix("_bg.wasm"));
    let mut stems = names.filter(|name| name.starts_with("web-"));
    match (stems.next(), stems.next()) {
        (Some(stem), None) => Ok(stem.to_owned()),
        _ => Err(format!("{} must hold exactly one web-…_bg.wasm", staging.display())),
    }
}

/// The files of a folder whose names end so, in order of name.
pub fn files(dir: &Path, extension: &str) -> Outcome<Vec<PathBuf>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(dir).map_err(about("read", dir))? {
        let path = entry.map_err(about("read", dir))?.path();
        if path.extension().is_some_and(|end| end == extension) {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}

/// wasm-bindgen ends the name of each import in a hash. Numbers say as much, and what is sent is compressed: 300 hashes in
/// two files are 6 kB of it, numbers next to nothing.
fn number_imports(work: &Path, stem: &str) -> Outcome {
    let (script, wasm) = (work.join(format!("{stem}.js")), work.join(format!("{stem}_bg.wasm")));
    let text = fs::read_to_string(&script).map_err(about("read", &script))?;
    let mut bytes = fs::read(&wasm).map_err(about("read", &wasm))?;
    let numbers = import_numbers(&text);
    // Each is as long as what it replaces, so that nothing in the file moves.
    let begins: Vec<usize> = bytes
        .windows(IMPORT.len())
        .enumerate()
        .filter(|(_, word)| *word == IMPORT.as_bytes())
        .map(|(at, _)| at)
        .collect();
    for at in begins {
        let long = bytes[at..].iter().take_while(|byte| is_of_name(byte)).count();
        let name = &mut bytes[at..at + long];
        if let Some(number) = str::from_utf8(name).ok().and_then(|name| numbers.get(name)) {
            name.copy_from_slice(number.as_bytes());
        }
    }
    let text = numbers.iter().fold(text, |text, (name, number)| text.replace(name, number));
    fs::write(&script, text).map_err(about("write", &script))?;
    fs::write(&wasm, bytes).map_err(about("write", &wasm))
}

/// The imports that a script gives, each with the name that it gets: `__wbg_get_d7176cfb76d71114` and
/// `__wbg_get_0000000000000000`.
fn import_numbers(script: &str) -> BTreeMap<String, String> {
    let mut numbers = BTreeMap::new();
    let mut of_stem: BTreeMap<&str, usize> = BTreeMap::new();
    for name in script.split(|c: char| !u8::try_from(c).is_ok_and(|byte| is_of_name(&byte))) {
        let Some((stem, hash)) = name.split_at_checked(name.len().saturating_sub(HASH)) else { continue };
        let hashed = hash.bytes().all(|byte| byte.is_ascii_hexdigit()) && stem.ends_with('_');
        if hashed && stem.starts_with(IMPORT) && !numbers.contains_key(name) {
            let number = of_stem.entry(stem).or_default();
            numbers.insert(name.to_owned(), format!("{stem}{number:0HASH$}"));
            *number += 1;
        }
    }
    numbers
}

fn is_of_name(byte: &u8) -> bool {
    byte.is_ascii_alphanumeric() || *byte == b'_'
}

/// Two at a time: the parts are many and small.
fn shrink(parts: &[PathBuf]) -> Outcome {
    let left = Mutex::new(parts.iter());
    let next = || left.lock().ok().and_then(|mut left| left.next().cloned());
    let worker = || {
        while let Some(part) = next() {
            let mut opt = Command::new("wasm-opt");
            // Asked for speed it inlines more: larger by a thirtieth, but smaller once compressed, and a browser that
            // compiles each function when it is first called has fewer to compile.
            opt.arg(UNUSED).arg("-O3").args(FEATURES).arg(&part).arg("-o").arg(&part);
            let output = opt.output().map_err(|why| format!("could not start wasm-opt: {why}"))?;
            if !output.status.success() {
                return Err(format!(
                    "wasm-opt failed on {}: {}",
                    part.display(),
                    String::from_utf8_lossy(&output.stderr)
                ));
            }
        }
        Ok(())
    };
    std::thread::scope(|scope| {
        let other = scope.spawn(worker);
        worker().and(other.join().unwrap_or_else(|_| Err("wasm-opt's thread ended badly".to_owned())))
    })
}

/// Gives the parts names that carry the app's hash, so that no host's cache can mix two versions.
fn move_in(work: &Path, staging: &Path, stem: &str) -> Outcome {
    for script in files(work, "js")? {
        let text = fs::read_to_string(&script).map_err(about("read", &script))?;
        fs::write(&script, named(&text, stem)).map_err(about("write", &script))?;
    }
    for file in files(work, "js")?.into_iter().chain(files(work, "wasm")?) {
        let name = file.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        let name = match name.as_str() {
            "__wasm_split.js" => loader(stem),
            own if own.starts_with(stem) => name,
            part => format!("{stem}-{part}"),
        };
        let to = staging.join(name);
        fs::copy(&file, &to).map_err(about("write", &to))?;
    }
    Ok(())
}

/// The page's text with word of the script that fetches parts: the app's own script needs it, and a browser that learns
/// so only from there loses a turn.
pub fn loader_early(page: &str, staging: &Path) -> Outcome<String> {
    let stem = stem(staging)?;
    let early = format!("<link rel=\"modulepreload\" crossorigin href=\"./{}\">", loader(&stem));
    if page.contains(&early) {
        return Ok(page.to_owned());
    }
    match page.find("<link crossorigin href=./web-").or_else(|| page.find("<link rel=\"modulepreload\"")) {
        Some(at) => Ok(format!("{}{early}{}", &page[..at], &page[at..])),
        None => Err("Trunk's page names no script to load early; app/xtask/src/parts.rs looks for it".to_owned()),
    }
}

/// The script that fetches parts.
fn loader(stem: &str) -> String {
    format!("{stem}-parts.js")
}

/// A script's text with the cutter's names of files made the version's own.
fn named(text: &str, stem: &str) -> String {
    text.replace("from \"./__wasm_split.js\"", &format!("from \"./{}\"", loader(stem)))
        .replace("\"./chunk_", &format!("\"./{stem}-chunk_"))
        .replace("\"./split_", &format!("\"./{stem}-split_"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn imports_of_one_name_get_numbers_as_long_as_their_hashes() {
        let script = "__wbg_get_d7176cfb76d71114: function() {},\n__wbg_get_0d7176cfb76d7111: function() {},\n\
            __wbg_now_03a1b2c3d4e5f607() {}, __wbg_ptr, wasm.__wbg_thing_free(ptr), __wbg_now_03a1b2c3d4e5f607";
        let numbers = import_numbers(script);
        let named: Vec<(&str, &str)> = numbers.iter().map(|(name, number)| (&**name, &**number)).collect();
        assert_eq!(
            named,
            [
                ("__wbg_get_0d7176cfb76d7111", "__wbg_get_0000000000000001"),
                ("__wbg_get_d7176cfb76d71114", "__wbg_get_0000000000000000"),
                ("__wbg_now_03a1b2c3d4e5f607", "__wbg_now_0000000000000000"),
            ]
        );
    }

    #[test]
    fn every_part_is_named_after_the_version() {
        let script = "import { initSync } from \"./web-1f.js\";\nfetch(new URL(\"./chunk_6.wasm\", import.meta.url));\n\
            fetch(new URL(\"./split_paper.wasm\", import.meta.url));";
        let own = "import { initSync } from \"./web-1f.js\";\nfetch(new URL(\"./web-1f-chunk_6.wasm\", import.meta.url));\n\
            fetch(new URL(\"./web-1f-split_paper.wasm\", import.meta.url));";
        assert_eq!(named(script, "web-1f"), own);
        // What the wasm asks for keeps its name; only where it is fetched from changes.
        let glue = "import * as import1 from \"./__wasm_split.js\"\nimports = { \"./__wasm_split.js\": import1 }";
        let own = "import * as import1 from \"./web-1f-parts.js\"\nimports = { \"./__wasm_split.js\": import1 }";
        assert_eq!(named(glue, "web-1f"), own);
    }
}
