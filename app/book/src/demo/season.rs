//! The driver: two devices with a book each, on which acts are drafted, sealed and passed on.

use super::{BOOK, Who};
use crate::acts::{Act, made};
use crate::book::Book;
use crate::ids::*;
use chrono::{NaiveDate, NaiveDateTime, NaiveTime};
use journal::{Draft, Id, Identity, Keypair, Tip, Wall, seal};
use std::collections::BTreeMap;
use trade::when::When;

/// One keeper's phone.
struct Device {
    identity: Identity,
    tip: Tip,
    book: Book,
    /// Lines of the other device that have not come here yet.
    waiting: Vec<String>,
}

/// The season as it goes.
pub(super) struct Season {
    pub(super) lines: Vec<String>,
    /// Acts that were not taken, with the reason.
    pub(super) refused: Vec<String>,
    devices: [Device; 2],
    /// Whether the devices do not reach each other.
    apart: bool,
    minted: Minted,
    /// What was made, by its name in the tables.
    things: BTreeMap<(Kind, String), String>,
    pub(super) now: NaiveDateTime,
    who: Who,
}

/// Ids and keys, counted rather than drawn.
struct Minted(u64);

impl Minted {
    /// The output step of SplitMix64, so that the ids look as scattered as real ones.
    fn next(&mut self) -> [u8; 8] {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)).to_be_bytes()
    }

    fn id(&mut self) -> Id {
        let [a, b, c, d, e, ..] = self.next();
        Id::mint([a, b, c, d, e])
    }

    fn secret(&mut self) -> [u8; 32] {
        let mut secret = [0; 32];
        for part in secret.chunks_exact_mut(8) {
            part.copy_from_slice(&self.next());
        }
        secret
    }
}

impl Season {
    pub(super) fn new(today: NaiveDate) -> Season {
        // Seeded by the day, so that two days' seasons are never two stories of one device.
        let day = today.signed_duration_since(NaiveDate::default()).num_days();
        let mut minted = Minted(day.unsigned_abs());
        let book = Id::mint(BOOK);
        let devices = Who::ALL.map(|who| Device {
            identity: Identity {
                book,
                dev: minted.id(),
                by: who.name().to_owned(),
                app: concat!("demonstration ", env!("CARGO_PKG_VERSION")).to_owned(),
                key: Keypair::from_secret(&minted.secret()).public(),
            },
            tip: Tip::default(),
            book: Book::new(book),
            waiting: Vec::new(),
        });
        Season {
            lines: Vec::new(),
            refused: Vec::new(),
            devices,
            apart: false,
            minted,
            things: BTreeMap::new(),
            now: today.and_time(NaiveTime::MIN),
            who: Who::Ines,
        }
    }

    /// Whose turn it is, and when.
    pub(super) fn at(&mut self, who: Who, now: NaiveDateTime) {
        (self.who, self.now) = (who, now);
    }

    /// The book as the keeper at work sees it.
    pub(super) fn book(&self) -> &Book {
        self.book_of(self.who)
    }

    pub(super) fn book_of(&self, who: Who) -> &Book {
        &self.devices[who as usize].book
    }

    fn ms(&self) -> Result<u64, String> {
        u64::try_from(self.now.and_utc().timestamp_millis())
            .map_err(|_| "the journal's clock begins in 1970".to_owned())
    }

    /// Drafts an act, seals it and gives its line to every device in reach.
    pub(super) fn write(&mut self, act: &dyn Act) -> Result<Draft, String> {
        let own = self.who as usize;
        let wall = Wall { ms: self.ms()?, text: self.now.format("%Y-%m-%dT%H:%M+00:00").to_string() };
        let minted = &mut self.minted;
        let drafted = act.draft(&self.devices[own].book, self.now, &mut || minted.id()).map_err(|e| e.to_string())?;
        let device = &mut self.devices[own];
        let sealed = seal(drafted.clone(), &device.identity, &device.tip, &wall).map_err(|e| e.to_string())?;
        device.book.take(&sealed.line).map_err(|e| e.to_string())?;
        device.tip = sealed.tip;
        self.devices[1 - own].waiting.push(sealed.line.clone());
        self.lines.push(sealed.line);
        if !self.apart {
            self.meet();
        }
        Ok(drafted)
    }

    /// From now on the devices do not reach each other.
    pub(super) fn part(&mut self) {
        self.apart = true;
    }

    /// The devices swap what they have.
    pub(super) fn meet(&mut self) {
        self.apart = false;
        let Ok(ms) = self.ms() else { return };
        for device in &mut self.devices {
            for line in std::mem::take(&mut device.waiting) {
                if let Err(why) = device.book.take(&line) {
                    self.refused.push(why.to_string());
                }
            }
            device.tip.clock = device.tip.clock.see(device.book.journal().clock(ms), ms);
        }
    }

    /// Writes an act and remembers what it made of a kind under a name.
    pub(super) fn make(&mut self, kind: Kind, name: &str, act: &dyn Act) -> Result<(), String> {
        let drafted = self.write(act)?;
        let thing = made(&drafted, kind).ok_or_else(|| format!("made no {}", kind.word()))?;
        self.remember(thing, name);
        Ok(())
    }

    pub(super) fn remember(&mut self, thing: Thing, name: &str) {
        self.things.insert((thing.kind, name.to_owned()), thing.id);
    }

    pub(super) fn named<I: for<'a> From<&'a str>>(&self, kind: Kind, name: &str) -> Result<I, String> {
        let id = self.things.get(&(kind, name.to_owned()));
        id.map(|id| I::from(id)).ok_or_else(|| format!("no {} “{name}” yet", kind.word()))
    }

    pub(super) fn place(&self, name: &str) -> Result<PlaceId, String> {
        self.named(Kind::Place, name)
    }

    pub(super) fn animal(&self, name: &str) -> Result<AnimalId, String> {
        self.named(Kind::Animal, name)
    }

    pub(super) fn animals(&self, names: &[&str]) -> Result<Vec<AnimalId>, String> {
        names.iter().map(|name| self.animal(name)).collect()
    }

    pub(super) fn clutch(&self, name: &str) -> Result<ClutchId, String> {
        self.named(Kind::Clutch, name)
    }

    pub(super) fn filling(&self, name: &str) -> Result<FillingId, String> {
        self.named(Kind::Filling, name)
    }

    /// Eggs of a clutch by their letters, `"A C"`.
    pub(super) fn eggs(&self, clutch: &str, letters: &str) -> Result<Vec<EggId>, String> {
        let eggs = self.book().eggs_of(&self.clutch(clutch)?);
        let find = |letter: &str| {
            let egg = eggs.iter().find(|egg| egg.letter.as_deref() == Some(letter));
            egg.map(|egg| egg.id.clone()).ok_or_else(|| format!("no egg {letter} in {clutch}"))
        };
        letters.split_whitespace().map(find).collect()
    }

    /// This very minute.
    pub(super) fn when(&self) -> When {
        When::time(self.now)
    }
}
