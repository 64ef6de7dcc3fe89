//! A folder on this computer: no request, but the steps of one. What replicates the folder is no concern of ours; it may
//! leave half a file or files of other names, which are not read.

use super::{Answer, Found, No, Verb};

/// What to do in the folder. Steps of a path hold letters, digits, dots and hyphens only, and none of them is `.` or `..`.
#[derive(Clone, Debug, PartialEq)]
pub enum Act {
    /// Folders on the way are made. Whole or not at all: written beside and moved, or by a stream that counts once closed.
    Write {
        steps: Vec<String>,
        bytes: Vec<u8>,
    },
    Read {
        steps: Vec<String>,
    },
    /// Names, and of each something that changes when it is written over (its time and size).
    Names {
        steps: Vec<String>,
    },
    Remove {
        steps: Vec<String>,
    },
}

/// How it went.
#[derive(Clone, Debug, PartialEq)]
pub enum Done {
    Written,
    Read(Vec<u8>),
    Names(Vec<Found>),
    Absent,
    /// May not be read or written: the browser asks again, or the folder is another user's.
    Forbidden,
    Full,
    /// The folder itself is gone: a disk that is not there.
    Away,
}

/// How a folder is asked.
#[derive(Clone, Copy, Debug)]
pub struct Folder;

impl Folder {
    /// None for a path that would leave the folder.
    pub fn act(verb: Verb) -> Option<Act> {
        Some(match verb {
            Verb::Put { path, bytes } => Act::Write { steps: steps(&path)?, bytes },
            Verb::Get { path } => Act::Read { steps: steps(&path)? },
            Verb::List { folder } => Act::Names { steps: steps(&folder)? },
            Verb::Delete { path } => Act::Remove { steps: steps(&path)? },
        })
    }

    pub fn answer(verb: &Verb, done: Done) -> Answer {
        match (verb, done) {
            (_, Done::Read(bytes)) => Answer::Got(bytes),
            (_, Done::Names(found)) => Answer::Listed(found),
            (_, Done::Written) | (Verb::Delete { .. }, Done::Absent) => Answer::Done,
            (Verb::List { .. }, Done::Absent) => Answer::Listed(Vec::new()),
            (_, Done::Absent) => Answer::Missing,
            (_, Done::Forbidden) => Answer::No(No::Access),
            (_, Done::Full) => Answer::No(No::Full),
            (_, Done::Away) => Answer::No(No::Network),
        }
    }
}

fn steps(path: &str) -> Option<Vec<String>> {
    let plain = |step: &str| {
        !step.trim_matches('.').is_empty()
            && step.bytes().all(|byte| byte.is_ascii_alphanumeric() || b".-_".contains(&byte))
    };
    let steps: Vec<String> = path.split('/').map(str::to_owned).collect();
    steps.iter().all(|step| plain(step)).then_some(steps)
}
