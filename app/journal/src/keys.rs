//! Signing the head of a chain, so that a stranger cannot write under a known device's name unnoticed.
//!
//! A device's first entry carries its [`PublicKey`]; one signature over the last line's hash vouches for the
//! whole chain, since each line holds the hash of the one before. Ed25519 (RFC 8032), strict verification.

use crate::id::{BadText, DeviceId, Hash, Id, as_text, from_hex, write_hex};
use ed25519_dalek::{Signer as _, SigningKey, VerifyingKey};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// A device's secret. Only the bytes it came from can be stored; it has no text form, so it cannot be logged.
#[derive(Clone)]
pub struct Keypair(SigningKey);

/// What others know a device by; 64 hex digits as text. Not checked to be a point of the curve until
/// something is verified with it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct PublicKey(pub [u8; 32]);

/// A signed head; 128 hex digits as text.
#[derive(Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Signature(pub [u8; 64]);

/// The end of a device's chain as a bundle states it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ChainHead {
    pub book: Id,
    pub dev: DeviceId,
    /// How many acts the chain has.
    pub seq: u32,
    pub hash: Hash,
}

impl ChainHead {
    /// What is signed, in UTF-8. The first line keeps a signature from being passed off as one of another purpose.
    pub fn message(&self) -> String {
        format!("journal head 1\n{}\n{}\n{}\n{}\n", self.book, self.dev, self.seq, self.hash)
    }
}

/// Signs the head of the device that makes a bundle.
pub trait Signs {
    /// None where this head cannot be signed.
    fn signature(&self, head: &ChainHead) -> Option<Signature>;
}

impl Signs for Keypair {
    fn signature(&self, head: &ChainHead) -> Option<Signature> {
        Some(self.sign(head))
    }
}

/// A head signed beforehand, by a key that is elsewhere. No other head is given its signature.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SignedHead {
    pub head: ChainHead,
    pub signature: Signature,
}

impl Signs for SignedHead {
    fn signature(&self, head: &ChainHead) -> Option<Signature> {
        (self.head == *head).then_some(self.signature)
    }
}

impl Keypair {
    /// From 32 secret random bytes; the caller has the randomness and keeps the bytes.
    pub fn from_secret(secret: &[u8; 32]) -> Keypair {
        Keypair(SigningKey::from_bytes(secret))
    }

    pub fn public(&self) -> PublicKey {
        PublicKey(self.0.verifying_key().to_bytes())
    }

    pub fn sign(&self, head: &ChainHead) -> Signature {
        self.sign_text(&head.message())
    }

    /// Signs any text. Its first line has to name what it is for, as [`ChainHead::message`]'s does.
    pub fn sign_text(&self, text: &str) -> Signature {
        Signature(self.0.sign(text.as_bytes()).to_bytes())
    }
}

impl PublicKey {
    /// Whether this key's owner signed that head. False for anything malformed.
    pub fn verifies(&self, head: &ChainHead, signature: &Signature) -> bool {
        self.verifies_text(&head.message(), signature)
    }

    /// Whether this key's owner signed that text. False for anything malformed.
    pub fn verifies_text(&self, text: &str, signature: &Signature) -> bool {
        let signature = ed25519_dalek::Signature::from_bytes(&signature.0);
        VerifyingKey::from_bytes(&self.0).is_ok_and(|key| key.verify_strict(text.as_bytes(), &signature).is_ok())
    }
}

impl FromStr for PublicKey {
    type Err = BadText;

    fn from_str(text: &str) -> Result<PublicKey, BadText> {
        from_hex(text).map(PublicKey).ok_or(BadText { expects: "a public key of 64 lower-case hex digits" })
    }
}

impl FromStr for Signature {
    type Err = BadText;

    fn from_str(text: &str) -> Result<Signature, BadText> {
        from_hex(text).map(Signature).ok_or(BadText { expects: "a signature of 128 lower-case hex digits" })
    }
}

impl fmt::Display for PublicKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_hex(f, &self.0)
    }
}

impl fmt::Display for Signature {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_hex(f, &self.0)
    }
}

impl fmt::Debug for PublicKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

impl fmt::Debug for Signature {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

as_text!(PublicKey, Signature);
