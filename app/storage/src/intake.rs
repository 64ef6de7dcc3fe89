//! Bundles into storage, set aside, and taken back: each in one transaction, whole or not at all.

use crate::cover::LineSet;
use crate::disk::{Store, Trouble, Tx, Value};
use crate::exchange::{Exchange, Import, Known};
use crate::identity::{Fresh, Me};
use crate::layout::{
    BlockInfo, COVER, Cover, DIRECTORY, EXCHANGE, IMPORT, Kept, ME, STATE, TIP, arrived_key, heads_key, import_key,
    import_of, is_arrived, row_of,
};
use crate::lines::whose;
use crate::open::{in_spans, pass_over, still_waiting, take};
use crate::people::lock_of;
use crate::planted::{Fault, planted};
use crate::seal::BLOCK;
use crate::tab::{Attempt, Tab, no_cover, part, stored};
use book::Book;
use journal::{DeviceId, Entry, Hash, Id, Ref, Taken};
use std::collections::BTreeSet;

/// Lines folded before the page may draw again.
const AT_ONCE: usize = 2000;

/// What a bundle brings.
pub struct Intake<'a> {
    /// A line end after each.
    pub lines: &'a str,
    /// Pictures by hash.
    pub photos: &'a [(String, Value)],
    /// People's details by digest.
    pub people: &'a [(String, String)],
    /// The lock that they are stored by ([`crate::People`]).
    pub people_lock: Option<&'a str>,
    /// Digests of details erased for good: what is here of them goes.
    pub erased: &'a [String],
    /// The epoch of what the bundle was compared with.
    pub epoch: u64,
    pub successor: Successor,
}

/// Who writes here after a bundle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Successor {
    /// The same as before. On a device that has written nothing, a new identity in the bundle's `book`.
    Same { book: Id },
    /// This device's own id is used elsewhere: it goes on under a new one.
    Renamed { book: Id, dev: DeviceId },
}

impl Tab {
    /// Takes a bundle in: all of it, or on any trouble nothing. `note` changes what is known of other devices and names
    /// the import by its number; `told` hears the share, in percent, that is also folded.
    ///
    /// # Errors
    /// [`Trouble::Overtaken`] when the records, or the lock of people's details, have changed since the bundle was
    /// looked at.
    pub async fn take_in(
        &self,
        intake: &Intake<'_>,
        note: impl Fn(&mut Exchange, u32),
        told: impl Fn(u32),
    ) -> Result<(), Trouble> {
        let (before, rows, start) = {
            let _turn = self.whole_turn().await?;
            let fresh = self.fresh(true).await;
            let (me, exchange, after, added) = self
                .healed(async || self.with_db(async |db| self.take_in_on(db, intake, &note, &fresh).await).await)
                .await?;
            let now = &mut self.inner.borrow_mut().now;
            let mut book = match now.book.journal().book() == me.book {
                true => now.book.clone(),
                false => Book::new(me.book),
            };
            exchange.joined.iter().for_each(|other| book.join(*other));
            now.exchange = Known::of(exchange);
            (book, now.rows.clone(), (me, after, added, now.epoch, now.sealed, now.waiting.clone(), now.gaps.clone()))
        };
        self.disk.tell_tabs();
        let (me, after, added, epoch, sealed, mut waiting, gaps) = start;
        let total = intake.lines.lines().count();
        let mut book = before;
        let mut lines = intake.lines.lines().peekable();
        let (mut known, mut done) = (true, 0);
        if planted(Fault::HalfFolded) {
            self.inner.borrow_mut().now.epoch = after.epoch;
        }
        while lines.peek().is_some() {
            told(u32::try_from(100 * done / total.max(1)).unwrap_or(100).min(100));
            done += AT_ONCE;
            for line in lines.by_ref().take(AT_ONCE) {
                let entry = Entry::read(line);
                // What was passed over is there after all.
                known &= !entry.as_ref().is_ok_and(|entry| in_spans(&gaps, entry.dev(), entry.seq()));
                match entry.map(|entry| book.take_entry(entry)) {
                    Ok(Ok(Taken::NeedsHistory)) => known = false,
                    Ok(Ok(Taken::Held)) => waiting.push(line.to_owned()),
                    _ => {}
                }
                if planted(Fault::HalfFolded) {
                    take(&mut self.inner.borrow_mut().now.book, line, &mut Vec::new());
                }
            }
            // What is shown stays as it was until all of it is folded.
            self.disk.pause(0).await;
        }
        let _turn = self.whole_turn().await?;
        {
            let now = &mut self.inner.borrow_mut().now;
            // Folded here is what this tab knew, and the bundle: only if nothing else came between.
            let same = (now.epoch, now.sealed) == (epoch, sealed) && known && now.rest.is_none();
            if same {
                pass_over(&mut book, &gaps);
                still_waiting(&book, &mut waiting);
                now.book = book;
                now.waiting = waiting;
                now.rows = rows;
                now.me = Some(me);
                (now.epoch, now.sealed) = (after.epoch, sealed + added);
                now.kept = false;
            }
        }
        // Acts of the meantime, and whatever else is stored otherwise than it was folded here.
        self.catch_up_here().await?;
        Ok(())
    }

    async fn take_in_on(
        &self,
        db: &Attempt<'_>,
        intake: &Intake<'_>,
        note: &impl Fn(&mut Exchange, u32),
        fresh: &Fresh,
    ) -> Result<(Me, Exchange, Cover, LineSet), Trouble> {
        let tx = db.begin(&Store::ALL, true)?;
        let (me, exchange, stored) = (part::<Me>(&*tx, ME), part::<Exchange>(&*tx, EXCHANGE), stored(&*tx));
        let (blocks, aside, rows) = (tx.keys(Store::Blocks), tx.keys(Store::Aside), tx.keys(Store::Rows));
        let lock = (!intake.people.is_empty()).then(|| lock_of(&*tx));
        let (me, mut exchange) = (me.await?, exchange.await?.unwrap_or_default());
        let (covered, mut directory) = stored.await?;
        let (blocks, aside, rows) = (blocks.await?, aside.await?, rows.await?);
        // A device that has stored nothing has no record of it either.
        let nothing = blocks.is_empty() && rows.is_empty();
        let covered = match covered {
            Some(covered) => covered,
            None if nothing => Cover::default(),
            None => return Err(no_cover()),
        };
        if let Some(lock) = lock
            && lock.await?.as_deref() != intake.people_lock
        {
            return Err(Trouble::Overtaken);
        }
        if covered.epoch != intake.epoch && !planted(Fault::LateImport) {
            return Err(Trouble::Overtaken);
        }
        // Some of it came out of a shared store since then, which is no new epoch.
        let arrived: BTreeSet<String> = rows.iter().filter(|key| is_arrived(key)).cloned().collect();
        let acts: BTreeSet<(DeviceId, u32)> = arrived.iter().filter_map(|key| row_of(key)).collect();
        let twice = |line: &str| {
            let act = whose(line).filter(|act| acts.contains(act));
            act.is_some_and(|(dev, seq)| {
                arrived.contains(&arrived_key(&Ref { dev, seq, hash: Hash::of(line.as_bytes()) }))
            })
        };
        if !arrived.is_empty() && intake.lines.lines().any(twice) {
            return Err(Trouble::Overtaken);
        }
        let (Successor::Same { book } | Successor::Renamed { book, .. }) = intake.successor;
        // Acts were written in a book of its own since the bundle was looked at.
        let own = covered.rows.count + covered.sealed.count > 0;
        if own && me.as_ref().is_some_and(|me| me.book != book) {
            return Err(Trouble::Overtaken);
        }
        let (me, changed) = self.successor(&*tx, me, intake.successor, fresh);
        if changed {
            tx.put(Store::Meta, ME, me.text().into())?;
            tx.delete(Store::Meta, TIP)?;
        }
        // Blocks name the bundle they came with; one that is no longer listed keeps its number.
        let taken = blocks.iter().chain(&aside).filter_map(|key| import_of(key));
        let n = exchange.imports.iter().map(|import| import.n).chain(taken).max().unwrap_or(0) + 1;
        let lines: Vec<&str> = intake.lines.lines().collect();
        for (chunk, lines) in lines.chunks(BLOCK).enumerate() {
            let (key, text) = (import_key(n, chunk), lines.join("\n"));
            let (block, heads) = BlockInfo::of(&key, &text);
            directory.push(block);
            tx.put(Store::Meta, &heads_key(&key), heads.as_text().into())?;
            tx.add(Store::Blocks, &key, text.into())?;
        }
        for (hash, picture) in intake.photos {
            tx.put(Store::Photos, hash, picture.clone())?;
        }
        for (digest, person) in intake.people {
            tx.put(Store::People, digest, person.as_str().into())?;
        }
        for digest in intake.erased {
            tx.delete(Store::People, digest)?;
        }
        note(&mut exchange, n);
        tx.put(Store::Meta, EXCHANGE, exchange.text().into())?;
        let after = put_cover(&*tx, &covered, &directory)?;
        db.commit(tx).await?;
        let added = after.sealed - covered.sealed;
        Ok((me, exchange, after, added))
    }

    /// The identity after a bundle, and whether it is a new one.
    fn successor(&self, tx: &dyn Tx, me: Option<Me>, successor: Successor, fresh: &Fresh) -> (Me, bool) {
        let new = |book, by: &str| fresh.writer(tx, book, by);
        let (Successor::Same { book } | Successor::Renamed { book, .. }) = successor;
        match me {
            None => (new(book, &self.keeper), true),
            Some(me) if me.book != book => (new(book, &me.by), true),
            Some(me) => match successor {
                Successor::Renamed { dev, .. } if dev == me.dev => {
                    let chain = self.book().journal().chain(dev);
                    let continues = chain.and_then(|chain| Some(Ref { dev, seq: chain.seq, hash: chain.hash? }));
                    (Me { continues, ..new(book, &me.by) }, true)
                }
                _ => (me, false),
            },
        }
    }

    /// Sets a bundle's lines aside, or takes them back, and reads everything anew. Nothing is dropped.
    pub async fn set_aside(&self, import: u32, aside: bool) -> Result<(), Trouble> {
        let _turn = self.whole_turn().await?;
        self.healed(async || self.with_db(async |db| set_aside_on(db, import, aside).await).await).await?;
        self.disk.tell_tabs();
        self.read_anew().await
    }
}

async fn set_aside_on(db: &Attempt<'_>, import: u32, aside: bool) -> Result<(), Trouble> {
    let tx = db.begin(&[Store::Meta, Store::Blocks, Store::Aside], true)?;
    let (stored, exchange) = (stored(&*tx), part::<Exchange>(&*tx, EXCHANGE));
    let (from, to) = if aside { (Store::Blocks, Store::Aside) } else { (Store::Aside, Store::Blocks) };
    let keys = tx.keys(from);
    let ((covered, mut directory), mut exchange) = (stored.await?, exchange.await?.unwrap_or_default());
    let covered = covered.ok_or_else(no_cover)?;
    let of_import = |key: &str| key.starts_with(IMPORT) && import_of(key) == Some(import);
    for key in keys.await?.into_iter().filter(|key| of_import(key)) {
        let Some(Value::Text(text)) = tx.get(from, &key).await? else {
            return Err(Trouble::Damaged(format!("block “{key}”")));
        };
        // What is moved must be what was stored: set aside, nobody looks at it any more.
        let heads = tx.get(Store::Meta, &heads_key(&key)).await?.and_then(Value::text);
        let (block, own) = BlockInfo::of(&key, &text);
        if heads.is_some_and(|heads| heads != own.as_text()) {
            return Err(Trouble::Damaged(format!("block “{key}”")));
        }
        match aside {
            true => directory.retain(|block| block.key != key),
            false => directory.push(block),
        }
        tx.add(to, &key, text.into())?;
        tx.delete(from, &key)?;
    }
    exchange.imports.iter_mut().filter(|other| other.n == import).for_each(|import: &mut Import| import.aside = aside);
    tx.put(Store::Meta, EXCHANGE, exchange.text().into())?;
    match planted(Fault::SilentAside) {
        true => {
            let blocks = u32::try_from(directory.len()).unwrap_or(u32::MAX);
            tx.put(Store::Meta, COVER, Cover { blocks, ..covered.clone() }.text().into())?;
        }
        false => drop(put_cover(&*tx, &covered, &directory)?),
    }
    db.commit(tx).await
}

/// Writes what is stored after blocks came or went. The folded state covers something else then.
fn put_cover(tx: &dyn Tx, before: &Cover, directory: &Vec<BlockInfo>) -> Result<Cover, Trouble> {
    let after = Cover {
        epoch: before.epoch + 1,
        sealed: directory.iter().map(|block| block.lines).sum(),
        blocks: u32::try_from(directory.len()).unwrap_or(u32::MAX),
        ..before.clone()
    };
    tx.put(Store::Meta, DIRECTORY, directory.text().into())?;
    tx.put(Store::Meta, COVER, after.text().into())?;
    tx.delete(Store::Meta, STATE)?;
    Ok(after)
}
