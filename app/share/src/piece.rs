//! A run of one device's lines as one object: JSON lines, packed by gzip, closed for the barn's key.

use crate::error::Unfit;
use crate::key::Safe;
use flate2::Compression;
use flate2::bufread::GzDecoder;
use flate2::write::GzEncoder;
use journal::{DeviceId, Entry, Hash, Id, Ref};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::io::{Read, Write};
use std::str::FromStr;

/// The most bytes that are ever unpacked of one object.
pub const MAX_PLAIN: usize = 32 << 20;
/// A run is ended when it has so many lines, or so many bytes.
const MOST_LINES: usize = 4096;
const MOST_BYTES: usize = 4 << 20;

/// A keyed hash of lines; 32 hex digits as text.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Sum(pub [u8; 16]);

impl fmt::Display for Sum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&hex(&self.0))
    }
}

impl fmt::Debug for Sum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

impl From<Sum> for String {
    fn from(sum: Sum) -> String {
        sum.to_string()
    }
}

impl TryFrom<String> for Sum {
    type Error = &'static str;
    fn try_from(text: String) -> Result<Sum, Self::Error> {
        text.parse()
    }
}

impl FromStr for Sum {
    type Err = &'static str;

    /// One text for one sum: lower case only.
    fn from_str(text: &str) -> Result<Sum, Self::Err> {
        const EXPECTS: &str = "a sum of 32 lower-case hex digits";
        let plain = text.len() == 32 && text.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'));
        match u128::from_str_radix(text, 16) {
            Ok(sum) if plain => Ok(Sum(sum.to_be_bytes())),
            _ => Err(EXPECTS),
        }
    }
}

pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// A run of one device's lines, each following the one before, as a head lists it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Piece {
    /// Whose lines.
    pub of: DeviceId,
    /// The first and the last number.
    pub from: u32,
    pub to: u32,
    /// The hash of the line before the first; none where that is the device's first.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub prev: Option<Hash>,
    /// The hash of the last line.
    pub last: Hash,
    pub sum: Sum,
}

impl Piece {
    /// What it is called, inside its writer's folder.
    pub fn name(&self) -> String {
        format!("{}.{:08}-{:08}.{}.age", self.of, self.from, self.to, self.sum)
    }

    /// The last line.
    pub fn end(&self) -> Ref {
        Ref { dev: self.of, seq: self.to, hash: self.last }
    }

    /// The line before the first.
    pub fn before(&self) -> Option<Ref> {
        self.prev.map(|hash| Ref { dev: self.of, seq: self.from.saturating_sub(1), hash })
    }

    /// How many lines.
    pub fn lines(&self) -> u32 {
        (self.to + 1).saturating_sub(self.from)
    }

    /// Whether it can be what it says at all.
    pub(crate) fn sound(&self) -> bool {
        (1..=self.to).contains(&self.from) && self.to <= journal::MAX_SEQ && (self.from == 1) == self.prev.is_none()
    }

    /// What `lines` are called, closed. They are one device's and follow each other.
    ///
    /// # Errors
    /// [`Unfit`] where they do not, or what closing says.
    pub(crate) fn close(lines: &[String], safe: &dyn Safe) -> Result<(Piece, Vec<u8>), Unfit> {
        let piece = Piece::of_lines(lines, None, safe)?;
        let sealed = safe.close(&gzip(joined(lines).as_bytes())).map_err(|_| Unfit::Harmed)?;
        Ok((piece, sealed))
    }

    /// What `lines` are called; of one of `books`, where these are told.
    fn of_lines(lines: &[String], books: Option<&[Id]>, safe: &dyn Safe) -> Result<Piece, Unfit> {
        let mut piece: Option<Piece> = None;
        for (place, line) in lines.iter().enumerate() {
            let entry = Entry::read(line).map_err(|why| Unfit::Line { line: place + 1, why })?;
            if books.is_some_and(|books| !books.contains(&entry.book)) {
                return Err(Unfit::OtherBook { book: entry.book });
            }
            piece = Some(match piece {
                None => Piece {
                    of: entry.dev(),
                    from: entry.seq(),
                    to: entry.seq(),
                    prev: entry.prev,
                    last: entry.hash,
                    sum: Sum([0; 16]),
                },
                Some(piece)
                    if entry.dev() == piece.of && entry.seq() == piece.to + 1 && entry.prev == Some(piece.last) =>
                {
                    Piece { to: entry.seq(), last: entry.hash, ..piece }
                }
                Some(_) => return Err(Unfit::Broken { line: place + 1 }),
            });
        }
        let sum = Sum(safe.name("lines", joined(lines).as_bytes()));
        piece.map(|piece| Piece { sum, ..piece }).ok_or(Unfit::Harmed)
    }

    /// The lines of an object, if they are the ones that the piece says, of one of `books`.
    ///
    /// # Errors
    /// [`Unfit`]: of what is not whole and in place, nothing is given.
    pub(crate) fn open(&self, sealed: &[u8], books: &[Id], safe: &dyn Safe) -> Result<Vec<String>, Unfit> {
        let text = String::from_utf8(gunzip(&safe.open(sealed)?)?).map_err(|_| Unfit::Harmed)?;
        let lines: Vec<String> = text.lines().map(str::to_owned).collect();
        if joined(&lines) != text {
            return Err(Unfit::Harmed);
        }
        if Sum(safe.name("lines", text.as_bytes())) != self.sum {
            return Err(Unfit::Swapped);
        }
        if Piece::of_lines(&lines, Some(books), safe)? != *self {
            return Err(Unfit::Swapped);
        }
        Ok(lines)
    }
}

/// Runs of a size that is read in one go.
pub(crate) fn runs(lines: &[String]) -> Vec<&[String]> {
    let (mut runs, mut begun, mut bytes) = (Vec::new(), 0, 0);
    for (n, line) in lines.iter().enumerate() {
        if n > begun && (n - begun >= MOST_LINES || bytes + line.len() > MOST_BYTES) {
            runs.push(&lines[begun..n]);
            (begun, bytes) = (n, 0);
        }
        bytes += line.len();
    }
    if begun < lines.len() {
        runs.push(&lines[begun..]);
    }
    runs
}

fn joined(lines: &[String]) -> String {
    let mut text = String::with_capacity(lines.iter().map(|line| line.len() + 1).sum());
    for line in lines {
        text.push_str(line);
        text.push('\n');
    }
    text
}

/// Without a time or a file's name, so the same for the same text.
pub(crate) fn gzip(plain: &[u8]) -> Vec<u8> {
    let mut packer = GzEncoder::new(Vec::new(), Compression::default());
    // Into memory, which takes everything.
    let _ = packer.write_all(plain);
    packer.finish().unwrap_or_default()
}

pub(crate) fn gunzip(packed: &[u8]) -> Result<Vec<u8>, Unfit> {
    let mut plain = Vec::new();
    let mut unpacker = GzDecoder::new(packed).take(MAX_PLAIN as u64 + 1);
    unpacker.read_to_end(&mut plain).map_err(|_| Unfit::Harmed)?;
    if plain.len() > MAX_PLAIN { Err(Unfit::TooMuch) } else { Ok(plain) }
}
