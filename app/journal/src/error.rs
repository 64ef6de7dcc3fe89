//! Why a line, a draft or a snapshot was not accepted. Every message is a sentence that says what to do.

use crate::id::Id;
use std::fmt;

/// Why a line is no entry of this journal. Nothing was changed by it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// More bytes than [`crate::MAX_LINE`].
    TooLong { bytes: usize },
    /// No JSON object, a name twice in one object, or nested too deep.
    NotJson { why: String },
    /// A part that must be there is not.
    Missing { part: &'static str },
    /// A part is of the wrong type, shape or size.
    Wrong { part: &'static str, expects: String },
    /// A form of entry this version does not read.
    Newer { v: i64 },
    /// An entry of somebody else's book.
    OtherBook { book: Id },
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refused::TooLong { bytes } => write!(
                f,
                "This entry is {bytes} bytes long; at most {} are read. The file is damaged or not one of ours: ask for it again.",
                crate::MAX_LINE
            ),
            Refused::NotJson { why } => {
                write!(f, "This entry cannot be read ({why}). The file is damaged: ask for it again.")
            }
            Refused::Missing { part } => {
                write!(f, "This entry has no “{part}”. The file is damaged or not one of ours: ask for it again.")
            }
            Refused::Wrong { part, expects } => write!(
                f,
                "The part “{part}” of this entry is not {expects}. The file is damaged or not one of ours: ask for it again."
            ),
            Refused::Newer { v } => {
                write!(f, "This entry was written in form {v} by a newer version. Update this app, then try again.")
            }
            Refused::OtherBook { book } => {
                write!(
                    f,
                    "This entry belongs to another book ({book}). Join the two books first if they are one barn's."
                )
            }
        }
    }
}

impl std::error::Error for Refused {}

/// Why a draft could not be sealed: a mistake of the program or of the device, not of the keeper. The tip is unchanged.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BadDraft {
    /// A number with a fraction, or beyond 64 bits; ours are whole, in small units.
    NotWhole { field: String },
    /// A text holds the mark that stands for an id of the same act, without being one ([`crate::own`]).
    StrayMark { field: String },
    /// The device has used up its numbers, or its clock is beyond the year 10889.
    Exhausted,
    /// The line as written would be refused by every reader.
    Unreadable(Refused),
}

impl fmt::Display for BadDraft {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            BadDraft::NotWhole { field } => {
                write!(f, "“{field}” is not a whole number. Enter it in a smaller unit, without a fraction.")
            }
            BadDraft::StrayMark { field } => {
                write!(f, "“{field}” holds a control character. Type it anew instead of pasting it.")
            }
            BadDraft::Exhausted => {
                write!(
                    f,
                    "This device cannot number or date another entry. Set its clock right, or start it as a new device."
                )
            }
            BadDraft::Unreadable(why) => write!(f, "This entry could not be saved as it is: {why}"),
        }
    }
}

impl std::error::Error for BadDraft {}

/// Why a snapshot cannot be used. It is only a shortcut: fold all lines instead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BadSnapshot {
    /// Written by a version that folds otherwise ([`crate::FOLD_VERSION`]).
    OtherFold,
    /// Damaged.
    Damaged { why: String },
}

impl fmt::Display for BadSnapshot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            BadSnapshot::OtherFold => {
                write!(f, "The shortcut was made by another version. Rebuild from the daybook; nothing is lost.")
            }
            BadSnapshot::Damaged { why } => {
                write!(f, "The shortcut is damaged ({why}). Rebuild from the daybook; nothing is lost.")
            }
        }
    }
}

impl std::error::Error for BadSnapshot {}
