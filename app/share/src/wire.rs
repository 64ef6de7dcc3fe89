//! What the page and the worker that shares say to each other, each message one JSON text. The page has the records and
//! the device's key; the worker has the barn's key, the store and the network.

use crate::beside::{Beside, Carried, Wanted};
use crate::error::{Notice, Unfit};
use crate::machine::{Held, Reply, Setup, Status, Welcome};
use crate::store::{Answer, Bucket, No, Secret, Shop, Verb, WebFolder};
use journal::bundle::Signed;
use journal::{DeviceId, Hash, Id, PublicKey, Ref, Signature};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fmt;

/// Where the store is, and what opens it; its names are short, since they stand in a code. Kept on the device and shown to one that joins; in no line, bundle or log.
#[derive(Clone, PartialEq, Serialize, Deserialize)]
pub enum StoreAt {
    /// A web folder (WebDAV). Without a user it is open to everybody who reaches it.
    #[serde(rename = "w")]
    Web {
        #[serde(rename = "a")]
        address: String,
        #[serde(rename = "u")]
        user: String,
        #[serde(rename = "p")]
        password: String,
    },
    /// A bucket of an object store; `address` is the server's.
    #[serde(rename = "b")]
    Bucket {
        #[serde(rename = "a")]
        address: String,
        #[serde(rename = "r")]
        region: String,
        #[serde(rename = "b")]
        bucket: String,
        #[serde(rename = "k")]
        key: String,
        #[serde(rename = "s")]
        secret: String,
    },
    /// A folder on this computer, which the browser knows by a handle.
    #[serde(rename = "f")]
    Folder {
        #[serde(rename = "n")]
        name: String,
    },
}

/// Says where, and nothing that gives access.
impl fmt::Debug for StoreAt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            StoreAt::Web { .. } => "a web folder",
            StoreAt::Bucket { .. } => "a bucket",
            StoreAt::Folder { .. } => "a folder",
        })
    }
}

impl StoreAt {
    /// How it is asked; none for a folder, and for what makes no address of a web server: an invitation may hold anything.
    pub fn shop(&self) -> Option<Shop> {
        let (StoreAt::Web { address, .. } | StoreAt::Bucket { address, .. }) = self else { return None };
        let scheme = url::Url::parse(address).ok()?.scheme().to_owned();
        if !["http", "https"].contains(&scheme.as_str()) {
            return None;
        }
        match self {
            StoreAt::Web { address, user, password } => {
                Some(Shop::Web(WebFolder::new(address, user, &Secret::new(password.as_str()))))
            }
            StoreAt::Bucket { address, region, bucket, key, secret } => {
                Some(Shop::Bucket(Bucket::new(address, region, bucket, key, &Secret::new(secret.as_str()))?))
            }
            StoreAt::Folder { .. } => None,
        }
    }
}

/// From the page. A folder's handle comes beside [`ToWorker::Start`] and [`ToWorker::Try`].
#[derive(Debug, Serialize, Deserialize)]
pub enum ToWorker {
    /// A fresh barn key is wanted.
    MakeKey,
    /// Whether the store does what is asked of it.
    Try(StoreAt),
    Start(Box<Start>),
    Changed(Held),
    Network(bool),
    ByHand,
    Renamed {
        dev: DeviceId,
        key: PublicKey,
    },
    Answer {
        id: u64,
        reply: PageReply,
    },
    /// The barn was given a new key: whoever looks by the old one is to be told, by a worker that does nothing else.
    SayMoved {
        store: StoreAt,
        book: Id,
        /// The old key.
        secret: String,
    },
    /// Which spare copies there are.
    Spares,
    /// A spare copy of a day; the bundle comes beside it.
    PutSpare {
        day: String,
    },
    GetSpare {
        day: String,
    },
    DropSpares {
        days: Vec<String>,
    },
    /// What this device has and lacks of pictures, or of people's details: the two are made level with the store.
    Level(Wanted),
    /// What [`ToPage::Give`] asked for; it comes beside this, unless it is not here any more.
    Given,
    /// What [`ToPage::Take`] brought is stored, or not.
    Taken(bool),
}

#[derive(Serialize, Deserialize)]
pub struct Start {
    pub setup: Setup,
    pub store: StoreAt,
    /// The barn's key.
    pub secret: String,
    pub held: Held,
    pub kept: Option<String>,
}

/// What opens the store and its objects is not shown.
impl fmt::Debug for Start {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Start").field("setup", &self.setup).field("store", &self.store).finish_non_exhaustive()
    }
}

#[derive(Debug, Serialize, Deserialize)]
pub enum PageReply {
    Lines(Option<Vec<String>>),
    Holds(Vec<bool>),
    Signed(Vec<Signature>),
    TakenIn(Held),
    Refused(String),
    Nothing,
}

impl From<PageReply> for Reply {
    fn from(reply: PageReply) -> Reply {
        match reply {
            PageReply::Lines(lines) => Reply::Lines(lines),
            PageReply::Holds(holds) => Reply::Holds(holds),
            PageReply::Signed(signatures) => Reply::Signed(signatures),
            PageReply::TakenIn(held) => Reply::TakenIn(held),
            PageReply::Refused(why) => Reply::Refused(why),
            PageReply::Nothing => Reply::Nothing,
        }
    }
}

/// From the worker.
#[derive(Debug, Serialize, Deserialize)]
pub enum ToPage {
    Key(String),
    Tried(Vec<Tried>),
    /// The key or the store's address is none.
    Unusable,
    Lines {
        id: u64,
        to: Ref,
        after: Vec<Ref>,
        most: usize,
    },
    Holds {
        id: u64,
        acts: Vec<Ref>,
    },
    Sign {
        id: u64,
        texts: Vec<String>,
    },
    /// Lines of others, and ends that they signed; the signatures are right for the keys in their first lines.
    TakeIn {
        id: u64,
        lines: Vec<String>,
        signed: BTreeMap<DeviceId, Signed>,
    },
    NewName {
        id: u64,
    },
    Keep(String),
    Told(Told),
    /// The days of which there are spare copies; none where the store did not say.
    Spares(Option<Vec<String>>),
    /// Whether a copy is there now.
    SparePut(bool),
    SaidMoved,
    /// A copy; the bundle comes beside it, where it could be had and opened.
    Spare {
        day: String,
    },
    /// A picture, or somebody's details, is wanted.
    Give {
        of: Beside,
        name: Hash,
    },
    /// One has come, beside this; it is what its name says.
    Take {
        of: Beside,
        name: Hash,
    },
    /// What came of [`ToWorker::Level`].
    Levelled {
        of: Beside,
        carried: Carried,
    },
}

/// How things stand.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Told {
    pub status: Status,
    pub welcome: Welcome,
    pub notices: Vec<Seen>,
    /// When each other device was last there ([`crate::Machine::heard`]).
    pub heard: BTreeMap<DeviceId, String>,
}

/// A notice, as the page tells it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Seen {
    WentBack(DeviceId),
    Silent(DeviceId),
    /// Something that is listed is not there, or not fit to be read; why, where that is known.
    Withheld(Option<String>),
    /// Lines of a book that is not this barn's on this device.
    OtherBook(Id),
    Copied,
    Moved,
    Refused(String),
    Unfit(String),
}

impl From<&Notice> for Seen {
    fn from(notice: &Notice) -> Seen {
        match notice {
            Notice::WentBack { dev } => Seen::WentBack(*dev),
            Notice::Silent { dev } => Seen::Silent(*dev),
            Notice::Withheld { why: Some(Unfit::OtherBook { book }), .. } => Seen::OtherBook(*book),
            Notice::Withheld { why, .. } => Seen::Withheld(why.as_ref().map(ToString::to_string)),
            Notice::Copied => Seen::Copied,
            Notice::Moved => Seen::Moved,
            Notice::Refused { why, .. } => Seen::Refused(why.clone()),
            Notice::Unfit { why, .. } => Seen::Unfit(why.to_string()),
        }
    }
}

/// A step of trying a store.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Trial {
    List,
    Put,
    Get,
    Delete,
}

/// How it went.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tried {
    pub step: Trial,
    pub went: Went,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Went {
    Well,
    /// It gave another answer than was put there.
    Wrong,
    No(No),
    /// A step before it failed.
    NotTried,
}

impl Trial {
    /// In this order. Without the last one a store only grows, which is no fault.
    pub const ALL: [Trial; 4] = [Trial::List, Trial::Put, Trial::Get, Trial::Delete];

    /// What is asked of the store.
    pub fn verb(self, path: &str, put: &[u8]) -> Verb {
        let path = path.to_owned();
        match self {
            Trial::List => Verb::List { folder: "candlemark-1/trial".to_owned() },
            Trial::Put => Verb::Put { path, bytes: put.to_vec() },
            Trial::Get => Verb::Get { path },
            Trial::Delete => Verb::Delete { path },
        }
    }

    /// What an answer to this step means; `put` is what was put there.
    pub fn judge(self, answer: &Answer, put: &[u8]) -> Went {
        match (self, answer) {
            (_, Answer::No(no)) => Went::No(*no),
            (Trial::List, Answer::Listed(_)) => Went::Well,
            (Trial::Put, Answer::Done | Answer::There) | (Trial::Delete, Answer::Done | Answer::Missing) => Went::Well,
            (Trial::Get, Answer::Got(bytes)) if bytes == put => Went::Well,
            (_, _) => Went::Wrong,
        }
    }
}
