//! A file locked with a passphrase, and unlocked again: the age format (age-encryption.org/v1) with one scrypt
//! recipient, by the `age` crate. [`keys`] locks many small texts for one key. No cryptography is written here.
//!
//! Guarantees:
//! - What [`lock`] gives, [`unlock`] and any other program of that format opens with the passphrase, and nobody without.
//! - [`unlock`] gives all of it, as it was locked, or a reason; a file cut off or changed anywhere is told.
//! - No file makes a phone work for longer, or with more memory, than [`MOST_WORK`] asks.
//!
//! Absent by design: what is inside, storage, the network, keeping a passphrase anywhere.

pub mod keys;

use age::scrypt::{Identity, Recipient};
use age::secrecy::SecretString;
use age::{DecryptError, Decryptor, Encryptor};
use std::fmt;
use std::io::{Read, Write};
use std::iter::once;

/// How hard the passphrase is to try out: 2 to this power. Set by hand, since age would time the machine, and a phone
/// has to open what a laptop locked: 32 MiB and some tenths of a second.
pub const WORK: u8 = 15;
/// The most that is done for a file from elsewhere: 256 MiB.
pub const MOST_WORK: u8 = 18;

/// Bytes between two looks at how far it is.
const PIECE: usize = 1 << 20;

/// Why a file stays locked. Nothing was changed by it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StaysLocked {
    /// Not of this format at all, or of a later one.
    Unknown,
    /// Locked for somebody's key.
    NoPassphrase,
    Wrong,
    /// Made to take more work than is ever done here.
    TooHard,
    Harmed,
}

impl StaysLocked {
    fn because(why: &DecryptError) -> StaysLocked {
        match why {
            DecryptError::ExcessiveWork { .. } => StaysLocked::TooHard,
            DecryptError::NoMatchingKeys => StaysLocked::NoPassphrase,
            DecryptError::DecryptionFailed | DecryptError::KeyDecryptionFailed => StaysLocked::Wrong,
            _ => StaysLocked::Harmed,
        }
    }
}

impl fmt::Display for StaysLocked {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Unknown => "This file is not locked in a way this app knows. Ask for the bundle again. Nothing was changed here.",
            Self::NoPassphrase => {
                "This file is locked for somebody's key, not with a passphrase. Ask for one that is. Nothing was changed here."
            }
            Self::Wrong => "This passphrase does not open it. Capitals and spaces count: look at it and try again. Nothing was changed here.",
            Self::TooHard => {
                "Opening this file would take longer than a phone should work. Ask for one locked by this app. Nothing was changed here."
            }
            Self::Harmed => {
                "The passphrase is right, but the file is damaged or was cut off on the way. Ask for the bundle again. Nothing was changed here."
            }
        })
    }
}

impl std::error::Error for StaysLocked {}

/// Locks `bytes`. `told` hears how many of them are done, and of how many.
///
/// # Errors
/// What the machine says when it gives no randomness.
pub fn lock(bytes: &[u8], passphrase: &str, told: &mut dyn FnMut(usize, usize)) -> Result<Vec<u8>, String> {
    let mut recipient = Recipient::new(SecretString::from(passphrase.to_owned()));
    recipient.set_work_factor(WORK);
    let encryptor = Encryptor::with_recipients(once(&recipient as _)).map_err(|why| why.to_string())?;
    let mut locked = Vec::with_capacity(bytes.len() + bytes.len() / 4096 + 512);
    let mut writer = encryptor.wrap_output(&mut locked).map_err(|why| why.to_string())?;
    for (piece, part) in bytes.chunks(PIECE).enumerate() {
        told(piece * PIECE, bytes.len());
        writer.write_all(part).map_err(|why| why.to_string())?;
    }
    writer.finish().map_err(|why| why.to_string())?;
    told(bytes.len(), bytes.len());
    Ok(locked)
}

/// Unlocks a file. `told` hears how many bytes are done, and of how many.
///
/// # Errors
/// [`StaysLocked`], a sentence that says what to do.
pub fn unlock(file: &[u8], passphrase: &str, told: &mut dyn FnMut(usize, usize)) -> Result<Vec<u8>, StaysLocked> {
    let mut identity = Identity::new(SecretString::from(passphrase.to_owned()));
    identity.set_max_work_factor(MOST_WORK);
    let decryptor = Decryptor::new_buffered(file).map_err(|_| StaysLocked::Unknown)?;
    let mut reader = decryptor.decrypt(once(&identity as _)).map_err(|why| StaysLocked::because(&why))?;
    let mut bytes = Vec::with_capacity(file.len());
    loop {
        told(bytes.len(), file.len());
        let before = bytes.len();
        (&mut reader).take(PIECE as u64).read_to_end(&mut bytes).map_err(|_| StaysLocked::Harmed)?;
        if bytes.len() == before {
            return Ok(bytes);
        }
    }
}
