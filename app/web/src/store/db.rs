//! The book on this device: one IndexedDB database a book.
//!
//! `entries`  `dev.sequence` → the line, one row an act; what has been written since the last seal
//! `blocks`   `dev.sequence` of the first line → up to [`BLOCK`] lines: history
//! `aside`    blocks that came in a bundle and were set aside again: kept, not folded
//! `meta`     identity, the end of this device's own chain, the folded state (`snapshot` of what is live, `part.N` of
//!            what is over) with the lines that wait for earlier ones (`waiting`), and what is known of other devices
//!            (`exchange`)
//! `photos`   SHA-256 → picture
//! `people`   digest → details of somebody outside the barn (a [`journal::bundle::Person`] as JSON): lines hold the
//!            digest only, so that they can be erased for good
//!
//! A call that writes comes back only when the transaction is complete and durable. Taking a bundle in raises
//! [`Exchange::generation`]; a tab that holds an older state seals nothing and reads everything anew, so two tabs need
//! no lock between them.

use super::exchange::Exchange;
use super::identity::Me;
use super::whole::pause;
use book::Shots;
use indexed_db_futures::database::Database;
use indexed_db_futures::error::{DomException, Error as IdbError, OpenDbError};
use indexed_db_futures::prelude::*;
use indexed_db_futures::transaction::{Transaction, TransactionDurability, TransactionMode, TransactionOptions};
use journal::{Draft, Named, Sealed, Stamp, Tip, Wall};
use wasm_bindgen::JsValue;

pub(super) const ENTRIES: &str = "entries";
pub(super) const BLOCKS: &str = "blocks";
pub(super) const ASIDE: &str = "aside";
pub(super) const META: &str = "meta";
pub(super) const PHOTOS: &str = "photos";
pub(super) const PEOPLE: &str = "people";
pub(super) const BLOCK: usize = 1000;
const CLOSING_MS: i32 = 40;

/// Why storage did not do what was asked. Nothing was written when it is told.
#[derive(Clone, Debug)]
pub enum Trouble {
    /// The device has no room left.
    Full,
    /// The browser keeps no records here (private window, storage switched off).
    Absent(String),
    /// The line could not be made from the act: a fault of this program.
    Act(String),
    /// What is stored cannot be read.
    Damaged(String),
    /// The browser closed the database.
    Closed,
    /// Another tab needed the records, and this one has let go of them.
    LetGo,
    /// The records were opened by a newer version of the app.
    Newer,
    /// Another tab took a bundle in meanwhile.
    Overtaken,
    /// A part of the app is not on this device and could not be fetched.
    PartMissing,
    /// Anything else the browser says.
    Other(String),
}

impl From<IdbError> for Trouble {
    fn from(error: IdbError) -> Self {
        let said = error.to_string();
        let has = |words: &str| said.to_ascii_lowercase().contains(words);
        // Where room runs out while a transaction is committed, only its having been aborted is passed on; nothing
        // here aborts one by itself.
        if has("quota") || has("aborted") {
            Self::Full
        } else if has("invalidstate") || has("closing") || has("connection") {
            Self::Closed
        } else {
            Self::Other(said)
        }
    }
}

impl From<OpenDbError> for Trouble {
    fn from(error: OpenDbError) -> Self {
        match error {
            OpenDbError::Base(IdbError::DomException(DomException::Other(why))) if why.name() == "VersionError" => {
                Self::Newer
            }
            other => Self::Absent(other.to_string()),
        }
    }
}

/// What a start needs, read in one transaction.
pub struct Held {
    pub me: Option<Me>,
    pub snapshot: Option<String>,
    /// Lines not in the snapshot.
    pub rows: Vec<String>,
    /// Lines the snapshot cannot hold, since they wait for earlier ones.
    pub waiting: Vec<String>,
    pub exchange: Exchange,
}

/// The rows in storage, who writes, and the generation they belong to.
pub struct Rows {
    pub me: Option<Me>,
    pub rows: Vec<String>,
    pub generation: u64,
}

pub struct Db(pub(super) Database);

fn part_key(number: u32) -> String {
    format!("part.{number}")
}

/// A text of `meta`. It is asked for when this is called, not when the answer is waited for.
pub(super) fn text(tx: &Transaction<'_>, key: &str) -> impl Future<Output = Result<Option<String>, Trouble>> + use<> {
    let asked = tx.object_store(META).and_then(|meta| meta.get(key).build());
    async move { Ok(asked?.await?) }
}

fn stored_me(tx: &Transaction<'_>) -> impl Future<Output = Result<Option<Me>, Trouble>> + use<> {
    let asked = text(tx, "me");
    async move {
        let me = asked.await?;
        me.map(|text| serde_json::from_str(&text)).transpose().map_err(|e| Trouble::Damaged(e.to_string()))
    }
}

fn row_key(dev: &str, seq: u32) -> String {
    format!("{dev}.{seq:010}")
}

impl Db {
    /// Opens, and makes the stores that are not there yet; the browser is asked when this is called, not when the answer
    /// is waited for. `blocked` is told when another tab with an older version of the app has to be closed first.
    pub fn open(name: &str, blocked: Box<dyn Fn()>) -> impl Future<Output = Result<Self, Trouble>> + use<> {
        let asked = Database::open(name)
            .with_version(3u8)
            .with_on_blocked(move |_| {
                blocked();
                Ok(())
            })
            .with_on_upgrade_needed(|_, db| {
                let there: Vec<String> = db.object_store_names().collect();
                for store in [ENTRIES, BLOCKS, META, PHOTOS, PEOPLE, ASIDE] {
                    if !there.iter().any(|known| known == store) {
                        db.create_object_store(store).build()?;
                    }
                }
                Ok(())
            })
            .build();
        async move { Ok(Self(asked?.await?)) }
    }

    /// Waits until the database is no longer ours: true when a newer version of the app, in another tab, asked for it
    /// (and got it), false when the browser closed it.
    pub fn let_go(&self) -> impl Future<Output = bool> + use<> {
        let db = self.0.clone();
        async move {
            let Ok(mut changes) = db.version_changes() else { return std::future::pending().await };
            let asked = changes.recv().await.is_some();
            if asked {
                db.close();
            }
            asked
        }
    }

    pub fn close(self) {
        self.0.close();
    }

    /// Whether the browser has closed it. A transaction broken off tells of a full device or of this, and the browser
    /// tells of the transaction a moment sooner.
    pub async fn was_closed(&self) -> bool {
        pause(CLOSING_MS).await;
        self.reading([META]).is_err()
    }

    /// Removes a whole book.
    pub async fn delete(self) -> Result<(), Trouble> {
        self.0.delete()?.await?;
        Ok(())
    }

    pub(super) fn reading<const N: usize>(&self, stores: [&str; N]) -> Result<Transaction<'_>, Trouble> {
        Ok(self.0.transaction(stores).with_mode(TransactionMode::Readonly).build()?)
    }

    pub(super) fn writing<const N: usize>(&self, stores: [&str; N]) -> Result<Transaction<'_>, Trouble> {
        let strict = TransactionOptions::new().with_durability(TransactionDurability::Strict);
        Ok(self.0.transaction(stores).with_mode(TransactionMode::Readwrite).with_options(strict).build()?)
    }

    pub async fn held(&self) -> Result<Held, Trouble> {
        let tx = self.reading([META, ENTRIES])?;
        // All is asked for before the first answer: each question that waits for one costs a turn of the browser.
        let (me, snapshot, waiting) = (stored_me(&tx), text(&tx, "snapshot"), text(&tx, "waiting"));
        let (exchange, rows) = (Exchange::stored(&tx), strings(&tx, ENTRIES));
        let (me, snapshot) = (me.await?, snapshot.await?);
        let waiting = waiting.await?.unwrap_or_default().lines().map(str::to_owned).collect();
        Ok(Held { me, snapshot, waiting, exchange: exchange.await?, rows: rows.await? })
    }

    /// Every line ever taken, oldest block first.
    pub async fn all_lines(&self) -> Result<Vec<String>, Trouble> {
        let tx = self.reading([BLOCKS, ENTRIES])?;
        let mut lines: Vec<String> = Vec::new();
        for block in strings(&tx, BLOCKS).await? {
            lines.extend(block.lines().map(str::to_owned));
        }
        lines.extend(strings(&tx, ENTRIES).await?);
        Ok(lines)
    }

    /// What other tabs may have written since the last seal.
    pub async fn rows(&self) -> Result<Rows, Trouble> {
        let tx = self.reading([ENTRIES, META])?;
        let me = stored_me(&tx).await?;
        Ok(Rows { me, rows: strings(&tx, ENTRIES).await?, generation: Exchange::stored(&tx).await?.generation })
    }

    /// One part of the folded state.
    pub async fn part(&self, number: u32) -> Result<Option<String>, Trouble> {
        let tx = self.reading([META])?;
        text(&tx, &part_key(number)).await
    }

    pub async fn put_me(&self, me: &Me) -> Result<(), Trouble> {
        let tx = self.writing([META])?;
        tx.object_store(META)?.put(to_json(me)?).with_key("me").build()?;
        Ok(tx.commit().await?)
    }

    /// One act: numbered, chained, stamped and stored in the same transaction, so that two tabs can never give
    /// out one number twice. `seen` is the latest stamp of anyone's: what is done after seeing it is stamped after it.
    pub async fn append(&self, me: &Me, draft: Draft, wall: &Wall, seen: Stamp) -> Result<Sealed, Trouble> {
        let tx = self.writing([META, ENTRIES])?;
        let meta = tx.object_store(META)?;
        let tip = text(&tx, "tip").await?;
        let mut tip: Tip = match tip {
            Some(text) => serde_json::from_str(&text).map_err(|e| Trouble::Damaged(e.to_string()))?,
            None => Tip::default(),
        };
        tip.clock = tip.clock.see(seen, wall.ms);
        // A short reference, kept by an older version that wrote nothing more, is left out: lines hold exact ones.
        let continues = me.continues.and_then(Named::whole).filter(|_| tip.seq == 0);
        let draft = Draft { continues, ..draft };
        let sealed = journal::seal(draft, &me.identity(), &tip, wall).map_err(|e| Trouble::Act(e.to_string()))?;
        meta.put(to_json(&sealed.tip)?).with_key("tip").build()?;
        let key = row_key(&me.dev.to_string(), sealed.tip.seq);
        tx.object_store(ENTRIES)?.add(sealed.line.as_str()).with_key(key).build()?;
        tx.commit().await?;
        Ok(sealed)
    }

    /// Moves the rows into a block and keeps the folded state beside them. `rows` is how many rows `state` knows of:
    /// when another tab has written meanwhile, or taken a bundle in, nothing is done and the next seal will do it.
    pub async fn seal_rows(&self, rows: usize, state: &Folded) -> Result<bool, Trouble> {
        let tx = self.writing([META, ENTRIES, BLOCKS])?;
        if Exchange::stored(&tx).await?.generation != state.generation {
            return Ok(false);
        }
        let entries = tx.object_store(ENTRIES)?;
        let lines = strings(&tx, ENTRIES).await?;
        if lines.len() != rows {
            return Ok(false);
        }
        let blocks = tx.object_store(BLOCKS)?;
        for chunk in lines.chunks(BLOCK) {
            let Some(first) = chunk.first() else { continue };
            let entry = journal::Entry::read(first).map_err(|e| Trouble::Damaged(e.to_string()))?;
            let key = row_key(&entry.reference.dev.to_string(), entry.reference.seq);
            blocks.put(chunk.join("\n")).with_key(key).build()?;
        }
        entries.clear()?.await?;
        state.put(&tx)?;
        tx.commit().await?;
        Ok(true)
    }

    /// Keeps the folded state of lines that are all stored already, unless a bundle came in meanwhile.
    pub async fn put_state(&self, state: &Folded) -> Result<bool, Trouble> {
        let tx = self.writing([META])?;
        if Exchange::stored(&tx).await?.generation != state.generation {
            return Ok(false);
        }
        state.put(&tx)?;
        tx.commit().await?;
        Ok(true)
    }

    pub async fn put_photo(&self, sha256: &str, picture: &JsValue) -> Result<(), Trouble> {
        let tx = self.writing([PHOTOS])?;
        tx.object_store(PHOTOS)?.put(picture.clone()).with_key(sha256).build()?;
        Ok(tx.commit().await?)
    }

    /// Keeps somebody's details under their digest.
    pub async fn put_person(&self, digest: &str, person: &str) -> Result<(), Trouble> {
        let tx = self.writing([PEOPLE])?;
        tx.object_store(PEOPLE)?.put(person).with_key(digest).build()?;
        Ok(tx.commit().await?)
    }

    /// Details that are here; those of other devices may never have come.
    pub async fn person(&self, digest: &str) -> Result<Option<String>, Trouble> {
        let tx = self.reading([PEOPLE])?;
        Ok(tx.object_store(PEOPLE)?.get(digest).await?)
    }

    /// Hashes of all pictures held.
    pub async fn photo_keys(&self) -> Result<Vec<String>, Trouble> {
        let tx = self.reading([PHOTOS])?;
        Ok(tx.object_store(PHOTOS)?.get_all_keys::<String>().await?.collect::<Result<_, _>>()?)
    }

    pub async fn drop_photos(&self, hashes: &[String]) -> Result<(), Trouble> {
        let tx = self.writing([PHOTOS])?;
        let store = tx.object_store(PHOTOS)?;
        for hash in hashes {
            store.delete(hash.as_str()).build()?;
        }
        Ok(tx.commit().await?)
    }

    pub async fn photo(&self, sha256: &str) -> Result<Option<JsValue>, Trouble> {
        let tx = self.reading([PHOTOS])?;
        Ok(tx.object_store(PHOTOS)?.get(sha256).await?)
    }
}

/// The folded state, to be kept beside the lines.
pub struct Folded {
    pub generation: u64,
    pub shots: Shots,
    /// The lines that wait for earlier ones.
    pub waiting: String,
}

impl Folded {
    fn put(&self, tx: &Transaction<'_>) -> Result<(), Trouble> {
        let meta = tx.object_store(META)?;
        for (number, part) in &self.shots.parts {
            meta.put(part.as_str()).with_key(part_key(*number)).build()?;
        }
        meta.put(self.shots.snapshot.as_str()).with_key("snapshot").build()?;
        meta.put(self.waiting.as_str()).with_key("waiting").build()?;
        Ok(())
    }
}

/// All texts of a store, asked for when this is called.
pub(super) fn strings(tx: &Transaction<'_>, store: &str) -> impl Future<Output = Result<Vec<String>, Trouble>> + use<> {
    let asked = tx.object_store(store).and_then(|store| store.get_all::<String>().build());
    async move { Ok(asked?.await?.collect::<Result<_, _>>()?) }
}

pub(super) fn to_json<T: serde::Serialize>(value: &T) -> Result<String, Trouble> {
    serde_json::to_string(value).map_err(|e| Trouble::Act(e.to_string()))
}
