//! The passphrase on people's details. They are stored locked for a key that is locked with the passphrase in turn; open,
//! key and details are in this page's memory only, and go when nobody has looked at the page for a while.
//!
//! Locking needs no passphrase, so that details can be noted and taken in at any time.

use super::carrier::{self, Answer, Failed, Task};
use super::{Barn, NoBundle, Trouble};
use crate::trail;
use leptos::prelude::*;
use leptos::task::spawn_local;
use serde::{Deserialize, Serialize};
use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::rc::Rc;
use std::time::Duration;
use storage::People;
use wasm_bindgen::JsCast;
use wasm_bindgen::closure::Closure;

/// How details that are locked begin (`lock::keys::BEGINS`).
const BEGINS: &str = "-----BEGIN AGE ENCRYPTED FILE-----";
/// Out of sight, or asleep, for so long: the passphrase is asked for again. In milliseconds.
const AWAY_MS: f64 = 5.0 * 60_000.0;
/// How often it is noted that somebody may be looking.
const BEAT: Duration = Duration::from_secs(10);
/// How often something is tried again when other tabs come first.
const TRIES: u32 = 5;

/// How people's details are locked, as it is stored.
#[derive(Serialize, Deserialize)]
struct Lock {
    /// Locks them: `age1…`.
    recipient: String,
    /// What opens them, locked with the passphrase.
    key: String,
}

/// What opens details, and those opened, by digest.
struct Opener {
    /// Of which key.
    recipient: String,
    secret: String,
    opened: RefCell<BTreeMap<String, String>>,
    _watch: Watch,
}

/// How people's details lie on this device.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kept {
    /// As they are.
    Plain,
    /// Locked, and the passphrase has not been given.
    Shut,
    /// Locked, and open to this page.
    Open,
}

fn read(lock: &str) -> Result<Lock, Trouble> {
    serde_json::from_str(lock).map_err(|error| Trouble::Damaged(error.to_string()))
}

fn written(lock: &Lock) -> Result<String, Trouble> {
    serde_json::to_string(lock).map_err(|error| Trouble::Act(error.to_string()))
}

async fn ask(op: &'static str, ask: &str, texts: Vec<String>) -> Result<Vec<Option<String>>, Failed> {
    let count = texts.len();
    let Answer { texts, .. } = carrier::ask(Task { op, ask: ask.to_owned(), texts, ..Task::default() }).await?;
    // The program that locks gives one answer a text.
    let whole = op == "keys" || texts.len() == count;
    if whole { Ok(texts) } else { Err(Failed::Ended) }
}

async fn one(op: &'static str, word: &str, text: &str) -> Result<String, Failed> {
    ask(op, word, vec![text.to_owned()]).await?.pop().flatten().ok_or(Failed::Ended)
}

/// Locks details for a recipient.
async fn sealed(recipient: &str, details: &[(String, String)]) -> Result<Vec<(String, String)>, Failed> {
    if details.is_empty() {
        return Ok(Vec::new());
    }
    let texts = ask("seal", recipient, details.iter().map(|(_, text)| text.clone()).collect()).await?;
    // None may be left out: it would stay as it is under a lock.
    let texts = texts.into_iter().collect::<Option<Vec<_>>>().ok_or(Failed::Ended)?;
    Ok(details.iter().map(|(digest, _)| digest.clone()).zip(texts).collect())
}

/// Opens those of the details that are locked; one that does not open is left out.
async fn opened(secret: &str, details: Vec<(String, String)>) -> Result<Vec<(String, String)>, Failed> {
    let (shut, mut open): (Vec<_>, Vec<_>) = details.into_iter().partition(|(_, text)| text.starts_with(BEGINS));
    if !shut.is_empty() {
        let (digests, texts): (Vec<String>, Vec<String>) = shut.into_iter().unzip();
        let texts = ask("open", secret, texts).await?;
        open.extend(digests.into_iter().zip(texts).filter_map(|(digest, text)| Some((digest, text?))));
    }
    Ok(open)
}

impl Barn {
    fn opener(&self) -> Option<Rc<Opener>> {
        self.opener.try_get_value().flatten()?.downcast().ok()
    }

    fn set_opener(&self, recipient: String, secret: String, opened: Vec<(String, String)>) {
        let opened = RefCell::new(opened.into_iter().collect());
        let opener = Opener { recipient, secret, opened, _watch: Watch::begin(*self) };
        self.opener.set_value(Some(Rc::new(opener)));
        self.say_shut(false);
    }

    fn say_shut(&self, shut: bool) {
        if self.shut.try_get_untracked().is_some_and(|was| was != shut) {
            self.shut.set(shut);
        }
    }

    /// How people's details lie here; [`Barn::shut`] says the same to all pages from then on.
    ///
    /// # Errors
    /// When storage does not answer, or the lock cannot be read.
    pub async fn people_kept(&self) -> Result<Kept, Trouble> {
        let kept = match self.tab().people_lock().await? {
            None => Kept::Plain,
            Some(lock) => {
                let recipient = read(&lock)?.recipient;
                // Another tab may have locked them anew.
                let fits = self.opener().is_some_and(|opener| opener.recipient == recipient);
                if fits { Kept::Open } else { Kept::Shut }
            }
        };
        if kept != Kept::Open {
            self.opener.set_value(None);
        }
        self.say_shut(kept == Kept::Shut);
        Ok(kept)
    }

    /// Forgets the key and what it opened.
    pub fn shut_people(&self) {
        if self.opener().is_some() {
            self.opener.set_value(None);
            self.say_shut(true);
        }
    }

    /// Forgets details that were erased.
    pub(super) fn forget_opened(&self, digests: &[String]) {
        if let Some(opener) = self.opener() {
            opener.opened.borrow_mut().retain(|digest, _| !digests.contains(digest));
        }
    }

    /// Details as they were typed; those that are locked are left out while nobody gave the passphrase.
    pub(super) async fn opened(&self, details: Vec<(String, String)>) -> Vec<(String, String)> {
        let (shut, mut open): (Vec<_>, Vec<_>) = details.into_iter().partition(|(_, text)| text.starts_with(BEGINS));
        if shut.is_empty() {
            return open;
        }
        let Some(opener) = self.opener() else {
            self.say_shut(true);
            return open;
        };
        let known = |digest: &String| opener.opened.borrow().get(digest).cloned();
        let (known, new): (Vec<_>, Vec<_>) = shut
            .into_iter()
            .map(|(digest, text)| (known(&digest), digest, text))
            .partition(|(known, ..)| known.is_some());
        open.extend(known.into_iter().filter_map(|(known, digest, _)| Some((digest, known?))));
        // Not opened now, they are as good as elsewhere.
        let new = new.into_iter().map(|(_, digest, text)| (digest, text)).collect::<Vec<_>>();
        let new = if new.is_empty() { new } else { opened(&opener.secret, new).await.unwrap_or_default() };
        opener.opened.borrow_mut().extend(new.iter().cloned());
        // Shut meanwhile, nothing is shown any more.
        if self.opener().is_none() {
            return Vec::new();
        }
        open.extend(new);
        open
    }

    /// Details as they are to be stored now, and by which lock.
    pub(super) async fn to_store(
        self,
        details: &[(String, String)],
    ) -> Result<(Option<String>, Vec<(String, String)>), Trouble> {
        match self.tab().people_lock().await? {
            Some(lock) if !details.is_empty() => {
                let sealed = sealed(&read(&lock)?.recipient, details).await.map_err(|_| Trouble::PartMissing)?;
                Ok((Some(lock), sealed))
            }
            lock => Ok((lock, details.to_vec())),
        }
    }

    /// Stores details, locked where they are to be.
    pub(super) async fn store_people(&self, details: &[(String, String)]) -> Result<(), Trouble> {
        let mut tries = 0;
        loop {
            tries += 1;
            let (lock, stored) = self.to_store(details).await?;
            match self.tab().put_people(lock.as_deref(), &stored).await {
                Err(Trouble::Overtaken) if tries < TRIES => {}
                done => break done?,
            }
        }
        if let Some(opener) = self.opener() {
            opener.opened.borrow_mut().extend(details.iter().cloned());
        }
        Ok(())
    }

    /// Asks what is stored to be changed until no other tab comes between.
    async fn relocked<T>(
        &self,
        mut change: impl AsyncFnMut(&People) -> Result<Option<(Option<String>, Vec<(String, String)>, T)>, NoBundle>,
    ) -> Result<Option<T>, NoBundle> {
        let mut tries = 0;
        loop {
            tries += 1;
            let before = self.tab().people().await?;
            let Some((lock, details, told)) = change(&before).await? else { return Ok(None) };
            match self.tab().relock_people(&before, lock.as_deref(), &details).await {
                Err(Trouble::Overtaken) if tries < TRIES => {}
                done => break Ok(Some(done.map(|()| told)?)),
            }
        }
    }

    /// Locks people's details with a passphrase from now on, those that are here too.
    ///
    /// # Errors
    /// Nothing is locked then.
    pub async fn lock_people(&self, passphrase: &str) -> Result<(), NoBundle> {
        let keys = ask("keys", passphrase, Vec::new()).await?;
        let [Some(recipient), Some(key), Some(secret)] = <[_; 3]>::try_from(keys).map_err(|_| Failed::Ended)? else {
            return Err(Failed::Ended.into());
        };
        let lock = written(&Lock { recipient: recipient.clone(), key })?;
        let locked = self
            .relocked(async |before| {
                // Locked by another tab: its passphrase counts.
                if before.lock.is_some() {
                    return Ok(None);
                }
                // Locked already, they are of a key that was lost: nothing opens them.
                let plain =
                    before.details.iter().filter(|(_, text)| !text.starts_with(BEGINS)).cloned().collect::<Vec<_>>();
                Ok(Some((Some(lock.clone()), sealed(&recipient, &plain).await?, plain)))
            })
            .await?;
        match locked {
            Some(plain) => self.set_opener(recipient, secret, plain),
            None => drop(self.people_kept().await?),
        }
        trail::erased();
        Ok(())
    }

    /// What opens details, by the passphrase; none where they are not locked.
    async fn secret(&self, before: &People, passphrase: &str) -> Result<Option<(Lock, String)>, NoBundle> {
        let Some(lock) = &before.lock else { return Ok(None) };
        let lock = read(lock)?;
        let secret = one("unwrap", passphrase, &lock.key).await?;
        Ok(Some((lock, secret)))
    }

    /// Opens people's details to this page.
    ///
    /// # Errors
    /// A wrong passphrase, as a sentence.
    pub async fn unlock_people(&self, passphrase: &str) -> Result<(), NoBundle> {
        let people = self.tab().people().await?;
        match self.secret(&people, passphrase).await? {
            Some((lock, secret)) => {
                let open = opened(&secret, people.details).await?;
                self.set_opener(lock.recipient, secret, open);
            }
            None => drop(self.people_kept().await?),
        }
        Ok(())
    }

    /// Puts another passphrase in place of the one there is. Details stay locked for the same key.
    ///
    /// # Errors
    /// A wrong passphrase, as a sentence; the old one stays then.
    pub async fn change_phrase(&self, old: &str, new: &str) -> Result<(), NoBundle> {
        let changed = self
            .relocked(async |before| {
                let Some((lock, secret)) = self.secret(before, old).await? else { return Ok(None) };
                let key = one("wrap", new, &secret).await?;
                Ok(Some((Some(written(&Lock { key, ..lock })?), Vec::new(), ())))
            })
            .await?;
        if changed.is_none() {
            self.people_kept().await?;
        }
        Ok(())
    }

    /// Keeps people's details as they are from now on.
    ///
    /// # Errors
    /// A wrong passphrase, as a sentence; they stay locked then.
    pub async fn keep_people_plain(&self, passphrase: &str) -> Result<(), NoBundle> {
        self.relocked(async |before| {
            let Some((_, secret)) = self.secret(before, passphrase).await? else { return Ok(None) };
            Ok(Some((None, opened(&secret, before.details.clone()).await?, ())))
        })
        .await?;
        self.opener.set_value(None);
        self.people_kept().await?;
        Ok(())
    }
}

/// Notes when somebody may have looked last, and shuts people's details when that is long ago. Dropped, it stops.
struct Watch {
    beat: Option<IntervalHandle>,
    look: Closure<dyn Fn()>,
}

impl Watch {
    fn begin(barn: Barn) -> Watch {
        let document = web_sys::window().and_then(|window| window.document());
        let last = Rc::new(Cell::new(js_sys::Date::now()));
        let look: Rc<dyn Fn()> = Rc::new(move || {
            let now = js_sys::Date::now();
            // Asleep, a device counts no beats. A clock set back says nothing either way.
            if now - last.get() > AWAY_MS {
                // This very watch goes with it.
                return spawn_local(async move { barn.shut_people() });
            }
            if document.as_ref().is_some_and(|document| !document.hidden()) {
                last.set(now);
            }
        });
        let beat = set_interval_with_handle(
            {
                let look = look.clone();
                move || look()
            },
            BEAT,
        );
        let look = Closure::<dyn Fn()>::new(move || look());
        if let Some(document) = web_sys::window().and_then(|window| window.document()) {
            let _ = document.add_event_listener_with_callback("visibilitychange", look.as_ref().unchecked_ref());
        }
        Watch { beat: beat.ok(), look }
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        if let Some(beat) = self.beat.take() {
            beat.clear();
        }
        if let Some(document) = web_sys::window().and_then(|window| window.document()) {
            let _ =
                document.remove_event_listener_with_callback("visibilitychange", self.look.as_ref().unchecked_ref());
        }
    }
}
