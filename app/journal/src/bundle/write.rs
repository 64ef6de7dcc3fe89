//! Writing a bundle.

use super::files::{Name, Person};
use super::ledger::{Heads, Kept, Ledger};
use super::manifest::{BUNDLE_VERSION, Device, FORMAT, Manifest, Signed};
use super::read::{MAX_PERSON, MAX_PHOTO};
use crate::id::{DeviceId, Hash, Ref};
use crate::keys::{ChainHead, Signs};
use std::collections::BTreeMap;
use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// The most lines and bytes in one file, so that no reader has to unpack much at once. Branches of one number stay
/// in one file all the same.
const FILE_LINES: usize = 5000;
const FILE_BYTES: usize = 8 << 20;

/// What goes into a bundle beside the lines.
pub struct Contents<'a> {
    /// The device that makes it.
    pub by: DeviceId,
    /// Local time and offset: `2026-06-09T21:40+02:00`.
    pub made: &'a str,
    /// The app's version.
    pub app: &'a str,
    /// Signs this device's own head.
    pub signer: Option<&'a dyn Signs>,
    /// The last heads other devices signed, to be passed on.
    pub signed: &'a BTreeMap<DeviceId, Signed>,
    /// How far the receiver last said it knows each device; none for everything.
    pub lacks: Option<&'a Heads>,
    pub people: &'a [Person],
    /// Hash and bytes of each picture. Ones too large to be read again are left out.
    pub photos: &'a [(Hash, Vec<u8>)],
    /// For whoever opens the file by hand.
    pub readme: &'a str,
}

/// Writes a bundle of what is held.
///
/// # Errors
/// What the archive writer says; there is no file then.
pub fn write(
    ledger: &Ledger<'_>,
    contents: &Contents<'_>,
    told: &mut dyn FnMut(usize, usize),
) -> Result<Vec<u8>, String> {
    let lines = ledger.lacking(contents.lacks);
    let entries = files_of(&lines);
    let mut files = BTreeMap::new();
    let mut archive = Archive::new();
    let total = entries.len() + contents.photos.len();
    let mut done = 0;
    let mut step = |told: &mut dyn FnMut(usize, usize)| {
        done += 1;
        told(done, total);
    };
    let mut texts = Vec::with_capacity(entries.len());
    for (name, text) in entries {
        files.insert(name.clone(), Hash::of(text.as_bytes()));
        texts.push((name, text));
    }
    let manifest = manifest(ledger, &lines, contents, files);
    let text = serde_json::to_string_pretty(&manifest).map_err(|error| error.to_string())?;
    archive.deflated(&Name::Manifest.to_string(), text.as_bytes())?;
    archive.deflated(&Name::Readme.to_string(), contents.readme.as_bytes())?;
    for (name, text) in &texts {
        archive.deflated(name, text.as_bytes())?;
        step(told);
    }
    for person in contents.people {
        let Some(digest) = person.digest() else { continue };
        let text = serde_json::to_string(person).map_err(|error| error.to_string())?;
        if text.len() as u64 <= MAX_PERSON {
            archive.deflated(&Name::Person(digest).to_string(), text.as_bytes())?;
        }
    }
    for (hash, bytes) in contents.photos {
        if bytes.len() as u64 <= MAX_PHOTO {
            archive.stored(&Name::Photo(*hash).to_string(), bytes)?;
        }
        step(told);
    }
    archive.finish()
}

/// An archive of plain files, for what is taken out by hand. Names are the caller's.
///
/// # Errors
/// What the archive writer says.
pub fn pack_files(files: &[(&str, &[u8])]) -> Result<Vec<u8>, String> {
    let mut archive = Archive::new();
    files.iter().try_for_each(|(name, bytes)| archive.deflated(name, bytes))?;
    archive.finish()
}

fn files_of(lines: &BTreeMap<Ref, Kept<'_>>) -> Vec<(String, String)> {
    let mut by_dev: BTreeMap<DeviceId, Vec<(u32, &str)>> = BTreeMap::new();
    for (reference, line) in lines {
        by_dev.entry(reference.dev).or_default().push((reference.seq, line.text));
    }
    let mut files = Vec::new();
    for (dev, lines) in by_dev {
        let mut rest = lines.as_slice();
        while let Some(&(from, _)) = rest.first() {
            let mut bytes = 0;
            let fits = |(_, line): &&(u32, &str)| {
                bytes += line.len() + 1;
                bytes <= FILE_BYTES
            };
            let mut end = rest.iter().take(FILE_LINES).take_while(fits).count().max(1);
            while end < rest.len() && rest[end].0 == rest[end - 1].0 {
                end += 1;
            }
            let (chunk, after) = rest.split_at(end);
            let to = chunk.last().map_or(from, |(seq, _)| *seq);
            let mut text = String::with_capacity(chunk.iter().map(|(_, line)| line.len() + 1).sum());
            for (_, line) in chunk {
                text.push_str(line);
                text.push('\n');
            }
            files.push((Name::Entries { dev, from, to }.to_string(), text));
            rest = after;
        }
    }
    files
}

fn manifest(
    ledger: &Ledger<'_>,
    lines: &BTreeMap<Ref, Kept<'_>>,
    contents: &Contents<'_>,
    files: BTreeMap<String, Hash>,
) -> Manifest {
    let breaks = breaks(lines);
    let devices = ledger.fold.chains().map(|chain| {
        let own = contents.signer.filter(|_| chain.dev == contents.by).zip(chain.hash).and_then(|(signer, hash)| {
            let head = ChainHead { book: ledger.book_of(chain.dev), dev: chain.dev, seq: chain.seq, hash };
            Some(Signed { count: chain.seq, head: hash, signature: signer.signature(&head)? })
        });
        let signed = own.or_else(|| contents.signed.get(&chain.dev).copied());
        let breaks = breaks.get(&chain.dev).copied().unwrap_or(0);
        (chain.dev, Device { count: chain.seq, head: chain.hash, signed, breaks })
    });
    Manifest {
        format: FORMAT.to_owned(),
        version: BUNDLE_VERSION,
        book: ledger.fold.book(),
        joined: ledger.fold.joined().collect(),
        made: contents.made.to_owned(),
        by: contents.by,
        app: contents.app.to_owned(),
        whole: contents.lacks.is_none(),
        devices: devices.collect(),
        digest: Some(ledger.fold.digest()),
        files,
    }
}

/// By device, how many entries do not follow one that is here, beside those of its lowest number.
fn breaks(lines: &BTreeMap<Ref, Kept<'_>>) -> BTreeMap<DeviceId, u32> {
    let mut counts = BTreeMap::new();
    let mut walk = Walk::default();
    for (reference, line) in lines {
        if !walk.follows(*reference, line.hash, line.prev) {
            *counts.entry(reference.dev).or_default() += 1;
        }
    }
    counts
}

/// Follows chains line by line, in order of device, number and hash.
#[derive(Default)]
pub(crate) struct Walk {
    dev: Option<DeviceId>,
    seq: u32,
    /// Hashes of the number before, and of this one.
    before: Vec<Hash>,
    here: Vec<Hash>,
    first: bool,
}

impl Walk {
    /// Whether the entry follows one of those before it, or is of its device's lowest number.
    pub(crate) fn follows(&mut self, Ref { dev, seq, .. }: Ref, hash: Hash, prev: Option<Hash>) -> bool {
        if self.dev != Some(dev) {
            *self = Walk { dev: Some(dev), seq, first: true, ..Walk::default() };
        } else if seq != self.seq {
            let here = std::mem::take(&mut self.here);
            self.before = if seq == self.seq + 1 { here } else { Vec::new() };
            self.seq = seq;
            self.first = false;
        }
        self.here.push(hash);
        self.first || prev.is_some_and(|prev| self.before.contains(&prev))
    }
}

struct Archive(ZipWriter<Cursor<Vec<u8>>>);

impl Archive {
    fn new() -> Archive {
        Archive(ZipWriter::new(Cursor::new(Vec::new())))
    }

    fn add(&mut self, name: &str, bytes: &[u8], how: CompressionMethod) -> Result<(), String> {
        let options = SimpleFileOptions::default().compression_method(how).last_modified_time(zip::DateTime::DEFAULT);
        self.0.start_file(name, options).map_err(|error| error.to_string())?;
        self.0.write_all(bytes).map_err(|error| error.to_string())
    }

    fn deflated(&mut self, name: &str, bytes: &[u8]) -> Result<(), String> {
        self.add(name, bytes, CompressionMethod::Deflated)
    }

    /// Pictures are compressed already.
    fn stored(&mut self, name: &str, bytes: &[u8]) -> Result<(), String> {
        self.add(name, bytes, CompressionMethod::Stored)
    }

    fn finish(self) -> Result<Vec<u8>, String> {
        self.0.finish().map(Cursor::into_inner).map_err(|error| error.to_string())
    }
}
