//! Keeping devices in step through a store that all of them reach: what is set for it on this device, and how it stands.
//! What to send and fetch is `app/share`'s to say, in a worker of its own; `shell` answers for the records.

mod alone;
mod beside;
mod post;
mod shell;
mod spare;

pub use beside::Stands;

use super::{Barn, Trouble};
use crate::prefs::folder;
use crate::{trail, words};
use gloo_storage::{LocalStorage, Storage};
use journal::Id;
use js_sys::{Function, Promise, Reflect};
use leptos::prelude::*;
use leptos::task::spawn_local;
use post::ask_once;
use share::Invitation;
use share::wire::{StoreAt, ToPage, ToWorker, Told, Trial, Tried, Went};
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use storage::{Store, Value};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use wasm_split_helpers::{SplitLoaderError, wasm_split};

/// Where the handle of a folder lies, in `meta`: local storage holds texts only.
const FOLDER: &str = "share-folder";

/// How it goes.
#[derive(Clone, Debug, PartialEq)]
pub enum Going {
    Off,
    Starting,
    /// Another tab of this device does it.
    OtherTab,
    On(Told),
    Stopped(Why),
}

/// Why it does not go.
#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    /// The program's part could not be fetched.
    PartMissing,
    /// Key or address are none.
    Unusable,
    /// This device has records of another book.
    OtherBook,
    /// The folder was removed, or has to be allowed again.
    NoFolder,
    /// The store does not do what is asked of it by the access that was typed; nothing was changed.
    NotTaken(Tried),
    Trouble(Trouble),
}

thread_local! {
    static GOING: ArcRwSignal<Going> = ArcRwSignal::new(Going::Off);
    static RUNNING: RefCell<Option<Rc<shell::Shell>>> = const { RefCell::new(None) };
    /// Rises whenever sharing ends here: what was starting meanwhile is not wanted any more.
    static TURN: Cell<u32> = const { Cell::new(0) };
}

fn going() -> ArcRwSignal<Going> {
    GOING.with(Clone::clone)
}

fn key(of: &str) -> String {
    format!("candlemark:{}{of}", folder())
}

const SETTINGS: &str = "share";
const KEPT: &str = "share-kept";

/// Whether devices are kept in step here, told without reading how.
pub fn is_on() -> bool {
    LocalStorage::raw().get_item(&key(SETTINGS)).ok().flatten().is_some()
}

/// At a start, where it is on.
#[wasm_split(egg_room, fallible)]
pub fn begin(barn: Barn) -> Result<(), SplitLoaderError> {
    barn.share();
    Ok(())
}

/// Ends what goes on.
fn end_running() {
    if let Some(shell) = RUNNING.take() {
        shell.end();
    }
}

/// What is set here.
fn settings() -> Option<Invitation> {
    Invitation::read(&LocalStorage::raw().get_item(&key(SETTINGS)).ok()??).ok()
}

fn keep(name: &str, text: Option<&str>) -> bool {
    let storage = LocalStorage::raw();
    match text {
        Some(text) => storage.set_item(&key(name), text).is_ok(),
        None => storage.remove_item(&key(name)).is_ok(),
    }
}

impl Barn {
    /// How it goes; again whenever that changes.
    pub fn going(&self) -> Going {
        going().get()
    }

    fn going_now(&self) -> Going {
        going().get_untracked()
    }

    /// Whether another device was seen in the store.
    pub fn has_company(&self) -> bool {
        matches!(self.going_now(), Going::On(told) if !told.heard.is_empty())
    }

    /// Takes the records of a book that another device brought as this barn's too.
    ///
    /// # Errors
    /// They wait on then.
    pub async fn take_book(&self, book: Id) -> Result<(), Trouble> {
        self.tab().join_books(&[book]).await?;
        self.changed();
        Ok(())
    }

    /// What another device needs to join; none while nothing is shared.
    pub fn invitation(&self) -> Option<Invitation> {
        going().track();
        let mut invitation = settings()?;
        // Another barn may have become part of this one since.
        let me = self.peek(|book| book.journal().book());
        invitation.joined = self.tab().exchange().joined;
        invitation.joined.push(me);
        invitation.joined.retain(|other| *other != invitation.book);
        Some(invitation)
    }

    fn set_going(&self, now: Going) {
        let line = words::share::line(&now);
        let _ = self.step.try_set(line);
        going().set(now);
    }

    /// A fresh key for a barn.
    ///
    /// # Errors
    /// Where the part that makes it is not there.
    pub async fn barn_key(&self) -> Result<String, Why> {
        match ask_once(&ToWorker::MakeKey, None).await {
            Some(ToPage::Key(secret)) => Ok(secret),
            _ => Err(Why::PartMissing),
        }
    }

    /// Asks a store for everything that is going to be asked of it.
    ///
    /// # Errors
    /// Where it cannot be asked at all.
    pub async fn try_store(&self, store: StoreAt, folder: Option<JsValue>) -> Result<Vec<Tried>, Why> {
        match ask_once(&ToWorker::Try(store), folder.as_ref()).await {
            Some(ToPage::Tried(tried)) => Ok(tried),
            Some(_) => Err(Why::Unusable),
            None => Err(Why::PartMissing),
        }
    }

    /// Shares this barn's records through a store from now on, by a fresh key.
    ///
    /// # Errors
    /// Nothing is shared then.
    pub async fn begin_sharing(&self, store: StoreAt, folder: Option<JsValue>) -> Result<(), Why> {
        let secret = self.barn_key().await?;
        let me = self.writer().await.map_err(Why::Trouble)?;
        // Which books are joined by then, each invitation says anew.
        self.set_sharing(Invitation { store, book: me.book, joined: Vec::new(), secret }, folder).await
    }

    /// Locks everything with a new key: who has the old one finds nothing new. `access` is the store's new password or secret
    /// key; empty where that stays.
    ///
    /// # Errors
    /// All stays as it was then.
    pub async fn share_with_new_key(&self, access: String) -> Result<(), Why> {
        let Some(old) = settings() else { return Ok(()) };
        let (store, folder) = (self.store_with(&old, access).await?, self.folder().await);
        let secret = self.barn_key().await?;
        self.set_sharing(Invitation { store: store.clone(), secret, ..old.clone() }, None).await?;
        // Only now that the new key is kept. Without an answer it goes on all the same.
        let word = ToWorker::SayMoved { store, book: old.book, secret: old.secret };
        let _ = ask_once(&word, folder.as_ref()).await;
        Ok(())
    }

    /// Goes on with another password or secret key of the store.
    ///
    /// # Errors
    /// All stays as it was then.
    pub async fn share_with_access(&self, access: String) -> Result<(), Why> {
        let Some(old) = settings() else { return Ok(()) };
        let store = self.store_with(&old, access).await?;
        self.set_sharing(Invitation { store, ..old }, None).await
    }

    /// The store as it is set, with another access where one was typed. That one is tried first: kept unseen, a slip of the
    /// finger would shut this device out.
    async fn store_with(&self, old: &Invitation, access: String) -> Result<StoreAt, Why> {
        if access.is_empty() {
            return Ok(old.store.clone());
        }
        let store = match old.store.clone() {
            StoreAt::Web { address, user, .. } => StoreAt::Web { address, user, password: access },
            StoreAt::Bucket { address, region, bucket, key, .. } => {
                StoreAt::Bucket { address, region, bucket, key, secret: access }
            }
            StoreAt::Folder { name } => StoreAt::Folder { name },
        };
        let tried = self.try_store(store.clone(), self.folder().await).await?;
        // Where nothing may be deleted, the store only grows.
        let failed = tried.into_iter().find(|tried| tried.step != Trial::Delete && tried.went != Went::Well);
        failed.map_or(Ok(store), |failed| Err(Why::NotTaken(failed)))
    }

    /// Joins a barn that shares. A device that has written nothing becomes one of it.
    ///
    /// # Errors
    /// [`Why::OtherBook`] where there are records of another barn here; nothing is shared then.
    pub async fn join_sharing(&self, invitation: Invitation, folder: Option<JsValue>) -> Result<(), Why> {
        self.until_whole().await;
        let written = self.peek(|book| book.journal().chains().next().is_some());
        let own = self.peek(|book| book.journal().book());
        let known = own == invitation.book || self.tab().exchange().joined.contains(&invitation.book);
        match (written, known) {
            (true, false) => return Err(Why::OtherBook),
            (false, _) => {
                self.tab().begin_in(invitation.book, &invitation.joined).await.map_err(Why::Trouble)?;
                self.changed();
            }
            (true, true) => {
                self.tab().join_books(&invitation.joined).await.map_err(Why::Trouble)?;
                self.changed();
            }
        }
        self.set_sharing(invitation, folder).await
    }

    async fn set_sharing(&self, invitation: Invitation, folder: Option<JsValue>) -> Result<(), Why> {
        if let Some(folder) = folder {
            let kept = self.tab().put_beside(Store::Meta, FOLDER, Value::Other(Rc::new(folder))).await;
            kept.map_err(Why::Trouble)?;
        }
        if !keep(SETTINGS, Some(&invitation.text())) {
            return Err(Why::Trouble(Trouble::Full));
        }
        self.end_sharing_here();
        // Another store, or another key, has other copies.
        spare::forget();
        trail::saved();
        self.share();
        Ok(())
    }

    /// Shares no longer on this device. What lies in the store stays there, and so do the records here.
    pub fn stop_sharing(&self) {
        keep(SETTINGS, None);
        keep(KEPT, None);
        spare::forget();
        self.end_sharing_here();
        let barn = *self;
        spawn_local(async move {
            // Left behind, it opens nothing by itself.
            let _ = barn.tab().drop_beside(Store::Meta, &[FOLDER.to_owned()]).await;
        });
    }

    fn end_sharing_here(&self) {
        self.end_with(Going::Off);
    }

    /// It cannot go on here; another tab may.
    fn stop_for(&self, why: Why) {
        self.end_with(Going::Stopped(why));
    }

    fn end_with(&self, going: Going) {
        TURN.set(TURN.get() + 1);
        end_running();
        alone::let_go();
        self.set_going(going);
    }

    /// Looks and sends at once.
    pub fn step_now(&self) {
        match RUNNING.with_borrow(Clone::clone) {
            Some(shell) => shell.step_now(),
            None => self.share(),
        }
    }

    /// Goes on, once no other tab of this device does.
    fn share(&self) {
        let barn = *self;
        if barn.demo || !is_on() || RUNNING.with_borrow(Option::is_some) {
            return;
        }
        if alone::is_held() {
            return barn.run();
        }
        barn.set_going(Going::OtherTab);
        alone::take(move || barn.run());
    }

    /// By what is set now: another tab may have set it otherwise while this one waited.
    fn run(self) {
        let Some(invitation) = settings() else { return self.end_sharing_here() };
        self.set_going(Going::Starting);
        let turn = TURN.get();
        spawn_local(async move {
            if let Err(why) = self.try_run(invitation, turn).await
                && turn == TURN.get()
            {
                self.stop_for(why);
            }
        });
    }

    /// Another tab has set something: what this one does by other settings ends.
    fn heard_of_settings(&self, used: &Invitation) {
        if settings().as_ref() != Some(used) {
            self.end_sharing_here();
            self.share();
        }
    }

    async fn try_run(self, invitation: Invitation, turn: u32) -> Result<(), Why> {
        self.until_whole().await;
        let folder = match &invitation.store {
            StoreAt::Folder { .. } => Some(self.allowed_folder().await.ok_or(Why::NoFolder)?),
            StoreAt::Web { .. } | StoreAt::Bucket { .. } => None,
        };
        let shell = shell::Shell::start(self, invitation, folder).await?;
        // Stopped meanwhile, it ends with its last holder.
        if turn == TURN.get() {
            RUNNING.set(Some(shell));
        }
        Ok(())
    }

    /// The folder, where the browser lets the app use it without asking.
    async fn allowed_folder(&self) -> Option<JsValue> {
        let folder = self.folder().await?;
        permission(&folder, "queryPermission").await.then_some(folder)
    }

    async fn folder(&self) -> Option<JsValue> {
        match self.tab().beside(Store::Meta, FOLDER).await.ok()?? {
            Value::Other(folder) => folder.downcast_ref::<JsValue>().cloned(),
            Value::Text(_) => None,
        }
    }

    /// Asks the keeper to allow the folder again, by the browser's own question, or for the folder where its handle is gone. It
    /// needs a tap.
    pub async fn allow_folder(&self) {
        let folder = match self.folder().await {
            Some(folder) if permission(&folder, "requestPermission").await => Some(folder),
            Some(_) => None,
            None => pick_folder().await.map(|(_, folder)| folder),
        };
        let Some(folder) = folder else { return };
        // Not kept, it is asked for once more at the next start.
        let _ = self.tab().put_beside(Store::Meta, FOLDER, Value::Other(Rc::new(folder))).await;
        self.step_now();
    }
}

/// Whether folders of this computer can be chosen in this browser.
pub fn has_folders() -> bool {
    Reflect::has(&window(), &"showDirectoryPicker".into()).unwrap_or(false)
}

/// The browser's own choice of a folder: its name and its handle; none where nothing was chosen.
pub async fn pick_folder() -> Option<(String, JsValue)> {
    let picker: Function = Reflect::get(&window(), &"showDirectoryPicker".into()).ok()?.dyn_into().ok()?;
    let folder = JsFuture::from(promise(picker.call1(&window(), &read_write()).ok()?)?).await.ok()?;
    let name = Reflect::get(&folder, &"name".into()).ok()?.as_string()?;
    Some((name, folder))
}

fn read_write() -> JsValue {
    let options = js_sys::Object::new();
    // A plain object takes any key.
    let _ = Reflect::set(&options, &"mode".into(), &"readwrite".into());
    options.into()
}

fn promise(value: JsValue) -> Option<Promise> {
    value.dyn_into().ok()
}

async fn permission(folder: &JsValue, method: &str) -> bool {
    let asked = || {
        let method: Function = Reflect::get(folder, &method.into()).ok()?.dyn_into().ok()?;
        promise(method.call1(folder, &read_write()).ok()?)
    };
    let Some(asked) = asked() else { return false };
    JsFuture::from(asked).await.is_ok_and(|answer| answer == "granted")
}
