//! Names that never change: [`Id`] of a thing, book or device, [`Ref`] to an entry, [`Hash`] of a line.
//!
//! A reference is exact. Lines of form 1 hold short ones ([`ShortRef`]); what a line holds is a [`Named`].

use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use std::fmt;
use std::ops::RangeInclusive;
use std::str::FromStr;

/// Crockford's Base32: no I, L, O, U, so that nobody misreads a label (Crockford, "Base 32 Encoding").
const ALPHABET: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/// The highest sequence number an entry may carry: a hundred acts a day for a thousand years, and
/// small enough that a hostile counter cannot overflow anything.
pub const MAX_SEQ: u32 = 99_999_999;

/// Eight characters of Crockford Base32, upper case: 40 random bits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Id([u8; 8]);

/// The one writer of a chain of entries. The same shape as any other id.
pub type DeviceId = Id;

impl Id {
    /// An id from five random bytes; the caller has the randomness.
    pub fn mint(bytes: [u8; 5]) -> Id {
        let bits = bytes.iter().fold(0u64, |acc, &byte| acc << 8 | u64::from(byte));
        Id(std::array::from_fn(|i| ALPHABET[(bits >> (35 - 5 * i) & 31) as usize]))
    }

    /// The five bytes that [`Id::mint`] makes it of.
    pub fn bytes(&self) -> [u8; 5] {
        let place = |letter: &u8| ALPHABET.iter().position(|other| other == letter).unwrap_or(0) as u64;
        let bits = self.0.iter().fold(0, |bits, letter| bits << 5 | place(letter));
        std::array::from_fn(|i| (bits >> (32 - 8 * i)) as u8)
    }

    pub fn as_str(&self) -> &str {
        // Only letters of ALPHABET are ever stored, so the text is always whole.
        std::str::from_utf8(&self.0).unwrap_or_default()
    }
}

/// Why a text is no id, reference, hash or stamp; the message says what would be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadText {
    pub(crate) expects: &'static str,
}

impl fmt::Display for BadText {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "expected {}", self.expects)
    }
}

impl std::error::Error for BadText {}

impl FromStr for Id {
    type Err = BadText;

    /// Strict: exactly eight upper-case characters. Forgiving what people type is the form's business.
    fn from_str(text: &str) -> Result<Id, BadText> {
        match <[u8; 8]>::try_from(text.as_bytes()) {
            Ok(bytes) if bytes.iter().all(|byte| ALPHABET.contains(byte)) => Ok(Id(bytes)),
            _ => Err(BadText { expects: "an id of 8 characters from 0123456789ABCDEFGHJKMNPQRSTVWXYZ" }),
        }
    }
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

impl fmt::Debug for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

/// SHA-256 of a line's bytes; as text 64 lower-case hex digits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Hash(pub [u8; 32]);

impl Hash {
    pub fn of(bytes: &[u8]) -> Hash {
        Hash(Sha256::digest(bytes).into())
    }

    /// The first 32 bits, which a [`ShortRef`] carries.
    pub fn head(&self) -> u32 {
        let [a, b, c, d, ..] = self.0;
        u32::from_be_bytes([a, b, c, d])
    }
}

impl FromStr for Hash {
    type Err = BadText;

    fn from_str(text: &str) -> Result<Hash, BadText> {
        from_hex(text).map(Hash).ok_or(BadText { expects: "a hash of 64 lower-case hex digits" })
    }
}

impl fmt::Display for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_hex(f, &self.0)
    }
}

impl fmt::Debug for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

/// Lower-case hex of exactly `N` bytes: one text for one value, or equal things would compare unequal.
pub(crate) fn from_hex<const N: usize>(text: &str) -> Option<[u8; N]> {
    let digits = text.as_bytes();
    if digits.len() != 2 * N {
        return None;
    }
    let mut out = [0; N];
    for (byte, pair) in out.iter_mut().zip(digits.chunks_exact(2)) {
        *byte = hex_digit(pair[0])? << 4 | hex_digit(pair[1])?;
    }
    Some(out)
}

fn hex_digit(digit: u8) -> Option<u8> {
    match digit {
        b'0'..=b'9' => Some(digit - b'0'),
        b'a'..=b'f' => Some(digit - b'a' + 10),
        _ => None,
    }
}

/// Written piece by piece into a buffer: a digest of the state prints every hash that stands.
pub(crate) fn write_hex(f: &mut impl fmt::Write, bytes: &[u8]) -> fmt::Result {
    for chunk in bytes.chunks(32) {
        let mut text = [0; 64];
        for (pair, byte) in text.chunks_exact_mut(2).zip(chunk) {
            pair[0] = HEX[usize::from(byte >> 4)];
            pair[1] = HEX[usize::from(byte & 15)];
        }
        // Digits alone, so the text is always whole.
        f.write_str(std::str::from_utf8(&text[..2 * chunk.len()]).unwrap_or_default())?;
    }
    Ok(())
}

const HEX: &[u8; 16] = b"0123456789abcdef";

/// A reference to one entry: its device, its number there, and its hash. As text `dev.seq.hash`, the hash in 64
/// lower-case hex digits. Ordered by device, then number, then hash.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Ref {
    pub dev: DeviceId,
    /// 1 to [`MAX_SEQ`].
    pub seq: u32,
    pub hash: Hash,
}

impl Ref {
    /// Not after any reference of this device and number: where a range of them begins.
    pub fn least(dev: DeviceId, seq: u32) -> Ref {
        Ref { dev, seq, hash: Hash([0; 32]) }
    }

    /// As entries of form 1 name it.
    pub fn short(&self) -> ShortRef {
        ShortRef { dev: self.dev, seq: self.seq, hash8: self.hash.head() }
    }
}

/// A reference of form 1: device, number, and the first 8 hex digits of the hash, as text `dev.seq.hash8`. Two entries
/// that share these can be made in less than a second, so it may mean several. Read for ever, never written.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ShortRef {
    pub dev: DeviceId,
    /// 1 to [`MAX_SEQ`].
    pub seq: u32,
    pub hash8: u32,
}

/// How one entry names another: exactly, or in form 1 by a short reference, which means every entry it fits. The two
/// have different texts.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub enum Named {
    Whole(Ref),
    Short(ShortRef),
}

impl Named {
    pub fn dev(&self) -> DeviceId {
        match self {
            Named::Whole(Ref { dev, .. }) | Named::Short(ShortRef { dev, .. }) => *dev,
        }
    }

    /// 1 to [`MAX_SEQ`].
    pub fn seq(&self) -> u32 {
        match self {
            Named::Whole(Ref { seq, .. }) | Named::Short(ShortRef { seq, .. }) => *seq,
        }
    }

    /// Whether the entry of that reference is meant, or one of those meant.
    pub fn means(&self, reference: &Ref) -> bool {
        match self {
            Named::Whole(whole) => whole == reference,
            Named::Short(short) => *short == reference.short(),
        }
    }

    /// All references that are meant, and no others: a range to look entries up by.
    pub fn range(&self) -> RangeInclusive<Ref> {
        match *self {
            Named::Whole(whole) => whole..=whole,
            Named::Short(ShortRef { dev, seq, hash8 }) => {
                let filled = |fill: u8| {
                    let mut hash = [fill; 32];
                    hash[..4].copy_from_slice(&hash8.to_be_bytes());
                    Ref { dev, seq, hash: Hash(hash) }
                };
                filled(0)..=filled(0xff)
            }
        }
    }

    /// The one entry meant, where that is certain.
    pub fn whole(self) -> Option<Ref> {
        match self {
            Named::Whole(whole) => Some(whole),
            Named::Short(_) => None,
        }
    }
}

impl From<Ref> for Named {
    fn from(whole: Ref) -> Named {
        Named::Whole(whole)
    }
}

pub(crate) const EXPECTS_WHOLE: &str = "a reference dev.seq.hash with all 64 hex digits of the hash";
pub(crate) const EXPECTS_SHORT: &str = "a reference dev.seq.hash8, such as 7K3QX2M9.12.0a1b2c3d";

impl FromStr for Ref {
    type Err = BadText;

    fn from_str(text: &str) -> Result<Ref, BadText> {
        text.parse().ok().and_then(Named::whole).ok_or(BadText { expects: EXPECTS_WHOLE })
    }
}

impl FromStr for Named {
    type Err = BadText;

    fn from_str(text: &str) -> Result<Named, BadText> {
        read_ref(text).ok_or(BadText { expects: EXPECTS_WHOLE })
    }
}

fn read_ref(text: &str) -> Option<Named> {
    let mut parts = text.split('.');
    let dev = parts.next()?.parse().ok()?;
    let seq_text = parts.next()?;
    let hash = parts.next()?;
    if parts.next().is_some() || seq_text.len() > 8 || !seq_text.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let seq = seq_text.parse().ok().filter(|&seq| seq >= 1 && !seq_text.starts_with('0'))?;
    match hash.len() {
        8 => Some(Named::Short(ShortRef { dev, seq, hash8: u32::from_be_bytes(from_hex(hash)?) })),
        _ => Some(Named::Whole(Ref { dev, seq, hash: hash.parse().ok()? })),
    }
}

impl fmt::Display for Ref {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{}.{}", self.dev, self.seq, self.hash)
    }
}

impl fmt::Display for ShortRef {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{}.{:08x}", self.dev, self.seq, self.hash8)
    }
}

impl fmt::Display for Named {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Named::Whole(whole) => whole.fmt(f),
            Named::Short(short) => short.fmt(f),
        }
    }
}

impl fmt::Debug for Ref {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

impl fmt::Debug for ShortRef {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

impl fmt::Debug for Named {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

/// The text forms above, and their way through serde, in one place.
macro_rules! as_text {
    ($($kind:ty),*) => { $(
        impl TryFrom<String> for $kind {
            type Error = BadText;
            fn try_from(text: String) -> Result<Self, BadText> {
                text.parse()
            }
        }
        impl From<$kind> for String {
            fn from(value: $kind) -> String {
                value.to_string()
            }
        }
    )* };
}
pub(crate) use as_text;
as_text!(Id, Hash, Ref, Named);
