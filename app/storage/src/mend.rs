//! Mending what is stored: damaged lines are set aside and named, their neighbours kept, and everything that can be
//! known from the lines is made anew from them. No line is ever dropped or put over another.

use crate::cover::LineSet;
use crate::disk::{Store, Trouble, Tx, Value};
use crate::exchange::{Exchange, Import};
use crate::harm::{Harm, What};
use crate::identity::{Fresh, Me};
use crate::layout::{
    BlockInfo, COVER, Cover, DIRECTORY, EXCHANGE, GAPS, Gap, HARMED, HARMS, HEADS, Kept, ME, PART, SNAPSHOT, STATE,
    StateHead, TIP, WAITING, epoch_of, heads_key, import_of, key_of, row_of,
};
use crate::lines::{Heads, Lines, Place};
use crate::open::{own_end_fits, pass_over};
use crate::planted::{Fault, planted};
use crate::tab::{Tab, read_part};
use book::Book;
use journal::{Entry, Ref, Tip};
use std::collections::{BTreeMap, BTreeSet};

/// How often what is stored is read until it reads the same twice.
const READ: u32 = 5;

/// Everything but pictures and people, as it lies there.
#[derive(PartialEq)]
struct Raw {
    me: Option<Value>,
    tip: Option<Value>,
    exchange: Option<Value>,
    cover: Option<Value>,
    directory: Option<Value>,
    harms: Option<Value>,
    gaps: Option<Value>,
    state: Option<Value>,
    rows: Vec<(String, Value)>,
    blocks: Vec<(String, Value)>,
    aside: Vec<(String, Value)>,
    meta: Vec<String>,
    /// By block.
    heads: BTreeMap<String, Heads>,
}

impl Raw {
    async fn read(tx: &dyn Tx) -> Result<Raw, Trouble> {
        let get = |key: &str| tx.get(Store::Meta, key);
        let (me, tip, exchange, cover) = (get(ME), get(TIP), get(EXCHANGE), get(COVER));
        let (directory, harms, gaps, state) = (get(DIRECTORY), get(HARMS), get(GAPS), get(STATE));
        let (rows, blocks, aside) = (tx.all(Store::Rows), tx.all(Store::Blocks), tx.all(Store::Aside));
        let meta = tx.keys(Store::Meta).await?;
        let named = meta.iter().filter_map(|key| Some((key.strip_prefix(HEADS)?.to_owned(), get(key))));
        let named: Vec<_> = named.collect();
        let mut heads = BTreeMap::new();
        for (block, asked) in named {
            if let Some(Value::Text(text)) = asked.await? {
                heads.insert(block, text.into());
            }
        }
        Ok(Raw {
            me: me.await?,
            tip: tip.await?,
            exchange: exchange.await?,
            cover: cover.await?,
            directory: directory.await?,
            harms: harms.await?,
            gaps: gaps.await?,
            state: state.await?,
            rows: rows.await?,
            blocks: blocks.await?,
            aside: aside.await?,
            meta,
            heads,
        })
    }

    /// What reads otherwise each time must not be taken for what lies there.
    async fn read_twice(tx: &dyn Tx) -> Result<Raw, Trouble> {
        let mut raw = Raw::read(tx).await?;
        for _ in 0..READ {
            if raw.is_old() {
                return Ok(raw);
            }
            let again = Raw::read(tx).await?;
            if raw == again {
                return Ok(raw);
            }
            raw = again;
        }
        Err(Trouble::Other("storage reads otherwise each time".to_owned()))
    }

    /// Records of before there was any list of what is stored: whatever is there is right.
    fn is_old(&self) -> bool {
        self.me.is_some() && self.cover.is_none() && self.directory.is_none()
    }
}

fn readable<T: Kept>(key: &'static str, value: &Option<Value>) -> Option<T> {
    read_part(key, value.clone()).ok().flatten()
}

impl Tab {
    /// Makes what is stored fit together again, in one transaction. The caller has the turn.
    pub(crate) async fn mend(&self) -> Result<(), Trouble> {
        let fresh = self.fresh(true).await;
        let now = self.disk.wall().ms;
        self.with_db(async |db| {
            let tx = db.begin(&[Store::Meta, Store::Rows, Store::Blocks, Store::Aside], true)?;
            let raw = Raw::read_twice(&*tx).await?;
            Mending { tab: self, raw, fresh: &fresh, now, found: Vec::new() }.write(&*tx)?;
            db.commit(tx).await
        })
        .await?;
        self.disk.tell_tabs();
        Ok(())
    }
}

struct Mending<'a> {
    tab: &'a Tab,
    raw: Raw,
    fresh: &'a Fresh,
    now: u64,
    found: Vec<Harm>,
}

impl Mending<'_> {
    fn tell(&mut self, what: What, lines: u64, acts: Vec<String>) {
        self.found.push(Harm::new(what, lines, acts, self.now));
    }

    fn write(mut self, tx: &dyn Tx) -> Result<(), Trouble> {
        let old = self.raw.is_old();
        let cover: Option<Cover> = readable(COVER, &self.raw.cover);
        // A list that does not add up is of no more use than none.
        let directory: Option<Vec<BlockInfo>> =
            readable::<Vec<BlockInfo>>(DIRECTORY, &self.raw.directory).filter(|all| {
                cover.as_ref().is_none_or(|cover| all.iter().map(|b| b.lines).sum::<LineSet>() == cover.sealed)
            });
        // A device that has sealed nothing has no list of blocks.
        let listed = directory.is_some() || self.raw.directory.is_none() && self.raw.blocks.is_empty();
        if !old && (cover.is_none() || !listed) {
            self.tell(What::List, 0, Vec::new());
        }
        let epoch = self.last_epoch(cover.as_ref()) + 1;
        let lines = self.lines(cover.as_ref(), directory.as_deref());
        self.set_aside(tx, &lines, epoch)?;
        if !planted(Fault::NoCount) {
            self.count_lost(&lines, cover.as_ref(), directory.as_deref());
        }
        let gaps = self.gaps(&lines, directory.as_deref());
        let (directory, heads): (Vec<BlockInfo>, Vec<Heads>) = lines.directory().into_iter().unzip();
        for (block, heads) in directory.iter().zip(heads) {
            tx.put(Store::Meta, &heads_key(&block.key), heads.as_text().into())?;
        }
        let sealed: LineSet = directory.iter().map(|block| block.lines).sum();
        let blocks = u32::try_from(directory.len()).unwrap_or(u32::MAX);
        let (rows, row_heads) = lines.rows();
        let cover = Cover { epoch, sealed, rows, row_heads, blocks };
        let exchange = self.exchange(&lines);
        let (me, tip) = self.writer(tx, &lines, &exchange, &gaps);
        tx.put(Store::Meta, GAPS, gaps.text().into())?;
        tx.put(Store::Meta, ME, me.text().into())?;
        tx.put(Store::Meta, TIP, tip.text().into())?;
        tx.put(Store::Meta, EXCHANGE, exchange.text().into())?;
        tx.put(Store::Meta, DIRECTORY, directory.text().into())?;
        tx.put(Store::Meta, COVER, cover.text().into())?;
        let mut harms: Vec<Harm> = readable(HARMS, &self.raw.harms).unwrap_or_default();
        harms.append(&mut self.found);
        match harms.is_empty() {
            true => tx.delete(Store::Meta, HARMS)?,
            false => tx.put(Store::Meta, HARMS, harms.text().into())?,
        }
        // The folded state covers other lines: the next look at all of them makes it anew.
        for key in self.raw.meta.iter().filter(|key| key.starts_with(PART)) {
            tx.delete(Store::Meta, key)?;
        }
        [STATE, SNAPSHOT, WAITING].iter().try_for_each(|key| tx.delete(Store::Meta, key))
    }

    /// No epoch may come twice, even where the record of the last one is lost.
    fn last_epoch(&self, cover: Option<&Cover>) -> u64 {
        let state: Option<StateHead> = readable(STATE, &self.raw.state);
        let keys = self.raw.blocks.iter().chain(&self.raw.aside).filter_map(|(key, _)| epoch_of(key));
        let known = [cover.map(|cover| cover.epoch), state.map(|state| state.epoch)].into_iter().flatten();
        keys.chain(known).max().unwrap_or(0).max(self.tab.inner.borrow().now.epoch)
    }

    /// All lines; where a place does not hold what was stored there, those that were not are harmed.
    fn lines(&self, cover: Option<&Cover>, directory: Option<&[BlockInfo]>) -> Lines {
        let mut lines = Lines::default();
        let listed: BTreeMap<&str, LineSet> =
            directory.into_iter().flatten().map(|block| (block.key.as_str(), block.lines)).collect();
        for (key, value) in &self.raw.blocks {
            let place = Place::Block(key.clone());
            match value {
                Value::Text(text) => {
                    let listed = listed.get(key.as_str());
                    let heads = self.raw.heads.get(key).filter(|h| listed.is_some_and(|set| set.count == h.count()));
                    lines.add(&place, text.lines(), listed.is_some_and(|set| *set != LineSet::of(text)), heads);
                }
                Value::Other(_) => lines.add_unreadable(place, value.clone()),
            }
        }
        let rows: LineSet =
            self.raw.rows.iter().filter_map(|(_, value)| value.clone().text()).map(|line| LineSet::of(&line)).sum();
        let wrong = cover.is_some_and(|cover| cover.rows != rows);
        let heads = cover.map(|cover| &cover.row_heads);
        for (key, value) in &self.raw.rows {
            let place = Place::Row(key.clone());
            match value {
                Value::Text(text) => lines.add(&place, std::iter::once(text.as_str()), wrong, heads),
                Value::Other(_) => lines.add_unreadable(place, value.clone()),
            }
        }
        lines
    }

    fn set_aside(&mut self, tx: &dyn Tx, lines: &Lines, epoch: u64) -> Result<(), Trouble> {
        let mut acts = Vec::new();
        let mut count = 0;
        for (n, (place, what)) in lines.harmed().enumerate() {
            let (Place::Row(key) | Place::Block(key)) = place;
            tx.add(Store::Aside, &format!("{HARMED}{epoch:012}.{n:06}.{key}"), what.clone())?;
            if let Value::Text(line) = what {
                acts.extend(crate::lines::named(&line));
            }
            count += 1;
        }
        for (place, text) in lines.rewritten() {
            match (place, text) {
                (Place::Row(key), None) => tx.delete(Store::Rows, key)?,
                (Place::Block(key), None) => tx.delete(Store::Blocks, key)?,
                (Place::Row(key), Some(text)) => tx.put(Store::Rows, key, text.into())?,
                (Place::Block(key), Some(text)) => tx.put(Store::Blocks, key, text.into())?,
            }
        }
        if count > 0 {
            self.tell(What::Damaged, count, acts);
        }
        Ok(())
    }

    /// Lines that were stored and are not there, damaged ones left out.
    fn count_lost(&mut self, lines: &Lines, cover: Option<&Cover>, directory: Option<&[BlockInfo]>) {
        let Some(cover) = cover else { return };
        let listed = directory.map_or(cover.sealed.count, |all| all.iter().map(|block| block.lines.count).sum());
        let there = lines.count() + lines.harmed_lines();
        let lost = (listed + cover.rows.count).saturating_sub(there);
        if lost > 0 {
            let keys: BTreeSet<&str> = self.raw.blocks.iter().map(|(key, _)| key.as_str()).collect();
            let gone = directory.into_iter().flatten().filter(|block| !keys.contains(block.key.as_str()));
            let acts =
                gone.flat_map(|block| &block.spans).map(|(dev, from, to)| format!("{dev} {from}–{to}")).collect();
            self.tell(What::Lost, lost, acts);
        }
    }

    /// Acts that may have been lost here, those lost before included: of blocks that are not what was stored, and rows.
    fn gaps(&self, lines: &Lines, directory: Option<&[BlockInfo]>) -> Vec<Gap> {
        let mut gaps: Vec<Gap> = readable(GAPS, &self.raw.gaps).unwrap_or_default();
        let now: BTreeMap<String, LineSet> =
            lines.directory().into_iter().map(|(block, _)| (block.key, block.lines)).collect();
        for block in directory.into_iter().flatten().filter(|block| now.get(&block.key) != Some(&block.lines)) {
            gaps.extend(block.spans.iter().copied());
        }
        let rows = lines.rewritten().into_iter().filter_map(|(place, _)| match place {
            Place::Row(key) => row_of(key),
            Place::Block(_) => None,
        });
        gaps.extend(rows.map(|(dev, seq)| (dev, seq, seq)));
        let (me, tip): (Option<Me>, Option<Tip>) = (readable(ME, &self.raw.me), readable(TIP, &self.raw.tip));
        if let (Some(me), Some(tip)) = (me, tip)
            && readable::<Cover>(COVER, &self.raw.cover).is_some_and(|cover| cover.rows != lines.rows().0)
        {
            gaps.push((me.dev, 1, tip.seq));
        }
        gaps.sort_unstable();
        gaps.dedup();
        gaps
    }

    fn exchange(&mut self, lines: &Lines) -> Exchange {
        let stored: Option<Exchange> = readable(EXCHANGE, &self.raw.exchange);
        // A device that has met no other keeps nothing of others; where all else is gone too, it may have.
        let gone = self.raw.me.is_none() && self.raw.cover.is_none();
        let lost = stored.is_none() && (self.raw.exchange.is_some() || gone);
        let mut exchange = stored.unwrap_or_default();
        let known: BTreeSet<u32> = exchange.imports.iter().map(|import| import.n).collect();
        let mut found: BTreeMap<u32, Import> = BTreeMap::new();
        let places = [(&self.raw.blocks, false), (&self.raw.aside, true)];
        for (key, value, aside) in places.iter().flat_map(|(all, aside)| all.iter().map(|(k, v)| (k, v, *aside))) {
            let (Some(n), Value::Text(text)) = (import_of(key), value) else { continue };
            let first = text.lines().find_map(|line| Entry::read(line).ok());
            let Some(first) = first.filter(|_| !known.contains(&n)) else { continue };
            let new = Import { n, from: first.dev(), made: String::new(), at_ms: 0, acts: 0, aside };
            found.entry(n).or_insert(new).acts += text.lines().count();
        }
        exchange.imports.extend(found.into_values());
        exchange.imports.sort_by_key(|import| import.n);
        if lost {
            // What was folded here was this barn's.
            let own: Option<Me> = readable(ME, &self.raw.me);
            let book = own.map_or_else(|| lines.book(), |me| Some(me.book));
            exchange.joined.extend(lines.books().filter(|other| Some(*other) != book));
            if lines.count() > 0 {
                self.tell(What::Devices, 0, Vec::new());
            }
        }
        exchange
    }

    /// Who writes from now on, and after which act. An identity whose own acts are not all there goes on under a new
    /// name: what it wrote next would wait for the lost ones for ever.
    fn writer(&mut self, tx: &dyn Tx, lines: &Lines, exchange: &Exchange, gaps: &[Gap]) -> (Me, Tip) {
        let me: Option<Me> = readable(ME, &self.raw.me);
        let tip: Option<Tip> = readable(TIP, &self.raw.tip);
        let book = me.as_ref().map(|me| me.book).or_else(|| lines.book());
        let book = book.unwrap_or_else(|| self.tab.book().journal().book());
        let mut folded = Book::new(book);
        exchange.joined.iter().for_each(|other| folded.join(*other));
        let mut waiting = Vec::new();
        for line in lines.all() {
            crate::open::take(&mut folded, line, &mut waiting);
        }
        pass_over(&mut folded, gaps);
        let end = |dev| {
            let chain = folded.journal().chain(dev)?;
            let tip = Tip { seq: chain.seq, prev: Some(chain.hash?), clock: chain.latest };
            (chain.held == 0).then_some(tip)
        };
        let signs = |me: &&Me| match me.key {
            Some(_) => self.raw.meta.contains(&key_of(me.dev)),
            None => me.secret.is_some(),
        };
        if let Some(me) = me.as_ref().filter(signs) {
            if tip.is_some_and(|tip| own_end_fits(&folded, me, &tip)) {
                return (me.clone(), tip.unwrap_or_default());
            }
            // The tip was lost or is behind: what is stored tells where the chain ends.
            let behind = tip.is_none_or(|tip| end(me.dev).is_some_and(|end| end.seq > tip.seq));
            let whole = folded.journal().chain(me.dev).is_none_or(|chain| chain.held == 0);
            if behind && whole {
                return (me.clone(), end(me.dev).unwrap_or_default());
            }
        }
        let before = me.as_ref().map(|me| me.dev).or_else(|| lines.own_device());
        let last = before
            .and_then(|dev| folded.journal().chain(dev))
            .and_then(|chain| Some(Ref { dev: chain.dev, seq: chain.seq, hash: chain.hash? }));
        let by = match &me {
            Some(me) => Some(me.by.clone()),
            None => last.and_then(|last| folded.writer(&last).map(str::to_owned)),
        };
        if me.as_ref().filter(signs).is_none() {
            self.tell(What::Writer, 0, Vec::new());
        } else {
            self.tell(What::OwnLost, 0, Vec::new());
        }
        let new = self.fresh.writer(tx, book, by.as_deref().unwrap_or(&self.tab.keeper));
        (Me { continues: last, ..new }, Tip::default())
    }
}
