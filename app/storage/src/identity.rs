//! Who writes on this device.

use journal::{DeviceId, Id, Identity, Keypair, Ref};
use serde::{Deserialize, Deserializer, Serialize};

/// This device's own identity in one book, kept beside the records. The secret never leaves the device.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Me {
    pub book: Id,
    pub dev: DeviceId,
    /// The person who is logging: a record id of kind `person`, or a name before there is one.
    pub by: String,
    pub secret: [u8; 32],
    /// The last act of the device this one goes on from.
    #[serde(default, deserialize_with = "whole_or_none")]
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

/// Identities of before had a short reference here, which is of use to nobody.
fn whole_or_none<'de, D: Deserializer<'de>>(reader: D) -> Result<Option<Ref>, D::Error> {
    Ok(Option::<String>::deserialize(reader)?.and_then(|text| text.parse().ok()))
}

/// An id out of random bytes.
pub(crate) fn id_of(random: [u8; 32]) -> Id {
    let [a, b, c, d, e, ..] = random;
    Id::mint([a, b, c, d, e])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_identity_of_before_is_read() {
        let me = Me::new(id_of([1; 32]), "Ines Harrow", [2; 32], [3; 32]);
        let text = serde_json::to_string(&me).unwrap_or_default();
        assert_eq!(serde_json::from_str::<Me>(&text).ok(), Some(me.clone()));
        let old = text.replace("\"continues\":null", "\"continues\":\"7K3QX2M9.12.0a1b2c3d\"");
        assert_ne!(old, text);
        assert_eq!(serde_json::from_str::<Me>(&old).ok(), Some(me));
    }
}
