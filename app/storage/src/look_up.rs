//! Lines looked up again: all of them for a bundle, or those that one act stands on.

use crate::cover::LineSet;
use crate::disk::{Store, Trouble, Tx, Value};
use crate::exchange::Exchange;
use crate::identity::{Me, Signer, Unsigned, no_key};
use crate::layout::{BlockInfo, Cover, DIRECTORY, EXCHANGE, ME, TIP, arrived_key, key_of, row_key};
use crate::open::in_spans;
use crate::planted::{Fault, planted};
use crate::tab::{Attempt, Tab, part, stored};
use journal::{ChainHead, Draft, Entry, Named, Ref, Tip, UndoPlan};
use std::collections::{BTreeMap, BTreeSet};

/// Numbers looked at in one go for the parts of a deed.
const AT_ONCE: u32 = 16;

/// What is stored, at one moment.
pub struct Everything {
    pub me: Option<Me>,
    pub exchange: Exchange,
    pub covered: Cover,
    /// A line end after each.
    pub lines: String,
}

/// Texts of blocks and rows, with what was stored there.
struct Texts {
    all: Everything,
    unsigned: Option<Unsigned>,
    texts: Vec<(String, LineSet)>,
    /// Of all texts.
    whole: LineSet,
}

fn lost() -> Trouble {
    Trouble::Damaged("lines that were stored are not there".to_owned())
}

/// What signs for this device.
///
/// # Errors
/// [`Trouble::Damaged`] where its key is not there.
pub(crate) async fn signer_on(tx: &dyn Tx, me: &Me) -> Result<Signer, Trouble> {
    match (me.key, me.secret, tx.get(Store::Meta, &key_of(me.dev)).await?) {
        (Some(_), _, Some(kept)) => Ok(Signer::Kept(kept)),
        (None, Some(secret), _) => Ok(Signer::Secret(secret)),
        _ => Err(no_key()),
    }
}

/// The end of this device's chain, and what signs it; none before its first act.
///
/// # Errors
/// [`Trouble::Damaged`] where its key is not there.
async fn unsigned_on(tx: &dyn Tx, me: &Me) -> Result<Option<Unsigned>, Trouble> {
    let tip = part::<Tip>(tx, TIP).await?.unwrap_or_default();
    let signer = signer_on(tx, me).await?;
    let head = |hash| ChainHead { book: me.book, dev: me.dev, seq: tip.seq, hash };
    Ok(tip.prev.map(|hash| Unsigned { head: head(hash), signer }))
}

async fn everything_on(db: &Attempt<'_>, to_sign: bool) -> Result<Texts, Trouble> {
    let tx = db.begin(&[Store::Meta, Store::Blocks, Store::Rows], false)?;
    let (me, exchange, stored) = (part::<Me>(&*tx, ME), part::<Exchange>(&*tx, EXCHANGE), stored(&*tx));
    let (blocks, rows) = (tx.all(Store::Blocks), tx.all(Store::Rows));
    let (me, exchange) = (me.await?, exchange.await?.unwrap_or_default());
    let unsigned = match &me {
        Some(me) if to_sign => unsigned_on(&*tx, me).await?,
        _ => None,
    };
    let (covered, directory) = stored.await?;
    let covered = covered.unwrap_or_default();
    let listed: BTreeMap<String, LineSet> = directory.into_iter().map(|block| (block.key, block.lines)).collect();
    let mut texts = Vec::new();
    for (key, value) in blocks.await? {
        let text = value.text().unwrap_or_default();
        texts.push((text, listed.get(&key).copied().unwrap_or_default()));
    }
    let rows: Vec<String> = rows.await?.into_iter().filter_map(|(_, value)| value.text()).collect();
    texts.push((rows.join("\n"), covered.rows));
    let whole = covered.sealed + covered.rows;
    Ok(Texts { all: Everything { me, exchange, covered, lines: String::new() }, unsigned, texts, whole })
}

impl Tab {
    /// Everything a bundle is made of or compared with, as it lies there at one moment.
    pub async fn everything(&self) -> Result<Everything, Trouble> {
        Ok(self.everything_here(false).await?.0)
    }

    /// The same for a bundle, with the end of this device's chain among those lines, to be signed.
    pub async fn everything_to_sign(&self) -> Result<(Everything, Option<Unsigned>), Trouble> {
        self.everything_here(true).await
    }

    async fn everything_here(&self, to_sign: bool) -> Result<(Everything, Option<Unsigned>), Trouble> {
        let _turn = self.whole_turn().await?;
        self.healed(async || {
            let texts = self.with_db(async |db| everything_on(db, to_sign).await).await?;
            self.compared(texts).await
        })
        .await
    }

    /// Nobody is sent less than was stored, or something else, without a word: what does not match is mended first.
    async fn compared(&self, texts: Texts) -> Result<(Everything, Option<Unsigned>), Trouble> {
        let Texts { mut all, unsigned, texts, whole } = texts;
        let mut found = LineSet::default();
        for (text, stored) in texts {
            let here = LineSet::of(&text);
            if here != stored && !planted(Fault::NoCount) {
                return Err(lost());
            }
            found += here;
            for line in text.lines() {
                all.lines.push_str(line);
                all.lines.push('\n');
            }
            self.disk.pause(0).await;
        }
        match found == whole || planted(Fault::NoCount) {
            true => Ok((all, unsigned)),
            false => Err(lost()),
        }
    }

    /// What undoing an act would write, and how many fields it leaves alone; nothing where nothing of it is left to
    /// undo. Reads the act's own line, those it wrote over and those of undos since, not all of them.
    pub async fn plan_undo(&self, reference: Ref) -> Result<Option<(Draft, usize)>, Trouble> {
        self.until_whole().await?;
        let own = self.entries(&[Named::Whole(reference)]).await?.remove(&reference);
        let Some(entry) = own else { return Ok(None) };
        let over: BTreeSet<Named> = entry.sets.iter().flat_map(|set| set.over.values().flatten().copied()).collect();
        let over: Vec<Named> = over.into_iter().collect();
        let mut before = self.entries(&over).await?;
        // What stands there now may be an undo of an undo of it, which counts as the act's own.
        let mut next = self.heads_of(&entry);
        while !next.is_empty() {
            let found = self.entries(&next).await?;
            next = found.values().filter_map(|entry| entry.undoes).collect();
            next.retain(|named| before.range(named.range()).next().is_none());
            before.extend(found);
        }
        let looked_up = |named: &Named| before.range(named.range()).map(|(_, entry)| entry.clone()).collect();
        let UndoPlan { draft, skipped } = self.book().journal().undo(&entry, looked_up);
        Ok(draft.map(|draft| (draft, skipped.len())))
    }

    /// Who else's writes stand in the fields an act set.
    fn heads_of(&self, entry: &Entry) -> Vec<Named> {
        let book = self.book();
        let mut heads: BTreeSet<Named> = BTreeSet::new();
        for set in &entry.sets {
            let Some(record) = book.journal().any_record(&set.kind, &set.id) else { continue };
            let own = set.fields.keys().flat_map(|field| record.heads(field));
            heads.extend(own.map(|head| head.reference).filter(|head| *head != entry.reference).map(Named::Whole));
        }
        heads.into_iter().collect()
    }

    /// The acts of the deed that an act is part of, in the order they were done ([`journal::deed`]); only itself where it
    /// was all of it.
    pub async fn deed(&self, reference: Ref) -> Result<Vec<Ref>, Trouble> {
        self.until_whole().await?;
        let own = self.entries(&[Named::Whole(reference)]).await?.remove(&reference);
        let Some(entry) = own else { return Ok(Vec::new()) };
        let first = match entry.with {
            Some(Named::Whole(first)) if first.dev == reference.dev => first,
            _ => reference,
        };
        // Its parts follow one another; another tab of the device may have done something in between.
        let mut parts: Vec<Entry> = vec![entry.clone()];
        let mut from = first.seq;
        loop {
            let wanted: Vec<Named> =
                (from..from + AT_ONCE).map(|seq| Named::Whole(Ref::least(first.dev, seq))).collect();
            let found = self.numbered(&wanted).await?;
            let all = found.len();
            let ours = |entry: &Entry| entry.reference == first || entry.with == Some(Named::Whole(first));
            parts.extend(found.into_iter().filter(ours));
            if !parts.iter().any(|part| part.seq() >= from) || all == 0 {
                break;
            }
            from += AT_ONCE;
        }
        Ok(journal::deed(&entry, parts.iter()))
    }

    /// Entries by device and number alone.
    async fn numbered(&self, wanted: &[Named]) -> Result<Vec<Entry>, Trouble> {
        let texts = self.with_db(async |db| texts_of(db, wanted).await).await?;
        let lines = texts.iter().flat_map(|text| text.lines()).filter(|line| may_be(line, wanted));
        let entries = lines.filter_map(|line| Entry::read(line).ok());
        Ok(entries.filter(|entry| wanted.iter().any(|n| (n.dev(), n.seq()) == (entry.dev(), entry.seq()))).collect())
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
}

/// The rows and blocks that may hold these entries.
async fn texts_of(db: &Attempt<'_>, wanted: &[Named]) -> Result<Vec<String>, Trouble> {
    let tx = db.begin(&[Store::Meta, Store::Rows, Store::Blocks], false)?;
    let directory = part::<Vec<BlockInfo>>(&*tx, DIRECTORY);
    let others = wanted.iter().filter_map(|named| match named {
        Named::Whole(act) => Some(arrived_key(act)),
        Named::Short(..) => None,
    });
    let own = wanted.iter().map(|named| row_key(named.dev(), named.seq()));
    let rows: Vec<_> = own.chain(others).map(|key| tx.get(Store::Rows, &key)).collect();
    let mut texts = Vec::new();
    for row in rows {
        texts.extend(row.await?.and_then(Value::text));
    }
    // A short name is no key of others' rows.
    if wanted.iter().any(|named| matches!(named, Named::Short(_))) {
        texts.extend(tx.all(Store::Rows).await?.into_iter().filter_map(|(_, value)| value.text()));
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
