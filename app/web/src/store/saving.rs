//! From a tap to what is stored: doubts asked, one save of a form at a time, and what is said of it.

use super::{Barn, mint};
use crate::prefs::units;
use crate::{clock, words};
use book::acts::Act;
use journal::{Draft, DraftId, Id};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;
use std::rc::Rc;

/// How long a save may take before the page says that it works, in milliseconds: about what a person calls "at once".
const AT_ONCE_MS: i32 = 150;

/// The same act again within so many milliseconds is the same tap.
const AGAIN_MS: i32 = 400;

/// What is unlikely about an act, and how to go on all the same.
#[derive(Clone)]
pub struct Question {
    pub doubts: Vec<String>,
    /// Held here, not by the page that asked: that may be drawn anew meanwhile.
    pub go_on: Rc<Cell<Option<Box<dyn FnOnce()>>>>,
}

/// What is being saved: the same act tapped twice is one act.
#[derive(Default)]
pub struct Saving {
    /// Until a little after it is saved.
    acts: RefCell<BTreeSet<String>>,
    /// At this moment.
    under_way: Cell<u32>,
}

impl Saving {
    /// The next act is one of its own, however like the last.
    pub(super) fn forget(&self) {
        self.acts.borrow_mut().clear();
    }
}

impl Barn {
    /// Checks an act against the book, asks about what is unlikely, stores it, and says so once it is durable and
    /// shown; `then` runs after that with what was stored. A refusal is said at once and nothing is stored. The same act
    /// asked for again while it is being saved is not saved twice.
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
        let doubts = doubts.iter().map(|doubt| doubt.told(&units())).collect();
        let go_on = Box::new(move || barn.save_all_the_same(&*act, said, then)) as Box<dyn FnOnce()>;
        let go_on = Rc::new(Cell::new(Some(go_on)));
        self.question.set(Some(Question { doubts, go_on }));
    }

    fn save_all_the_same(&self, act: &dyn Act, said: String, then: Box<dyn FnOnce(&Draft)>) {
        let mut minted = Vec::new();
        let draft = self.peek(|book| {
            act.draft(book, clock::now(), &mut || {
                let id = mint();
                minted.push(id);
                id
            })
        });
        let draft = match draft {
            Ok(draft) => draft,
            Err(refusal) => return self.say(refusal.told(&units()), None),
        };
        let (barn, saving, name) = (*self, self.saving.get_value(), likeness(&draft, &minted));
        if !saving.acts.borrow_mut().insert(name.clone()) {
            return;
        }
        saving.under_way.update(|n| n + 1);
        self.say_working(&saving);
        let form = address();
        spawn_local(async move {
            let saved = barn.append(draft.clone()).await;
            saving.under_way.update(|n| n - 1);
            let _ = barn.working.try_set(false);
            match saved {
                Ok(reference) => {
                    barn.say(said, Some(reference));
                    then(&draft);
                    // A finger that shakes taps a form twice, where the form stays.
                    if address() == form {
                        super::whole::pause(AGAIN_MS).await;
                    }
                }
                Err(trouble) => barn.say(words::trouble::saving(&trouble), None),
            }
            saving.acts.borrow_mut().remove(&name);
        });
    }

    /// Says that it works, unless it is done at once.
    fn say_working(&self, saving: &Rc<Saving>) {
        let (barn, saving) = (*self, Rc::downgrade(saving));
        spawn_local(async move {
            super::whole::pause(AT_ONCE_MS).await;
            let still = saving.upgrade().is_some_and(|saving| saving.under_way.get() > 0);
            if still {
                let _ = barn.working.try_set(true);
            }
        });
    }
}

/// Where the page stands.
fn address() -> Option<String> {
    web_sys::window()?.location().hash().ok()
}

/// What two drafts of one act share, each with fresh ids and made in moments of their own: all but ids and minutes.
fn likeness(draft: &Draft, minted: &[Id]) -> String {
    let fresh: Vec<String> = minted.iter().map(Id::to_string).collect();
    let plain = |text: &str| fresh.iter().fold(text.to_owned(), |text, id| text.replace(id.as_str(), "*"));
    let mut name = draft.act.clone();
    for set in &draft.sets {
        name.push_str(&set.kind);
        if let DraftId::Known(id) = &set.id {
            name.push_str(&plain(id));
        }
        for (field, value) in &set.fields {
            name.push_str(field);
            name.push_str(&plain(to_the_hour(&value.to_string())));
        }
    }
    name
}

/// A value as JSON; of a day with its time only as far as the hour, since the clock goes on between two taps.
fn to_the_hour(json: &str) -> &str {
    match json.as_bytes().get(11) == Some(&b'T') {
        true => json.get(..14).unwrap_or(json),
        false => json,
    }
}
