//! Bundles into and out of storage: each in one transaction, whole or not at all.

use super::db::{ASIDE, BLOCK, BLOCKS, Db, META, PEOPLE, PHOTOS, Trouble, to_json};
use super::exchange::{Exchange, Import};
use super::identity::Me;
use indexed_db_futures::prelude::*;
use indexed_db_futures::transaction::Transaction;
use journal::Hash;
use journal::bundle::Person;
use std::collections::BTreeSet;
use wasm_bindgen::JsValue;

/// What a bundle brings.
pub struct Intake<'a> {
    /// A line end after each.
    pub lines: &'a str,
    /// Hash and bytes.
    pub photos: &'a [(String, JsValue)],
    pub people: &'a [Person],
    /// Digests of details erased for good: what is here of them goes.
    pub erased: &'a BTreeSet<Hash>,
    /// Who writes here from now on, if that changes.
    pub me: Option<&'a Me>,
    /// The state the bundle was compared with.
    pub generation: u64,
}

/// The key of an import's block sorts after all others and by its place.
fn block_key(import: u32, chunk: usize) -> String {
    format!("import.{import:08}.{chunk:06}")
}

impl Db {
    /// Takes a bundle in. `note` changes what is known of other devices and names the import.
    pub(super) async fn take_in(
        &self,
        intake: &Intake<'_>,
        note: impl FnOnce(&mut Exchange, u32),
    ) -> Result<Exchange, Trouble> {
        let tx = self.writing([BLOCKS, META, PHOTOS, PEOPLE])?;
        let mut exchange = Exchange::stored(&tx).await?;
        if exchange.generation != intake.generation {
            return Err(Trouble::Overtaken);
        }
        let n = exchange.imports.iter().map(|import| import.n).max().unwrap_or(0) + 1;
        let blocks = tx.object_store(BLOCKS)?;
        let mut lines = intake.lines.lines().peekable();
        let mut chunk = 0;
        while lines.peek().is_some() {
            let block: Vec<&str> = lines.by_ref().take(BLOCK).collect();
            blocks.add(block.join("\n")).with_key(block_key(n, chunk)).build()?;
            chunk += 1;
        }
        put_photos(&tx, intake.photos)?;
        for person in intake.people {
            if let Some(digest) = person.digest() {
                tx.object_store(PEOPLE)?.put(to_json(person)?).with_key(digest.to_string()).build()?;
            }
        }
        for digest in intake.erased {
            tx.object_store(PEOPLE)?.delete(digest.to_string()).build()?;
        }
        let meta = tx.object_store(META)?;
        if let Some(me) = intake.me {
            meta.put(to_json(me)?).with_key("me").build()?;
            meta.delete("tip").build()?;
        }
        exchange.generation += 1;
        note(&mut exchange, n);
        exchange.put(&tx)?;
        // The folded state knows nothing of the new lines: without it the next start reads everything.
        meta.delete("snapshot").build()?;
        tx.commit().await?;
        Ok(exchange)
    }

    /// Changes what is known of other devices, and nothing else.
    pub(super) async fn note(&self, change: impl FnOnce(&mut Exchange)) -> Result<Exchange, Trouble> {
        let tx = self.writing([META])?;
        let mut exchange = Exchange::stored(&tx).await?;
        change(&mut exchange);
        exchange.put(&tx)?;
        tx.commit().await?;
        Ok(exchange)
    }

    /// Sets the lines of a bundle aside, or takes them back. Nothing is dropped.
    pub(super) async fn set_aside(&self, import: u32, aside: bool) -> Result<(), Trouble> {
        let tx = self.writing([BLOCKS, ASIDE, META])?;
        let (from, to) = if aside { (BLOCKS, ASIDE) } else { (ASIDE, BLOCKS) };
        let (from, to) = (tx.object_store(from)?, tx.object_store(to)?);
        for chunk in 0.. {
            let key = block_key(import, chunk);
            let Some(block) = from.get::<String, _, _>(key.as_str()).await? else { break };
            to.put(block).with_key(key.as_str()).build()?;
            from.delete(key.as_str()).build()?;
        }
        let mut exchange = Exchange::stored(&tx).await?;
        exchange.generation += 1;
        exchange
            .imports
            .iter_mut()
            .filter(|other| other.n == import)
            .for_each(|import: &mut Import| import.aside = aside);
        exchange.put(&tx)?;
        tx.object_store(META)?.delete("snapshot").build()?;
        tx.commit().await?;
        Ok(())
    }

    /// Every picture held, by its hash.
    pub(super) async fn pictures(&self) -> Result<Vec<(String, JsValue)>, Trouble> {
        let tx = self.reading([PHOTOS])?;
        let mut pictures = Vec::new();
        let store = tx.object_store(PHOTOS)?;
        let keys: Vec<String> = store.get_all_keys::<String>().await?.collect::<Result<_, _>>()?;
        for key in keys {
            if let Some(picture) = store.get::<JsValue, _, _>(key.as_str()).await? {
                pictures.push((key, picture));
            }
        }
        Ok(pictures)
    }
}

fn put_photos(tx: &Transaction<'_>, photos: &[(String, JsValue)]) -> Result<(), Trouble> {
    for (hash, picture) in photos {
        tx.object_store(PHOTOS)?.put(picture.clone()).with_key(hash.as_str()).build()?;
    }
    Ok(())
}
