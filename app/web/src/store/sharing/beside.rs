//! Pictures and people's details, which go along only where the keeper wants that: what this device has and lacks of them
//! is made level with the store, once all entries are.

use super::shell::Shell;
use super::{Going, RUNNING, keep, key};
use crate::clock;
use crate::store::bundles::blob;
use crate::store::{Barn, Trouble};
use gloo_storage::{LocalStorage, Storage};
use journal::Hash;
use js_sys::{ArrayBuffer, Reflect, Uint8Array};
use leptos::prelude::*;
use leptos::task::spawn_local;
use share::wire::{ToPage, ToWorker};
use share::{Beside, Carried, Status, Wanted};
use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;
use std::rc::Rc;
use storage::Store;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

/// How long it rests where something is lacking that nobody has put there, and after one that failed; milliseconds.
const LACKING_MS: u64 = 10 * 60_000;
const FAILED_MS: u64 = 2 * 60_000;

/// How one sort of them stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stands {
    /// So many have gone or come so far.
    Going(u32),
    /// All that can be is level; so many are lacking here and in the store.
    Level { nowhere: u32 },
    /// So many are locked here, and cannot go before somebody opens them.
    Locked(u32),
    /// The store or this device did not take something; tried again later.
    Failed,
    /// The device spares data.
    Spares,
}

/// One sort of them.
#[derive(Default)]
pub struct Levelling {
    stands: ArcRwSignal<Option<Stands>>,
    busy: Cell<bool>,
    tried_ms: Cell<u64>,
    failed: Cell<bool>,
    locked: Cell<u32>,
    /// What is being made level, and what was.
    now: RefCell<Option<Wanted>>,
    done: RefCell<Option<Wanted>>,
}

impl Levelling {
    fn is_due(&self, wanted: &Wanted) -> bool {
        let rested = |ms| clock::wall().ms.saturating_sub(self.tried_ms.get()) >= ms;
        match &*self.done.borrow() {
            _ if self.failed.get() => rested(FAILED_MS),
            Some(done) if done == wanted => !wanted.lacking.is_empty() && rested(LACKING_MS),
            _ => true,
        }
    }

    fn says(&self, stands: Stands) {
        if self.stands.get_untracked() != Some(stands) {
            self.stands.set(Some(stands));
        }
    }

    fn moved(&self) {
        let so_far = match self.stands.get_untracked() {
            Some(Stands::Going(n)) => n,
            _ => 0,
        };
        self.says(Stands::Going(so_far + 1));
    }
}

/// Where it is kept that one sort of them goes along.
fn setting(of: Beside) -> &'static str {
    match of {
        Beside::Photo => "share-photos",
        Beside::Person => "share-people",
    }
}

impl Barn {
    /// Whether one sort of them goes along, as the keeper set it on this device.
    pub fn goes_along(&self, of: Beside) -> bool {
        LocalStorage::raw().get_item(&key(setting(of))).ok().flatten().is_some()
    }

    pub fn let_along(&self, of: Beside, wanted: bool) {
        keep(setting(of), if wanted { Some("1") } else { None });
        if let Some(shell) = RUNNING.with_borrow(Clone::clone) {
            shell.levelling(of).stands.set(None);
            shell.step_now();
        }
    }

    /// How one sort of them stands; none before that is known.
    pub fn stands(&self, of: Beside) -> Option<Stands> {
        // It begins anew with each shell.
        let _ = self.going();
        RUNNING.with_borrow(Clone::clone)?.levelling(of).stands.get()
    }

    /// Also how many are here and locked.
    async fn wanted(&self, of: Beside) -> Result<(Wanted, u32), Trouble> {
        let (held, named) = match of {
            Beside::Photo => (self.tab().keys_beside(Store::Photos).await?, self.peek(named_photos)),
            Beside::Person => (self.tab().keys_beside(Store::People).await?, self.peek(named_people)),
        };
        let held: BTreeSet<Hash> = held.iter().filter_map(|name| name.parse().ok()).collect();
        let all: BTreeSet<Hash> = held.intersection(&named).copied().collect();
        let here = match of {
            Beside::Photo => all.clone(),
            // What is locked here cannot be read, and so it cannot go.
            Beside::Person => self.readable(&named).await?,
        };
        let locked = u32::try_from(all.difference(&here).count()).unwrap_or(u32::MAX);
        let gone = match of {
            Beside::Photo => BTreeSet::new(),
            Beside::Person => {
                self.peek(|book| book.erased_details().filter_map(|digest| digest.parse().ok()).collect())
            }
        };
        Ok((Wanted { of, here, lacking: named.difference(&held).copied().collect(), gone }, locked))
    }

    /// One of them as bytes; none where it is not here any more.
    async fn bytes_beside(&self, of: Beside, name: &Hash) -> Option<ArrayBuffer> {
        match of {
            Beside::Photo => {
                let picture: web_sys::Blob = self.photo(&name.to_string()).await.ok()??.dyn_into().ok()?;
                JsFuture::from(picture.array_buffer()).await.ok()?.dyn_into().ok()
            }
            Beside::Person => {
                let text = self.readable_person(name).await?;
                Some(Uint8Array::from(text.as_bytes()).buffer())
            }
        }
    }

    /// Stores one that came; whether it is here now.
    async fn keep_beside(&self, of: Beside, name: &Hash, file: ArrayBuffer) -> Result<(), Trouble> {
        let name = name.to_string();
        match of {
            Beside::Photo => {
                let picture = blob(&file).ok_or(Trouble::PartMissing)?;
                self.put_photo(&name, &picture).await
            }
            Beside::Person => {
                let told = |why: std::string::FromUtf8Error| Trouble::Act(why.to_string());
                let text = String::from_utf8(Uint8Array::new(&file).to_vec()).map_err(told)?;
                self.store_people(&[(name, text)]).await?;
                // Somebody may have erased it meanwhile.
                self.sweep_people().await
            }
        }
    }
}

fn named_photos(book: &book::Book) -> BTreeSet<Hash> {
    book.all_photos().filter_map(|photo| photo.sha256.as_ref()?.parse().ok()).collect()
}

fn named_people(book: &book::Book) -> BTreeSet<Hash> {
    book.all_details().iter().filter_map(|digest| digest.parse().ok()).collect()
}

/// Whether the device is to spare data, as far as the browser tells.
fn spares_data() -> bool {
    let connection = Reflect::get(&window().navigator(), &"connection".into()).unwrap_or(JsValue::UNDEFINED);
    let told = |name: &str| Reflect::get(&connection, &name.into()).unwrap_or(JsValue::UNDEFINED);
    connection.is_object() && (told("saveData").is_truthy() || told("type") == "cellular")
}

impl Shell {
    fn levelling(&self, of: Beside) -> &Levelling {
        match of {
            Beside::Photo => &self.photos,
            Beside::Person => &self.people,
        }
    }

    /// Somebody asked for it: nothing rests once the entries were looked for. They may say that something was erased.
    pub fn level_anew(&self) {
        for of in Beside::ALL {
            let own = self.levelling(of);
            own.failed.set(false);
            own.done.replace(None);
        }
    }

    /// What lies beside the entries follows them: it is the entries that name it.
    pub fn level_if_due(self: &Rc<Self>) {
        let in_step = match self.barn().going_now() {
            Going::On(told) => matches!(told.status, Status::InStep { .. }),
            Going::Off | Going::Starting | Going::OtherTab | Going::Stopped(_) => false,
        };
        for of in Beside::ALL {
            let own = self.levelling(of);
            if !in_step || !self.barn().goes_along(of) || own.busy.get() {
                continue;
            }
            if of == Beside::Photo && spares_data() {
                own.says(Stands::Spares);
                // Looked at anew once it need not.
                own.done.replace(None);
                continue;
            }
            own.busy.set(true);
            spawn_local(self.clone().level(of));
        }
    }

    async fn level(self: Rc<Self>, of: Beside) {
        let wanted = self.barn().wanted(of).await;
        let own = self.levelling(of);
        match wanted {
            Ok((wanted, locked)) if own.is_due(&wanted) => {
                own.locked.set(locked);
                own.tried_ms.set(clock::wall().ms);
                own.now.replace(Some(wanted.clone()));
                self.say(&ToWorker::Level(wanted));
            }
            // Read anew with the next look.
            Ok(_) | Err(_) => own.busy.set(false),
        }
    }

    pub async fn hear_beside(self: Rc<Self>, said: ToPage, file: Option<ArrayBuffer>) {
        match said {
            ToPage::Give { of, name } => {
                self.levelling(of).moved();
                match self.barn().bytes_beside(of, &name).await {
                    Some(bytes) => self.say_with(&ToWorker::Given, ("file", &bytes)),
                    None => self.say(&ToWorker::Given),
                }
            }
            ToPage::Take { of, name } => {
                let own = self.levelling(of);
                own.moved();
                let kept = match file {
                    Some(file) => self.barn().keep_beside(of, &name, file).await.is_ok(),
                    None => false,
                };
                if let (true, Some(now)) = (kept, &mut *own.now.borrow_mut()) {
                    now.lacking.remove(&name);
                    now.here.insert(name);
                }
                self.say(&ToWorker::Taken(kept));
            }
            ToPage::Levelled { of, carried: Carried { nowhere, failed } } => {
                let own = self.levelling(of);
                own.busy.set(false);
                own.failed.set(failed);
                let now = own.now.take();
                own.done.replace(now.filter(|_| !failed));
                own.says(match own.locked.get() {
                    _ if failed => Stands::Failed,
                    0 => Stands::Level { nowhere },
                    locked => Stands::Locked(locked),
                });
            }
            _ => {}
        }
    }
}
