//! All stored lines side by side, with what tells the harmed from the sound ones: the first digits of each line's hash,
//! kept apart from the lines.

use crate::cover::LineSet;
use crate::disk::Value;
use crate::layout::{BlockInfo, import_of, is_arrived};
use journal::{DeviceId, Entry, Hash, Id};
use std::collections::{BTreeMap, BTreeSet};

/// Where a line lies.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    Row(String),
    Block(String),
}

struct Line {
    place: usize,
    text: String,
    hash: Hash,
    /// What of it is asked; none where it cannot be read.
    read: Option<Read>,
    harmed: bool,
}

struct Read {
    dev: DeviceId,
    seq: u32,
    book: Id,
}

#[derive(Default)]
pub struct Lines {
    places: Vec<Place>,
    lines: Vec<Line>,
    unreadable: Vec<(Place, Value)>,
}

impl Lines {
    /// Adds the lines of a place. `wrong`: it does not hold what was stored there, which was lines of these heads. Where
    /// nobody knows the heads, only lines that cannot be read are harmed.
    pub fn add<'a>(
        &mut self,
        place: &Place,
        texts: impl Iterator<Item = &'a str>,
        wrong: bool,
        stored: Option<&Heads>,
    ) {
        let number = self.places.len();
        self.places.push(place.clone());
        let before = self.lines.len();
        for text in texts {
            let entry = Entry::read(text).ok();
            let hash = entry.as_ref().map_or_else(|| Hash::of(text.as_bytes()), |entry| entry.hash);
            let read = entry.map(|e| Read { dev: e.dev(), seq: e.seq(), book: e.book });
            let harmed = wrong && stored.map_or(read.is_none(), |stored| !stored.has(&hash));
            self.lines.push(Line { place: number, text: text.to_owned(), hash, read, harmed });
        }
        if self.lines.len() == before {
            self.add_unreadable(place.clone(), String::new().into());
        }
    }

    /// Adds a place that holds no text at all.
    pub fn add_unreadable(&mut self, place: Place, value: Value) {
        self.unreadable.push((place, value));
    }

    /// What is set aside, and from where.
    pub fn harmed(&self) -> impl Iterator<Item = (&Place, Value)> {
        let lines = self.lines.iter().filter(|line| line.harmed);
        let lines = lines.map(|line| (&self.places[line.place], Value::Text(line.text.clone())));
        lines.chain(self.unreadable.iter().map(|(place, value)| (place, value.clone())))
    }

    pub fn harmed_lines(&self) -> u64 {
        self.lines.iter().filter(|line| line.harmed).count() as u64
    }

    /// Places that hold something else from now on; nothing where all of it is set aside.
    pub fn rewritten(&self) -> Vec<(&Place, Option<String>)> {
        let touched: BTreeSet<usize> = self.lines.iter().filter(|line| line.harmed).map(|line| line.place).collect();
        let rest = |place: usize| {
            let kept: Vec<&str> = self.sound().filter(|line| line.place == place).map(|line| &*line.text).collect();
            (!kept.is_empty()).then(|| kept.join("\n"))
        };
        let rewritten = touched.into_iter().map(|place| (&self.places[place], rest(place)));
        rewritten.chain(self.unreadable.iter().map(|(place, _)| (place, None))).collect()
    }

    fn sound(&self) -> impl Iterator<Item = &Line> {
        self.lines.iter().filter(|line| !line.harmed)
    }

    /// The sound lines.
    pub fn all(&self) -> impl Iterator<Item = &str> {
        self.sound().map(|line| &*line.text)
    }

    /// How many are sound.
    pub fn count(&self) -> u64 {
        self.sound().count() as u64
    }

    /// The sound rows, and the heads of their lines.
    pub fn rows(&self) -> (LineSet, Heads) {
        let rows = self.sound().filter(|line| matches!(self.places[line.place], Place::Row(_)));
        let (mut set, mut heads) = (LineSet::default(), Heads::default());
        rows.for_each(|line| {
            set += LineSet::one(&line.hash);
            heads.add(&line.hash);
        });
        (set, heads)
    }

    /// What the blocks hold, with the heads of their lines. A block without a line has no entry, and must not be there.
    pub fn directory(&self) -> Vec<(BlockInfo, Heads)> {
        let mut blocks: BTreeMap<&str, (BlockInfo, Heads)> = BTreeMap::new();
        for line in self.sound() {
            let Place::Block(key) = &self.places[line.place] else { continue };
            let empty = || BlockInfo { key: key.clone(), lines: LineSet::default(), spans: Vec::new() };
            let (block, heads) = blocks.entry(key).or_insert_with(|| (empty(), Heads::default()));
            heads.add(&line.hash);
            block.lines += LineSet::one(&line.hash);
            if let Some(read) = &line.read {
                block.note(read.dev, read.seq);
            }
        }
        blocks.into_values().collect()
    }

    /// The book most lines belong to.
    pub fn book(&self) -> Option<Id> {
        let mut counts: BTreeMap<Id, usize> = BTreeMap::new();
        self.sound().filter_map(|line| line.read.as_ref()).for_each(|read| *counts.entry(read.book).or_default() += 1);
        counts.into_iter().max_by_key(|(_, count)| *count).map(|(book, _)| book)
    }

    /// All books that lines belong to.
    pub fn books(&self) -> impl Iterator<Item = Id> {
        let books: BTreeSet<Id> = self.sound().filter_map(|line| line.read.as_ref()).map(|read| read.book).collect();
        books.into_iter()
    }

    /// The device that wrote here: others' rows and blocks are named as such.
    pub fn own_device(&self) -> Option<DeviceId> {
        let own = |line: &&Line| match &self.places[line.place] {
            Place::Row(key) => !is_arrived(key),
            Place::Block(key) => !is_arrived(key) && import_of(key).is_none(),
        };
        let lines = self.sound().filter(own);
        lines.max_by_key(|line| matches!(self.places[line.place], Place::Row(_)))?.read.as_ref().map(|read| read.dev)
    }
}

/// The first 32 bits of the hash of each of some lines, in hex, one after another.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Heads(String);

impl Heads {
    pub fn add(&mut self, hash: &Hash) {
        self.0.push_str(&format!("{:08x}", hash.head()));
    }

    fn has(&self, hash: &Hash) -> bool {
        let head = format!("{:08x}", hash.head());
        self.0.as_bytes().chunks(8).any(|other| other == head.as_bytes())
    }

    /// Whether they are of the same lines, in any order.
    pub fn same(&self, other: &Heads) -> bool {
        let sorted = |heads: &Heads| {
            let mut all: Vec<Vec<u8>> = heads.0.as_bytes().chunks(8).map(<[u8]>::to_vec).collect();
            all.sort_unstable();
            all
        };
        self.0 == other.0 || sorted(self) == sorted(other)
    }

    /// How many lines they are of.
    pub fn count(&self) -> u64 {
        self.0.len() as u64 / 8
    }

    pub fn as_text(&self) -> &str {
        &self.0
    }
}

impl From<String> for Heads {
    fn from(text: String) -> Heads {
        Heads(text)
    }
}

impl BlockInfo {
    /// What a block of these lines holds, and the heads of its lines.
    pub fn of(key: &str, text: &str) -> (BlockInfo, Heads) {
        let mut block = BlockInfo { key: key.to_owned(), lines: LineSet::default(), spans: Vec::new() };
        let mut heads = Heads::default();
        for line in text.lines() {
            let hash = Hash::of(line.as_bytes());
            heads.add(&hash);
            block.lines += LineSet::one(&hash);
            if let Some((dev, seq)) = whose(line) {
                block.note(dev, seq);
            }
        }
        (block, heads)
    }

    fn note(&mut self, dev: DeviceId, seq: u32) {
        match self.spans.iter_mut().find(|(other, ..)| *other == dev) {
            Some((_, from, to)) => (*from, *to) = ((*from).min(seq), (*to).max(seq)),
            None => self.spans.push((dev, seq, seq)),
        }
    }
}

/// Whose act a line is, and its number. Lines as this program writes them tell it without being read whole.
pub(crate) fn whose(line: &str) -> Option<(DeviceId, u32)> {
    let quick = || {
        let (_, rest) = line.strip_prefix("{\"v\":")?.split_once(",\"book\":\"").filter(|(v, _)| v.len() < 3)?;
        let (dev, rest) = rest.get(8..)?.strip_prefix("\",\"dev\":\"")?.split_once("\",\"seq\":")?;
        Some((dev.parse().ok()?, rest.split_once(',')?.0.parse().ok()?))
    };
    quick().or_else(|| Entry::read(line).ok().map(|entry| (entry.dev(), entry.seq())))
}

/// A line's act, as it is named to the keeper.
pub fn named(line: &str) -> Option<String> {
    let entry = Entry::read(line).ok()?;
    Some(format!("{} {}", entry.dev(), entry.seq()))
}
