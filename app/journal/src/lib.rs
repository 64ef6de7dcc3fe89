//! The journal: what was done, by whom, on which device; and the state all of that adds up to.
//!
//! An [`Entry`] is one act by one person, and *is* its line of JSON: the bytes are stored, hashed and passed on
//! as they came. [`seal`] writes lines, [`Fold`] adds them up to [`Record`]s of flat fields.
//!
//! Guarantees:
//! - The state depends on the *set* of lines taken, not on their order, repetition or split; [`Fold::digest`]
//!   is the same wherever the state is.
//! - No write is lost silently: what was written without knowing of each other stands side by side as a
//!   [`Clash`] until somebody settles it.
//! - A reference is exact. Lines of form 1, whose references are short, are read for ever.
//! - Kinds, fields, acts and parts of a newer version are kept and folded.
//! - No line, however hostile, makes it panic or changes anything when it is refused.
//!
//! Absent by design: any word of the trade, the clock and randomness (both are arguments), files and browser,
//! the lines themselves (storage keeps those; the fold keeps what it needs to know them again), deleting.

pub mod bundle;
mod digest;
mod entry;
mod error;
mod fold;
mod id;
mod json;
mod keys;
mod letters;
mod seal;
mod snapshot;
mod stamp;
mod undo;

pub use digest::{Digest, Digesting};
pub use entry::{ENTRY_VERSION, Entry, MAX_CRIT, MAX_FIELDS, MAX_LINE, MAX_NAME, MAX_OVER, MAX_SETS, Set};
pub use error::{BadDraft, BadSnapshot, Refused};
pub use fold::{Chain, Clash, Fold, Fork, Head, Key, OddClock, Record, Taken, WITHDRAWN};
pub use id::{BadText, DeviceId, Hash, Id, MAX_SEQ, Named, Ref, ShortRef};
pub use json::MAX_DEPTH;
pub use keys::{ChainHead, Keypair, PublicKey, Signature, SignedHead, Signs};
pub use seal::{Draft, DraftId, DraftSet, Identity, Sealed, Tip, Wall, own, seal};
pub use snapshot::FOLD_VERSION;
pub use stamp::{AHEAD_MS, MAX_MS, Stamp};
pub use undo::{Skipped, UndoPlan, Why, deed};
