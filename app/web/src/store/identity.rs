//! Who writes on this device.

use crate::clock;
use journal::{DeviceId, Id, Identity, Keypair, Named};
use serde::{Deserialize, Serialize};

/// This device's own identity in one book, kept beside the records. The secret never leaves the device.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Me {
    pub book: Id,
    pub dev: DeviceId,
    /// The person who is logging: a record id of kind `person`, or a name before there is one.
    pub by: String,
    pub(super) secret: [u8; 32],
    /// The last act of the device this one goes on from; as an older version kept it, a short reference.
    #[serde(default)]
    pub continues: Option<Named>,
}

impl Me {
    /// A new writer in `book`, or in a new book.
    pub fn new(book: Option<Id>, by: &str) -> Self {
        Self {
            book: book.unwrap_or_else(mint),
            dev: mint(),
            by: by.to_owned(),
            secret: clock::random(),
            continues: None,
        }
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

/// A new random id.
pub fn mint() -> Id {
    Id::mint(clock::random())
}
