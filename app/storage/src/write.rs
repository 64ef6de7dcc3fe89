//! Acts into storage, and lines looked up again.

use crate::cover::LineSet;
use crate::disk::{Store, Trouble, Value};
use crate::exchange::Exchange;
use crate::harm::Harm;
use crate::identity::Me;
use crate::layout::{BlockInfo, COVER, Cover, DIRECTORY, EXCHANGE, GAPS, Gap, HARMS, ME, TIP, json, row_key};
use crate::open::{in_spans, own_end_fits};
use crate::planted::{Fault, planted};
use crate::tab::{Attempt, Tab, part, stored};
use journal::{Draft, Entry, Named, Ref, Sealed, Stamp, Taken, Tip, UndoPlan, Wall};
use std::collections::{BTreeMap, BTreeSet};

/// How often an act is tried when other tabs come first each time.
const TRIES: u32 = 20;

/// What is stored, at one moment.
pub struct Everything {
    pub me: Option<Me>,
    pub exchange: Exchange,
    pub covered: Cover,
    /// A line end after each.
    pub lines: String,
}

async fn everything_on(db: &Attempt<'_>) -> Result<Everything, Trouble> {
    let tx = db.begin(&[Store::Meta, Store::Blocks, Store::Rows], false)?;
    let (me, exchange, stored) = (part::<Me>(&*tx, ME), part::<Exchange>(&*tx, EXCHANGE), stored(&*tx));
    let (blocks, rows) = (tx.all(Store::Blocks), tx.all(Store::Rows));
    let (me, exchange) = (me.await?, exchange.await?.unwrap_or_default());
    let covered = stored.await?.0.unwrap_or_default();
    let mut lines = String::new();
    for (_, value) in blocks.await?.into_iter().chain(rows.await?) {
        for line in value.text().iter().flat_map(|text| text.lines()) {
            lines.push_str(line);
            lines.push('\n');
        }
    }
    // Lost lines are told before anybody is sent what is left; changed ones are found by a look.
    match lines.lines().count() as u64 == covered.sealed.count + covered.rows.count || planted(Fault::NoCount) {
        true => Ok(Everything { me, exchange, covered, lines }),
        false => Err(Trouble::Damaged("lines that were stored are not there".to_owned())),
    }
}

/// What an act's transaction found and wrote.
struct Written {
    sealed: Sealed,
    key: String,
    me: Me,
    epoch: u64,
}

impl Tab {
    /// Stores an act; comes back when it is durable *and* shown here.
    ///
    /// # Errors
    /// Nothing is stored then, except with [`Trouble::Damaged`] after "stored": the words say so.
    pub async fn append(&self, draft: Draft) -> Result<Ref, Trouble> {
        let _turn = self.whole_turn().await?;
        let mut tries = 0;
        let written = loop {
            tries += 1;
            match self.write(&draft).await {
                // Another tab did something first: what it did comes before this act.
                Err(Trouble::Overtaken) if tries < TRIES => drop(self.catch_up_here().await?),
                Err(Trouble::Damaged(_)) if tries < TRIES => {
                    self.mend().await?;
                    self.read_anew().await?;
                }
                // The browser did not say whether it is stored.
                Err(Trouble::Stalled) => {
                    self.read_anew().await?;
                    let sent =
                        self.sent.take().filter(|sent| self.book().journal().holds(sent.0.dev, sent.0.seq, &sent.1));
                    return sent.map(|(reference, _)| reference).ok_or(Trouble::Stalled);
                }
                written => break written?,
            }
        };
        let reference = written.sealed.reference;
        self.disk.tell_tabs();
        if !self.fold_own(written) {
            self.read_anew().await.map_err(|trouble| {
                Trouble::Damaged(format!("the act is stored, and is shown after loading the page again ({trouble:?})"))
            })?;
        }
        Ok(reference)
    }

    async fn write(&self, draft: &Draft) -> Result<Written, Trouble> {
        let wall = self.disk.wall();
        let fresh = (self.disk.random(), self.disk.random());
        let seen = self.book().journal().clock(wall.ms);
        self.with_db(async |db| self.write_on(db, draft, &wall, seen, fresh).await).await
    }

    /// One act: numbered, chained, stamped and stored in the same transaction, by the identity that is stored, so that
    /// two tabs can never give out one number twice. `seen` is the latest stamp of anyone's: what is done after seeing
    /// it is stamped after it.
    async fn write_on(
        &self,
        db: &Attempt<'_>,
        draft: &Draft,
        wall: &Wall,
        seen: Stamp,
        fresh: ([u8; 32], [u8; 32]),
    ) -> Result<Written, Trouble> {
        let tx = db.begin(&[Store::Meta, Store::Rows], true)?;
        let (me, tip, covered) = (part::<Me>(&*tx, ME), part::<Tip>(&*tx, TIP), part::<Cover>(&*tx, COVER));
        let (mut me, tip, covered) = (me.await?, tip.await?, covered.await?);
        if planted(Fault::OldIdentity) {
            me = self.inner.borrow().now.me.clone().or(me);
        }
        let (me, before) = match (me, covered) {
            (Some(me), Some(covered)) => (me, covered),
            (None, None) if self.inner.borrow().now.me.is_some() => return Err(Trouble::Removed),
            (None, None) if tx.keys(Store::Rows).await?.is_empty() => self.begin_book(fresh),
            _ => return Err(Trouble::Damaged("who writes here".to_owned())),
        };
        let mut tip = tip.unwrap_or_default();
        if !planted(Fault::NoTip) && !planted(Fault::OldIdentity) && !planted(Fault::StaleTab) {
            self.check_level(&me, &tip, &before)?;
        }
        tip.clock = tip.clock.see(seen, wall.ms);
        let draft = Draft { continues: me.continues.filter(|_| tip.seq == 0), ..draft.clone() };
        let sealed = journal::seal(draft, &me.identity(), &tip, wall).map_err(|e| Trouble::Act(e.to_string()))?;
        let hash = sealed.tip.prev.ok_or_else(|| Trouble::Act("an act without a hash".to_owned()))?;
        let mut after = before;
        after.rows += LineSet::one(&hash);
        after.row_heads.add(&hash);
        let key = row_key(me.dev, sealed.tip.seq);
        tx.put(Store::Meta, ME, json(&me).into())?;
        tx.put(Store::Meta, TIP, json(&sealed.tip).into())?;
        tx.put(Store::Meta, COVER, json(&after).into())?;
        tx.add(Store::Rows, &key, sealed.line.as_str().into())?;
        self.sent.set(Some((sealed.reference, hash)));
        match planted(Fault::SavedEarly) {
            true => drop(tx),
            false => db.commit(tx).await?,
        }
        Ok(Written { sealed, key, me, epoch: after.epoch })
    }

    /// The first act of a device makes its identity.
    fn begin_book(&self, fresh: ([u8; 32], [u8; 32])) -> (Me, Cover) {
        let book = self.book().journal().book();
        (Me::new(book, &self.keeper, fresh.0, fresh.1), Cover { epoch: 1, ..Cover::default() })
    }

    /// This tab must know all that is stored, and the stored tip must be the end of this device's chain: then the act is
    /// numbered rightly, and shown as soon as it is stored.
    fn check_level(&self, me: &Me, tip: &Tip, stored: &Cover) -> Result<(), Trouble> {
        let inner = self.inner.borrow();
        let now = &inner.now;
        if now.me.is_none()
            && stored.rows.is_empty()
            && stored.sealed.is_empty()
            && me.book == now.book.journal().book()
        {
            return Ok(());
        }
        let same_writer = now.me.as_ref().is_some_and(|own| own.dev == me.dev);
        if !same_writer || stored.epoch != now.epoch || stored.rows != now.rows_set() {
            return Err(Trouble::Overtaken);
        }
        match own_end_fits(&now.book, me, tip) {
            true => Ok(()),
            false => Err(Trouble::Damaged("the end of this device's acts".to_owned())),
        }
    }

    /// Folds one's own act; whether it is shown now.
    fn fold_own(&self, written: Written) -> bool {
        let Written { sealed, key, me, epoch } = written;
        let now = &mut self.inner.borrow_mut().now;
        let Ok(entry) = Entry::read(&sealed.line) else { return false };
        let hash = entry.hash;
        let shown = matches!(now.book.take_entry(entry), Ok(Taken::New { .. }));
        if shown {
            now.rows.insert(key, hash);
            now.me = Some(me);
            now.epoch = epoch;
        }
        shown || planted(Fault::OldIdentity) || planted(Fault::StaleTab)
    }

    /// From now on the acts of this device are `person`'s.
    pub async fn write_as(&self, person: &str) -> Result<(), Trouble> {
        let _turn = self.whole_turn().await?;
        let fresh = (self.disk.random(), self.disk.random());
        let name = async |db: &Attempt<'_>| {
            let tx = db.begin(&[Store::Meta], true)?;
            let (me, covered) = (part::<Me>(&*tx, ME), part::<Cover>(&*tx, COVER));
            let (me, covered) = match (me.await?, covered.await?) {
                (Some(me), Some(covered)) => (me, covered),
                (None, None) => self.begin_book(fresh),
                _ => return Err(Trouble::Damaged("who writes here".to_owned())),
            };
            let me = Me { by: person.to_owned(), ..me };
            tx.put(Store::Meta, ME, json(&me).into())?;
            tx.put(Store::Meta, COVER, json(&covered).into())?;
            db.commit(tx).await?;
            Ok((me, covered))
        };
        let me = self.healed(async || self.with_db(name).await).await?;
        {
            let now = &mut self.inner.borrow_mut().now;
            if now.me.is_none() {
                now.epoch = me.1.epoch;
            }
            now.me = Some(me.0);
        }
        self.disk.tell_tabs();
        Ok(())
    }

    /// The identity that writes here; the first thing that needs one makes it.
    pub async fn writer(&self) -> Result<Me, Trouble> {
        let known = self.inner.borrow().now.me.clone();
        match known {
            Some(me) => Ok(me),
            None => {
                let keeper = self.keeper.clone();
                self.write_as(&keeper).await?;
                self.inner.borrow().now.me.clone().ok_or(Trouble::Removed)
            }
        }
    }

    /// Takes what other tabs have written; true when something is shown otherwise now.
    pub async fn catch_up(&self) -> Result<bool, Trouble> {
        let _turn = self.whole_turn().await?;
        self.catch_up_here().await
    }

    pub(crate) async fn catch_up_here(&self) -> Result<bool, Trouble> {
        let (me, covered, exchange, gaps, rows) = self
            .with_db(async |db| {
                let tx = db.begin(&[Store::Meta, Store::Rows], false)?;
                let (me, covered) = (part::<Me>(&*tx, ME), part::<Cover>(&*tx, COVER));
                let (exchange, gaps) = (part::<Exchange>(&*tx, EXCHANGE), part::<Vec<Gap>>(&*tx, GAPS));
                let (harms, rows) = (part::<Vec<Harm>>(&*tx, HARMS), tx.all(Store::Rows));
                self.inner.borrow_mut().harms = harms.await.ok().flatten().unwrap_or_default();
                Ok((me.await, covered.await, exchange.await, gaps.await, rows.await?))
            })
            .await?;
        let (me, covered) = match (me, covered, exchange, gaps) {
            (Ok(Some(me)), Ok(Some(covered)), Ok(exchange), Ok(gaps)) => {
                if !self.same_reading(exchange.unwrap_or_default(), &gaps.unwrap_or_default()) {
                    return self.read_anew().await.map(|()| true);
                }
                (me, covered)
            }
            (Ok(None), Ok(None), ..) => {
                return if self.inner.borrow().now.me.is_none() { Ok(false) } else { Err(Trouble::Removed) };
            }
            _ => return self.read_anew().await.map(|()| true),
        };
        if planted(Fault::StaleTab) {
            return Ok(self.take_rows(&rows));
        }
        if !self.adopt(&me, &covered, &rows) {
            return self.read_anew().await.map(|()| true);
        }
        let fresh = self.take_rows(&rows);
        let level = {
            let mut inner = self.inner.borrow_mut();
            let by = inner.now.me.as_ref().map(|me| &me.by) != Some(&me.by);
            inner.now.me = Some(me);
            (inner.now.rows_set() == covered.rows).then_some(by)
        };
        match level {
            Some(by) => Ok(fresh || by),
            None => self.read_anew().await.map(|()| true),
        }
    }

    /// Whether lines are read in the same way as before. What else is known of other devices is noted.
    fn same_reading(&self, exchange: Exchange, gaps: &[Gap]) -> bool {
        let now = &mut self.inner.borrow_mut().now;
        let same = now.exchange.joined == exchange.joined && now.gaps == gaps;
        now.exchange = exchange;
        same
    }

    /// Whether the blocks are covered: as they were, or with rows in them that are known here. Notes which rows are
    /// left then.
    fn adopt(&self, me: &Me, covered: &Cover, rows: &[(String, Value)]) -> bool {
        let mut inner = self.inner.borrow_mut();
        let now = &mut inner.now;
        let same_writer = now.me.as_ref().is_some_and(|own| own.dev == me.dev && own.book == me.book)
            && now.book.journal().book() == me.book;
        let there: BTreeSet<&str> = rows.iter().map(|(key, _)| key.as_str()).collect();
        let gone: Vec<String> = now.rows.keys().filter(|key| !there.contains(key.as_str())).cloned().collect();
        let sealed = gone.iter().filter_map(|key| now.rows.get(key)).map(LineSet::one).sum::<LineSet>() + now.sealed;
        if !same_writer || sealed != covered.sealed {
            return false;
        }
        if covered.epoch != now.epoch {
            now.kept = false;
        }
        now.rows.retain(|key, _| there.contains(key.as_str()));
        (now.sealed, now.epoch) = (sealed, covered.epoch);
        true
    }

    /// Folds rows that are not known here yet.
    fn take_rows(&self, rows: &[(String, Value)]) -> bool {
        let mut inner = self.inner.borrow_mut();
        let now = &mut inner.now;
        let mut fresh = false;
        for (key, value) in rows {
            let Value::Text(line) = value else { continue };
            if now.rows.contains_key(key) {
                continue;
            }
            let hash = crate::open::take(&mut now.book, line, &mut now.waiting);
            now.rows.insert(key.clone(), hash);
            fresh = true;
        }
        fresh
    }

    /// Everything a bundle is made of or compared with, as it lies there at one moment.
    pub async fn everything(&self) -> Result<Everything, Trouble> {
        let _turn = self.whole_turn().await?;
        self.healed(async || self.with_db(async |db| everything_on(db).await).await).await
    }

    /// What undoing an act would write, and how many fields it leaves alone; nothing where nothing of it is left to
    /// undo. Reads the act's own line and those it wrote over, not all of them.
    pub async fn plan_undo(&self, reference: Ref) -> Result<Option<(Draft, usize)>, Trouble> {
        self.until_whole().await?;
        let own = self.entries(&[Named::Whole(reference)]).await?.remove(&reference);
        let Some(entry) = own else { return Ok(None) };
        let over: BTreeSet<Named> = entry.sets.iter().flat_map(|set| set.over.values().flatten().copied()).collect();
        let over: Vec<Named> = over.into_iter().collect();
        let before = self.entries(&over).await?;
        let looked_up = |named: &Named| before.range(named.range()).map(|(_, entry)| entry.clone()).collect();
        let UndoPlan { draft, skipped } = self.book().journal().undo(&entry, looked_up);
        Ok(draft.map(|draft| (draft, skipped.len())))
    }

    /// Entries as others name them, as far as they are stored; only the blocks that may hold them are read.
    pub async fn entries(&self, wanted: &[Named]) -> Result<BTreeMap<Ref, Entry>, Trouble> {
        if wanted.is_empty() {
            return Ok(BTreeMap::new());
        }
        let texts = self.with_db(async |db| texts_of(db, wanted).await).await?;
        let lines = texts.iter().flat_map(|text| text.lines()).filter(|line| may_be(line, wanted));
        let entries = lines.filter_map(|line| Entry::read(line).ok());
        let entries = entries.filter(|entry| wanted.iter().any(|named| named.means(&entry.reference)));
        Ok(entries.map(|entry| (entry.reference, entry)).collect())
    }

    /// Changes what is known of other devices, and nothing else.
    pub async fn note(&self, change: impl Fn(&mut Exchange)) -> Result<(), Trouble> {
        let _turn = self.whole_turn().await?;
        let note = async |db: &Attempt<'_>| {
            let tx = db.begin(&[Store::Meta], true)?;
            let stored = part::<Exchange>(&*tx, EXCHANGE).await?;
            let mut exchange = stored.unwrap_or_default();
            change(&mut exchange);
            tx.put(Store::Meta, EXCHANGE, json(&exchange).into())?;
            db.commit(tx).await?;
            Ok(exchange)
        };
        let exchange = self.healed(async || self.with_db(note).await).await?;
        self.inner.borrow_mut().now.exchange = exchange;
        Ok(())
    }
}

/// The rows and blocks that may hold these entries.
async fn texts_of(db: &Attempt<'_>, wanted: &[Named]) -> Result<Vec<String>, Trouble> {
    let tx = db.begin(&[Store::Meta, Store::Rows, Store::Blocks], false)?;
    let directory = part::<Vec<BlockInfo>>(&*tx, DIRECTORY);
    let rows: Vec<_> = wanted.iter().map(|named| tx.get(Store::Rows, &row_key(named.dev(), named.seq()))).collect();
    let mut texts = Vec::new();
    for row in rows {
        texts.extend(row.await?.and_then(Value::text));
    }
    // Without a list, all blocks may hold them.
    let Some(directory) = directory.await.ok().flatten() else {
        texts.extend(tx.all(Store::Blocks).await?.into_iter().filter_map(|(_, value)| value.text()));
        return Ok(texts);
    };
    let holds = |block: &&BlockInfo| wanted.iter().any(|named| in_spans(&block.spans, named.dev(), named.seq()));
    let blocks: Vec<_> = directory.iter().filter(holds).map(|block| tx.get(Store::Blocks, &block.key)).collect();
    for block in blocks {
        texts.extend(block.await?.and_then(Value::text));
    }
    Ok(texts)
}

/// Whether a line may be one of these, told without reading it as JSON: its number stands in it as it is written.
fn may_be(line: &str, wanted: &[Named]) -> bool {
    let head = line.get(..160).unwrap_or(line);
    wanted.iter().any(|named| head.contains(&format!("\"seq\":{},", named.seq())))
}
