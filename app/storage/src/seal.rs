//! Rows into blocks, with the folded state beside them.

use crate::cover::LineSet;
use crate::disk::{Store, Trouble};
use crate::layout::{
    BlockInfo, COVER, Cover, DIRECTORY, Kept, PART, SNAPSHOT, STATE, StateHead, Sum, WAITING, arrived_block, heads_key,
    is_arrived, sealed_key,
};
use crate::open::still_waiting;
use crate::planted::{Fault, planted};
use crate::tab::{Attempt, Tab, no_cover, stored};
use book::Shots;
use journal::Hash;
use std::collections::{BTreeMap, BTreeSet};

/// Rows are sealed into blocks, and the folded state kept, once there are this many.
pub const SEAL_AT: usize = 400;
/// Lines of one block.
pub const BLOCK: usize = 1000;

/// What is over for so many days is kept in parts of so many records; few in tests, so that there are any.
const LIVE_DAYS: u64 = if cfg!(test) { 1 } else { book::LIVE_DAYS };
const PART_OF: usize = if cfg!(test) { 2 } else { book::PART };

/// The folded state, to be kept beside the lines it covers.
struct Folded {
    epoch: u64,
    sealed: LineSet,
    rows: BTreeMap<String, Hash>,
    /// Those stored already.
    parts: Vec<Sum>,
    shots: Shots,
    waiting: String,
}

impl Tab {
    /// Whether rows should be sealed, or the folded state kept, by [`Tab::keep`].
    pub fn wants_keeping(&self) -> bool {
        let inner = self.inner.borrow();
        inner.now.me.is_some() && inner.now.rest.is_none() && (!inner.now.kept || inner.now.rows.len() >= SEAL_AT)
    }

    /// Seals the rows and keeps the state as it stands. Not kept now is no loss: the rows are as durable as a block, and
    /// the next start folds the lines.
    pub async fn keep(&self) -> Result<(), Trouble> {
        loop {
            let _turn = self.whole_turn().await?;
            if self.inner.borrow().now.me.is_none() || !self.healed(async || self.keep_once().await).await? {
                return Ok(());
            }
        }
    }

    /// Keeps a few parts, or all there are; whether there may be more.
    async fn keep_once(&self) -> Result<bool, Trouble> {
        let folded = self.folded();
        let kept = self.with_db(async |db| self.keep_on(db, &folded).await).await;
        if let Ok(Some(covered)) = kept {
            let now = &mut self.inner.borrow_mut().now;
            now.rows.retain(|key, _| !folded.rows.contains_key(key));
            (now.epoch, now.sealed, now.kept) = (covered.epoch, covered.sealed, true);
            now.parts = folded.all_parts();
            return Ok(!folded.shots.parts.is_empty());
        }
        self.inner.borrow_mut().now.book.not_kept(&folded.shots);
        // Another tab did something first: what it did is taken up, and the next act tries again.
        kept?;
        self.read_anew().await?;
        Ok(false)
    }

    fn folded(&self) -> Folded {
        let ms = self.disk.wall().ms;
        let mut inner = self.inner.borrow_mut();
        let now = &mut inner.now;
        still_waiting(&now.book, &mut now.waiting);
        Folded {
            epoch: now.epoch,
            sealed: now.sealed,
            rows: now.rows.clone(),
            parts: now.parts.clone(),
            shots: now.book.shots(ms, LIVE_DAYS, PART_OF),
            waiting: now.waiting.join("\n"),
        }
    }

    /// All in one transaction, and only where the book covers exactly the lines that are stored.
    async fn keep_on(&self, db: &Attempt<'_>, folded: &Folded) -> Result<Option<Cover>, Trouble> {
        let tx = db.begin(&[Store::Meta, Store::Rows, Store::Blocks], true)?;
        let stored = stored(&*tx);
        let (rows, keys) = (tx.all(Store::Rows), tx.keys(Store::Meta));
        let (covered, mut directory) = stored.await?;
        let covered = covered.ok_or_else(no_cover)?;
        let (rows, keys) = (rows.await?, keys.await?);
        let same = covered.epoch == folded.epoch && covered.sealed == folded.sealed;
        if !same && !planted(Fault::LooseState) && !planted(Fault::HalfFolded) && !planted(Fault::StaleTab) {
            return Ok(None);
        }
        let (mut own, mut arrived) = (Vec::with_capacity(rows.len()), Vec::new());
        let count = rows.len();
        for (key, value) in rows {
            let Some(line) = value.text() else { return Ok(None) };
            let known = folded.rows.get(&key).is_some_and(|hash| *hash == Hash::of(line.as_bytes()));
            if !known && !planted(Fault::SealBlind) && !planted(Fault::StaleTab) {
                return Ok(None);
            }
            match is_arrived(&key) {
                true => arrived.push(line),
                false => own.push(line),
            }
        }
        if count != folded.rows.len() && !planted(Fault::SealBlind) && !planted(Fault::StaleTab) {
            return Ok(None);
        }
        let parts: BTreeSet<String> = folded.parts.iter().map(|sum| sum.part_key()).collect();
        let there: BTreeSet<&str> = keys.iter().filter(|key| key.starts_with(PART)).map(String::as_str).collect();
        // Another tab may have kept its own parts and removed these.
        if !parts.iter().all(|part| there.contains(part.as_str())) {
            return Ok(None);
        }
        let epoch = covered.epoch + 1;
        let sealed = own.chunks(BLOCK).enumerate().map(|(n, lines)| (sealed_key(epoch, n), lines));
        let others = arrived.chunks(BLOCK).enumerate().map(|(n, lines)| (arrived_block(epoch, n), lines));
        for (key, lines) in sealed.chain(others) {
            let text = lines.join("\n");
            let key = if planted(Fault::PutBlocks) { "seal.first".to_owned() } else { key };
            let (block, heads) = BlockInfo::of(&key, &text);
            directory.push(block);
            tx.put(Store::Meta, &heads_key(&key), heads.as_text().into())?;
            match planted(Fault::PutBlocks) {
                true => tx.put(Store::Blocks, &key, text.into())?,
                false => tx.add(Store::Blocks, &key, text.into())?,
            }
        }
        tx.clear(Store::Rows)?;
        let after = Cover {
            epoch,
            sealed: directory.iter().map(|block| block.lines).sum(),
            blocks: u32::try_from(directory.len()).unwrap_or(u32::MAX),
            ..Cover::default()
        };
        tx.put(Store::Meta, DIRECTORY, directory.text().into())?;
        tx.put(Store::Meta, COVER, after.text().into())?;
        folded.put(&*tx, &after, &there)?;
        db.commit(tx).await?;
        Ok(Some(after))
    }
}

impl Folded {
    fn all_parts(&self) -> Vec<Sum> {
        let new = self.shots.parts.iter().map(|(_, text)| Sum::of(text));
        self.parts.iter().copied().chain(new).collect()
    }

    fn put(&self, tx: &dyn crate::disk::Tx, covered: &Cover, there: &BTreeSet<&str>) -> Result<(), Trouble> {
        let parts = self.all_parts();
        for (_, text) in &self.shots.parts {
            tx.put(Store::Meta, &Sum::of(text).part_key(), text.as_str().into())?;
        }
        let named: BTreeSet<String> = parts.iter().map(|sum| sum.part_key()).collect();
        for old in there.iter().filter(|old| !named.contains(**old)) {
            tx.delete(Store::Meta, old)?;
        }
        let head = StateHead {
            epoch: covered.epoch,
            sealed: covered.sealed,
            snapshot: Sum::of(&self.shots.snapshot),
            waiting: Sum::of(&self.waiting),
            parts,
        };
        tx.put(Store::Meta, STATE, head.text().into())?;
        tx.put(Store::Meta, SNAPSHOT, self.shots.snapshot.as_str().into())?;
        tx.put(Store::Meta, WAITING, self.waiting.as_str().into())
    }
}
