//! What other tabs have written: taken row by row where the blocks are the same, else everything read anew.

use crate::cover::LineSet;
use crate::disk::{Store, Trouble, Value};
use crate::exchange::{Exchange, Known};
use crate::identity::Me;
use crate::layout::{COVER, Cover, EXCHANGE, GAPS, Gap, HARMS, ME};
use crate::planted::{Fault, planted};
use crate::tab::{Tab, meta, part};
use std::collections::BTreeSet;

impl Tab {
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
                let (harms, rows) = (meta(&*tx, HARMS), tx.all(Store::Rows));
                self.inner.borrow_mut().harms = harms.await?.unwrap_or_default();
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
            return Ok(self.take_rows(&rows).unwrap_or(true));
        }
        if !self.adopt(&me, &covered, &rows) {
            return self.read_anew().await.map(|()| true);
        }
        let Some(fresh) = self.take_rows(&rows) else { return self.read_anew().await.map(|()| true) };
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
        let same = now.exchange.get().joined == exchange.joined && now.gaps == gaps;
        now.exchange = Known::of(exchange);
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
        now.rows.retain(|key, _| there.contains(key.as_str()));
        (now.sealed, now.epoch) = (sealed, covered.epoch);
        true
    }

    /// Folds rows that are not known here yet, and says whether there were any; none where one of them needs all lines.
    fn take_rows(&self, rows: &[(String, Value)]) -> Option<bool> {
        let mut inner = self.inner.borrow_mut();
        let now = &mut inner.now;
        let mut fresh = false;
        for (key, value) in rows {
            let Value::Text(line) = value else { continue };
            if now.rows.contains_key(key) {
                continue;
            }
            let (hash, known) = crate::open::take_known(&mut now.book, line, &mut now.waiting);
            if !known {
                return None;
            }
            now.rows.insert(key.clone(), hash);
            fresh = true;
        }
        Some(fresh)
    }
}
