//! Looking whether what is stored is still what was stored, a few blocks at a time.

use crate::cover::LineSet;
use crate::disk::{Store, Trouble, Value};
use crate::exchange::Exchange;
use crate::identity::Me;
use crate::layout::{BlockInfo, EXCHANGE, HARMS, ME, TIP, heads_key};
use crate::lines::Heads;
use crate::tab::{Tab, meta, part, stored};
use journal::{Digest, Hash, Tip};

/// What one look found.
#[derive(Clone, Debug, PartialEq)]
pub struct Look {
    /// Blocks looked at by now, and how many there are.
    pub blocks: (usize, usize),
    pub lines: u64,
    /// Where to go on; nothing at the end.
    pub next: Option<String>,
    /// Something did not hold what was stored there, and has been mended: [`Tab::harms`] names it.
    pub mended: bool,
}

/// What a whole check looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Checked {
    pub blocks: usize,
    pub lines: u64,
    /// Of what is shown, the same as of all lines folded again.
    pub digest: Digest,
    pub mended: bool,
}

impl Tab {
    /// Looks at up to `at_once` blocks after `from`, and at the rows. What is not as it was stored is mended at once.
    pub async fn look(&self, from: Option<&str>, at_once: usize) -> Result<Look, Trouble> {
        let _turn = self.whole_turn().await?;
        match self.look_here(from, at_once).await {
            Ok(Some(look)) => Ok(look),
            Ok(None) | Err(Trouble::Damaged(_)) => {
                self.mend().await?;
                self.read_anew().await?;
                Ok(Look { blocks: (0, 0), lines: 0, next: None, mended: true })
            }
            Err(trouble) => Err(trouble),
        }
    }

    async fn look_here(&self, from: Option<&str>, at_once: usize) -> Result<Option<Look>, Trouble> {
        self.with_db(async |db| {
            let tx = db.begin(&[Store::Meta, Store::Rows, Store::Blocks], false)?;
            let stored = stored(&*tx);
            let (me, tip) = (part::<Me>(&*tx, ME), part::<Tip>(&*tx, TIP));
            let exchange = part::<Exchange>(&*tx, EXCHANGE);
            let (rows, keys) = (tx.all(Store::Rows), tx.keys(Store::Blocks));
            // Unreadable ones are told as damaged.
            me.await?;
            tip.await?;
            exchange.await?;
            let (covered, directory) = stored.await?;
            let (rows, keys) = (rows.await?, keys.await?);
            let Some(covered) = covered else {
                let nothing = Look { blocks: (0, 0), lines: 0, next: None, mended: false };
                return Ok((rows.is_empty() && keys.is_empty()).then_some(nothing));
            };
            let (mut found, mut heads) = (LineSet::default(), Heads::default());
            for line in rows.into_iter().filter_map(|(_, value)| value.text()) {
                let hash = Hash::of(line.as_bytes());
                found += LineSet::one(&hash);
                heads.add(&hash);
            }
            let mut order: Vec<&BlockInfo> = directory.iter().collect();
            order.sort_by(|a, b| a.key.cmp(&b.key));
            let same_keys = order.iter().map(|block| block.key.as_str()).eq(keys.iter().map(String::as_str));
            if found != covered.rows || !heads.same(&covered.row_heads) || !same_keys {
                return Ok(None);
            }
            let after = order.partition_point(|block| from.is_some_and(|from| block.key.as_str() <= from));
            let here = &order[after..order.len().min(after + at_once)];
            let both =
                |block: &&BlockInfo| (tx.get(Store::Blocks, &block.key), tx.get(Store::Meta, &heads_key(&block.key)));
            let texts: Vec<_> = here.iter().map(both).collect();
            let mut lines = found.count;
            for (block, (text, heads)) in here.iter().zip(texts) {
                let (Some(Value::Text(text)), Some(Value::Text(heads))) = (text.await?, heads.await?) else {
                    return Ok(None);
                };
                let (found, own) = BlockInfo::of(&block.key, &text);
                if found != **block || own.as_text() != heads {
                    return Ok(None);
                }
                lines += block.lines.count;
            }
            let seen = after + here.len();
            let next = (seen < order.len()).then(|| here.last().map(|block| block.key.clone())).flatten();
            Ok(Some(Look { blocks: (seen, order.len()), lines, next, mended: false }))
        })
        .await
    }

    /// Looks at everything that is stored, and folds all lines again beside what is shown. `told` hears the share done,
    /// in percent. Should what is shown differ, it is replaced.
    pub async fn check(&self, told: impl Fn(u32)) -> Result<Checked, Trouble> {
        const AT_ONCE: usize = 8;
        let (mut next, mut lines, mut blocks, mut mended) = (None, 0, 0, false);
        loop {
            let look = self.look(next.as_deref(), AT_ONCE).await?;
            mended |= look.mended;
            // Rows are counted with every look.
            lines += look.lines;
            blocks = look.blocks.1.max(blocks);
            told(u32::try_from(50 * look.blocks.0 / look.blocks.1.max(1)).unwrap_or(50));
            next = look.next;
            if next.is_none() {
                break;
            }
            lines -= self.inner.borrow().now.rows.len() as u64;
            self.disk.pause(0).await;
        }
        let _turn = self.whole_turn().await?;
        let shown = self.book().journal().digest();
        // Another tab may have found the harm first.
        let harms = self.with_db(async |db| meta(&*db.begin(&[Store::Meta], false)?, HARMS).await).await?;
        self.inner.borrow_mut().harms = harms.unwrap_or_default();
        if self.inner.borrow().now.me.is_none() {
            return Ok(Checked { blocks, lines, digest: shown, mended });
        }
        self.read_lines_again().await?;
        let digest = self.book().journal().digest();
        told(100);
        Ok(Checked { blocks, lines, digest, mended: mended || shown != digest })
    }

    /// The keeper has read what was found damaged or lost.
    pub async fn harms_read(&self) -> Result<(), Trouble> {
        let _turn = self.turn.lock().await;
        self.with_db(async |db| {
            let tx = db.begin(&[Store::Meta], true)?;
            tx.delete(Store::Meta, crate::layout::HARMS)?;
            db.commit(tx).await
        })
        .await?;
        self.inner.borrow_mut().harms.clear();
        Ok(())
    }
}
