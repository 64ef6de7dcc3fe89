//! Asking a store: one value for what is wanted, one for what it answered, and three ways to say it.
//!
//! Of a store only what all of them truly have is asked for: to put an object, to get one, to list a folder. Where it lets
//! objects be deleted, those that were packed are. Nothing here sends: [`Talk`] gives requests and is told the answers.

mod folder;
mod http;
mod s3;
mod secret;
mod webdav;

pub use folder::{Act, Done, Folder};
pub use http::{Heard, Http, Method, Shop, Step, Talk};
pub use s3::Bucket;
pub use secret::Secret;
pub use webdav::WebFolder;

use serde::{Deserialize, Serialize};
use std::fmt;

/// What is asked of a store. Paths have no slash at either end; asking twice is as good as once.
#[derive(Clone, PartialEq)]
pub enum Verb {
    Put {
        path: String,
        bytes: Vec<u8>,
    },
    Get {
        path: String,
    },
    /// What lies directly in a folder.
    List {
        folder: String,
    },
    Delete {
        path: String,
    },
}

impl fmt::Debug for Verb {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Verb::Put { path, bytes } => write!(f, "put {path} ({} bytes)", bytes.len()),
            Verb::Get { path } => write!(f, "get {path}"),
            Verb::List { folder } => write!(f, "list {folder}"),
            Verb::Delete { path } => write!(f, "delete {path}"),
        }
    }
}

/// An object in a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Without its folder.
    pub name: String,
    /// Another one where the object was written over; none where the store does not tell.
    pub tag: Option<String>,
}

/// What a store answered.
#[derive(Clone, PartialEq)]
pub enum Answer {
    /// Put or deleted.
    Done,
    Got(Vec<u8>),
    Listed(Vec<Found>),
    /// There is no such object.
    Missing,
    /// Not put, since something is there already (304, 409, 412): to be fetched and compared.
    There,
    No(No),
}

impl fmt::Debug for Answer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Answer::Done => f.write_str("done"),
            Answer::Got(bytes) => write!(f, "got {} bytes", bytes.len()),
            Answer::Listed(found) => write!(f, "listed {}", found.len()),
            Answer::Missing => f.write_str("missing"),
            Answer::There => f.write_str("there already"),
            Answer::No(no) => write!(f, "{no:?}"),
        }
    }
}

/// Why a store does not do what is asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum No {
    /// There is no answer.
    Network,
    /// User, password or key are not the right ones, or may not do this.
    Access,
    Full,
    /// More is asked than it takes, in one piece or in a while; after so many seconds again, where it says so.
    Busy {
        again_s: Option<u32>,
    },
    /// This device's clock is too far off for signed requests.
    Clock,
    /// The folder is not there, and neither is the one it would lie in.
    NoFolder,
    /// Anything else: the status it answered with, 0 for an answer that cannot be read.
    Odd(u16),
}
