//! Reading what is stored into memory: by the folded state where it covers exactly the lines that are stored, else from
//! the lines themselves.

use crate::cover::LineSet;
use crate::disk::{Store, Trouble, Tx, Value};
use crate::exchange::Exchange;
use crate::harm::Harm;
use crate::identity::Me;
use crate::layout::{
    BlockInfo, COVER, Cover, DIRECTORY, EXCHANGE, GAPS, Gap, HARMS, ME, SNAPSHOT, STATE, StateHead, Sum, TIP, WAITING,
};
use crate::planted::{Fault, planted};
use crate::tab::{Now, Rest, Tab, meta, part, read_part};
use book::Book;
use journal::{DeviceId, Entry, Hash, Taken, Tip};
use std::collections::{BTreeMap, BTreeSet};

/// How often what is stored is mended before it is given up.
const MENDED: u32 = 3;
/// Lines folded before other work may go on.
const AT_ONCE: u64 = 2000;

/// What a start reads, in one transaction.
struct Held {
    me: Result<Option<Me>, Trouble>,
    tip: Result<Option<Tip>, Trouble>,
    cover: Result<Option<Cover>, Trouble>,
    state: Option<StateHead>,
    exchange: Result<Option<Exchange>, Trouble>,
    harms: Vec<Harm>,
    snapshot: Option<String>,
    waiting: Option<String>,
    gaps: Vec<Gap>,
    rows: Vec<(String, Value)>,
    blocks: usize,
}

/// What is found of it.
enum Found {
    /// Nothing was ever stored.
    Nothing,
    /// Who writes, and what is stored: they fit each other.
    Sound(Box<Sound>),
    /// Something is missing or does not fit: it has to be mended first.
    Unsound,
}

struct Sound {
    me: Me,
    tip: Tip,
    cover: Cover,
    exchange: Exchange,
    gaps: Vec<Gap>,
    /// Key and line.
    rows: Vec<(String, String)>,
    /// The folded state, where it covers just the lines in blocks.
    state: Option<(StateHead, Book, Vec<String>)>,
}

impl Held {
    async fn read(tx: &dyn Tx) -> Result<Held, Trouble> {
        // All is asked for before the first answer: each question that waits for one costs a turn of the browser.
        let (me, tip, cover) = (tx.get(Store::Meta, ME), tx.get(Store::Meta, TIP), tx.get(Store::Meta, COVER));
        let (state, exchange) = (part::<StateHead>(tx, STATE), tx.get(Store::Meta, EXCHANGE));
        let (snapshot, waiting) = (meta(tx, SNAPSHOT), meta(tx, WAITING));
        let (harms, gaps) = (part(tx, HARMS), part(tx, GAPS));
        let (blocks, rows) = (tx.keys(Store::Blocks), tx.all(Store::Rows));
        Ok(Held {
            me: read_part(ME, me.await?),
            tip: read_part(TIP, tip.await?),
            cover: read_part(COVER, cover.await?),
            // An unreadable shortcut is as good as none.
            state: state.await.ok().flatten(),
            exchange: read_part(EXCHANGE, exchange.await?),
            harms: harms.await.ok().flatten().unwrap_or_default(),
            gaps: gaps.await.ok().flatten().unwrap_or_default(),
            snapshot: snapshot.await?,
            waiting: waiting.await?,
            rows: rows.await?,
            blocks: blocks.await?.len(),
        })
    }

    fn found(self) -> (Found, Vec<Harm>) {
        let harms = self.harms;
        let (me, cover) = match (self.me, self.cover) {
            (Ok(None), Ok(None)) if self.rows.is_empty() && self.blocks == 0 => return (Found::Nothing, harms),
            (Ok(Some(me)), Ok(Some(cover))) => (me, cover),
            _ => return (Found::Unsound, harms),
        };
        let (Ok(tip), Ok(exchange)) = (self.tip, self.exchange) else { return (Found::Unsound, harms) };
        let rows: Vec<(String, String)> =
            self.rows.into_iter().filter_map(|(key, value)| Some((key, value.text()?))).collect();
        if self.blocks != cover.blocks as usize {
            return (Found::Unsound, harms);
        }
        let state = self.state.zip(self.snapshot).zip(self.waiting).and_then(|((state, snapshot), waiting)| {
            let covers = state.epoch == cover.epoch && state.sealed == cover.sealed;
            let whole = state.snapshot == Sum::of(&snapshot) && state.waiting == Sum::of(&waiting);
            let book = ((covers || planted(Fault::LooseState)) && (whole || planted(Fault::NoChecksum)))
                .then(|| Book::restore(&snapshot).ok())
                .flatten()?;
            let waiting = waiting.lines().map(str::to_owned).collect();
            (book.parts() as usize == state.parts.len()).then_some((state, book, waiting))
        });
        let (tip, exchange) = (tip.unwrap_or_default(), exchange.unwrap_or_default());
        let gaps = self.gaps;
        (Found::Sound(Box::new(Sound { me, tip, cover, exchange, gaps, rows, state })), harms)
    }
}

impl Tab {
    /// The quick way into memory: by the folded state, if it covers just what is stored. What is over may still be
    /// lacking afterwards ([`Tab::is_whole`]): then [`Tab::complete`] follows. False where only the lines can tell:
    /// [`Tab::until_whole`] reads those.
    pub async fn open(&self) -> Result<bool, Trouble> {
        let _turn = self.turn.lock().await;
        self.quick().await
    }

    /// Adds what is over to what is live. False where only the lines can tell: [`Tab::until_whole`] reads those.
    pub async fn complete(&self) -> Result<bool, Trouble> {
        let _turn = self.turn.lock().await;
        self.read_parts().await
    }

    /// Reads everything anew. The caller has the turn.
    pub(crate) async fn read_anew(&self) -> Result<(), Trouble> {
        match self.quick().await? && self.read_parts().await? {
            true => Ok(()),
            false => self.from_the_lines().await,
        }
    }

    async fn quick(&self) -> Result<bool, Trouble> {
        let (found, harms) = self.first_read().await?.found();
        self.inner.borrow_mut().harms = harms;
        let read = match found {
            Found::Nothing => true,
            Found::Unsound => false,
            Found::Sound(sound) => self.take_up(*sound),
        };
        self.inner.borrow_mut().opened |= read;
        Ok(read)
    }

    async fn first_read(&self) -> Result<Held, Trouble> {
        self.with_db(async |db| {
            let tx = db.begin(&[Store::Meta, Store::Rows, Store::Blocks], false)?;
            Held::read(&*tx).await
        })
        .await
    }

    /// Puts the folded state, with the rows, in place of what was in memory; false where they are not what was stored.
    fn take_up(&self, sound: Sound) -> bool {
        let Some((state, book, held)) = sound.state else { return false };
        let mut book = book;
        sound.exchange.joined.iter().for_each(|other| book.join(*other));
        let parts = book.parts();
        let lines: Vec<(String, String)> = held.iter().map(|line| (String::new(), line.clone())).collect();
        let lines = [lines, sound.rows].concat();
        // Parts come before lines. Where there are no lines, copying what is live can wait until it has been drawn.
        let before = (parts > 0 && !lines.is_empty()).then(|| book.clone());
        let (rows, waiting) = take_all(&mut book, &lines);
        let gaps = sound.gaps;
        pass_over(&mut book, &gaps);
        let same_rows = rows.values().map(LineSet::one).sum::<LineSet>() == sound.cover.rows;
        if !same_rows || parts == 0 && !own_end_fits(&book, &sound.me, &sound.tip) {
            return false;
        }
        self.inner.borrow_mut().now = Now {
            me: Some(sound.me),
            exchange: sound.exchange,
            epoch: sound.cover.epoch,
            sealed: sound.cover.sealed,
            rows,
            parts: state.parts,
            waiting,
            rest: (parts > 0).then_some(Rest { before, lines }),
            gaps,
            ..Now::of(book)
        };
        true
    }

    /// Folds every stored line, in an order of storage; false where they are not the lines that were stored.
    async fn fold_all(&self) -> Result<bool, Trouble> {
        let read = self
            .with_db(async |db| {
                let tx = db.begin(&[Store::Meta, Store::Rows, Store::Blocks], false)?;
                let (me, tip, cover) = (part::<Me>(&*tx, ME), part::<Tip>(&*tx, TIP), part::<Cover>(&*tx, COVER));
                let (exchange, directory) = (part::<Exchange>(&*tx, EXCHANGE), part::<Vec<BlockInfo>>(&*tx, DIRECTORY));
                let (gaps, harms) = (part::<Vec<Gap>>(&*tx, GAPS), part::<Vec<Harm>>(&*tx, HARMS));
                let (blocks, rows) = (tx.all(Store::Blocks), tx.all(Store::Rows));
                let heads = (me.await?, tip.await?, cover.await?);
                // Without a readable list the blocks cannot be told right from wrong: it is made anew.
                let directory = directory.await.ok().flatten();
                let gaps = gaps.await.ok().flatten().unwrap_or_default();
                self.inner.borrow_mut().harms = harms.await.ok().flatten().unwrap_or_default();
                Ok((heads, exchange.await?, directory, gaps, blocks.await?, rows.await?))
            })
            .await;
        let ((me, tip, cover), exchange, directory, gaps, blocks, rows) = match read {
            Err(Trouble::Damaged(_)) => return Ok(false),
            read => read?,
        };
        let (Some(me), Some(cover), Some(directory)) = (me, cover, directory) else { return Ok(false) };
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
        let (rows, held) = take_all(&mut book, &lines);
        waiting.extend(held);
        pass_over(&mut book, &gaps);
        still_waiting(&book, &mut waiting);
        if rows.values().map(LineSet::one).sum::<LineSet>() != cover.rows || !own_end_fits(&book, &me, &tip) {
            return Ok(false);
        }
        self.inner.borrow_mut().now = Now {
            me: Some(me),
            exchange,
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
        let (me, lines, gaps) = {
            let inner = self.inner.borrow();
            let lines = inner.now.rest.as_ref().map(|rest| rest.lines.clone()).unwrap_or_default();
            (inner.now.me.clone(), lines, inner.now.gaps.clone())
        };
        let (_, waiting) = take_all(&mut book, &lines);
        pass_over(&mut book, &gaps);
        let tip = self
            .with_db(async |db| {
                let tx = db.begin(&[Store::Meta], false)?;
                part::<Tip>(&*tx, TIP).await
            })
            .await;
        let Ok(tip) = tip.map(Option::unwrap_or_default) else { return Ok(false) };
        if me.is_some_and(|me| !reaches(&book, &me, &tip)) {
            return Ok(false);
        }
        let now = &mut self.inner.borrow_mut().now;
        now.book = book;
        now.waiting = waiting;
        now.rest = None;
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
    pub(crate) async fn from_the_lines(&self) -> Result<(), Trouble> {
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
    match Entry::read(line) {
        Ok(entry) => {
            let hash = entry.hash;
            if matches!(book.take_entry(entry), Ok(Taken::Held)) {
                waiting.push(line.to_owned());
            }
            hash
        }
        // A line that cannot be read now is kept in storage as it is; a newer version may read it.
        Err(_) => Hash::of(line.as_bytes()),
    }
}

/// Folds rows; their hashes by key (those without a key are not rows), and which of the lines wait for earlier ones.
fn take_all(book: &mut Book, lines: &[(String, String)]) -> (BTreeMap<String, Hash>, Vec<String>) {
    let (mut rows, mut waiting) = (BTreeMap::new(), Vec::new());
    for (key, line) in lines {
        let hash = take(book, line, &mut waiting);
        if !key.is_empty() {
            rows.insert(key.clone(), hash);
        }
    }
    // What came later may have been what an earlier one waited for.
    still_waiting(book, &mut waiting);
    (rows, waiting)
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

/// As [`own_end_fits`], where another tab may have gone on meanwhile.
fn reaches(book: &Book, me: &Me, tip: &Tip) -> bool {
    own_end_fits(book, me, tip) || book.journal().chain(me.dev).map_or(0, |chain| chain.seq) < tip.seq
}
