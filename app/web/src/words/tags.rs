//! Tags that a phone reads by holding it near (NFC).

pub const TITLE: &str = "NFC tag";
pub const HOW: &str = "The tag holds the label's link: hold a phone to it and the record opens. It does not change when the label is printed again.";
pub const WRITE: &str = "Write a tag";
pub const HOLD: &str = "Hold the tag to the back of the phone.";
pub const WRITTEN: &str = "Tag written. Hold the phone to it once to try it.";
pub const STOP: &str = "Stop";
pub const REFUSED: &str =
    "The phone did not allow it: allow NFC for this site in the browser's settings, then write again.";
pub const OFF: &str = "NFC is off, or this phone has none: switch it on in the phone's settings, then write again.";
pub const MOVED: &str =
    "The tag was not written: hold it still until the phone says so. A locked or full tag cannot be written.";
