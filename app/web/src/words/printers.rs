//! Label printers at this device's cable.

pub const TITLE: &str = "Label printer at this device";
pub const HOW: &str =
    "The printer must have this label in it and be set to its dots per inch. Its handbook names its language.";
pub const LANGUAGE: &str = "Its language";
pub const BY_USB: &str = "Print over USB";
pub const BY_SERIAL: &str = "Print over a serial port";
pub const REFUSED: &str =
    "The browser did not allow it: allow the printer for this site in the browser's settings, then print again.";
pub const NOT_OPENED: &str = "The printer cannot be used: close other programs that use it, and where its maker's driver holds it, try the other way.";
pub const GONE: &str = "The printer is gone: look at its cable and its switch, then print again.";
pub const STALLED: &str =
    "The printer takes nothing more: look for paper and whether its lid is shut, then print again.";

/// So many labels went before it stopped, and why it did.
pub fn only(sent: usize, of: usize, why: &str) -> String {
    format!("{sent} of {of} labels went to the printer. {why}")
}

pub const STOPPED: &str = "Stopped.";
