//! Acts into storage, and who writes them.

use crate::cover::LineSet;
use crate::disk::{Store, Trouble, Tx};
use crate::exchange::{Exchange, Known};
use crate::identity::{Fresh, Me};
use crate::layout::{COVER, Cover, EXCHANGE, Kept, ME, TIP, row_key};
use crate::open::own_end_fits;
use crate::planted::{Fault, planted};
use crate::tab::{Attempt, Tab, part};
use journal::{Draft, Entry, Ref, Sealed, Stamp, Taken, Tip, Wall};

/// How often an act is tried when other tabs come first each time.
const TRIES: u32 = 20;

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
                Trouble::Damaged(format!(
                    "the entry is stored, and is shown after loading the page again ({trouble:?})"
                ))
            })?;
        }
        Ok(reference)
    }

    async fn write(&self, draft: &Draft) -> Result<Written, Trouble> {
        let wall = self.disk.wall();
        let new = self.inner.borrow().now.me.is_none();
        let fresh = self.fresh(new).await;
        let seen = self.book().journal().clock(wall.ms);
        self.with_db(async |db| self.write_on(db, draft, &wall, seen, &fresh).await).await
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
        fresh: &Fresh,
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
            (None, None) if tx.keys(Store::Rows).await?.is_empty() => self.begin_book(&*tx, fresh),
            _ => return Err(Trouble::Damaged("who writes here".to_owned())),
        };
        let mut tip = tip.unwrap_or_default();
        if !planted(Fault::NoTip) && !planted(Fault::OldIdentity) && !planted(Fault::StaleTab) {
            self.check_level(&me, &tip, &before)?;
        }
        tip.clock = tip.clock.see(seen, wall.ms);
        let draft = Draft { continues: me.continues.filter(|_| tip.seq == 0), ..draft.clone() };
        let sealed = journal::seal(draft, &me.identity()?, &tip, wall).map_err(|e| Trouble::Act(e.to_string()))?;
        let hash = sealed.tip.prev.ok_or_else(|| Trouble::Act("an entry without a hash".to_owned()))?;
        let mut after = before;
        after.rows += LineSet::one(&hash);
        after.row_heads.add(&hash);
        let key = row_key(me.dev, sealed.tip.seq);
        tx.put(Store::Meta, ME, me.text().into())?;
        tx.put(Store::Meta, TIP, sealed.tip.text().into())?;
        tx.put(Store::Meta, COVER, after.text().into())?;
        tx.add(Store::Rows, &key, sealed.line.as_str().into())?;
        self.sent.set(Some((sealed.reference, hash)));
        match planted(Fault::SavedEarly) {
            true => drop(tx),
            false => db.commit(tx).await?,
        }
        Ok(Written { sealed, key, me, epoch: after.epoch })
    }

    /// The first act of a device makes its identity.
    fn begin_book(&self, tx: &dyn Tx, fresh: &Fresh) -> (Me, Cover) {
        let book = self.book().journal().book();
        (fresh.writer(tx, book, &self.keeper), Cover { epoch: 1, ..Cover::default() })
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
            false => Err(Trouble::Damaged("the end of this device's entries".to_owned())),
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
        let new = self.inner.borrow().now.me.is_none();
        let fresh = self.fresh(new).await;
        let name = async |db: &Attempt<'_>| {
            let tx = db.begin(&[Store::Meta], true)?;
            let (me, covered) = (part::<Me>(&*tx, ME), part::<Cover>(&*tx, COVER));
            let (me, covered) = match (me.await?, covered.await?) {
                (Some(me), Some(covered)) => (me, covered),
                (None, None) => self.begin_book(&*tx, &fresh),
                _ => return Err(Trouble::Damaged("who writes here".to_owned())),
            };
            let me = Me { by: person.to_owned(), ..me };
            tx.put(Store::Meta, ME, me.text().into())?;
            tx.put(Store::Meta, COVER, covered.text().into())?;
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

    /// Changes what is known of other devices, and nothing else.
    pub async fn note(&self, change: impl Fn(&mut Exchange)) -> Result<(), Trouble> {
        let _turn = self.whole_turn().await?;
        let note = async |db: &Attempt<'_>| {
            let tx = db.begin(&[Store::Meta], true)?;
            let stored = part::<Exchange>(&*tx, EXCHANGE).await?;
            let mut exchange = stored.unwrap_or_default();
            change(&mut exchange);
            tx.put(Store::Meta, EXCHANGE, exchange.text().into())?;
            db.commit(tx).await?;
            Ok(exchange)
        };
        let exchange = self.healed(async || self.with_db(note).await).await?;
        self.inner.borrow_mut().now.exchange = Known::of(exchange);
        Ok(())
    }
}
