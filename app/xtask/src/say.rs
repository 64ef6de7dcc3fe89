//! What the person at the terminal is told, and running other programs.

use crate::Outcome;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The folder that holds the workspace's Cargo.toml.
pub fn root() -> PathBuf {
    // Asked when it runs, not when it was compiled: two clones may share one target folder.
    let here =
        std::env::var_os("CARGO_MANIFEST_DIR").map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")), PathBuf::from);
    here.ancestors().nth(2).unwrap_or(&here).to_path_buf()
}

/// One line about something that is about to happen.
pub fn doing(what: &str) {
    eprintln!("==> {what}");
}

/// One line about something that is finished.
pub fn done(what: &str) {
    eprintln!("==> done: {what}");
}

/// The command as one would type it, for messages.
pub fn typed(command: &Command) -> String {
    let words = std::iter::once(command.get_program()).chain(command.get_args());
    words.map(|word| word.to_string_lossy().into_owned()).collect::<Vec<_>>().join(" ")
}

/// Runs it with this terminal; an error when it cannot start or fails.
pub fn run(command: &mut Command) -> Outcome {
    let status = command.status().map_err(|why| format!("could not start `{}`: {why}", typed(command)))?;
    if status.success() { Ok(()) } else { Err(format!("`{}` failed ({status})", typed(command))) }
}

/// Runs it and gives what it printed; `None` when it cannot start or fails.
pub fn ask(program: impl AsRef<std::ffi::OsStr>, args: &[&str]) -> Option<String> {
    let output = Command::new(program).args(args).output().ok()?;
    output.status.success().then(|| String::from_utf8_lossy(&output.stdout).trim().to_owned())
}

/// `what` went wrong with `path`, as a sentence.
pub fn about(what: &'static str, path: &Path) -> impl FnOnce(std::io::Error) -> String {
    let path = path.display().to_string();
    move |why| format!("could not {what} {path}: {why}")
}
