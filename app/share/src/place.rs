//! Where things lie in a store.
//!
//! ```text
//! candlemark-1/BOOK/KEY/hello.age                              whether the key fits
//! candlemark-1/BOOK/KEY/heads/DEV.age                          what a device says; the only object ever written over
//! candlemark-1/BOOK/KEY/lines/WRITER/OF.FROM-TO.SUM.age        lines FROM to TO of the device OF, put there by WRITER
//! candlemark-1/BOOK/KEY/photos/NAME.age, people/NAME.age       beside the lines, if the keeper wants them there
//! ```
//!
//! `KEY` tells the barn's keys apart: under a new one everything is there anew, and who has the old one finds nothing new.
//! Heads lie beside each other, so that one list tells which of them have changed: a device that has nothing to do asks once a
//! minute, however many devices there are. `SUM` is a keyed hash of the lines, not of what was sealed: sealing takes
//! randomness, and a flush that was cut off and done again has to come to the same name. A short plain hash would let the
//! store try out what a line may say.

use crate::key::Safe;
use crate::piece::{Piece, hex};
use journal::{DeviceId, Id};

/// What stands beside the heads of a key that is used no longer.
pub(crate) const MOVED: &str = "moved.age";

/// The folder of one book under one key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    folder: String,
}

impl Place {
    pub fn of(book: Id, safe: &dyn Safe) -> Place {
        let key = safe.name("key", b"");
        Place { folder: format!("candlemark-1/{book}/{}", hex(&key[..8])) }
    }

    /// The folder of everything, without a slash at its end.
    pub fn folder(&self) -> &str {
        &self.folder
    }

    pub fn hello(&self) -> String {
        format!("{}/hello.age", self.folder)
    }

    /// The folder of all heads, without a slash at its end.
    pub fn heads(&self) -> String {
        format!("{}/heads", self.folder)
    }

    pub fn head(&self, dev: DeviceId) -> String {
        format!("{}/heads/{dev}.age", self.folder)
    }

    /// Says that the barn has a new key, to those who look here still. Beside the heads, so that their list tells it.
    pub fn moved(&self) -> String {
        format!("{}/heads/{MOVED}", self.folder)
    }

    /// The device whose head is so called, the folder left out. Replicating programs leave files of other names.
    pub fn head_of(name: &str) -> Option<DeviceId> {
        name.strip_suffix(".age")?.parse().ok()
    }

    pub fn piece(&self, writer: DeviceId, piece: &Piece) -> String {
        format!("{}/lines/{writer}/{}", self.folder, piece.name())
    }
}
