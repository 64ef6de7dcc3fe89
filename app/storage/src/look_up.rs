//! Lines looked up again: all of them for a bundle, or those that one act stands on.

use crate::cover::LineSet;
use crate::disk::{Store, Trouble, Value};
use crate::exchange::Exchange;
use crate::identity::Me;
use crate::layout::{BlockInfo, Cover, DIRECTORY, EXCHANGE, ME, row_key};
use crate::open::in_spans;
use crate::planted::{Fault, planted};
use crate::tab::{Attempt, Tab, part, stored};
use journal::{Draft, Entry, Named, Ref, UndoPlan};
use std::collections::{BTreeMap, BTreeSet};

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
    texts: Vec<(String, LineSet)>,
    /// Of all texts.
    whole: LineSet,
}

fn lost() -> Trouble {
    Trouble::Damaged("lines that were stored are not there".to_owned())
}

async fn everything_on(db: &Attempt<'_>) -> Result<Texts, Trouble> {
    let tx = db.begin(&[Store::Meta, Store::Blocks, Store::Rows], false)?;
    let (me, exchange, stored) = (part::<Me>(&*tx, ME), part::<Exchange>(&*tx, EXCHANGE), stored(&*tx));
    let (blocks, rows) = (tx.all(Store::Blocks), tx.all(Store::Rows));
    let (me, exchange) = (me.await?, exchange.await?.unwrap_or_default());
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
    Ok(Texts { all: Everything { me, exchange, covered, lines: String::new() }, texts, whole })
}

impl Tab {
    /// Everything a bundle is made of or compared with, as it lies there at one moment.
    pub async fn everything(&self) -> Result<Everything, Trouble> {
        let _turn = self.whole_turn().await?;
        self.healed(async || {
            let texts = self.with_db(async |db| everything_on(db).await).await?;
            self.compared(texts).await
        })
        .await
    }

    /// Nobody is sent less than was stored, or something else, without a word: what does not match is mended first.
    async fn compared(&self, texts: Texts) -> Result<Everything, Trouble> {
        let Texts { mut all, texts, whole } = texts;
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
            true => Ok(all),
            false => Err(lost()),
        }
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
