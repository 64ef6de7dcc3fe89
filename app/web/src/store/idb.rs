//! IndexedDB as `storage` asks for it: bytes moved, nothing decided.

use super::Barn;
use super::whole::pause;
use crate::clock;
use crate::prefs::folder;
use indexed_db_futures::database::Database;
use indexed_db_futures::error::{DomException, Error as IdbError, OpenDbError};
use indexed_db_futures::prelude::*;
use indexed_db_futures::transaction::{Transaction, TransactionDurability, TransactionMode, TransactionOptions};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::pin::Pin;
use std::rc::Rc;
use storage::{Asked, Db, DeviceKey, Disk, Later, Store, Trouble, Tx, Value};
use wasm_bindgen::JsValue;

/// Raised whenever an older app could not keep what is stored in order: its tabs are asked to let go then.
const VERSION: u8 = 5;
const CLOSING_MS: i32 = 40;

/// This page's part of the browser's storage.
pub struct Browser {
    /// The demonstration season's database, not the keeper's own.
    pub demo: bool,
    /// The page that is told when the database is taken away; none for work that ends at once.
    pub barn: Option<Barn>,
}

pub fn database_name(demo: bool) -> String {
    format!("candlemark:{}{}", folder(), if demo { "demo" } else { "barn" })
}

/// What the browser says of it. Of a value that is no text it would say which, and print fractions for that: a part of
/// every first download.
fn said(error: &IdbError) -> String {
    match error {
        IdbError::DomException(why) => why.to_string(),
        IdbError::Unknown(why) => why.to_string(),
        IdbError::MissingData(why) => why.to_string(),
        IdbError::Serialisation(_) => "a value of another type than was asked for".to_owned(),
    }
}

fn trouble(error: IdbError) -> Trouble {
    let said = said(&error);
    let has = |words: &str| said.to_ascii_lowercase().contains(words);
    // Where room runs out while a transaction is committed, only its having been aborted is passed on; nothing here
    // aborts one by itself.
    if has("quota") || has("aborted") {
        Trouble::Full
    } else if has("invalidstate") || has("closing") || has("connection") || has("backing store") {
        Trouble::Closed
    } else {
        Trouble::Other(said)
    }
}

fn said_of_opening(error: &OpenDbError) -> String {
    match error {
        OpenDbError::Base(why) => said(why),
        OpenDbError::VersionZero | OpenDbError::UnsupportedEnvironment | OpenDbError::NullFactory => {
            "this browser gives pages no database".to_owned()
        }
    }
}

fn no_open(error: OpenDbError) -> Trouble {
    match error {
        OpenDbError::Base(IdbError::DomException(DomException::Other(why))) if why.name() == "VersionError" => {
            Trouble::Newer
        }
        other => Trouble::Absent(said_of_opening(&other)),
    }
}

/// How often opening is tried where the browser fails inside.
const OPENED: u32 = 3;

impl Browser {
    /// The browser is asked when this is called, not when the answer is waited for.
    fn opening(&self) -> impl Future<Output = Result<Database, Trouble>> + use<> {
        let barn = self.barn;
        let asked = Database::open(database_name(self.demo))
            .with_version(VERSION)
            .with_on_blocked(move |_| {
                if let Some(barn) = barn {
                    barn.blocked();
                }
                Ok(())
            })
            .with_on_upgrade_needed(|_, db| {
                let there: Vec<String> = db.object_store_names().collect();
                for store in Store::ALL.map(Store::name) {
                    if !there.iter().any(|known| known == store) {
                        db.create_object_store(store).build()?;
                    }
                }
                Ok(())
            })
            .build();
        async move { asked.map_err(no_open)?.await.map_err(no_open) }
    }

    /// Removes the whole database.
    pub async fn delete(&self) -> Result<(), Trouble> {
        let db = self.opening().await?;
        let asked = db.delete().map_err(|error| Trouble::Other(said_of_opening(&error)))?;
        asked.await.map_err(|error| Trouble::Other(said(&error)))
    }
}

impl Disk for Browser {
    fn connect(&self) -> Asked<Rc<dyn Db>> {
        let first = self.opening();
        let again = Browser { demo: self.demo, barn: self.barn };
        Box::pin(async move {
            let mut opened = first.await;
            // Browsers sometimes fail inside ("internal error opening backing store") and do better a moment later.
            for _ in 1..OPENED {
                if !matches!(opened, Err(Trouble::Absent(_))) {
                    break;
                }
                pause(CLOSING_MS).await;
                opened = again.opening().await;
            }
            let db: Rc<dyn Db> = Rc::new(Open(opened?));
            if let Some(barn) = again.barn {
                barn.watch(&db);
            }
            Ok(db)
        })
    }

    fn pause(&self, ms: u32) -> Later<()> {
        Box::pin(pause(i32::try_from(ms).unwrap_or(i32::MAX)))
    }

    fn random(&self) -> [u8; 32] {
        clock::random()
    }

    fn device_key(&self) -> Later<Option<DeviceKey>> {
        Box::pin(super::pen::device_key())
    }

    fn wall(&self) -> journal::Wall {
        clock::wall()
    }

    fn tell_tabs(&self) {
        super::tabs::tell();
    }
}

struct Open(Database);

impl Db for Open {
    fn begin<'a>(&'a self, stores: &[Store], write: bool) -> Result<Box<dyn Tx + 'a>, Trouble> {
        let names: Vec<&str> = stores.iter().map(|store| store.name()).collect();
        let asked = self.0.transaction(names);
        let tx = match write {
            false => asked.with_mode(TransactionMode::Readonly).build(),
            true => {
                let strict = TransactionOptions::new().with_durability(TransactionDurability::Strict);
                asked.with_mode(TransactionMode::Readwrite).with_options(strict).build()
            }
        };
        Ok(Box::new(Running(tx.map_err(trouble)?)))
    }

    fn was_closed(&self) -> Later<bool> {
        let db = self.0.clone();
        Box::pin(async move {
            pause(CLOSING_MS).await;
            db.transaction([Store::Meta.name()]).with_mode(TransactionMode::Readonly).build().is_err()
        })
    }

    fn close(&self) {
        self.0.clone().close();
    }

    fn taken(&self) -> Later<Option<Trouble>> {
        let db = self.0.clone();
        Box::pin(async move {
            let Ok(mut changes) = db.version_changes() else { return std::future::pending().await };
            let asked = changes.recv().await?;
            db.close();
            Some(if asked.new_version().is_none() { Trouble::Removed } else { Trouble::LetGo })
        })
    }
}

struct Running<'a>(Transaction<'a>);

fn value(value: JsValue) -> Value {
    match value.as_string() {
        Some(text) => Value::Text(text),
        None => Value::Other(Rc::new(value)),
    }
}

/// A value as the browser stores it; pictures are blobs.
fn stored(value: Value) -> JsValue {
    match value {
        Value::Text(text) => text.into(),
        Value::Other(other) => other.downcast_ref::<JsValue>().cloned().unwrap_or(JsValue::NULL),
    }
}

impl Tx for Running<'_> {
    fn get(&self, store: Store, key: &str) -> Asked<Option<Value>> {
        let asked = self.0.object_store(store.name()).and_then(|store| store.get::<JsValue, _, _>(key).build());
        Box::pin(async move { Ok(asked.map_err(trouble)?.await.map_err(trouble)?.map(value)) })
    }

    fn all(&self, store: Store) -> Asked<Vec<(String, Value)>> {
        let asked = self
            .0
            .object_store(store.name())
            .and_then(|store| Ok((store.get_all_keys::<JsValue>().build()?, store.get_all::<JsValue>().build()?)));
        Box::pin(async move {
            let (keys, values) = asked.map_err(trouble)?;
            let keys = keys.await.map_err(trouble)?.collect::<Result<Vec<_>, _>>().map_err(trouble)?;
            let values = values.await.map_err(trouble)?.collect::<Result<Vec<_>, _>>().map_err(trouble)?;
            let both = keys.into_iter().zip(values);
            Ok(both.filter_map(|(key, stored)| Some((key.as_string()?, value(stored)))).collect())
        })
    }

    fn keys(&self, store: Store) -> Asked<Vec<String>> {
        let asked = self.0.object_store(store.name()).and_then(|store| store.get_all_keys::<JsValue>().build());
        Box::pin(async move {
            let keys = asked.map_err(trouble)?.await.map_err(trouble)?;
            let keys = keys.collect::<Result<Vec<_>, _>>().map_err(trouble)?;
            Ok(keys.into_iter().filter_map(|key| key.as_string()).collect())
        })
    }

    fn put(&self, store: Store, key: &str, value: Value) -> Result<(), Trouble> {
        let store = self.0.object_store(store.name()).map_err(trouble)?;
        store.put(stored(value)).with_key(key).build().map(drop).map_err(trouble)
    }

    fn add(&self, store: Store, key: &str, value: Value) -> Result<(), Trouble> {
        let store = self.0.object_store(store.name()).map_err(trouble)?;
        store.add(stored(value)).with_key(key).build().map(drop).map_err(trouble)
    }

    fn delete(&self, store: Store, key: &str) -> Result<(), Trouble> {
        let store = self.0.object_store(store.name()).map_err(trouble)?;
        store.delete(key).build().map(drop).map_err(trouble)
    }

    fn clear(&self, store: Store) -> Result<(), Trouble> {
        let store = self.0.object_store(store.name()).map_err(trouble)?;
        store.clear().map(drop).map_err(trouble)
    }

    fn commit<'a>(self: Box<Self>) -> Pin<Box<dyn Future<Output = Result<(), Trouble>> + 'a>>
    where
        Self: 'a,
    {
        Box::pin(async move { self.0.commit().await.map_err(trouble) })
    }
}

impl Barn {
    /// Another tab, with an older version of the app, has to be closed first.
    fn blocked(&self) {
        self.state.set(super::State::Blocked);
    }

    /// Waits until the database is no longer ours: closed by the browser, and opened anew with the next thing to do, or
    /// wanted by another tab, and let go of for good.
    fn watch(&self, db: &Rc<dyn Db>) {
        let (barn, taken, db) = (*self, db.taken(), Rc::downgrade(db));
        spawn_local(async move {
            let why = taken.await;
            let tab = barn.tab();
            if let Some(db) = db.upgrade() {
                tab.forget(&db);
            }
            if let Some(why) = why {
                tab.let_go(why.clone());
                let _ = barn.let_go.try_set(Some(why));
            }
        });
    }
}
