//! Who writes on this device.

use crate::disk::{DeviceKey, Store, Trouble, Tx, Value};
use crate::layout::key_of;
use crate::tab::Tab;
use journal::{ChainHead, DeviceId, Id, Identity, Keypair, PublicKey, Ref};
use serde::Serialize;

/// This device's own identity in one book, kept beside the records. What signs never leaves the device.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Me {
    pub book: Id,
    pub dev: DeviceId,
    /// The person who is logging: a record id of kind `person`, or a name before there is one.
    pub by: String,
    /// Signs, on a device that keeps no keys that give their secret to nobody, and in identities of before. A device's
    /// key stands in its first entry, so it never changes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub secret: Option<[u8; 32]>,
    /// The public half of a key that the device keeps ([`key_of`]).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub key: Option<PublicKey>,
    /// The last act of the device this one goes on from.
    pub continues: Option<Ref>,
}

impl Me {
    /// As it is kept, read by hand: every start does, and what is derived weighs more.
    pub(crate) fn of(parts: &serde_json::Value) -> Option<Me> {
        let text = |part: &str| parts.get(part)?.as_str();
        let bytes = |all: &Vec<serde_json::Value>| {
            let bytes: Option<Vec<u8>> = all.iter().map(|n| u8::try_from(n.as_u64()?).ok()).collect();
            bytes?.try_into().ok()
        };
        let there = |part: &str| parts.get(part).filter(|value| !value.is_null());
        Some(Me {
            book: text("book")?.parse().ok()?,
            dev: text("dev")?.parse().ok()?,
            by: text("by")?.to_owned(),
            secret: match there("secret") {
                Some(secret) => Some(bytes(secret.as_array()?)?),
                None => None,
            },
            key: match there("key") {
                Some(key) => Some(key.as_str()?.parse().ok()?),
                None => None,
            },
            // Identities of before had a short reference here, which is of use to nobody.
            continues: text("continues").and_then(|text| text.parse().ok()),
        })
    }

    /// What stands in each entry of this device.
    ///
    /// # Errors
    /// [`Trouble::Damaged`] where its key is not there.
    pub fn identity(&self) -> Result<Identity, Trouble> {
        let own = || self.secret.map(|secret| Keypair::from_secret(&secret).public());
        Ok(Identity {
            book: self.book,
            dev: self.dev,
            by: self.by.clone(),
            app: env!("CARGO_PKG_VERSION").to_owned(),
            key: self.key.or_else(own).ok_or_else(no_key)?,
        })
    }
}

pub(crate) fn no_key() -> Trouble {
    Trouble::Damaged("the key of this device".to_owned())
}

/// What signs for this device.
#[derive(Clone, Debug)]
pub enum Signer {
    Secret([u8; 32]),
    /// A key that the device keeps ([`DeviceKey::private`]).
    Kept(Value),
}

/// The end of this device's chain, and what signs it.
#[derive(Clone, Debug)]
pub struct Unsigned {
    pub head: ChainHead,
    pub signer: Signer,
}

/// What a new identity is made of; made before the transaction that needs it, since a key takes its time.
pub(crate) struct Fresh {
    dev: [u8; 32],
    secret: [u8; 32],
    key: Option<DeviceKey>,
}

impl Tab {
    /// For an identity that is likely to be made; where it is not, `likely` spares the making of a key.
    pub(crate) async fn fresh(&self, likely: bool) -> Fresh {
        let (dev, secret) = (self.disk.random(), self.disk.random());
        let key = if likely { self.disk.device_key().await } else { None };
        Fresh { dev, secret, key }
    }
}

impl Fresh {
    /// A new writer in `book`. Its key, where the device has one for it, is stored with it.
    pub fn writer(&self, tx: &dyn Tx, book: Id, by: &str) -> Me {
        let dev = id_of(self.dev);
        let mut me = Me { book, dev, by: by.to_owned(), secret: None, key: None, continues: None };
        match &self.key {
            // Some browsers make such keys and keep none, in private windows.
            Some(key) if tx.put(Store::Meta, &key_of(dev), key.private.clone()).is_ok() => me.key = Some(key.public),
            _ => me.secret = Some(self.secret),
        }
        me
    }
}

/// An id out of random bytes.
pub(crate) fn id_of(random: [u8; 32]) -> Id {
    let [a, b, c, d, e, ..] = random;
    Id::mint([a, b, c, d, e])
}

#[cfg(test)]
mod tests {
    use super::*;

    use crate::layout::Kept;
    use crate::sim::Alone;
    use journal::{Draft, Hash, Signs};
    use std::rc::Rc;

    const OLD: &str = r#"{"book":"7K3QX2M9","dev":"0CSG7R5W","by":"Ines Harrow","secret":[3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3,3],"continues":null}"#;

    #[test]
    fn an_identity_of_before_is_read_and_keeps_its_key() {
        let me = <Me as Kept>::read(OLD).expect("read");
        assert_eq!(me.identity().map(|identity| identity.key), Ok(Keypair::from_secret(&[3; 32]).public()));
        assert_eq!(serde_json::to_string(&me).as_deref().ok(), Some(OLD), "and written as it was");
        let older = OLD.replace("\"continues\":null", "\"continues\":\"7K3QX2M9.12.0a1b2c3d\"");
        assert_ne!(older, OLD);
        assert_eq!(<Me as Kept>::read(&older), Some(me));
        let none = OLD.replace("secret", "other");
        let none = <Me as Kept>::read(&none).expect("read");
        assert_eq!(none.identity(), Err(no_key()));
    }

    /// What the simulated device gives for a key is its secret.
    fn signed(unsigned: &Unsigned) -> (ChainHead, journal::Signature) {
        let secret = match &unsigned.signer {
            Signer::Secret(secret) => *secret,
            Signer::Kept(Value::Other(any)) => *any.downcast_ref::<[u8; 32]>().expect("a secret"),
            Signer::Kept(other) => panic!("{other:?}"),
        };
        (unsigned.head, Keypair::from_secret(&secret).signature(&unsigned.head).expect("signed"))
    }

    #[test]
    fn the_end_of_the_chain_is_signed_by_the_key_of_the_first_entry() {
        for keeps_keys in [false, true] {
            let alone = Alone::new();
            alone.disk.device.borrow_mut().keeps_keys = keeps_keys;
            let tab = Tab::new(alone.disk.clone(), "keeper");
            for _ in 0..3 {
                let draft = Draft { act: "Act".into(), ..Draft::default() };
                alone.wait(tab.append(draft)).expect("saved");
            }
            let (all, unsigned) = alone.wait(tab.everything_to_sign()).expect("read");
            let me = all.me.expect("a writer");
            assert_eq!(me.secret.is_none(), keeps_keys);
            let last = all.lines.lines().last().expect("a line");
            let (head, signature) = signed(&unsigned.expect("a head"));
            assert_eq!(head, ChainHead { book: me.book, dev: me.dev, seq: 3, hash: Hash::of(last.as_bytes()) });
            let first = all.lines.lines().next().expect("a line");
            let key = journal::Entry::read(first).expect("an entry").key.expect("its key");
            assert!(key.verifies(&head, &signature));
        }
    }

    #[test]
    fn a_device_that_lost_its_key_goes_on_under_a_new_name() {
        let alone = Alone::new();
        alone.disk.device.borrow_mut().keeps_keys = true;
        let tab = Rc::new(Tab::new(alone.disk.clone(), "keeper"));
        alone.wait(tab.append(Draft { act: "Act".into(), ..Draft::default() })).expect("saved");
        let before = tab.device().expect("a writer");
        alone.wait(tab.drop_beside(Store::Meta, &[key_of(before)])).expect("dropped");
        let (all, unsigned) = alone.wait(tab.everything_to_sign()).expect("mended");
        assert_eq!(all.lines.lines().count(), 1);
        assert_ne!(tab.device(), Some(before));
        assert!(unsigned.is_none(), "nothing of its own to sign yet");
        alone.wait(tab.append(Draft { act: "Act".into(), ..Draft::default() })).expect("saved");
        let (_, unsigned) = alone.wait(tab.everything_to_sign()).expect("read");
        assert_eq!(unsigned.map(|unsigned| unsigned.head.seq), Some(1));
    }
}
