//! From a tap to what is stored: doubts asked, one save of a form at a time, and what is said of it.

use super::{Barn, mint};
use crate::prefs::units;
use crate::{clock, trail, words};
use book::acts::Act;
use journal::{Draft, DraftId, Ref};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::cell::{Cell, RefCell};
use std::collections::BTreeSet;
use std::rc::Rc;

/// How long a save may take before the page says that it works, in milliseconds: about what a person calls "at once".
const AT_ONCE_MS: i32 = 150;

/// The same act again within so many milliseconds is the same tap.
const AGAIN_MS: i32 = 400;

/// What follows on an act that is stored and shown.
pub(super) type Then = Box<dyn FnOnce(&Draft)>;

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
        self.save_any(vec![Box::new(act)], said.into(), Box::new(then));
    }

    /// As [`Barn::save`], of several acts that are one deed: asked about together, stored one after the other, and undone
    /// in one go. What comes after one that fails is not stored, what came before it is, and can be undone. `then` gets
    /// the first.
    pub fn save_as_one(&self, acts: Vec<Box<dyn Act>>, said: impl Into<String>, then: impl FnOnce(&Draft) + 'static) {
        self.save_any(acts, said.into(), Box::new(then));
    }

    fn save_any(&self, acts: Vec<Box<dyn Act>>, said: String, then: Then) {
        let barn = *self;
        spawn_local(async move {
            barn.until_whole().await;
            // Asking and storing come with the part that writes.
            if let Err(trouble) = barn.hand_over(acts, said, then).await {
                barn.amiss(words::trouble::saving(&trouble));
            }
        });
    }

    pub(super) fn ask(&self, acts: Vec<Box<dyn Act>>, said: String, then: Then) {
        let mut doubts: Vec<String> = Vec::new();
        for act in &acts {
            let more = self.peek(|book| act.doubts(book, clock::now()));
            let more: Vec<String> = more.iter().map(|doubt| doubt.told(&units())).collect();
            doubts.extend(more.into_iter().filter(|doubt| !doubts.contains(doubt)).collect::<Vec<_>>());
        }
        if doubts.is_empty() {
            return self.save_all_the_same(acts, said, then);
        }
        let barn = *self;
        let go_on = Box::new(move || barn.save_all_the_same(acts, said, then)) as Box<dyn FnOnce()>;
        let go_on = Rc::new(Cell::new(Some(go_on)));
        self.question.set(Some(Question { doubts, go_on }));
    }

    fn save_all_the_same(&self, acts: Vec<Box<dyn Act>>, said: String, then: Then) {
        let mut acts = acts.into_iter();
        let Some(act) = acts.next() else { return };
        let mut minted = BTreeSet::new();
        let draft = self.peek(|book| {
            act.draft(book, clock::now(), &mut || {
                let id = mint();
                minted.insert(id.to_string());
                id
            })
        });
        let draft = match draft {
            Ok(draft) => draft,
            Err(refusal) => return self.amiss(refusal.told(&units())),
        };
        let (barn, saving, name) = (*self, self.saving.get_value(), likeness(&draft, &minted));
        if !saving.acts.borrow_mut().insert(name.clone()) {
            return;
        }
        saving.under_way.update(|n| n + 1);
        self.say_working(&saving);
        let form = address();
        spawn_local(async move {
            let saved = barn.store(draft.clone(), acts).await;
            saving.under_way.update(|n| n - 1);
            let _ = barn.working.try_set(false);
            match saved {
                Ok(reference) => {
                    trail::saved();
                    barn.say(said, Some(reference));
                    then(&draft);
                    // A finger that shakes taps a form twice, where the form stays.
                    if address() == form {
                        super::whole::pause(AGAIN_MS).await;
                    }
                }
                Err((told, None)) => barn.amiss(told),
                // What is stored can be undone, on whatever page.
                Err((told, first)) => barn.say(told, first),
            }
            saving.acts.borrow_mut().remove(&name);
        });
    }

    /// Stores a draft, then the acts that are one deed with it. Where one fails: the sentence, and what is stored by then.
    async fn store(
        &self,
        draft: Draft,
        others: impl Iterator<Item = Box<dyn Act>>,
    ) -> Result<Ref, (String, Option<Ref>)> {
        let first = self.append(draft).await.map_err(|trouble| (words::trouble::saving(&trouble), None))?;
        for act in others {
            // Only now: it is checked against what stands after the one before it.
            let draft = self
                .peek(|book| act.draft(book, clock::now(), &mut mint))
                .map_err(|refusal| (refusal.told(&units()), Some(first)))?;
            let stored = self.append(Draft { with: Some(first), ..draft }).await;
            stored.map_err(|trouble| (words::trouble::saving(&trouble), Some(first)))?;
        }
        Ok(first)
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
fn likeness(draft: &Draft, fresh: &BTreeSet<String>) -> String {
    let mut name = draft.act.clone();
    for set in &draft.sets {
        name.push_str(&set.kind);
        if let DraftId::Known(id) = &set.id {
            plain(id, fresh, &mut name);
        }
        for (field, value) in &set.fields {
            name.push_str(field);
            plain(to_the_hour(&value.to_string()), fresh, &mut name);
        }
    }
    name
}

/// A text with a star for each fresh id.
fn plain(text: &str, fresh: &BTreeSet<String>, into: &mut String) {
    for piece in text.split_inclusive(|c: char| !c.is_ascii_alphanumeric()) {
        let word = piece.trim_end_matches(|c: char| !c.is_ascii_alphanumeric());
        if fresh.contains(word) {
            into.push('*');
            into.push_str(&piece[word.len()..]);
        } else {
            into.push_str(piece);
        }
    }
}

/// A value as JSON; of a day with its time only as far as the hour, since the clock goes on between two taps.
fn to_the_hour(json: &str) -> &str {
    match json.as_bytes().get(11) == Some(&b'T') {
        true => json.get(..14).unwrap_or(json),
        false => json,
    }
}
