//! A key pair that many small texts are locked for, so that only opening them needs a passphrase, and only once.
//!
//! The recipient locks, and may lie open. The secret opens; it lies locked with the passphrase. All three are texts of
//! the age format: an `age` program opens what is kept here in two steps, the secret with the passphrase, then a text
//! with the secret (`age -d -i`).

use crate::{MOST_WORK, StaysLocked, WORK};
use age::armor::{ArmoredReader, ArmoredWriter, Format};
use age::secrecy::{ExposeSecret, SecretString};
use age::{Decryptor, Encryptor, scrypt, x25519};
use std::io::{BufRead, Read, Write};
use std::iter::once;

/// How every locked text begins.
pub const BEGINS: &str = "-----BEGIN AGE ENCRYPTED FILE-----";

/// A fresh key pair.
pub struct Keys {
    /// Locks: `age1…`.
    pub recipient: String,
    /// Opens: `AGE-SECRET-KEY-1…`. It is kept in memory only, and [`wrap`]ped.
    pub secret: String,
}

impl Keys {
    /// By the machine's randomness.
    pub fn fresh() -> Keys {
        let identity = x25519::Identity::generate();
        Keys { recipient: identity.to_public().to_string(), secret: identity.to_string().expose_secret().to_owned() }
    }
}

/// Locks a secret with a passphrase, to be kept.
///
/// # Errors
/// What the machine says when it gives no randomness.
pub fn wrap(secret: &str, passphrase: &str) -> Result<String, String> {
    let mut recipient = scrypt::Recipient::new(SecretString::from(passphrase.to_owned()));
    recipient.set_work_factor(WORK);
    locked(secret, &recipient)
}

/// The secret that was [`wrap`]ped.
///
/// # Errors
/// [`StaysLocked::Wrong`] for another passphrase, the others for harm.
pub fn unwrap(wrapped: &str, passphrase: &str) -> Result<String, StaysLocked> {
    let mut identity = scrypt::Identity::new(SecretString::from(passphrase.to_owned()));
    identity.set_max_work_factor(MOST_WORK);
    opened(wrapped, &identity)
}

/// Locks a text for a recipient.
///
/// # Errors
/// When `recipient` is none, or what the machine says when it gives no randomness.
pub fn seal(text: &str, recipient: &str) -> Result<String, String> {
    let recipient: x25519::Recipient = recipient.parse().map_err(str::to_owned)?;
    locked(text, &recipient)
}

/// Opens a text locked for the key.
///
/// # Errors
/// [`StaysLocked::Wrong`] for another key, the others for harm.
pub fn open(sealed: &str, secret: &str) -> Result<String, StaysLocked> {
    let identity: x25519::Identity = secret.parse().map_err(|_| StaysLocked::Wrong)?;
    opened(sealed, &identity)
}

/// Locks bytes for a recipient, as a file of the age format without armour.
///
/// # Errors
/// When `recipient` is none, or what the machine says when it gives no randomness.
pub fn seal_bytes(bytes: &[u8], recipient: &str) -> Result<Vec<u8>, String> {
    let recipient: x25519::Recipient = recipient.parse().map_err(str::to_owned)?;
    locked_into(Vec::new(), bytes, &recipient)
}

/// Opens what [`seal_bytes`], or any other program of the format, locked for the key. What comes out is never larger than
/// the file.
///
/// # Errors
/// [`StaysLocked::NoPassphrase`] for another key, the others for harm.
pub fn open_bytes(sealed: &[u8], secret: &str) -> Result<Vec<u8>, StaysLocked> {
    let identity: x25519::Identity = secret.parse().map_err(|_| StaysLocked::Wrong)?;
    opened_from(sealed, &identity)
}

/// The recipient that belongs to a secret; none for what is no secret.
pub fn recipient_of(secret: &str) -> Option<String> {
    let identity: x25519::Identity = secret.parse().ok()?;
    Some(identity.to_public().to_string())
}

fn locked(text: &str, recipient: &dyn age::Recipient) -> Result<String, String> {
    let said = |why: std::io::Error| why.to_string();
    let armor = ArmoredWriter::wrap_output(Vec::new(), Format::AsciiArmor).map_err(said)?;
    let bytes = locked_into(armor, text.as_bytes(), recipient)?.finish().map_err(said)?;
    String::from_utf8(bytes).map_err(|why| why.to_string())
}

fn locked_into<W: Write>(out: W, bytes: &[u8], recipient: &dyn age::Recipient) -> Result<W, String> {
    let encryptor = Encryptor::with_recipients(once(recipient)).map_err(|why| why.to_string())?;
    let said = |why: std::io::Error| why.to_string();
    let mut writer = encryptor.wrap_output(out).map_err(said)?;
    writer.write_all(bytes).map_err(said)?;
    writer.finish().map_err(said)
}

fn opened(text: &str, identity: &dyn age::Identity) -> Result<String, StaysLocked> {
    let bytes = opened_from(ArmoredReader::new(text.as_bytes()), identity)?;
    String::from_utf8(bytes).map_err(|_| StaysLocked::Harmed)
}

fn opened_from(from: impl BufRead, identity: &dyn age::Identity) -> Result<Vec<u8>, StaysLocked> {
    let decryptor = Decryptor::new_buffered(from).map_err(|_| StaysLocked::Unknown)?;
    let mut reader = decryptor.decrypt(once(identity)).map_err(|why| StaysLocked::because(&why))?;
    let mut open = Vec::new();
    reader.read_to_end(&mut open).map_err(|_| StaysLocked::Harmed)?;
    Ok(open)
}
