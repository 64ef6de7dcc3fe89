//! Why a bundle is not taken. Every message is a sentence or two that say what happened and what to do.

use crate::error::Refused;
use crate::id::{DeviceId, Id};
use std::fmt;

/// Why a file is no bundle, or not one that can be taken. Nothing was changed by it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BadBundle {
    /// Something else altogether.
    NotABundle,
    /// Locked with a passphrase: to be unlocked first.
    Locked,
    /// Cut off, or its bytes are not what they were when it was made.
    Damaged { what: String },
    /// More than is ever read; `what` in words, `most` its cap.
    TooMuch { what: &'static str, most: u64 },
    /// A file in it that no bundle has.
    Stranger { name: String },
    /// One name for two files.
    Twice,
    /// A form of bundle this version does not read.
    Newer { version: i64 },
    /// `bundle.json` is missing or not as described.
    Manifest { why: String },
    /// A line that is no entry.
    Line { file: String, line: usize, why: Refused },
    /// A line in a file where it does not belong.
    Misplaced { file: String, line: usize },
    /// A line that does not follow the one before it.
    Broken { dev: DeviceId, seq: u32 },
    /// The lines do not add up to what the bundle says.
    Sum { what: &'static str },
    /// A picture that is none, or one of absurd size.
    Photo { name: String, why: &'static str },
    /// Details of a person that are not the ones the line was made with.
    Person { name: String },
    /// Records of somebody else's book.
    OtherBook { book: Id },
}

impl fmt::Display for BadBundle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const AGAIN: &str = "Ask for the bundle again. Nothing was changed here.";
        match self {
            BadBundle::NotABundle => {
                write!(
                    f,
                    "This file is not a bundle. Choose the file that “Make a bundle” made. Nothing was changed here."
                )
            }
            BadBundle::Locked => write!(f, "This bundle is locked: type its passphrase."),
            BadBundle::Damaged { what } => {
                write!(f, "The bundle is damaged or was cut off on the way ({}). {AGAIN}", plain(what))
            }
            BadBundle::TooMuch { what, most } => {
                write!(
                    f,
                    "The bundle holds more than is ever read ({what}: at most {most}). It is not one of ours. {AGAIN}"
                )
            }
            BadBundle::Stranger { name } => {
                write!(f, "The bundle holds a file that does not belong in it ({}). {AGAIN}", plain(name))
            }
            BadBundle::Twice => write!(f, "The bundle holds two files of one name. {AGAIN}"),
            BadBundle::Newer { version } => write!(
                f,
                "The bundle was made by a newer version of this app (form {version}). Update this app, then open it again. Nothing was changed here."
            ),
            BadBundle::Manifest { why } => {
                write!(f, "What the bundle says about itself cannot be read ({}). {AGAIN}", plain(why))
            }
            BadBundle::Line { file, line, why } => write!(f, "{file}, line {line}: {why} Nothing was changed here."),
            BadBundle::Misplaced { file, line } => {
                write!(f, "{file}, line {line} stands where it does not belong. {AGAIN}")
            }
            BadBundle::Broken { dev, seq } => {
                write!(f, "Act {seq} of device {dev} does not follow the one before it: something was altered. {AGAIN}")
            }
            BadBundle::Sum { what } => {
                write!(f, "The {what} is not what the bundle says: something was altered. {AGAIN}")
            }
            BadBundle::Photo { name, why } => write!(f, "The picture {name} {why}. {AGAIN}"),
            BadBundle::Person { name } => {
                write!(f, "The details in {name} are not the ones they were made with. {AGAIN}")
            }
            BadBundle::OtherBook { book } => write!(
                f,
                "The bundle holds records of another book ({book}). Join the two only if both are this barn's. Nothing was changed here."
            ),
        }
    }
}

impl std::error::Error for BadBundle {}

/// Text out of a bundle, short and in one line, since it goes on screen.
fn plain(text: &str) -> String {
    text.chars().take(120).map(|c| if c.is_control() { ' ' } else { c }).collect()
}
