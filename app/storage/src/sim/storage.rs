//! A device's storage as a browser gives it: transactions that wait for each other, answers that come late, handles that
//! are closed, a disk that is full, a database that stops answering.

use super::chance::Chance;
use crate::disk::{Asked, Db, DeviceKey, Disk, Later, Store, Trouble, Tx, Value};
use journal::{Keypair, Wall};
use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::future::poll_fn;
use std::pin::Pin;
use std::rc::Rc;
use std::task::Poll;

/// What lies in the stores.
pub type Bits = BTreeMap<(Store, String), Value>;

/// The polls so far, of all tabs: the simulator's time.
pub type Ticks = Rc<Cell<u64>>;

/// One device's storage.
#[derive(Default)]
pub struct Device {
    pub bits: Bits,
    running: Vec<Running>,
    next: u64,
    /// The last handle given out, and the last of those that the browser has closed.
    pub handle: u64,
    pub closed: u64,
    /// No transaction of this handle gets an answer.
    pub stalled: Option<u64>,
    pub full: bool,
    /// It keeps keys that sign; what it stores for one is the secret.
    pub keeps_keys: bool,
    /// So many of the next reads of lines or of the folded state are wrong in a letter.
    pub misread: u64,
    pub wall_ms: u64,
    /// Tabs that other tabs have told that something was written.
    pub told: u64,
    pub chance: Chance,
}

impl Device {
    pub fn new(bits: Bits, wall_ms: u64, chance: Chance) -> Device {
        Device { bits, wall_ms, chance, ..Device::default() }
    }
}

struct Running {
    id: u64,
    stores: Vec<Store>,
    write: bool,
}

enum Op {
    Put(Store, String, Value),
    Add(Store, String, Value),
    Delete(Store, String),
    Clear(Store),
}

#[derive(Clone)]
pub struct SimDisk {
    pub device: Rc<RefCell<Device>>,
    pub ticks: Ticks,
}

impl SimDisk {
    fn late(&self) -> u64 {
        self.ticks.get() + self.device.borrow_mut().chance.below(4)
    }
}

impl Disk for SimDisk {
    fn connect(&self) -> Asked<Rc<dyn Db>> {
        let (disk, at) = (self.clone(), self.late());
        Box::pin(async move {
            until(disk.ticks.clone(), at).await;
            let mut device = disk.device.borrow_mut();
            device.handle += 1;
            let handle = device.handle;
            drop(device);
            Ok(Rc::new(SimDb { disk, handle: Rc::new(Cell::new(handle)) }) as Rc<dyn Db>)
        })
    }

    fn pause(&self, ms: u32) -> Later<()> {
        Box::pin(until(self.ticks.clone(), self.ticks.get() + 1 + u64::from(ms / 10)))
    }

    fn random(&self) -> [u8; 32] {
        let chance = &mut self.device.borrow_mut().chance;
        std::array::from_fn(|_| chance.below(256) as u8)
    }

    fn device_key(&self) -> Later<Option<DeviceKey>> {
        let keeps = self.device.borrow().keeps_keys;
        let key = keeps.then(|| {
            let secret = self.random();
            DeviceKey { public: Keypair::from_secret(&secret).public(), private: Value::Other(Rc::new(secret)) }
        });
        Box::pin(std::future::ready(key))
    }

    fn wall(&self) -> Wall {
        let mut device = self.device.borrow_mut();
        device.wall_ms += device.chance.below(3000);
        Wall { ms: device.wall_ms, text: "2026-06-09T21:40+02:00".to_owned() }
    }

    fn tell_tabs(&self) {
        self.device.borrow_mut().told += 1;
    }
}

/// Comes back at a moment.
async fn until(ticks: Ticks, at: u64) {
    poll_fn(move |_| if ticks.get() >= at { Poll::Ready(()) } else { Poll::Pending }).await;
}

pub struct SimDb {
    disk: SimDisk,
    /// 0 once it is closed.
    handle: Rc<Cell<u64>>,
}

impl SimDb {
    fn open(&self) -> bool {
        self.handle.get() > self.disk.device.borrow().closed
    }
}

impl Db for SimDb {
    fn begin<'a>(&'a self, stores: &[Store], write: bool) -> Result<Box<dyn Tx + 'a>, Trouble> {
        if !self.open() {
            return Err(Trouble::Closed);
        }
        let mut device = self.disk.device.borrow_mut();
        device.next += 1;
        let id = device.next;
        device.running.push(Running { id, stores: stores.to_vec(), write });
        Ok(Box::new(SimTx(Rc::new(Transaction {
            disk: self.disk.clone(),
            id,
            handle: self.handle.clone(),
            stores: stores.to_vec(),
            write,
            ops: RefCell::new(Vec::new()),
        }))))
    }

    fn was_closed(&self) -> Later<bool> {
        let open = self.open();
        Box::pin(async move { !open })
    }

    fn close(&self) {
        self.handle.set(0);
    }

    fn taken(&self) -> Later<Option<Trouble>> {
        Box::pin(std::future::pending())
    }
}

struct Transaction {
    disk: SimDisk,
    id: u64,
    handle: Rc<Cell<u64>>,
    stores: Vec<Store>,
    write: bool,
    ops: RefCell<Vec<Op>>,
}

impl Drop for Transaction {
    fn drop(&mut self) {
        self.disk.device.borrow_mut().running.retain(|running| running.id != self.id);
    }
}

impl Transaction {
    /// Comes back when no earlier transaction is in the way; fails when the browser has closed the database.
    async fn ready(&self) -> Result<(), Trouble> {
        let at = self.disk.late();
        poll_fn(|_| {
            let device = self.disk.device.borrow();
            if self.handle.get() <= device.closed {
                return Poll::Ready(Err(Trouble::Other("the transaction was broken off".to_owned())));
            }
            if device.stalled == Some(self.handle.get()) || self.disk.ticks.get() < at {
                return Poll::Pending;
            }
            let clear = device.running.iter().take_while(|other| other.id < self.id).all(|other| {
                !(other.write || self.write) || !other.stores.iter().any(|store| self.stores.contains(store))
            });
            if clear { Poll::Ready(Ok(())) } else { Poll::Pending }
        })
        .await
    }

    /// What a browser would throw for.
    fn in_scope(&self, store: Store, write: bool) {
        assert!(self.stores.contains(&store), "{store:?} is not in the transaction's scope");
        assert!(!write || self.write, "a write in a transaction that only reads");
    }

    /// A store as this transaction sees it, after its own first writes.
    fn view(&self, store: Store, upto: usize) -> BTreeMap<String, Value> {
        let device = self.disk.device.borrow();
        let first = (store, String::new());
        let here = device.bits.range(first..).take_while(|((other, _), _)| *other == store);
        let mut view: BTreeMap<String, Value> = here.map(|((_, key), value)| (key.clone(), value.clone())).collect();
        for op in self.ops.borrow().iter().take(upto) {
            match op {
                Op::Put(at, key, value) | Op::Add(at, key, value) if *at == store => {
                    view.insert(key.clone(), value.clone());
                }
                Op::Delete(at, key) if *at == store => drop(view.remove(key)),
                Op::Clear(at) if *at == store => view.clear(),
                _ => {}
            }
        }
        view
    }

    fn seen(&self, store: Store, key: &str, upto: usize) -> Option<Value> {
        for op in self.ops.borrow().iter().take(upto).rev() {
            match op {
                Op::Put(at, other, value) | Op::Add(at, other, value) if (*at, other.as_str()) == (store, key) => {
                    return Some(value.clone());
                }
                Op::Delete(at, other) if (*at, other.as_str()) == (store, key) => return None,
                Op::Clear(at) if *at == store => return None,
                _ => {}
            }
        }
        self.disk.device.borrow().bits.get(&(store, key.to_owned())).cloned()
    }

    /// Fails where something lies already under a key that is added.
    fn fits(&self) -> Result<(), Trouble> {
        for (n, op) in self.ops.borrow().iter().enumerate() {
            if let Op::Add(store, key, _) = op
                && self.seen(*store, key, n).is_some()
            {
                return Err(Trouble::Other("Key already exists in the object store.".to_owned()));
            }
        }
        Ok(())
    }

    fn apply(&self, bits: &mut Bits) {
        for op in self.ops.borrow().iter() {
            match op {
                Op::Put(store, key, value) | Op::Add(store, key, value) => {
                    bits.insert((*store, key.clone()), value.clone());
                }
                Op::Delete(store, key) => drop(bits.remove(&(*store, key.clone()))),
                Op::Clear(store) => bits.retain(|(other, _), _| other != store),
            }
        }
    }
}

struct SimTx(Rc<Transaction>);

impl SimTx {
    /// What a read gives: once in a while a letter is wrong, though it lies there rightly.
    fn read(tx: &Transaction, store: Store, key: &str, value: Value) -> Value {
        let device = &mut *tx.disk.device.borrow_mut();
        let lines = matches!(store, Store::Rows | Store::Blocks) || super::harm::is_state(key);
        match value {
            Value::Text(text) if device.misread > 0 && lines && device.chance.below(3) == 0 => {
                device.misread -= 1;
                super::harm::changed(&text, &mut device.chance).unwrap_or(text).into()
            }
            other => other,
        }
    }

    fn asked<T: 'static>(&self, look: impl FnOnce(&Transaction, usize) -> T + 'static) -> Asked<T> {
        let (tx, upto) = (self.0.clone(), self.0.ops.borrow().len());
        Box::pin(async move {
            tx.ready().await?;
            Ok(look(&tx, upto))
        })
    }

    fn op(&self, store: Store, op: Op) -> Result<(), Trouble> {
        self.0.in_scope(store, true);
        self.0.ops.borrow_mut().push(op);
        Ok(())
    }
}

impl Tx for SimTx {
    fn get(&self, store: Store, key: &str) -> Asked<Option<Value>> {
        self.0.in_scope(store, false);
        let key = key.to_owned();
        self.asked(move |tx, upto| Some(Self::read(tx, store, &key, tx.seen(store, &key, upto)?)))
    }

    fn all(&self, store: Store) -> Asked<Vec<(String, Value)>> {
        self.0.in_scope(store, false);
        self.asked(move |tx, upto| {
            let view = tx.view(store, upto).into_iter();
            view.map(|(key, value)| (key.clone(), Self::read(tx, store, &key, value))).collect()
        })
    }

    fn keys(&self, store: Store) -> Asked<Vec<String>> {
        self.0.in_scope(store, false);
        self.asked(move |tx, upto| tx.view(store, upto).into_keys().collect())
    }

    fn put(&self, store: Store, key: &str, value: Value) -> Result<(), Trouble> {
        self.op(store, Op::Put(store, key.to_owned(), value))
    }

    fn add(&self, store: Store, key: &str, value: Value) -> Result<(), Trouble> {
        self.op(store, Op::Add(store, key.to_owned(), value))
    }

    fn delete(&self, store: Store, key: &str) -> Result<(), Trouble> {
        self.op(store, Op::Delete(store, key.to_owned()))
    }

    fn clear(&self, store: Store) -> Result<(), Trouble> {
        self.op(store, Op::Clear(store))
    }

    fn commit<'a>(self: Box<Self>) -> Pin<Box<dyn Future<Output = Result<(), Trouble>> + 'a>>
    where
        Self: 'a,
    {
        Box::pin(async move {
            let tx = self.0.clone();
            drop(self);
            tx.ready().await?;
            if tx.disk.device.borrow().full && !tx.ops.borrow().is_empty() {
                return Err(Trouble::Full);
            }
            tx.fits()?;
            {
                let mut device = tx.disk.device.borrow_mut();
                tx.apply(&mut device.bits);
                // Done: others may go on. Whoever waits for the answer may die before it comes.
                device.running.retain(|running| running.id != tx.id);
            }
            let at = tx.disk.late();
            until(tx.disk.ticks.clone(), at).await;
            Ok(())
        })
    }
}
