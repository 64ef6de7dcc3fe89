//! Spare copies: once a day a whole bundle is put beside the lines, and of the older ones some go.

use super::shell::Shell;
use super::{Going, RUNNING, keep, key};
use crate::clock;
use crate::store::Barn;
use gloo_storage::{LocalStorage, Storage};
use js_sys::{ArrayBuffer, Promise};
use leptos::prelude::*;
use leptos::task::spawn_local;
use share::spare::to_go;
use share::wire::{Seen, ToPage, ToWorker, Told};
use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::JsFuture;

/// Where it is kept when this device last saw that there is a copy of the day.
const SEEN: &str = "share-spare-day";
/// There while no copies are wanted.
const OFF: &str = "share-spare-off";
/// After one that came to nothing, in milliseconds.
const AGAIN_MS: u64 = 3_600_000;

type Answered = Box<dyn FnOnce(Option<ArrayBuffer>)>;

/// What is known of copies, and what goes on.
#[derive(Default)]
pub struct Spares {
    /// The days there are copies of; none before that is known.
    days: ArcRwSignal<Option<Vec<String>>>,
    /// A copy of today is being looked for, or made.
    busy: Cell<bool>,
    tried_ms: Cell<u64>,
    /// Who waits for the copy of a day.
    asked: RefCell<BTreeMap<String, Answered>>,
}

impl Spares {
    /// Nobody is going to answer.
    pub fn give_up(&self) {
        for (_, answered) in self.asked.take() {
            answered(None);
        }
    }
}

fn kept(name: &str) -> Option<String> {
    LocalStorage::raw().get_item(&key(name)).ok().flatten()
}

/// Another store, or none, has other copies.
pub fn forget() {
    keep(SEEN, None);
}

impl Barn {
    /// The days of which there are spare copies; none before that is known.
    pub fn spare_days(&self) -> Option<Vec<String>> {
        // It begins anew with each shell.
        let _ = self.going();
        RUNNING.with_borrow(Clone::clone)?.spares.days.get()
    }

    /// Asks the store which there are.
    pub fn ask_spares(&self) {
        if let Some(shell) = RUNNING.with_borrow(Clone::clone) {
            shell.say(&ToWorker::Spares);
        }
    }

    /// The copy of a day, as a bundle; none where it could not be had.
    pub async fn spare(&self, day: String) -> Option<ArrayBuffer> {
        RUNNING.with_borrow(Clone::clone)?.copy_of(day).await
    }

    pub fn spares_wanted(&self) -> bool {
        kept(OFF).is_none()
    }

    pub fn want_spares(&self, wanted: bool) {
        keep(OFF, if wanted { None } else { Some("1") });
        if let (true, Some(shell)) = (wanted, RUNNING.with_borrow(Clone::clone)) {
            shell.spare_if_due();
        }
    }
}

impl Shell {
    async fn copy_of(&self, day: String) -> Option<ArrayBuffer> {
        let got: Rc<RefCell<Option<ArrayBuffer>>> = Rc::default();
        let answered = Promise::new(&mut |done, _| {
            let got = got.clone();
            let answered: Answered = Box::new(move |file| {
                *got.borrow_mut() = file;
                let _ = done.call0(&JsValue::NULL);
            });
            let before = self.spares.asked.borrow_mut().insert(day.clone(), answered);
            if let Some(before) = before {
                before(None);
            }
        });
        self.say(&ToWorker::GetSpare { day });
        // Only ever settled well.
        let _ = JsFuture::from(answered).await;
        got.take()
    }

    /// Once a day, while devices are in step.
    pub fn spare_if_due(&self) {
        let (barn, now) = (self.barn(), clock::wall().ms);
        let level =
            |told: &Told| matches!(told.status, share::Status::InStep { .. }) && !told.notices.contains(&Seen::Moved);
        let in_step = matches!(barn.going_now(), Going::On(told) if level(&told));
        let due = barn.spares_wanted() && kept(SEEN).as_deref() != Some(&*clock::today().to_string());
        let rested = now.saturating_sub(self.spares.tried_ms.get()) >= AGAIN_MS;
        if in_step && due && rested && !self.spares.busy.get() {
            self.spares.busy.set(true);
            self.spares.tried_ms.set(now);
            self.say(&ToWorker::Spares);
        }
    }

    pub fn hear_spares(self: &Rc<Self>, said: ToPage, file: Option<ArrayBuffer>) {
        let today = clock::today().to_string();
        match said {
            ToPage::Spares(days) => {
                let there = days.as_ref().map(|days| days.contains(&today));
                self.spares.days.set(days);
                match there.filter(|_| self.spares.busy.get()) {
                    Some(false) => self.make_spare(today),
                    Some(true) => self.spare_is_there(&today),
                    None => self.spares.busy.set(false),
                }
            }
            ToPage::SparePut(true) => {
                self.spares.days.update(|days| days.get_or_insert_default().push(today.clone()));
                // Where nothing is left out of it, and another device can open it, it is as good as a bundle that was handed out.
                let barn = self.barn();
                let whole = |book: &book::Book| book.all_photos().next().is_none() && book.contacts().is_empty();
                if barn.has_company() && barn.peek(whole) {
                    spawn_local(async move { drop(barn.bundle_given().await) });
                }
                self.spare_is_there(&today);
            }
            ToPage::Spare { day } => {
                let asked = self.spares.asked.borrow_mut().remove(&day);
                if let Some(answered) = asked {
                    answered(file);
                }
            }
            _ => self.spares.busy.set(false),
        }
    }

    fn make_spare(self: &Rc<Self>, day: String) {
        let shell = self.clone();
        spawn_local(async move {
            let running = shell.owned(|| StoredValue::new_local(None));
            match shell.barn().make_bundle(None, false, &BTreeSet::new(), running, |_| {}).await {
                Ok(file) => shell.say_with(&ToWorker::PutSpare { day }, ("file", &file)),
                // Tried again in an hour.
                Err(_) => shell.spares.busy.set(false),
            }
        });
    }

    fn spare_is_there(&self, today: &str) {
        self.spares.busy.set(false);
        keep(SEEN, Some(today));
        let days = self.spares.days.get_untracked().unwrap_or_default();
        let days: Vec<&str> = days.iter().map(String::as_str).collect();
        let go: Vec<String> = to_go(&days, today).into_iter().map(str::to_owned).collect();
        if !go.is_empty() {
            self.spares.days.update(|days| days.iter_mut().for_each(|days| days.retain(|day| !go.contains(day))));
            self.say(&ToWorker::DropSpares { days: go });
        }
    }
}
