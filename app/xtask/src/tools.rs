//! The pinned tools that building and testing need, fetched when missing.
//!
//! Built tools go to a cache of the user by name and version, so that a second clone of the project finds them.
//! Each is made in a folder of its own and moved into place only when whole; an interrupted one goes on the next time.

use crate::Outcome;
use crate::say::{about, ask, doing, root, run};
use std::env;
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Newer ones want a newer Rust than the project's.
const TRUNK: &str = "0.21.14";
/// Cuts the app's wasm into parts.
const SPLIT: &str = "0.2.4";
/// The second of the two readers that check printed labels.
const OPENCV: &str = "5.0.0.93";
/// What the forecast and tests of fit are checked against.
const SCIPY: &str = "1.17.1";
/// Reads the calendar file.
const ICALENDAR: &str = "7.3.2";
/// Servers of web folders and of buckets, that the shared store is tried with.
const WSGIDAV: &str = "4.3.3";
const CHEROOT: &str = "11.1.2";
const MOTO: &str = "5.2.5";
const FLASK: &str = "3.1.3";
const FLASK_CORS: &str = "6.0.5";
const WASM: &str = "wasm32-unknown-unknown";

/// Programs that Debian packages, and the package of each.
const PAGE_READERS: [(&str, &str); 2] = [("zbarimg", "zbar-tools"), ("pdftoppm", "poppler-utils")];
const BROWSERS: [(&str, &str); 5] = [
    ("chromium", "chromium"),
    ("brotli", "brotli"),
    ("xvfb-run", "xvfb"),
    ("WebKitWebDriver", "webkit2gtk-driver"),
    ("firefox-esr", "firefox-esr"),
];
/// More servers of web folders, and an `age` of another make. Not every PATH has the first; the package that is called like
/// it would also start it.
const STORES: [(&str, &str); 4] =
    [("/usr/sbin/apache2", "apache2-bin"), ("rclone", "rclone"), ("age", "age"), ("age-keygen", "age")];
const NODE: [(&str, &str); 2] = [("node", "nodejs"), ("npm", "npm")];

/// What building the page needs; gives the PATH to build it with.
pub fn for_building() -> Outcome<OsString> {
    wasm_target()?;
    let trunk = cargo_tool("trunk", "trunk", TRUNK, &["--locked"])?;
    let bindgen = cargo_tool("wasm-bindgen-cli", "wasm-bindgen", &bindgen_version()?, &[])?;
    let split =
        cargo_tool("wasm_split_cli_support", "wasm-split-cli", SPLIT, &["--locked", "--features", "build-binary"])?;
    let npm = npm_packages()?.join(".bin");
    let first = [trunk, bindgen, split, Some(npm)].into_iter().flatten();
    let rest = env::var_os("PATH").unwrap_or_default();
    env::join_paths(first.chain(env::split_paths(&rest))).map_err(|why| format!("PATH cannot be extended: {why}"))
}

/// What the checks by outside readers need; gives the Python that has OpenCV, scipy and icalendar.
pub fn for_checks() -> Outcome<PathBuf> {
    debian(&PAGE_READERS)?;
    npm_packages()?;
    python(
        "cv2, scipy, icalendar",
        &[("opencv-python-headless", OPENCV), ("scipy", SCIPY), ("icalendar", ICALENDAR)],
        &format!("opencv-{OPENCV}-scipy-{SCIPY}-icalendar-{ICALENDAR}"),
    )
}

/// The servers that a shared store is tried with; gives the Python that has those of them that are written in it.
pub fn for_stores() -> Outcome<PathBuf> {
    debian(&STORES)?;
    python(
        "wsgidav, cheroot, moto.server",
        &[("wsgidav", WSGIDAV), ("cheroot", CHEROOT), ("moto[s3]", MOTO), ("flask", FLASK), ("flask-cors", FLASK_CORS)],
        &format!("wsgidav-{WSGIDAV}-cheroot-{CHEROOT}-moto-{MOTO}-flask-{FLASK}-cors-{FLASK_CORS}"),
    )
}

/// The formatter and the linter, which come with Rust as a rule.
pub fn for_tidying() -> Outcome {
    if ["fmt", "clippy"].iter().all(|tool| ask("cargo", &[tool, "--version"]).is_some()) {
        return Ok(());
    }
    doing("adding Rust's rustfmt and clippy");
    run(Command::new("rustup").args(["component", "add", "rustfmt", "clippy"]))
}

/// What the browser tests need beyond building.
pub fn for_browsers() -> Outcome {
    debian(&BROWSERS)?;
    npm_packages().map(drop)
}

/// `tests/browser/node_modules`, as its lock file says.
pub fn npm_packages() -> Outcome<PathBuf> {
    debian(&NODE)?;
    let dir = root().join("tests/browser");
    let lock = dir.join("package-lock.json");
    let wanted = fs::read(&lock).map_err(about("read", &lock))?;
    let modules = dir.join("node_modules");
    let kept = modules.join(".fetched-by");
    if fs::read(&kept).is_ok_and(|had| had == wanted) {
        return Ok(modules);
    }
    doing("fetching the npm packages that tests/browser/package-lock.json names (about 180 MB on disk)");
    // Inside tests/browser/out, which git ignores, so that the move stays on one file system.
    let half = dir.join("out/npm-unfinished");
    fs::remove_dir_all(&half).ok();
    fs::create_dir_all(&half).map_err(about("make", &half))?;
    for name in ["package.json", "package-lock.json", ".npmrc"] {
        let from = dir.join(name);
        fs::copy(&from, half.join(name)).map_err(about("copy", &from))?;
    }
    let fetched = run(Command::new("npm").arg("ci").current_dir(&half)).and_then(|()| {
        let whole = half.join("node_modules");
        fs::write(whole.join(".fetched-by"), &wanted).map_err(about("write in", &whole))?;
        put(&whole, &modules)
    });
    fs::remove_dir_all(&half).ok();
    fetched.map(|()| modules)
}

/// Moves a finished folder to its place, over an older one.
fn put(whole: &Path, place: &Path) -> Outcome {
    let old = whole.with_extension("old");
    if place.exists() {
        fs::rename(place, &old).map_err(about("move aside", place))?;
    }
    fs::rename(whole, place).map_err(about("move into place", place))
}

fn wasm_target() -> Outcome {
    let libs = ask("rustc", &["--print", "target-libdir", "--target", WASM]);
    if libs.is_some_and(|dir| Path::new(&dir).is_dir()) {
        return Ok(());
    }
    doing(&format!("adding Rust's {WASM} target"));
    run(Command::new("rustup").args(["target", "add", WASM])).map_err(|why| {
        format!("{why}. Install Rust by rustup and try again; README.md (\"Without rustup\") tells how to do with Debian's Rust")
    })
}

/// The folder of a tool, or nothing when the one on the PATH is right already.
fn cargo_tool(package: &str, program: &str, version: &str, options: &[&str]) -> Outcome<Option<PathBuf>> {
    let says = |path: &Path| ask(path, &["--version"]).is_some_and(|text| text.split(' ').nth(1) == Some(version));
    if says(Path::new(program)) {
        return Ok(None);
    }
    let place = cache()?.join(format!("{package}-{version}"));
    let bin = place.join("bin");
    // The folder is named by the version and was moved there whole; not every tool tells its version.
    if bin.join(program).is_file() {
        return Ok(Some(bin));
    }
    doing(&format!("building {package} {version} once, into {} (some minutes)", place.display()));
    // A fixed name: what was interrupted goes on where it was, and two at once wait for each other by cargo's own locks.
    let half = place.with_file_name(format!(".{package}-{version}-unfinished"));
    let mut cargo = Command::new("cargo");
    cargo.args(["install", package, "--version", &format!("={version}")]);
    cargo.arg("--root").arg(&half).arg("--target-dir").arg(half.join("build"));
    cargo.args(options);
    // They run for seconds, and are waited for by everybody who begins: quick to build is what counts.
    for (setting, quick) in [("LTO", "off"), ("CODEGEN_UNITS", "16"), ("OPT_LEVEL", "1"), ("DEBUG", "false")] {
        cargo.env(format!("CARGO_PROFILE_RELEASE_{setting}"), quick);
    }
    let built = run(&mut cargo).and_then(|()| {
        fs::remove_dir_all(&place).ok();
        fs::rename(&half, &place).map_err(about("move into place", &place))
    });
    // The other of two at once finds the tool whole and its own folder gone.
    if built.is_err() && !bin.join(program).is_file() {
        return built.map(|()| None);
    }
    fs::remove_dir_all(place.join("build")).ok();
    Ok(Some(bin))
}

fn cache() -> Outcome<PathBuf> {
    let base = env::var_os("XDG_CACHE_HOME").filter(|dir| !dir.is_empty()).map(PathBuf::from);
    let base = base.or_else(|| env::var_os("HOME").map(|home| Path::new(&home).join(".cache")));
    let tools =
        base.ok_or("neither XDG_CACHE_HOME nor HOME says where tools may be kept; set one")?.join("candlemark/tools");
    fs::create_dir_all(&tools).map_err(about("make", &tools))?;
    Ok(tools)
}

/// The tool must be of the very version that the app is linked with.
fn bindgen_version() -> Outcome<String> {
    let lock = root().join("Cargo.lock");
    let text = fs::read_to_string(&lock).map_err(about("read", &lock))?;
    let after = text.split("name = \"wasm-bindgen\"\nversion = \"").nth(1);
    let version = after.and_then(|rest| rest.split('"').next());
    version.map(str::to_owned).ok_or_else(|| "Cargo.lock names no wasm-bindgen; restore it from git".to_owned())
}

fn on_path(program: &str) -> bool {
    env::split_paths(&env::var_os("PATH").unwrap_or_default()).any(|dir| dir.join(program).is_file())
}

/// Installs the Debian packages whose programs are missing.
fn debian(programs: &[(&str, &str)]) -> Outcome {
    let missing: Vec<&str> =
        programs.iter().filter(|(program, _)| !on_path(program)).map(|(_, package)| *package).collect();
    if missing.is_empty() {
        return Ok(());
    }
    let names = missing.join(" ");
    if !on_path("apt-get") {
        return Err(format!(
            "these are missing and there is no apt-get here to install them with: {names}. Install them in this system's own way and try again"
        ));
    }
    doing(&format!("installing Debian packages: {names}"));
    let apt = |args: &[&str]| {
        let mut command = if ask("id", &["-u"]).as_deref() == Some("0") {
            Command::new("apt-get")
        } else {
            let mut sudo = Command::new("sudo");
            sudo.args(["DEBIAN_FRONTEND=noninteractive", "apt-get"]);
            sudo
        };
        run(command.env("DEBIAN_FRONTEND", "noninteractive").args(args))
    };
    apt(&["update", "-qq"])?;
    let mut install = vec!["install", "-y", "-qq", "--no-install-recommends"];
    install.extend(missing);
    apt(&install)
}

/// The Python on the PATH if it can import `modules`, else one in the cache, in the folder `name`, with these packages.
fn python(modules: &str, packages: &[(&str, &str)], name: &str) -> Outcome<PathBuf> {
    let imports = format!("import {modules}");
    let has = |python: &Path| ask(python, &["-c", &imports]).is_some();
    let own = PathBuf::from("python3");
    if has(&own) {
        return Ok(own);
    }
    let place = cache()?.join(name);
    let python = place.join("bin/python3");
    if has(&python) {
        return Ok(python);
    }
    debian(&[("python3", "python3")])?;
    if ask("python3", &["-c", "import ensurepip"]).is_none() {
        // A package without a program of its own, hence a name that no PATH has.
        debian(&[("python3-with-ensurepip", "python3-venv")])?;
    }
    let pinned: Vec<String> = packages.iter().map(|(package, version)| format!("{package}=={version}")).collect();
    doing(&format!("fetching {} for Python, into {}", pinned.join(", "), place.display()));
    // A virtual environment knows its own place and cannot be moved, so its last file says that it is whole:
    // `has` fails on a half one, which is then made anew.
    fs::remove_dir_all(&place).ok();
    run(Command::new("python3").args(["-m", "venv"]).arg(&place))?;
    let pip = run(Command::new(&python).args(["-m", "pip", "install", "--quiet"]).args(&pinned));
    if pip.is_err() {
        fs::remove_dir_all(&place).ok();
    }
    pip.map(|()| python)
}
