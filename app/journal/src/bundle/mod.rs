//! Bundles: files that carry records from one device to another.
//!
//! A bundle is a ZIP file: `bundle.json` (the [`Manifest`]), `entries/DEV.FROM-TO.ndjson` (lines as they are,
//! one device a file, in order of number, then hash), `people/DIGEST.json` and `photos/SHA256.jpg` (content that
//! lines name but do not hold) and `README.txt` for whoever opens it by hand. `public/format.html` tells strangers
//! how to read one.
//!
//! Guarantees:
//! - [`read`] gives a whole bundle or a sentence, and never more memory than its caps allow, whatever is fed to it.
//! - What [`write`] writes, [`read`] reads, line for line.
//! - [`Arrivals::of`] changes nothing; what it says is what taking the bundle in will do.
//! - Details that no line names, or that somebody erased for good, are neither to be stored nor to leave
//!   ([`Detached::may_keep`]).
//! - A line is called vouched for only when its device signed it, by the key first known for that device.
//!
//! Absent by design: storage, the clock, passphrases, wording (messages about damage excepted, since they say what
//! to do), deciding anything for the keeper.

mod arrivals;
mod detached;
mod error;
mod files;
mod jpeg;
mod ledger;
mod manifest;
mod read;
mod write;

pub use arrivals::{Arrivals, Doing, Unvouched};
pub use detached::{DETAILS_ERASED, Detached};
pub use error::BadBundle;
pub use files::Person;
pub use ledger::{Heads, Ledger};
pub use manifest::{BUNDLE_VERSION, Device, FORMAT, Manifest, Signed};
pub use read::{Bundle, MAX_BUNDLE, MAX_FILES, MAX_INFLATED, MAX_LINES, MAX_PERSON, MAX_PHOTO, check_photo, read};
pub use write::{Contents, pack_files, write};
