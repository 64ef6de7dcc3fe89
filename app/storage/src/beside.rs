//! What lies beside the lines: pictures, and what is known of people. No line depends on it being there.

use crate::disk::{Store, Trouble, Value};
use crate::tab::Tab;

impl Tab {
    /// Keeps a picture or somebody's details under their digest.
    pub async fn put_beside(&self, store: Store, key: &str, value: Value) -> Result<(), Trouble> {
        self.with_db(async |db| {
            let tx = db.begin(&[store], true)?;
            tx.put(store, key, value.clone())?;
            db.commit(tx).await
        })
        .await
    }

    /// What is kept under a digest; it may be elsewhere.
    pub async fn beside(&self, store: Store, key: &str) -> Result<Option<Value>, Trouble> {
        self.with_db(async |db| db.begin(&[store], false)?.get(store, key).await).await
    }

    /// Everything kept in a store, by digest.
    pub async fn all_beside(&self, store: Store) -> Result<Vec<(String, Value)>, Trouble> {
        self.with_db(async |db| db.begin(&[store], false)?.all(store).await).await
    }

    /// The digests of what is kept in a store.
    pub async fn keys_beside(&self, store: Store) -> Result<Vec<String>, Trouble> {
        self.with_db(async |db| db.begin(&[store], false)?.keys(store).await).await
    }

    /// Removes some of it for good.
    pub async fn drop_beside(&self, store: Store, keys: &[String]) -> Result<(), Trouble> {
        self.with_db(async |db| {
            let tx = db.begin(&[store], true)?;
            keys.iter().try_for_each(|key| tx.delete(store, key))?;
            db.commit(tx).await
        })
        .await
    }

    /// Every stored line, blocks first, then rows; with `aside`, those of bundles set aside too.
    pub async fn lines(&self, aside: bool) -> Result<Vec<String>, Trouble> {
        const STORES: [Store; 3] = [Store::Blocks, Store::Rows, Store::Aside];
        let stores = if aside { &STORES[..] } else { &STORES[..2] };
        self.with_db(async |db| {
            let tx = db.begin(stores, false)?;
            let asked: Vec<_> = stores.iter().map(|store| tx.all(*store)).collect();
            let mut lines = Vec::new();
            for texts in asked {
                let texts = texts.await?.into_iter().filter_map(|(_, value)| value.text());
                texts.for_each(|text| lines.extend(text.lines().map(str::to_owned)));
            }
            Ok(lines)
        })
        .await
    }
}
