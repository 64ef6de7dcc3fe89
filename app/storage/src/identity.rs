//! Who writes on this device.

use journal::{DeviceId, Id, Identity, Keypair, Ref};
use serde::{Deserialize, Serialize};

/// This device's own identity in one book, kept beside the records. The secret never leaves the device.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Me {
    pub book: Id,
    pub dev: DeviceId,
    /// The person who is logging: a record id of kind `person`, or a name before there is one.
    pub by: String,
    pub secret: [u8; 32],
    /// The last act of the device this one goes on from.
    #[serde(default)]
    pub continues: Option<Ref>,
}

impl Me {
    /// A new writer in `book`. Both texts are random bytes.
    pub fn new(book: Id, by: &str, dev: [u8; 32], secret: [u8; 32]) -> Self {
        Self { book, dev: id_of(dev), by: by.to_owned(), secret, continues: None }
    }

    pub fn identity(&self) -> Identity {
        Identity {
            book: self.book,
            dev: self.dev,
            by: self.by.clone(),
            app: env!("CARGO_PKG_VERSION").to_owned(),
            key: Keypair::from_secret(&self.secret).public(),
        }
    }
}

/// An id out of random bytes.
pub(crate) fn id_of(random: [u8; 32]) -> Id {
    let [a, b, c, d, e, ..] = random;
    Id::mint([a, b, c, d, e])
}
