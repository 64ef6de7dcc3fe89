//! What a device that is in shows to one that joins: one text, for a code on the screen or to be pasted.

use crate::wire::StoreAt;
use base64::Engine;
use base64::prelude::BASE64_URL_SAFE_NO_PAD;
use journal::Id;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::fmt;

/// In an address, before the text.
pub const MARK: &str = "#/join/";
/// Bytes of the checksum that ends it: what was cut short while it was copied is told from what never was an invitation.
const SUM: usize = 4;
const VERSION: u8 = 1;
/// Longer than any that is written here.
const MOST: usize = 8192;

/// Where the barn's store is, and what opens it. Who has it reads everything: it is shown to those who are let in, and
/// nowhere else.
#[derive(Clone, PartialEq, Serialize, Deserialize)]
pub struct Invitation {
    #[serde(rename = "s")]
    pub store: StoreAt,
    #[serde(rename = "b")]
    pub book: Id,
    /// Other books that are this barn's too.
    #[serde(rename = "j", default, skip_serializing_if = "Vec::is_empty")]
    pub joined: Vec<Id>,
    /// The barn's key.
    #[serde(rename = "k")]
    pub secret: String,
}

/// Says of which book.
impl fmt::Debug for Invitation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Invitation({})", self.book)
    }
}

/// Why a text is no invitation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoInvitation {
    Other,
    /// It is one, and not all there.
    CutShort,
    /// Of a newer version of this app.
    Newer,
}

impl fmt::Display for NoInvitation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            NoInvitation::Other => "it is not an invitation",
            NoInvitation::CutShort => "the invitation is not all there",
            NoInvitation::Newer => "the invitation is from a newer version of this app",
        })
    }
}

impl std::error::Error for NoInvitation {}

impl Invitation {
    /// Letters, digits, `-` and `_` only.
    pub fn text(&self) -> String {
        let mut bytes = vec![VERSION];
        // Names and texts alone, so it can always be written.
        bytes.extend(serde_json::to_vec(self).unwrap_or_default());
        let sum = Sha256::digest(&bytes);
        bytes.extend(sum.iter().take(SUM));
        BASE64_URL_SAFE_NO_PAD.encode(bytes)
    }

    /// Reads the text, or an address that ends with it. Blanks and line ends that a message put in do no harm.
    ///
    /// # Errors
    /// [`NoInvitation`].
    pub fn read(text: &str) -> Result<Invitation, NoInvitation> {
        let text = text.rsplit_once(MARK).map_or(text, |(_, text)| text).trim_start();
        // A message may go on after it, or break it over lines.
        let own = |sign: &char| sign.is_ascii_alphanumeric() || ['-', '_'].contains(sign);
        let word: String = text.chars().take_while(own).take(MOST).collect();
        let whole: String = text.chars().filter(|sign| !sign.is_whitespace()).take_while(own).take(MOST).collect();
        Invitation::of_text(&word).or_else(|_| Invitation::of_text(&whole))
    }

    fn of_text(text: &str) -> Result<Invitation, NoInvitation> {
        let bytes = BASE64_URL_SAFE_NO_PAD.decode(text);
        let begins = |version: u8| {
            let start = BASE64_URL_SAFE_NO_PAD.encode([version, b'{', b'"']);
            text.starts_with(&start)
        };
        if !begins(VERSION) {
            let newer = (VERSION + 1..=u8::MAX).any(begins);
            return Err(if newer { NoInvitation::Newer } else { NoInvitation::Other });
        }
        let bytes = bytes.map_err(|_| NoInvitation::CutShort)?;
        let (words, sum) = bytes.split_at_checked(bytes.len().saturating_sub(SUM)).ok_or(NoInvitation::CutShort)?;
        if Sha256::digest(words).iter().take(SUM).ne(sum) {
            return Err(NoInvitation::CutShort);
        }
        serde_json::from_slice(words.get(1..).unwrap_or_default()).map_err(|_| NoInvitation::Newer)
    }
}
