//! What a device says of itself and of others: the one object that is written over.
//!
//! Inside the seal two lines, packed by gzip: the words as JSON, and the device's signature of `share head 1`, a line end
//! and that JSON.

use crate::error::Unfit;
use crate::key::Safe;
use crate::piece::{Piece, gunzip, gzip};
use journal::bundle::Signed;
use journal::{DeviceId, Id, PublicKey, Signature};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;

/// What every head calls itself: lines have a version too, and a store may give one for the other.
const FORMAT: &str = "candlemark-head";
const VERSION: i64 = 1;
/// The most pieces, and the most devices in any list, that are read.
const MOST: usize = 20_000;
/// More turns no device takes: one a second for thirty years.
const MOST_TURNS: u32 = 1_000_000_000;

/// A device's word. Parts of a newer version are passed over: only the device itself writes its head.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Head {
    /// `candlemark-head`.
    pub format: String,
    pub v: i64,
    pub book: Id,
    pub dev: DeviceId,
    /// Of the device's first line; what this head is signed with.
    pub key: PublicKey,
    /// Grows with every head the device writes.
    pub turn: u32,
    /// Local time and offset there.
    pub made: String,
    /// The version of the app.
    pub app: String,
    /// The end of its own chain, signed as in a bundle: it vouches for the lines. None before its first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signed: Option<Signed>,
    /// What it has put into the store, its own lines and those of devices that do not put them there themselves.
    pub pieces: Vec<Piece>,
    /// The last turn it saw of each other device.
    #[serde(default)]
    pub seen: BTreeMap<DeviceId, u32>,
    /// Ends signed by devices whose lines it put there for them.
    #[serde(default)]
    pub passed: BTreeMap<DeviceId, Signed>,
    /// What others listed and it could not read, by path: who has the lines puts them there again.
    #[serde(default)]
    pub lacks: Vec<String>,
}

impl Head {
    /// What the device signs, beside the end of its chain ([`journal::ChainHead::message`]).
    pub fn message(text: &str) -> String {
        format!("share head 1\n{text}")
    }

    /// The words that are signed.
    pub(crate) fn text(&self) -> String {
        // Names and numbers alone, so it can always be written.
        serde_json::to_string(self).unwrap_or_default()
    }

    pub(crate) fn close(text: &str, signature: &Signature, safe: &dyn Safe) -> Result<Vec<u8>, String> {
        safe.close(&gzip(format!("{text}\n{signature}\n").as_bytes()))
    }

    /// The head of `dev`. `known` is its key from its first line, where that is here.
    ///
    /// # Errors
    /// [`Unfit`]: anything but this device's whole word about this book.
    pub(crate) fn open(
        sealed: &[u8],
        book: Id,
        dev: DeviceId,
        known: Option<&PublicKey>,
        safe: &dyn Safe,
    ) -> Result<Head, Unfit> {
        let text = String::from_utf8(gunzip(&safe.open(sealed)?)?).map_err(|_| Unfit::Harmed)?;
        let (text, signature) = text.strip_suffix('\n').and_then(|text| text.split_once('\n')).ok_or(Unfit::Harmed)?;
        let read: Value = serde_json::from_str(text).map_err(|_| Unfit::Harmed)?;
        if read.get("format").and_then(Value::as_str) != Some(FORMAT) {
            return Err(Unfit::Swapped);
        }
        if read.get("v").and_then(Value::as_i64).is_some_and(|v| v > VERSION) {
            return Err(Unfit::Newer);
        }
        let head: Head = serde_json::from_value(read).map_err(|_| Unfit::Harmed)?;
        if head.book != book || head.dev != dev {
            return Err(Unfit::Swapped);
        }
        let most = head.pieces.len().max(head.seen.len()).max(head.passed.len()).max(head.lacks.len());
        let turns = head.seen.values().copied().max().unwrap_or(0).max(head.turn);
        if most > MOST || turns > MOST_TURNS || head.made.len() > 64 || head.app.len() > 64 {
            return Err(Unfit::TooMuch);
        }
        let signature: Signature = signature.parse().map_err(|_| Unfit::Forged)?;
        let own = known.is_none_or(|known| *known == head.key);
        if !own || !head.key.verifies_text(&Head::message(text), &signature) {
            return Err(Unfit::Forged);
        }
        match head.v == VERSION && head.pieces.iter().all(Piece::sound) && head.ends_sound() {
            true => Ok(head),
            false => Err(Unfit::Harmed),
        }
    }

    fn ends_sound(&self) -> bool {
        self.signed.iter().chain(self.passed.values()).all(|signed| signed.count <= journal::MAX_SEQ)
    }

    pub(crate) const V: i64 = VERSION;
    pub(crate) const FORMAT: &str = FORMAT;
}
