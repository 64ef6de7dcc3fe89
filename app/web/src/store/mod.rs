//! The barn as this page holds it, and the one way a fact gets into it: tap → act → journal draft → `storage`, which
//! comes back when it is durable and shown → signals → *Undo* offered.

mod bundles;
mod carrier;
mod demo;
mod harm;
mod idb;
mod keys;
mod pen;
mod people;
mod saving;
pub mod sharing;
mod tabs;
mod vault;
mod whole;

pub use bundles::{NoBundle, Opened, Running, cancel, lock, unlock};
pub use carrier::Failed;
pub use people::{Details, Somebody};
pub use saving::Question;
pub use storage::{Harm, Import, Trouble, What};
pub use vault::Kept;

use crate::words;
use crate::{clock, trail};
use book::{Book, Followers, Watch};
use chrono::{NaiveDate, NaiveDateTime};
use idb::Browser;
use journal::{Id, Ref};
use leptos::prelude::*;
use leptos::reactive::graph::Observer;
use leptos::task::spawn_local;
use saving::Saving;
use std::any::Any;
use std::rc::Rc;
use storage::{Disk, Store, Tab, Value};
use wasm_bindgen::JsValue;

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
    /// Something is amiss on the page it was said on; it is no other page's.
    amiss: bool,
    /// When, in milliseconds since 1970.
    at_ms: u64,
}

/// What is said by the act that leads to another page, is said so shortly before that page is there.
const ON_THE_WAY_MS: u64 = 1000;

/// Handle to the records; copy it into any closure.
#[derive(Clone, Copy)]
pub struct Barn {
    tab: StoredValue<Rc<Tab>, LocalStorage>,
    /// Rises with every change, whatever it was.
    version: RwSignal<u64>,
    /// Who looked something up, each with a signal that rises when something changed of what it read.
    followers: StoredValue<Followers<RwSignal<u64>>, LocalStorage>,
    /// The calendar's day and minute as last looked at: the app stays open over midnight, and in a pocket for days.
    day: Memo<NaiveDate>,
    minute: RwSignal<NaiveDateTime>,
    /// What is over is here too, not only what is live.
    whole: RwSignal<bool>,
    saving: StoredValue<Rc<Saving>, LocalStorage>,
    /// Something is being saved and has taken long enough to say so.
    pub working: RwSignal<bool>,
    pub state: RwSignal<State>,
    /// Another tab needed the records (a newer version of the app), or they were removed: this one has let go of them
    /// for good. The page stays, with what is typed on it.
    pub let_go: RwSignal<Option<Trouble>>,
    /// A screenful of the first page has been seen; what lies below it may follow.
    pub seen: RwSignal<bool>,
    pub toast: RwSignal<Option<Toast>>,
    pub question: RwSignal<Option<Question>, LocalStorage>,
    /// What opens people's details (`vault`), once the passphrase was given. Of a type that a start knows nothing of.
    opener: StoredValue<Option<Rc<dyn Any>>, LocalStorage>,
    /// People's details are locked, and the passphrase was not given.
    pub shut: RwSignal<bool>,
    /// How keeping in step with other devices goes, in a line; none where that is off.
    pub step: RwSignal<Option<String>>,
    /// The demonstration season is open.
    pub demo: bool,
}

/// The records of the page.
pub fn barn() -> Barn {
    expect_context::<Barn>()
}

/// A new random id.
pub fn mint() -> Id {
    Id::mint(clock::random())
}

impl Barn {
    /// Opens the keeper's own book, or the demonstration season's.
    pub fn provide(demo: bool) -> Self {
        let idle = Rc::new(Tab::new(Rc::new(Browser { demo, barn: None }), words::KEEPER));
        let minute = RwSignal::new(clock::now());
        let barn = Self {
            tab: StoredValue::new_local(idle),
            version: RwSignal::new(0),
            followers: StoredValue::new_local(Followers::default()),
            day: Memo::new(move |_| minute.get().date()),
            minute,
            whole: RwSignal::new(true),
            saving: StoredValue::new_local(Rc::default()),
            working: RwSignal::new(false),
            state: RwSignal::new(State::Opening),
            let_go: RwSignal::new(None),
            seen: RwSignal::new(false),
            toast: RwSignal::new(None),
            question: RwSignal::new_local(None),
            opener: StoredValue::new_local(None),
            shut: RwSignal::new(false),
            step: RwSignal::new(None),
            demo,
        };
        let disk = Rc::new(Browser { demo, barn: Some(barn) });
        // The browser opens the records while the frame of the app is drawn.
        let opening = disk.connect();
        barn.tab.set_value(Rc::new(Tab::new(disk, words::KEEPER)));
        provide_context(barn);
        spawn_local(async move {
            let opened = match opening.await {
                Ok(db) => {
                    barn.tab().connected(db);
                    barn.start().await
                }
                Err(trouble) => Err(trouble),
            };
            let state = match opened {
                Ok(()) => State::Open,
                Err(trouble) => State::Broken(trouble),
            };
            barn.state.set(state);
            tabs::listen(barn);
            if !demo && sharing::is_on() {
                // Without its part, the next start tries again.
                drop(sharing::begin(barn).await);
            }
            whole::pause(harm::FIRST_MS).await;
            barn.look_when_idle().await;
        });
        barn
    }

    fn tab(&self) -> Rc<Tab> {
        self.tab.get_value()
    }

    /// What is shown of the records is looked up anew where something changed of what was read for it.
    fn changed(&self) {
        trail::changed();
        self.version.update(|v| *v += 1);
        let tab = self.tab();
        let changed =
            self.followers.try_update_value(|followers| followers.take_changed(&tab.book(), RwSignal::is_disposed));
        for follower in changed.unwrap_or_default() {
            follower.try_update(|v| *v += 1);
        }
    }

    /// Looks something up, and again whenever one of the records changes that were read for it, and on a new day.
    pub fn read<T>(&self, look: impl FnOnce(&Book) -> T) -> T {
        if Observer::get().is_none() {
            return self.peek(look);
        }
        self.day.track();
        let (found, watch) = self.tab().book().watch(look);
        self.follow_up(watch);
        found
    }

    /// Compiled once, not for each type of answer.
    #[inline(never)]
    fn follow_up(&self, watch: Watch) {
        // It belongs to whoever looks, and is gone when they are, or look again.
        let follower = RwSignal::new(0);
        follower.track();
        self.followers.update_value(|followers| followers.add(watch, follower, RwSignal::is_disposed));
    }

    /// The day it is, and again on a new one.
    pub fn today(&self) -> NaiveDate {
        self.day.get()
    }

    /// Local wall time, and again with every minute while the page is seen: for what comes due by the hour.
    pub fn now(&self) -> NaiveDateTime {
        self.minute.track();
        clock::now()
    }

    /// Looks at the clock.
    fn tick(&self) {
        self.minute.set(clock::now());
    }

    /// Again whenever anything changes, for what is read in storage and not of the records.
    pub fn follow(&self) {
        self.version.track();
    }

    /// Looks something up once.
    pub fn peek<T>(&self, look: impl FnOnce(&Book) -> T) -> T {
        look(&self.tab().book())
    }

    /// The device that writes here, once there is an act of it.
    pub fn device(&self) -> Option<journal::DeviceId> {
        self.tab().device()
    }

    /// Who is written beside the acts of this device: a person's id, or a name before there is one.
    pub fn writes_as(&self) -> Option<String> {
        self.version.track();
        self.tab().writes_as()
    }

    /// When this device last handed a bundle out; milliseconds since 1970 (UTC).
    pub fn made_ms(&self) -> Option<u64> {
        self.version.track();
        self.tab().made_ms()
    }

    /// Every line of the book, for the daybook.
    pub async fn lines(&self) -> Result<Vec<String>, Trouble> {
        self.tab().lines(false).await
    }

    /// Says something in the toast; with an act to undo, offers that.
    pub fn say(&self, text: String, undo: Option<Ref>) {
        self.show(text, undo, false);
    }

    /// Says what is amiss with what was tried on this page.
    pub fn amiss(&self, text: String) {
        self.show(text, None, true);
    }

    fn show(&self, text: String, undo: Option<Ref>, amiss: bool) {
        let turn = self.toast.with_untracked(|t| t.as_ref().map_or(0, |t| t.turn.wrapping_add(1)));
        self.toast.set(Some(Toast { text, undo, turn, amiss, at_ms: clock::wall().ms }));
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

    /// Takes a question back: it was about what the page held when *Save* was tapped.
    pub fn withdraw(&self) {
        if self.question.with_untracked(Option::is_some) {
            self.question.set(None);
        }
    }

    /// Another page is shown: a question of the last one, and what was amiss there, are not this one's. What was saved
    /// keeps its undo.
    pub fn turned_page(&self) {
        self.withdraw();
        let now = clock::wall().ms;
        let old = |toast: &Toast| toast.undo.is_none() && now.saturating_sub(toast.at_ms) > ON_THE_WAY_MS;
        let stale = |toast: &Toast| toast.amiss || old(toast);
        if self.toast.with_untracked(|toast| toast.as_ref().is_some_and(stale)) {
            self.toast.set(None);
        }
    }

    pub async fn put_photo(&self, sha256: &str, picture: &JsValue) -> Result<(), Trouble> {
        self.tab().put_beside(Store::Photos, sha256, Value::Other(Rc::new(picture.clone()))).await
    }

    /// A picture made small, by the hash of the whole one: a cache, which goes into no bundle.
    pub async fn put_small_photo(&self, sha256: &str, picture: &JsValue) -> Result<(), Trouble> {
        self.put_photo(&small_key(sha256), picture).await
    }

    pub async fn small_photo(&self, sha256: &str) -> Result<Option<JsValue>, Trouble> {
        self.photo(&small_key(sha256)).await
    }

    pub async fn photo(&self, sha256: &str) -> Result<Option<JsValue>, Trouble> {
        Ok(self.tab().beside(Store::Photos, sha256).await?.and_then(picture))
    }
}

/// Where a picture made small lies, beside the whole one: no hash, so nobody takes it for one.
fn small_key(sha256: &str) -> String {
    format!("small.{sha256}")
}

/// A picture as the browser keeps it.
fn picture(value: Value) -> Option<JsValue> {
    match value {
        Value::Other(other) => other.downcast_ref::<JsValue>().cloned(),
        Value::Text(_) => None,
    }
}
