//! Building the page with Trunk.

use crate::Outcome;
use crate::parts;
use crate::say::{about, doing, root, run};
use crate::tools;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command};

/// How the page is built.
#[derive(Clone, Copy, PartialEq)]
pub enum Kind {
    /// Small: what is hosted and what the browser tests drive.
    Shipped,
    /// Fast to build: for everyday work.
    Quick,
    /// The empty page that benchmarks are told against.
    Empty,
}

/// Builds the page and gives the folder it is in.
pub fn build(kind: Kind) -> Outcome<PathBuf> {
    let path = tools::for_building()?;
    let root = root();
    let (from, dist) = match kind {
        Kind::Shipped => (root.clone(), root.join("dist")),
        Kind::Quick => (root.clone(), root.join("target/quick-dist")),
        Kind::Empty => (root.join("tests/bench/empty"), root.join("target/empty-dist")),
    };
    let mut trunk = Command::new("trunk");
    trunk.current_dir(from).env("PATH", path).arg("build").arg("--dist").arg(&dist);
    // Trunk reads NO_COLOR as a flag that must say true or false; others use it as merely set.
    trunk.env_remove("NO_COLOR");
    match kind {
        Kind::Shipped => doing("building the page"),
        Kind::Quick => {
            doing("building the page, fast rather than small");
            trunk.args(["--cargo-profile", "quick"]).env(parts::PROFILE, "quick");
        }
        Kind::Empty => {
            doing("building the empty page");
            trunk.env("CARGO_TARGET_DIR", root.join("target/empty"));
        }
    }
    run(trunk.env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS", flags(&root)?))?;
    Ok(dist)
}

/// The page while it is built beside something else: its last step uses one core for minutes.
pub struct Ahead {
    building: Child,
    said: PathBuf,
}

impl Ahead {
    /// Begins it. What it says goes to a file until [`Ahead::done`].
    pub fn begin() -> Outcome<Self> {
        let target = root().join("target");
        fs::create_dir_all(&target).map_err(about("make", &target))?;
        let said = target.join("page-build.txt");
        doing(&format!("building the page beside the first tests; what it says goes to {}", said.display()));
        let file = fs::File::create(&said).map_err(about("write", &said))?;
        let both = file.try_clone().map_err(about("write", &said))?;
        let own = std::env::current_exe().map_err(|why| format!("this program cannot find itself: {why}"))?;
        let building = Command::new(own).arg("build").current_dir(root()).stdout(both).stderr(file).spawn();
        let building = building.map_err(|why| format!("could not start building the page: {why}"))?;
        Ok(Self { building, said })
    }

    /// Waits for it, and tells what it said.
    pub fn done(mut self) -> Outcome {
        let ended = self.building.wait().map_err(|why| format!("building the page was not heard of again: {why}"))?;
        eprint!("{}", fs::read_to_string(&self.said).map_err(about("read", &self.said))?);
        if ended.success() { Ok(()) } else { Err(format!("building the page failed ({ended})")) }
    }
}

/// What the compiler is told beyond `.cargo/config.toml`: no path of this machine goes into what is shipped. Only for
/// wasm: flags for all would build this program anew, under its own feet, when Trunk calls it for the last step.
fn flags(root: &Path) -> Outcome<String> {
    let home = ["CARGO_HOME", "HOME"].iter().find_map(|name| Some((*name, std::env::var_os(name)?)));
    let (name, home) = home.ok_or("neither CARGO_HOME nor HOME says where cargo keeps its sources; set one")?;
    let home = if name == "HOME" { Path::new(&home).join(".cargo") } else { PathBuf::from(home) };
    let sources = home.join("registry/src");
    run(Command::new("cargo").args(["fetch", "--quiet", "--locked"]).current_dir(root))?;
    let mut paths = vec![root.to_path_buf()];
    for entry in fs::read_dir(&sources).map_err(about("read", &sources))? {
        paths.push(entry.map_err(about("read", &sources))?.path());
    }
    // The flags are divided by blanks, so a path with one stays as it is.
    let paths = paths.iter().map(|path| path.display().to_string()).filter(|path| !path.contains(char::is_whitespace));
    let remaps = paths.map(|path| format!(" --remap-path-prefix={path}="));
    // Named again, in case these flags stand in place of those.
    Ok("--cfg erase_components".to_owned() + &remaps.collect::<String>())
}
