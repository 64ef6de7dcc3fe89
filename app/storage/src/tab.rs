//! One open page and the records it holds in memory.

use crate::cover::LineSet;
use crate::disk::{Db, Disk, Store, Trouble, Tx, Value};
use crate::exchange::{Exchange, Known};
use crate::harm::Harm;
use crate::identity::{Me, id_of};
use crate::layout::{BlockInfo, COVER, Cover, DIRECTORY, Gap, Kept, Sum};
use crate::within::within;
use async_lock::{Mutex, MutexGuard};
use book::Book;
use journal::{DeviceId, Hash, Ref};
use std::cell::{Cell, Ref as Borrowed, RefCell};
use std::collections::BTreeMap;
use std::rc::Rc;

/// How often something is tried when the browser closes the database each time.
const TRIES: u32 = 4;
/// How long storage may take to answer what a transaction asks, in milliseconds.
const ANSWER_MS: u32 = 20_000;

/// One open page: the book folded in memory, and which of the stored lines it covers.
///
/// One thing happens at a time: what changes the book or the storage takes [`Tab::turn`] first. Looking is always
/// possible, and never sees a state that is folded half.
pub struct Tab {
    pub(crate) disk: Rc<dyn Disk>,
    /// What a first act is written as when nobody has said who writes.
    pub(crate) keeper: String,
    pub(crate) inner: RefCell<Inner>,
    pub(crate) turn: Mutex<()>,
    /// The act that was sent to storage last.
    pub(crate) sent: Cell<Option<(Ref, Hash)>>,
}

pub(crate) struct Inner {
    pub db: Option<Rc<dyn Db>>,
    /// Another tab needed the records: they are never opened again here.
    pub let_go: Option<Trouble>,
    /// What was found damaged or lost, as it is kept; empty where nothing was.
    pub harms: String,
    /// What is stored has been read.
    pub opened: bool,
    pub now: Now,
}

/// The records as this page holds them, replaced as one whenever they are read anew.
pub(crate) struct Now {
    pub me: Option<Me>,
    pub book: Book,
    pub exchange: Known,
    /// The epoch and the blocks that the book covers.
    pub epoch: u64,
    pub sealed: LineSet,
    /// The rows it covers besides, by key.
    pub rows: BTreeMap<String, Hash>,
    /// The parts of the folded state that are stored.
    pub parts: Vec<Sum>,
    /// Lines that wait for earlier ones: the folded state cannot hold them.
    pub waiting: Vec<String>,
    /// What is over is not there yet.
    pub rest: Option<Rest>,
    /// Acts lost here, which others are shown without.
    pub gaps: Vec<Gap>,
    /// The folded state is stored as it stands, but for the rows.
    pub kept: bool,
}

/// One try to do something with the database.
pub(crate) struct Attempt<'a> {
    db: &'a dyn Db,
    /// From here on it may be stored: there is no second try then.
    committing: Cell<bool>,
}

impl Attempt<'_> {
    pub fn begin(&self, stores: &[Store], write: bool) -> Result<Box<dyn Tx + '_>, Trouble> {
        self.db.begin(stores, write)
    }

    pub async fn commit(&self, tx: Box<dyn Tx + '_>) -> Result<(), Trouble> {
        self.committing.set(true);
        tx.commit().await
    }
}

/// What completes a book of which only the live records have been read.
pub(crate) struct Rest {
    /// The book before any line, where there are lines: parts come before lines.
    pub before: Option<Book>,
    pub lines: Vec<(String, String)>,
}

impl Tab {
    /// A page that has read nothing yet.
    pub fn new(disk: Rc<dyn Disk>, keeper: &str) -> Tab {
        let now = Now::of(Book::new(id_of(disk.random())));
        let inner = Inner { db: None, let_go: None, harms: String::new(), opened: false, now };
        Tab { disk, keeper: keeper.to_owned(), inner: RefCell::new(inner), turn: Mutex::new(()), sent: Cell::new(None) }
    }

    /// The records, to look at. Do not hold it across an `await`.
    pub fn book(&self) -> Borrowed<'_, Book> {
        Borrowed::map(self.inner.borrow(), |inner| &inner.now.book)
    }

    /// What is known of other devices.
    pub fn exchange(&self) -> Exchange {
        self.inner.borrow_mut().now.exchange.get().clone()
    }

    /// When this device last handed a bundle out; milliseconds since 1970 (UTC).
    pub fn made_ms(&self) -> Option<u64> {
        self.inner.borrow().now.exchange.made_ms()
    }

    /// The device that writes here, once there is one.
    pub fn device(&self) -> Option<DeviceId> {
        self.inner.borrow().now.me.as_ref().map(|me| me.dev)
    }

    /// Who is written beside the acts of this device: a person's id, or a name before there is one.
    pub fn writes_as(&self) -> Option<String> {
        self.inner.borrow().now.me.as_ref().map(|me| me.by.clone())
    }

    /// What was found damaged or lost, oldest first.
    pub fn harms(&self) -> Vec<Harm> {
        let text = self.inner.borrow().harms.clone();
        if text.is_empty() { Vec::new() } else { Kept::read(&text).unwrap_or_default() }
    }

    /// Whether anything was.
    pub fn has_harms(&self) -> bool {
        !self.inner.borrow().harms.is_empty()
    }

    /// Whether what is over is there too, not only what is live.
    pub fn is_whole(&self) -> bool {
        self.inner.borrow().now.rest.is_none()
    }

    /// The database, opened anew where the browser has closed it.
    pub async fn db(&self) -> Result<Rc<dyn Db>, Trouble> {
        {
            let inner = self.inner.borrow();
            if let Some(db) = &inner.db {
                return Ok(db.clone());
            }
            if let Some(trouble) = &inner.let_go {
                return Err(trouble.clone());
            }
        }
        let db = self.disk.connect().await?;
        Ok(self.connected(db))
    }

    /// From now on the records are read and written here.
    pub fn connected(&self, db: Rc<dyn Db>) -> Rc<dyn Db> {
        self.inner.borrow_mut().db = Some(db.clone());
        db
    }

    /// The database is open no longer; the next thing to do opens it anew.
    pub fn forget(&self, closed: &Rc<dyn Db>) {
        let mut inner = self.inner.borrow_mut();
        if inner.db.as_ref().is_some_and(|db| Rc::ptr_eq(db, closed)) {
            inner.db = None;
        }
    }

    /// Another tab needed the records, or removed them: this one lets go of them for good.
    pub fn let_go(&self, why: Trouble) {
        let mut inner = self.inner.borrow_mut();
        inner.db = None;
        inner.let_go = Some(why);
    }

    /// Does something with the database, on one opened anew where the browser closes it under us (it does when it is
    /// short of memory) or lets no answer come (some do so after a page was put away). `act` must change nothing unless
    /// it succeeds.
    pub(crate) async fn with_db<T>(
        &self,
        mut act: impl AsyncFnMut(&Attempt<'_>) -> Result<T, Trouble>,
    ) -> Result<T, Trouble> {
        let mut tries = 0;
        loop {
            let db = self.db().await?;
            let attempt = Attempt { db: &*db, committing: Cell::new(false) };
            let limit = self.disk.pause(ANSWER_MS);
            let done = within(act(&attempt), limit).await;
            let failed = match done {
                // These are the records' own answers, not the browser's.
                Some(done @ (Ok(_) | Err(Trouble::Damaged(_) | Trouble::Overtaken | Trouble::Act(_)))) => return done,
                Some(done) if !db.was_closed().await => return done,
                Some(_) => Trouble::Closed,
                None => {
                    db.close();
                    // It may be stored or not: only a look can tell.
                    if attempt.committing.get() {
                        self.forget(&db);
                        return Err(Trouble::Stalled);
                    }
                    Trouble::Stalled
                }
            };
            tries += 1;
            self.forget(&db);
            if tries == TRIES {
                return Err(failed);
            }
        }
    }

    /// Does something that finds what is stored damaged at worst: that is mended then, and it is done once more. The
    /// caller has the turn.
    pub(crate) async fn healed<T>(&self, mut act: impl AsyncFnMut() -> Result<T, Trouble>) -> Result<T, Trouble> {
        match act().await {
            Err(Trouble::Damaged(_)) => {
                self.mend().await?;
                self.read_anew().await?;
                act().await
            }
            done => done,
        }
    }

    /// Comes back when what is over is there too.
    pub async fn until_whole(&self) -> Result<(), Trouble> {
        self.whole_turn().await.map(drop)
    }

    /// The turn, with everything read.
    pub(crate) async fn whole_turn(&self) -> Result<MutexGuard<'_, ()>, Trouble> {
        let turn = self.turn.lock().await;
        let opened = self.inner.borrow().opened;
        let read = match opened {
            true => self.read_parts().await?,
            false => {
                self.read_anew().await?;
                true
            }
        };
        if !read {
            self.read_lines_again().await?;
        }
        Ok(turn)
    }
}

impl Now {
    /// Nothing stored around a book.
    pub fn of(book: Book) -> Now {
        Now {
            me: None,
            book,
            exchange: Known::of(Exchange::default()),
            epoch: 0,
            sealed: LineSet::default(),
            rows: BTreeMap::new(),
            parts: Vec::new(),
            waiting: Vec::new(),
            rest: None,
            gaps: Vec::new(),
            kept: true,
        }
    }

    /// The rows covered, as a set.
    pub fn rows_set(&self) -> LineSet {
        self.rows.values().map(LineSet::one).sum()
    }
}

/// A text of `meta`. It is asked for when this is called.
pub(crate) fn meta(tx: &dyn Tx, key: &str) -> impl Future<Output = Result<Option<String>, Trouble>> + use<> {
    let asked = tx.get(Store::Meta, key);
    async move { Ok(asked.await?.and_then(Value::text)) }
}

/// A part of `meta`: `Ok(None)` when it is not there, [`Trouble::Damaged`] when it cannot be read.
pub(crate) fn part<T: Kept>(
    tx: &dyn Tx,
    key: &'static str,
) -> impl Future<Output = Result<Option<T>, Trouble>> + use<T> {
    let asked = tx.get(Store::Meta, key);
    async move { read_part(key, asked.await?) }
}

pub(crate) fn read_part<T: Kept>(key: &'static str, value: Option<Value>) -> Result<Option<T>, Trouble> {
    let Some(value) = value else { return Ok(None) };
    let text = value.text().and_then(|text| T::read(&text));
    text.map(Some).ok_or_else(|| Trouble::Damaged(key.to_owned()))
}

/// What is stored, and the list of its blocks, which must fit each other.
pub(crate) fn stored(tx: &dyn Tx) -> impl Future<Output = Result<(Option<Cover>, Vec<BlockInfo>), Trouble>> + use<> {
    let (covered, directory) = (part::<Cover>(tx, COVER), part::<Vec<BlockInfo>>(tx, DIRECTORY));
    async move {
        let (covered, directory) = (covered.await?, directory.await?.unwrap_or_default());
        let listed: LineSet = directory.iter().map(|block| block.lines).sum();
        if covered.as_ref().is_some_and(|covered| covered.sealed != listed) {
            return Err(Trouble::Damaged("the list of what is stored".to_owned()));
        }
        Ok((covered, directory))
    }
}

pub(crate) fn no_cover() -> Trouble {
    Trouble::Damaged("no record of what is stored".to_owned())
}
