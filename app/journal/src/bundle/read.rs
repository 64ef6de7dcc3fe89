//! Reading a bundle from anywhere.

use super::error::BadBundle;
use super::files::{Name, Person};
use super::jpeg;
use super::manifest::Manifest;
use super::write::Walk;
use crate::entry::Entry;
use crate::fold::Fold;
use crate::id::{DeviceId, Hash, Id, Ref};
use std::collections::{BTreeMap, BTreeSet};
use std::io::{Cursor, Read};
use zip::ZipArchive;

/// The largest bundle read, in bytes.
pub const MAX_BUNDLE: u64 = 512 << 20;
/// The most files in one.
pub const MAX_FILES: u64 = 20_000;
/// The most bytes all its files but pictures unpack to.
pub const MAX_INFLATED: u64 = 512 << 20;
/// The most bytes one file of lines unpacks to.
pub(crate) const MAX_FILE: u64 = 32 << 20;
/// The most lines.
pub const MAX_LINES: u64 = 2_000_000;
/// The largest picture, in bytes.
pub const MAX_PHOTO: u64 = 4 << 20;
/// The largest file of a person's details, in bytes.
pub const MAX_PERSON: u64 = 64 << 10;
/// The largest `bundle.json`, in bytes.
const MAX_MANIFEST: u64 = 8 << 20;
/// The largest `README.txt`, in bytes.
const MAX_README: u64 = 64 << 10;

/// A whole bundle, checked. Whether its lines agree with one's own is [`super::Arrivals`]' to say.
#[derive(Clone, Debug, PartialEq)]
pub struct Bundle {
    pub manifest: Manifest,
    /// In order of device, number and hash; each reads as an entry.
    pub lines: Vec<String>,
    pub people: Vec<(Hash, Person)>,
    /// Each with a JPEG's header of sane size, and named by its own hash.
    pub photos: Vec<(Hash, Vec<u8>)>,
}

/// Reads and checks a bundle. `told` hears how many of its files are done, and of how many.
///
/// # Errors
/// [`BadBundle`], a sentence that says what to do.
pub fn read(bytes: &[u8], told: &mut dyn FnMut(usize, usize)) -> Result<Bundle, BadBundle> {
    if bytes.starts_with(b"age-encryption.org/v1\n") {
        return Err(BadBundle::Locked);
    }
    if !bytes.starts_with(b"PK") {
        return Err(BadBundle::NotABundle);
    }
    if bytes.len() as u64 > MAX_BUNDLE {
        return Err(BadBundle::TooMuch { what: "bytes", most: MAX_BUNDLE });
    }
    let mut archive = Archive::open(bytes)?;
    let names = archive.names()?;
    let mut left = MAX_INFLATED;
    let manifest = archive.manifest(&names)?;
    let mut files = manifest.files.clone();
    let mut bundle = Bundle { manifest, lines: Vec::new(), people: Vec::new(), photos: Vec::new() };
    let mut lines = Lines::new(&bundle.manifest);
    for (done, (name, place)) in names.iter().enumerate() {
        told(done, names.len());
        match *name {
            Name::Manifest | Name::Folder => {}
            Name::Readme => {
                archive.inflate(*place, MAX_README, "bytes of README.txt")?;
            }
            Name::Entries { dev, from, to } => {
                let file = name.to_string();
                let bytes = archive.inflate(*place, MAX_FILE.min(left), "bytes of lines")?;
                left -= bytes.len() as u64;
                if files.remove(&file) != Some(Hash::of(&bytes)) {
                    return Err(BadBundle::Sum { what: "content of a file of lines" });
                }
                let text = String::from_utf8(bytes)
                    .map_err(|_| BadBundle::Damaged { what: format!("{file} is not UTF-8") })?;
                lines.take(&text, &file, dev, from..=to, &mut bundle.lines)?;
            }
            Name::Person(digest) => {
                let bytes = archive.inflate(*place, MAX_PERSON.min(left), "bytes of a person's details")?;
                left -= bytes.len() as u64;
                bundle.people.push((digest, Person::check(&bytes, &digest)?));
            }
            Name::Photo(hash) => {
                let bytes = archive.inflate(*place, MAX_PHOTO, "bytes of a picture")?;
                check_photo(&bytes, &hash).map_err(|why| BadBundle::Photo { name: name.to_string(), why })?;
                bundle.photos.push((hash, bytes));
            }
        }
    }
    if !files.is_empty() {
        return Err(BadBundle::Sum { what: "list of files" });
    }
    lines.add_up(&bundle)?;
    told(names.len(), names.len());
    Ok(bundle)
}

/// Whether `bytes` are the picture that `hash` names, and such as a camera makes.
///
/// # Errors
/// Why not, to follow the picture's name: `is broken`.
pub fn check_photo(bytes: &[u8], hash: &Hash) -> Result<(), &'static str> {
    if bytes.len() as u64 > MAX_PHOTO {
        return Err("is too large");
    }
    if Hash::of(bytes) != *hash {
        return Err("is not the one that was taken");
    }
    jpeg::size(bytes).map(|_| ())
}

struct Archive<'a>(ZipArchive<Cursor<&'a [u8]>>);

fn damaged(error: impl ToString) -> BadBundle {
    BadBundle::Damaged { what: error.to_string() }
}

impl<'a> Archive<'a> {
    fn open(bytes: &'a [u8]) -> Result<Archive<'a>, BadBundle> {
        let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(damaged)?;
        if archive.len() as u64 > MAX_FILES {
            return Err(BadBundle::TooMuch { what: "files", most: MAX_FILES });
        }
        if archive.has_duplicate_names() {
            return Err(BadBundle::Twice);
        }
        if archive.has_overlapping_files().map_err(damaged)? {
            return Err(BadBundle::Damaged { what: "its files overlap".to_owned() });
        }
        Ok(Archive(archive))
    }

    /// Every file with its place in the archive, in order of name.
    fn names(&mut self) -> Result<BTreeMap<Name, usize>, BadBundle> {
        let mut names = BTreeMap::new();
        for place in 0..self.0.len() {
            let name = match self.0.name_for_index(place) {
                Some(Ok(name)) => name.into_owned(),
                _ => return Err(BadBundle::Stranger { name: "a name that is no text".to_owned() }),
            };
            let Some(read) = Name::read(&name) else { return Err(BadBundle::Stranger { name }) };
            if names.insert(read, place).is_some() && read != Name::Folder {
                return Err(BadBundle::Twice);
            }
        }
        Ok(names)
    }

    fn manifest(&mut self, names: &BTreeMap<Name, usize>) -> Result<Manifest, BadBundle> {
        let place = names.get(&Name::Manifest).ok_or(BadBundle::NotABundle)?;
        let bytes = self.inflate(*place, MAX_MANIFEST, "bytes of bundle.json")?;
        let text = String::from_utf8(bytes).map_err(|_| BadBundle::Manifest { why: "not UTF-8".to_owned() })?;
        Manifest::parse(&text)
    }

    /// Unpacks one file. What it claims to hold counts for nothing: it stops at the cap.
    fn inflate(&mut self, place: usize, most: u64, what: &'static str) -> Result<Vec<u8>, BadBundle> {
        let file = self.0.by_index(place).map_err(damaged)?;
        let mut bytes = Vec::new();
        file.take(most + 1).read_to_end(&mut bytes).map_err(damaged)?;
        if bytes.len() as u64 > most { Err(BadBundle::TooMuch { what, most }) } else { Ok(bytes) }
    }
}

/// Lines as they are read, file by file in order of name.
struct Lines {
    books: BTreeSet<Id>,
    walk: Walk,
    last: Option<Ref>,
    /// Numbers of the lines that do not follow one before them.
    breaks: BTreeMap<DeviceId, Vec<u32>>,
    fold: Fold,
}

impl Lines {
    fn new(manifest: &Manifest) -> Lines {
        let mut fold = Fold::new(manifest.book);
        manifest.joined.iter().for_each(|book| fold.join(*book));
        let (walk, books) = (Walk::default(), manifest.books().collect());
        Lines { books, walk, last: None, breaks: BTreeMap::new(), fold }
    }

    fn take(
        &mut self,
        text: &str,
        file: &str,
        dev: DeviceId,
        range: std::ops::RangeInclusive<u32>,
        out: &mut Vec<String>,
    ) -> Result<(), BadBundle> {
        for (place, line) in text.lines().enumerate() {
            let place = place + 1;
            let refused = |why| BadBundle::Line { file: file.to_owned(), line: place, why };
            let misplaced = || BadBundle::Misplaced { file: file.to_owned(), line: place };
            if out.len() as u64 >= MAX_LINES {
                return Err(BadBundle::TooMuch { what: "lines", most: MAX_LINES });
            }
            let entry = Entry::read(line).map_err(refused)?;
            let reference = entry.reference;
            if entry.dev() != dev
                || !range.contains(&entry.seq())
                || self.last.is_some_and(|last| last >= reference)
                || !self.books.contains(&entry.book)
            {
                return Err(misplaced());
            }
            self.last = Some(reference);
            if !self.walk.follows(reference, entry.hash, entry.prev) {
                self.breaks.entry(dev).or_default().push(entry.seq());
            }
            self.fold.take_entry(entry).map_err(refused)?;
            out.push(line.to_owned());
        }
        Ok(())
    }

    /// Whether it all comes to what the bundle says.
    fn add_up(&self, bundle: &Bundle) -> Result<(), BadBundle> {
        let manifest = &bundle.manifest;
        // Gaps and branches are legal, as many as the maker saw: one more is a line put in or taken out.
        for (dev, breaks) in &self.breaks {
            let stated = manifest.devices.get(dev).map_or(0, |device| device.breaks as usize);
            if let Some(seq) = breaks.get(stated) {
                return Err(BadBundle::Broken { dev: *dev, seq: *seq });
            }
        }
        if !manifest.whole {
            return Ok(());
        }
        let heads = self.fold.chains().map(|chain| (chain.dev, (chain.seq, chain.hash)));
        let stated = manifest.devices.iter().map(|(dev, device)| (*dev, (device.count, device.head)));
        if !heads.eq(stated) {
            return Err(BadBundle::Sum { what: "number of acts" });
        }
        let Some(stated) = manifest.digest else { return Ok(()) };
        let digest = match manifest.version {
            1 => self.fold.digest_of_form_1(),
            _ => self.fold.digest(),
        };
        if digest != stated {
            return Err(BadBundle::Sum { what: "state" });
        }
        Ok(())
    }
}
