//! The barn's key: opens and closes what lies in a store, and names it so that only who has the key can tell what is what.

use crate::error::Unfit;
use hmac::{Hmac, Mac};
use lock::StaysLocked;
use lock::keys::{Keys, open_bytes, recipient_of, seal_bytes};
use sha2::{Digest, Sha256};
use std::fmt;

/// Opens and closes. The barn's key does; a simulation may do it at less expense.
pub trait Safe {
    /// # Errors
    /// What the machine says when it gives no randomness.
    fn close(&self, plain: &[u8]) -> Result<Vec<u8>, String>;
    /// # Errors
    /// [`Unfit::Locked`] and [`Unfit::Harmed`].
    fn open(&self, sealed: &[u8]) -> Result<Vec<u8>, Unfit>;
    /// A keyed hash: the same for the same text, and of no meaning without the key.
    fn name(&self, purpose: &str, text: &[u8]) -> [u8; 16];
}

/// A device of the barn has it, and nobody else: a key pair of the age format, so that any program of that format opens
/// what it closed.
#[derive(Clone)]
pub struct BarnKey {
    secret: String,
    recipient: String,
    naming: [u8; 32],
}

/// The longest head of an age file that is looked at. Each recipient in it costs a step on the curve; ours have one.
const MOST_HEADER: usize = 4096;

impl BarnKey {
    /// By the machine's randomness.
    pub fn fresh() -> BarnKey {
        let Keys { recipient, secret } = Keys::fresh();
        BarnKey::with(secret, recipient)
    }

    /// From what a device keeps and a code shows: `AGE-SECRET-KEY-1…`. None for anything else.
    pub fn read(secret: &str) -> Option<BarnKey> {
        let secret = secret.trim().to_owned();
        recipient_of(&secret).map(|recipient| BarnKey::with(secret, recipient))
    }

    fn with(secret: String, recipient: String) -> BarnKey {
        let naming = Sha256::new().chain_update(b"candlemark-1 names\n").chain_update(secret.as_bytes());
        BarnKey { recipient, naming: naming.finalize().into(), secret }
    }

    /// To be kept on the device and shown to one that joins, nowhere else.
    pub fn secret(&self) -> &str {
        &self.secret
    }
}

/// Says which key it is, not the key.
impl fmt::Debug for BarnKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "BarnKey({})", self.recipient)
    }
}

impl Safe for BarnKey {
    fn close(&self, plain: &[u8]) -> Result<Vec<u8>, String> {
        seal_bytes(plain, &self.recipient)
    }

    fn open(&self, sealed: &[u8]) -> Result<Vec<u8>, Unfit> {
        let header = &sealed[..sealed.len().min(MOST_HEADER)];
        if !header.windows(5).any(|bytes| bytes == b"\n--- ") {
            return Err(Unfit::Harmed);
        }
        open_bytes(sealed, &self.secret).map_err(|why| match why {
            StaysLocked::NoPassphrase => Unfit::Locked,
            _ => Unfit::Harmed,
        })
    }

    fn name(&self, purpose: &str, text: &[u8]) -> [u8; 16] {
        // Of SHA-256, whatever the key's length: the only error is not for this hash.
        let Ok(mut mac) = Hmac::<Sha256>::new_from_slice(&self.naming) else { return [0; 16] };
        mac.update(purpose.as_bytes());
        mac.update(b"\n");
        mac.update(text);
        let whole: [u8; 32] = mac.finalize().into_bytes().into();
        std::array::from_fn(|n| whole[n])
    }
}
