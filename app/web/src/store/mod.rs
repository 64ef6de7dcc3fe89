//! The barn as this page holds it: the book folded in memory, and the one way a fact gets into it.
//!
//! tap → act → journal draft → one durable transaction → only then folded → signals → *Undo* offered.

mod bundles;
mod carrier;
mod db;
mod demo;
mod exchange;
mod identity;
mod intake;
mod pen;
mod people;
mod tabs;
mod whole;

pub use bundles::{NoBundle, Opened, Running, cancel, lock, unlock};
pub use carrier::Failed;
pub use db::Trouble;
pub use exchange::{Exchange, Import};
pub use identity::mint;
pub use people::{Details, Somebody};

use crate::clock;
use crate::prefs::folder;
use crate::words;
use book::Book;
use book::acts::Act;
use db::Db;
use identity::Me;
use journal::{Draft, Ref, Taken};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::cell::{Cell, RefCell};
use std::rc::{Rc, Weak};

/// Rows are sealed into blocks, and the folded state kept, once there are this many.
const SEAL_AT: usize = 400;

/// How opening the records went.
#[derive(Clone, Debug)]
pub enum State {
    Opening,
    /// Waiting for another tab, with an older version of the app, to be closed.
    Blocked,
    Open,
    Broken(Trouble),
}

/// What the last save said.
#[derive(Clone, Debug, PartialEq)]
pub struct Toast {
    pub text: String,
    pub undo: Option<Ref>,
    /// Which saying this is, so that an old timer does not hide a new one.
    pub turn: u32,
}

/// What is unlikely about an act, and how to go on all the same.
#[derive(Clone)]
pub struct Question {
    pub doubts: Vec<String>,
    /// Held here, not by the page that asked: that may be drawn anew meanwhile.
    pub go_on: Rc<Cell<Option<Box<dyn FnOnce()>>>>,
}

struct Inner {
    db: Option<Rc<Db>>,
    me: Option<Me>,
    book: Book,
    /// How many rows in storage the folded state knows of.
    rows: usize,
    sealing: bool,
    exchange: Exchange,
    /// Lines that wait for earlier ones: the folded state cannot hold them.
    waiting: Vec<String>,
}

/// Handle to the records; copy it into any closure.
#[derive(Clone, Copy)]
pub struct Barn {
    inner: StoredValue<Rc<RefCell<Inner>>, LocalStorage>,
    version: RwSignal<u64>,
    /// What is over is here too, not only what is live.
    whole: RwSignal<bool>,
    pub state: RwSignal<State>,
    /// Another tab needed the records (a newer version of the app, or they were removed): this one has let go of them
    /// for good. The page stays, with what is typed on it.
    pub let_go: RwSignal<bool>,
    /// A screenful of the first page has been seen; what lies below it may follow.
    pub seen: RwSignal<bool>,
    pub toast: RwSignal<Option<Toast>>,
    pub question: RwSignal<Option<Question>, LocalStorage>,
    /// The demonstration season is open.
    pub demo: bool,
}

/// The records of the page.
pub fn barn() -> Barn {
    expect_context::<Barn>()
}

impl Barn {
    /// Opens the keeper's own book, or the demonstration season's.
    pub fn provide(demo: bool) -> Self {
        let inner = Inner {
            db: None,
            me: None,
            book: Book::new(mint()),
            rows: 0,
            sealing: false,
            exchange: Exchange::default(),
            waiting: Vec::new(),
        };
        let barn = Self {
            inner: StoredValue::new_local(Rc::new(RefCell::new(inner))),
            version: RwSignal::new(0),
            whole: RwSignal::new(true),
            state: RwSignal::new(State::Opening),
            let_go: RwSignal::new(false),
            seen: RwSignal::new(false),
            toast: RwSignal::new(None),
            question: RwSignal::new_local(None),
            demo,
        };
        provide_context(barn);
        // The browser opens the records while the frame of the app is drawn.
        let opening = barn.opening();
        spawn_local(async move {
            let opened = match opening.await {
                Ok(db) => {
                    barn.opened(db);
                    barn.open().await
                }
                Err(trouble) => Err(trouble),
            };
            let state = match opened {
                Ok(()) => State::Open,
                Err(trouble) => State::Broken(trouble),
            };
            barn.state.set(state);
            tabs::listen(barn);
        });
        barn
    }

    fn cell(&self) -> Rc<RefCell<Inner>> {
        self.inner.get_value()
    }

    /// The database, opened anew where the browser has closed it under us.
    async fn db(&self) -> Result<Rc<Db>, Trouble> {
        if let Some(db) = self.cell().borrow().db.clone() {
            return Ok(db);
        }
        if self.let_go.get_untracked() {
            return Err(Trouble::LetGo);
        }
        Ok(self.opened(self.opening().await?))
    }

    fn opening(&self) -> impl Future<Output = Result<Db, Trouble>> + use<> {
        let barn = *self;
        Db::open(&database_name(self.demo), Box::new(move || barn.state.set(State::Blocked)))
    }

    /// From now on the records are read and written here, until the browser or another tab takes it away.
    fn opened(&self, db: Db) -> Rc<Db> {
        let (barn, db) = (*self, Rc::new(db));
        self.cell().borrow_mut().db = Some(db.clone());
        let (let_go, closed) = (db.let_go(), Rc::downgrade(&db));
        spawn_local(async move {
            let newer = let_go.await;
            barn.forget(&closed);
            if newer {
                let _ = barn.let_go.try_set(true);
            }
        });
        db
    }

    /// A database that is no longer ours; one opened since is.
    fn forget(&self, closed: &Weak<Db>) {
        let cell = self.cell();
        let mut inner = cell.borrow_mut();
        if inner.db.as_ref().is_some_and(|db| Rc::downgrade(db).ptr_eq(closed)) {
            inner.db = None;
        }
    }

    /// Looks something up, and again whenever the records change.
    pub fn read<T>(&self, look: impl FnOnce(&Book) -> T) -> T {
        self.version.track();
        self.peek(look)
    }

    /// Looks something up once.
    pub fn peek<T>(&self, look: impl FnOnce(&Book) -> T) -> T {
        look(&self.cell().borrow().book)
    }

    /// Checks an act against the book, asks about what is unlikely, stores it, and says so once it is durable;
    /// `then` runs after that with what was stored. A refusal is said at once and nothing is stored.
    pub fn save(&self, act: impl Act + 'static, said: impl Into<String>, then: impl FnOnce(&Draft) + 'static) {
        // One function for all acts from here on: each kept apart would be downloaded apart.
        self.save_any(Box::new(act), said.into(), Box::new(then));
    }

    fn save_any(&self, act: Box<dyn Act>, said: String, then: Box<dyn FnOnce(&Draft)>) {
        if self.whole.get_untracked() {
            return self.ask(act, said, then);
        }
        let barn = *self;
        spawn_local(async move {
            barn.until_whole().await;
            barn.ask(act, said, then);
        });
    }

    fn ask(&self, act: Box<dyn Act>, said: String, then: Box<dyn FnOnce(&Draft)>) {
        let doubts = self.peek(|book| act.doubts(book, clock::now()));
        if doubts.is_empty() {
            return self.save_all_the_same(&*act, said, then);
        }
        let barn = *self;
        let doubts = doubts.iter().map(ToString::to_string).collect();
        let go_on = Box::new(move || barn.save_all_the_same(&*act, said, then)) as Box<dyn FnOnce()>;
        let go_on = Rc::new(Cell::new(Some(go_on)));
        self.question.set(Some(Question { doubts, go_on }));
    }

    fn save_all_the_same(&self, act: &dyn Act, said: String, then: Box<dyn FnOnce(&Draft)>) {
        let draft = self.peek(|book| act.draft(book, clock::now(), &mut mint));
        let barn = *self;
        match draft {
            Err(refusal) => self.say(refusal.to_string(), None),
            Ok(draft) => spawn_local(async move {
                match barn.append(draft.clone()).await {
                    Ok(reference) => {
                        barn.say(said, Some(reference));
                        then(&draft);
                    }
                    Err(trouble) => barn.say(words::trouble::saving(&trouble), None),
                }
            }),
        }
    }

    /// Folds lines that are stored.
    fn fold(&self, lines: &[String]) {
        {
            let cell = self.cell();
            let mut inner = cell.borrow_mut();
            for line in lines {
                // A look for other tabs' rows may have met this one before.
                if matches!(inner.book.take(line), Ok(Taken::New { .. })) {
                    inner.rows += 1;
                }
            }
        }
        self.version.update(|v| *v += 1);
    }

    /// Takes what another tab has written, and who writes now.
    pub(crate) async fn catch_up(&self) -> Result<(), Trouble> {
        self.until_whole().await;
        let stored = self.db().await?.rows().await?;
        let cell = self.cell();
        let (known, ours, begun) = {
            let inner = cell.borrow();
            (inner.rows, inner.exchange.generation, inner.me.is_some())
        };
        // The other tab took a bundle in, began the book, or sealed rows we may not have seen: read it all again.
        if stored.generation != ours || stored.rows.len() < known || (stored.me.is_some() && !begun) {
            return self.open().await;
        }
        let mut fresh = false;
        {
            let mut inner = cell.borrow_mut();
            for line in &stored.rows {
                fresh |= matches!(inner.book.take(line), Ok(Taken::New { .. }));
            }
            inner.rows = stored.rows.len();
            fresh |= stored.me.as_ref().map(|me| &me.by) != inner.me.as_ref().map(|me| &me.by);
            inner.me = stored.me;
        }
        // Drawing a page anew under a finger loses the tap.
        if fresh {
            self.version.update(|v| *v += 1);
        }
        Ok(())
    }

    /// The device that writes here, once there is an act of it.
    pub fn device(&self) -> Option<journal::DeviceId> {
        self.cell().borrow().me.as_ref().map(|me| me.dev)
    }

    /// Who is written beside the acts of this device: a person's id, or a name before there is one.
    pub fn writes_as(&self) -> Option<String> {
        self.version.track();
        self.cell().borrow().me.as_ref().map(|me| me.by.clone())
    }

    /// From now on the acts of this device are `person`'s.
    pub async fn write_as(&self, person: &str) -> Result<(), Trouble> {
        let db = self.db().await?;
        let me = Me { by: person.to_owned(), ..self.writer(&db).await? };
        db.put_me(&me).await?;
        self.cell().borrow_mut().me = Some(me);
        tabs::tell();
        self.version.update(|v| *v += 1);
        Ok(())
    }

    /// Every line of the book, for the daybook.
    pub async fn lines(&self) -> Result<Vec<String>, Trouble> {
        self.db().await?.all_lines().await
    }

    /// Says something in the toast; with an act to undo, offers that.
    pub fn say(&self, text: String, undo: Option<Ref>) {
        let turn = self.toast.with_untracked(|t| t.as_ref().map_or(0, |t| t.turn.wrapping_add(1)));
        self.toast.set(Some(Toast { text, undo, turn }));
        let toast = self.toast;
        let lasts = std::time::Duration::from_secs(12);
        set_timeout(
            move || {
                toast.update(|t| {
                    if t.as_ref().is_some_and(|t| t.turn == turn) {
                        *t = None
                    }
                })
            },
            lasts,
        );
    }

    pub async fn put_photo(&self, sha256: &str, picture: &wasm_bindgen::JsValue) -> Result<(), Trouble> {
        self.db().await?.put_photo(sha256, picture).await
    }

    pub async fn photo(&self, sha256: &str) -> Result<Option<wasm_bindgen::JsValue>, Trouble> {
        self.db().await?.photo(sha256).await
    }
}

fn database_name(demo: bool) -> String {
    format!("candlemark:{}{}", folder(), if demo { "demo" } else { "barn" })
}
