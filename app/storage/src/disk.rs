//! What storage must be able to do: transactions over named stores, as IndexedDB has them.
//!
//! The rules are IndexedDB's. A transaction waits for every earlier one that writes in a store of its own. A request is
//! put when the method is called, not when its answer is awaited; between two requests nothing but answers of the same
//! transaction may be awaited, or it ends by itself. Dropped before [`Tx::commit`], it changes nothing.

use journal::PublicKey;
use std::any::Any;
use std::fmt;
use std::pin::Pin;
use std::rc::Rc;

/// The stores of one database.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Store {
    /// Lines not sealed into a block yet: this device's by [`crate::layout::row_key`], others' from a shared store by
    /// [`crate::layout::arrived_key`].
    Rows,
    /// Many lines in one text.
    Blocks,
    /// Blocks that are kept and not folded: bundles set aside, and lines that are damaged.
    Aside,
    /// Who writes here, what is stored, the folded state.
    Meta,
    /// Pictures by the hash of their bytes; and under `small.` and that hash, one made small, which can be made anew.
    Photos,
    /// People's details by their digest.
    People,
}

impl Store {
    pub const ALL: [Store; 6] = [Store::Rows, Store::Blocks, Store::Aside, Store::Meta, Store::Photos, Store::People];

    /// As the database calls it; never changed.
    pub fn name(self) -> &'static str {
        match self {
            Store::Rows => "entries",
            Store::Blocks => "blocks",
            Store::Aside => "aside",
            Store::Meta => "meta",
            Store::Photos => "photos",
            Store::People => "people",
        }
    }
}

/// What lies under a key.
#[derive(Clone)]
pub enum Value {
    Text(String),
    /// Anything else: a picture, or something that does not belong there.
    Other(Rc<dyn Any>),
}

impl Value {
    pub fn text(self) -> Option<String> {
        match self {
            Value::Text(text) => Some(text),
            Value::Other(_) => None,
        }
    }
}

/// Two values that are no texts count as the same.
impl PartialEq for Value {
    fn eq(&self, other: &Self) -> bool {
        match (self, other) {
            (Value::Text(one), Value::Text(other)) => one == other,
            (Value::Other(_), Value::Other(_)) => true,
            _ => false,
        }
    }
}

impl fmt::Debug for Value {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Value::Text(text) => write!(f, "{text:?}"),
            Value::Other(_) => f.write_str("(no text)"),
        }
    }
}

impl From<String> for Value {
    fn from(text: String) -> Self {
        Value::Text(text)
    }
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Value::Text(text.to_owned())
    }
}

/// An answer that comes later.
pub type Later<T> = Pin<Box<dyn Future<Output = T>>>;
/// A request's answer.
pub type Asked<T> = Later<Result<T, Trouble>>;

/// The device's storage and what else a tab cannot do by itself.
pub trait Disk {
    /// Opens the database, and makes the stores that are not there yet.
    fn connect(&self) -> Asked<Rc<dyn Db>>;
    /// Comes back after about so many milliseconds; other work goes on meanwhile.
    fn pause(&self, ms: u32) -> Later<()>;
    /// Fresh random bytes.
    fn random(&self) -> [u8; 32];
    /// A fresh key pair of Ed25519 that signs and gives its secret to nobody; none where the device has no such thing.
    fn device_key(&self) -> Later<Option<DeviceKey>>;
    /// The time now, by this device's clock.
    fn wall(&self) -> journal::Wall;
    /// Tells the other tabs that something was written. Missing it does no harm: they look when they come into view.
    fn tell_tabs(&self);
}

/// A key pair whose secret stays with the device.
#[derive(Clone, Debug)]
pub struct DeviceKey {
    pub public: PublicKey,
    /// What signs, as the device stores it.
    pub private: Value,
}

/// One open database.
pub trait Db {
    /// # Errors
    /// [`Trouble::Closed`] when it is open no longer.
    fn begin<'a>(&'a self, stores: &[Store], write: bool) -> Result<Box<dyn Tx + 'a>, Trouble>;
    /// Whether the browser has closed it. A transaction broken off tells of a full device or of this, and the browser
    /// tells of the transaction a moment sooner, so this waits that moment.
    fn was_closed(&self) -> Later<bool>;
    /// Lets go of it.
    fn close(&self);
    /// Comes back when it is no longer ours: with the reason where another tab wanted it, with none where the browser
    /// closed it.
    fn taken(&self) -> Later<Option<Trouble>>;
}

/// One transaction. Writes are told to fail by [`Tx::commit`] at the latest.
pub trait Tx {
    fn get(&self, store: Store, key: &str) -> Asked<Option<Value>>;
    /// Keys and values in order of key. Keys that are no texts are left out.
    fn all(&self, store: Store) -> Asked<Vec<(String, Value)>>;
    /// Keys in order.
    fn keys(&self, store: Store) -> Asked<Vec<String>>;
    /// # Errors
    /// When it could not even be asked for.
    fn put(&self, store: Store, key: &str, value: Value) -> Result<(), Trouble>;
    /// As [`Tx::put`], and the whole transaction fails where there is something under the key already.
    ///
    /// # Errors
    /// When it could not even be asked for.
    fn add(&self, store: Store, key: &str, value: Value) -> Result<(), Trouble>;
    /// # Errors
    /// When it could not even be asked for.
    fn delete(&self, store: Store, key: &str) -> Result<(), Trouble>;
    /// # Errors
    /// When it could not even be asked for.
    fn clear(&self, store: Store) -> Result<(), Trouble>;
    /// Comes back when all of it is durable, or none of it is there.
    fn commit<'a>(self: Box<Self>) -> Pin<Box<dyn Future<Output = Result<(), Trouble>> + 'a>>
    where
        Self: 'a;
}

/// Why storage did not do what was asked. Nothing was written when it is told.
#[derive(Clone, Debug, PartialEq)]
pub enum Trouble {
    /// The device has no room left.
    Full,
    /// The browser keeps no records here (private window, storage switched off).
    Absent(String),
    /// The line could not be made from the act: a fault of this program.
    Act(String),
    /// What is stored cannot be read.
    Damaged(String),
    /// The browser closed the database.
    Closed,
    /// Another tab needed the records, and this one has let go of them.
    LetGo,
    /// The records were removed from this device while this tab was open.
    Removed,
    /// The records were opened by a newer version of the app.
    Newer,
    /// Another tab changed the records meanwhile.
    Overtaken,
    /// Storage does not answer.
    Stalled,
    /// A part of the app is not on this device and could not be fetched.
    PartMissing,
    /// Anything else the browser says.
    Other(String),
}
