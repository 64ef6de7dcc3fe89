//! Reading what is stored into memory: by the folded state where it covers exactly the lines that are stored, else from
//! the lines themselves.

use crate::cover::LineSet;
use crate::disk::{Store, Trouble, Tx, Value};
use crate::exchange::{Exchange, Known};
use crate::identity::Me;
use crate::layout::{
    BlockInfo, COVER, Cover, DIRECTORY, EXCHANGE, GAPS, Gap, HARMS, Kept, ME, SNAPSHOT, STATE, StateHead, Sum, TIP,
    WAITING,
};
use crate::planted::{Fault, planted};
use crate::tab::{Now, Rest, Tab, meta, part};
use book::Book;
use journal::{DeviceId, Entry, Hash, Taken, Tip};
use std::collections::{BTreeMap, BTreeSet};

/// How often what is stored is mended before it is given up.
const MENDED: u32 = 3;
/// Lines folded before other work may go on.
const AT_ONCE: u64 = 2000;

/// What a start reads, in one transaction.
struct Held {
    me: Option<Me>,
    cover: Option<Cover>,
    state: Option<StateHead>,
    exchange: Option<Known>,
    snapshot: Option<String>,
    waiting: Option<String>,
    rows: Vec<(String, Value)>,
    blocks: usize,
    /// Nothing was ever stored.
    nothing: bool,
    /// Acts were lost here: what follows on them is found among the lines only.
    gaps: bool,
    harms: String,
}

impl Held {
    async fn read(tx: &dyn Tx) -> Result<Held, Trouble> {
        // All is asked for before the first answer: each question that waits for one costs a turn of the browser.
        let asked = [ME, COVER, STATE, EXCHANGE, SNAPSHOT, WAITING, GAPS, HARMS].map(|key| tx.get(Store::Meta, key));
        let (blocks, rows) = (tx.keys(Store::Blocks), tx.all(Store::Rows));
        let mut texts = Vec::new();
        let mut nothing = true;
        for asked in asked {
            let value = asked.await?;
            nothing &= value.is_none();
            texts.push(value.and_then(Value::text));
        }
        let (blocks, rows) = (blocks.await?.len(), rows.await?);
        let mut texts = texts.into_iter();
        let mut next = || texts.next().flatten();
        let [me, cover, state, exchange] = [next(), next(), next(), next()];
        Ok(Held {
            nothing: nothing && rows.is_empty() && blocks == 0,
            me: me.and_then(|text| Me::read(&text)),
            cover: cover.and_then(|text| Cover::read(&text)),
            state: state.and_then(|text| StateHead::read(&text)),
            // A device that has met no other has none.
            exchange: Known::text(exchange),
            snapshot: next(),
            waiting: next(),
            gaps: next().is_some_and(|text| !text.is_empty()),
            harms: next().unwrap_or_default(),
            rows,
            blocks,
        })
    }
}

impl Tab {
    /// The quick way into memory: by the folded state, if it covers just what is stored. What is over may still be
    /// lacking afterwards ([`Tab::is_whole`]): then [`Tab::complete`] follows. False where only the lines can tell:
    /// [`Tab::until_whole`] reads those.
    pub async fn open(&self) -> Result<bool, Trouble> {
        match self.turn.try_lock() {
            Some(_turn) => self.quick().await,
            None => Ok(false),
        }
    }

    /// Adds what is over to what is live. False where only the lines can tell: [`Tab::until_whole`] reads those.
    pub async fn complete(&self) -> Result<bool, Trouble> {
        match self.turn.try_lock() {
            Some(_turn) => self.read_parts().await,
            None => Ok(false),
        }
    }

    /// Reads everything anew. The caller has the turn.
    pub(crate) async fn read_anew(&self) -> Result<(), Trouble> {
        match self.quick().await? && self.read_parts().await? {
            true => Ok(()),
            false => self.read_lines_again().await,
        }
    }

    async fn quick(&self) -> Result<bool, Trouble> {
        let held = self
            .with_db(async |db| {
                let tx = db.begin(&[Store::Meta, Store::Rows, Store::Blocks], false)?;
                Held::read(&*tx).await
            })
            .await?;
        let read = held.nothing || self.take_up(held).is_some();
        self.inner.borrow_mut().opened |= read;
        Ok(read)
    }

    /// Puts the folded state, with the rows, in place of what was in memory; nothing where they are not what was stored.
    fn take_up(&self, held: Held) -> Option<()> {
        self.inner.borrow_mut().harms = held.harms;
        let (me, cover, state) = (held.me?, held.cover?, held.state?);
        let (exchange, snapshot, waiting) = (held.exchange?, held.snapshot?, held.waiting?);
        let covers = state.epoch == cover.epoch && state.sealed == cover.sealed && held.blocks == cover.blocks as usize;
        let whole = state.snapshot == Sum::of(&snapshot) && state.waiting == Sum::of(&waiting);
        let sound = (covers || planted(Fault::LooseState)) && (whole || planted(Fault::NoChecksum)) && !held.gaps;
        let mut book = Book::restore(&snapshot).ok().filter(|_| sound)?;
        let parts = book.parts();
        if parts as usize != state.parts.len() {
            return None;
        }
        // The books joined to this one stand in the folded state.
        let rows = held.rows.into_iter().filter_map(|(key, value)| Some((key, value.text()?)));
        let lines: Vec<(String, String)> =
            waiting.lines().map(|line| (String::new(), line.to_owned())).chain(rows).collect();
        // Parts come before lines. Where there are no lines, copying what is live can wait until it has been drawn.
        let before = (parts > 0 && !lines.is_empty()).then(|| book.clone());
        let (rows, waiting, known) = take_all(&mut book, &lines);
        if !known || rows.values().map(LineSet::one).sum::<LineSet>() != cover.rows {
            return None;
        }
        self.inner.borrow_mut().now = Now {
            me: Some(me),
            exchange,
            epoch: cover.epoch,
            sealed: cover.sealed,
            rows,
            parts: state.parts,
            waiting,
            rest: (parts > 0).then_some(Rest { before, lines }),
            ..Now::of(book)
        };
        Some(())
    }

    /// Folds every stored line, in an order of storage; false where they are not the lines that were stored.
    async fn fold_all(&self) -> Result<bool, Trouble> {
        let read = self
            .with_db(async |db| {
                let tx = db.begin(&[Store::Meta, Store::Rows, Store::Blocks], false)?;
                let (me, tip, cover) = (part::<Me>(&*tx, ME), part::<Tip>(&*tx, TIP), part::<Cover>(&*tx, COVER));
                let (exchange, directory) = (part::<Exchange>(&*tx, EXCHANGE), part::<Vec<BlockInfo>>(&*tx, DIRECTORY));
                let (gaps, harms) = (part::<Vec<Gap>>(&*tx, GAPS), meta(&*tx, HARMS));
                let (blocks, rows) = (tx.all(Store::Blocks), tx.all(Store::Rows));
                let heads = (me.await?, tip.await?, cover.await?);
                // A device that has sealed nothing has no list yet.
                let directory = directory.await?.unwrap_or_default();
                let gaps = gaps.await.ok().flatten().unwrap_or_default();
                self.inner.borrow_mut().harms = harms.await?.unwrap_or_default();
                Ok((heads, exchange.await?, directory, gaps, blocks.await?, rows.await?))
            })
            .await;
        let ((me, tip, cover), exchange, directory, gaps, blocks, rows) = match read {
            Err(Trouble::Damaged(_)) => return Ok(false),
            read => read?,
        };
        let (Some(me), Some(cover)) = (me, cover) else { return Ok(false) };
        let (tip, exchange) = (tip.unwrap_or_default(), exchange.unwrap_or_default());
        let listed: BTreeMap<&str, LineSet> = directory.iter().map(|block| (block.key.as_str(), block.lines)).collect();
        let total: LineSet = listed.values().copied().sum();
        if total != cover.sealed || listed.len() != blocks.len() {
            return Ok(false);
        }
        let mut book = Book::new(me.book);
        exchange.joined.iter().for_each(|other| book.join(*other));
        let mut waiting: Vec<String> = Vec::new();
        let mut since = 0;
        for (key, value) in blocks {
            let Some(text) = value.text() else { return Ok(false) };
            let mut found = LineSet::default();
            for line in text.lines() {
                found += LineSet::one(&take(&mut book, line, &mut waiting));
            }
            if listed.get(key.as_str()) != Some(&found) {
                return Ok(false);
            }
            since += found.count;
            if since > AT_ONCE {
                since = 0;
                self.disk.pause(0).await;
            }
        }
        let lines: Vec<(String, String)> =
            rows.into_iter().filter_map(|(key, value)| Some((key, value.text()?))).collect();
        // Folded from the first line, nothing needs more history.
        let (rows, held, _) = take_all(&mut book, &lines);
        waiting.extend(held);
        pass_over(&mut book, &gaps);
        still_waiting(&book, &mut waiting);
        if rows.values().map(LineSet::one).sum::<LineSet>() != cover.rows || !own_end_fits(&book, &me, &tip) {
            return Ok(false);
        }
        self.inner.borrow_mut().now = Now {
            me: Some(me),
            exchange: Known::of(exchange),
            epoch: cover.epoch,
            sealed: cover.sealed,
            rows,
            waiting,
            gaps,
            kept: false,
            ..Now::of(book)
        };
        Ok(true)
    }

    pub(crate) async fn read_parts(&self) -> Result<bool, Trouble> {
        let sums = {
            let inner = self.inner.borrow();
            if inner.now.rest.is_none() {
                return Ok(true);
            }
            inner.now.parts.clone()
        };
        let mut book = {
            let mut inner = self.inner.borrow_mut();
            let before = inner.now.rest.as_mut().and_then(|rest| rest.before.take());
            before.unwrap_or_else(|| inner.now.book.clone())
        };
        match self.add_parts(&mut book, &sums).await {
            Ok(true) => {}
            Ok(false) => return Ok(false),
            Err(trouble) => {
                // Parts taken twice do no harm: the next try goes on from here.
                if let Some(rest) = &mut self.inner.borrow_mut().now.rest {
                    rest.before = Some(book);
                }
                return Err(trouble);
            }
        }
        let lines = self.inner.borrow_mut().now.rest.take().map(|rest| rest.lines).unwrap_or_default();
        let (_, waiting, _) = take_all(&mut book, &lines);
        let now = &mut self.inner.borrow_mut().now;
        now.book = book;
        now.waiting = waiting;
        Ok(true)
    }

    /// Adds the stored parts of the folded state; false where one is not what was stored.
    async fn add_parts(&self, book: &mut Book, sums: &[Sum]) -> Result<bool, Trouble> {
        // From the last to the first: what stands in a later part is the newer.
        for sum in sums.iter().rev() {
            self.disk.pause(0).await;
            let text = self
                .with_db(async |db| {
                    let tx = db.begin(&[Store::Meta], false)?;
                    meta(&*tx, &sum.part_key()).await
                })
                .await?;
            let whole = |text: &str| Sum::of(text) == *sum || planted(Fault::NoChecksum);
            if !text.is_some_and(|text| whole(&text) && book.take_part(&text).is_ok()) {
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// The shortcut cannot be used: everything from the lines, mended first where they are not what was stored.
    pub(crate) async fn read_lines_again(&self) -> Result<(), Trouble> {
        for _ in 0..MENDED {
            if self.fold_all().await? {
                self.inner.borrow_mut().opened = true;
                return Ok(());
            }
            self.mend().await?;
        }
        Err(Trouble::Damaged("what is stored could not be mended".to_owned()))
    }
}

/// Folds a line; its hash.
pub(crate) fn take(book: &mut Book, line: &str, waiting: &mut Vec<String>) -> Hash {
    take_known(book, line, waiting).0
}

/// The same, and whether the line could be folded with what is known here: one that is older than a folded state may need
/// all lines.
pub(crate) fn take_known(book: &mut Book, line: &str, waiting: &mut Vec<String>) -> (Hash, bool) {
    match Entry::read(line) {
        Ok(entry) => {
            let hash = entry.hash;
            let taken = book.take_entry(entry);
            if matches!(taken, Ok(Taken::Held)) {
                waiting.push(line.to_owned());
            }
            (hash, !matches!(taken, Ok(Taken::NeedsHistory)))
        }
        // A line that cannot be read now is kept in storage as it is; a newer version may read it.
        Err(_) => (Hash::of(line.as_bytes()), true),
    }
}

/// Folds rows; their hashes by key (those without a key are not rows), which of the lines waited for earlier ones, and
/// whether all could be folded with what is known here.
fn take_all(book: &mut Book, lines: &[(String, String)]) -> (BTreeMap<String, Hash>, Vec<String>, bool) {
    let (mut rows, mut waiting, mut all_known) = (BTreeMap::new(), Vec::new(), true);
    for (key, line) in lines {
        let (hash, known) = take_known(book, line, &mut waiting);
        all_known &= known;
        if !key.is_empty() {
            rows.insert(key.clone(), hash);
        }
    }
    (rows, waiting, all_known)
}

/// Folds what waits for acts that were lost here.
pub(crate) fn pass_over(book: &mut Book, gaps: &[Gap]) {
    if gaps.is_empty() {
        return;
    }
    loop {
        let lost: Vec<(DeviceId, u32, Hash)> =
            book.journal().waits_for().filter(|(dev, seq, _)| in_spans(gaps, *dev, *seq)).collect();
        if lost.is_empty() {
            return;
        }
        lost.into_iter().for_each(|(dev, seq, hash)| book.pass_over(dev, seq, hash));
    }
}

pub(crate) fn in_spans(gaps: &[Gap], dev: DeviceId, seq: u32) -> bool {
    gaps.iter().any(|(other, from, to)| *other == dev && (*from..=*to).contains(&seq))
}

/// Leaves only the lines that wait for earlier ones.
pub(crate) fn still_waiting(book: &Book, lines: &mut Vec<String>) {
    if lines.is_empty() {
        return;
    }
    let still: BTreeSet<journal::Ref> = book.journal().waiting().collect();
    lines.retain(|line| Entry::read(line).is_ok_and(|entry| still.contains(&entry.reference)));
}

/// Whether the tip is an end of this device's own chain, so that the next act follows on it and is shown.
pub(crate) fn own_end_fits(book: &Book, me: &Me, tip: &Tip) -> bool {
    let journal = book.journal();
    let Some(chain) = journal.chain(me.dev) else { return tip.seq == 0 };
    let fits = |seq: u32, hash: Hash| seq == tip.seq && Some(hash) == tip.prev;
    match chain.hash {
        None => tip.seq == 0,
        Some(hash) => {
            fits(chain.seq, hash)
                || journal
                    .forks()
                    .filter(|fork| fork.dev == me.dev)
                    .any(|fork| fork.tips.iter().any(|(seq, hash)| fits(*seq, *hash)))
        }
    }
}
