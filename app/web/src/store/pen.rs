//! Everything that writes acts and keeps the folded state: what a start does not need, in a part fetched with the first
//! thing that is written.

use super::db::{Db, Folded, Trouble};
use super::identity::Me;
use super::whole::pause;
use super::{Barn, SEAL_AT, tabs};
use crate::{clock, words};
use book::Book;
use journal::{Draft, Named, Ref};
use leptos::task::spawn_local;
use std::collections::{BTreeMap, BTreeSet};
use std::pin::Pin;
use std::rc::Rc;
use wasm_split_helpers::{SplitLoaderError, wasm_split};

type Later<T> = Pin<Box<dyn Future<Output = Result<T, Trouble>>>>;

/// How often an act is tried when the browser closes the database each time.
const TRIES: u32 = 4;

/// An act's draft that undoes another, and how many fields it leaves alone.
pub(crate) type Undoing = Option<(Draft, usize)>;

#[wasm_split(egg_room, fallible)]
fn append(barn: Barn, draft: Draft) -> Result<Later<Ref>, SplitLoaderError> {
    Ok(Box::pin(async move { barn.write(draft).await }))
}

#[wasm_split(egg_room, fallible)]
fn plan_undo(barn: Barn, reference: Ref) -> Result<Later<Undoing>, SplitLoaderError> {
    Ok(Box::pin(async move { barn.undoing(&reference).await }))
}

#[wasm_split(egg_room, fallible)]
fn keep_state(barn: Barn) -> Result<Later<()>, SplitLoaderError> {
    Ok(Box::pin(async move { barn.keep().await }))
}

impl Barn {
    /// Stores an act; comes back when it is durable and folded.
    pub(crate) async fn append(&self, draft: Draft) -> Result<Ref, Trouble> {
        append(*self, draft).await.map_err(|_| Trouble::PartMissing)?.await
    }

    /// What undoing an act would write; nothing where nothing of it is left to undo.
    pub(crate) async fn plan_undo(&self, reference: &Ref) -> Result<Undoing, Trouble> {
        plan_undo(*self, *reference).await.map_err(|_| Trouble::PartMissing)?.await
    }

    /// Keeps the state as it stands beside the lines. Not kept now, the next start adds the lines up again.
    pub(super) async fn keep_state(&self) {
        if let Ok(keeping) = keep_state(*self).await {
            drop(keeping.await);
        }
    }

    /// Undoes an act as far as nothing newer stands on it, and says what it left alone.
    pub fn undo(&self, reference: Ref) {
        let barn = *self;
        spawn_local(async move {
            barn.until_whole().await;
            let said = match barn.plan_undo(&reference).await {
                Ok(Some((draft, skipped))) => match barn.append(draft).await {
                    Ok(_) => words::undone(skipped),
                    Err(trouble) => words::trouble::saving(&trouble),
                },
                Ok(None) => words::NOTHING_TO_UNDO.to_owned(),
                Err(trouble) => words::trouble::saving(&trouble),
            };
            barn.say(said, None);
        });
    }

    async fn write(&self, draft: Draft) -> Result<Ref, Trouble> {
        let mut db = self.db().await?;
        let me = self.writer(&db).await?;
        let wall = clock::wall();
        let seen = self.peek(|book| book.journal().clock(wall.ms));
        let mut tries = 0;
        let sealed = loop {
            match db.append(&me, draft.clone(), &wall, seen).await {
                Ok(sealed) => break sealed,
                // The browser closed the database under us (it does when it is short of memory): nothing was written.
                Err(_) if db.was_closed().await => {
                    tries += 1;
                    if tries == TRIES {
                        return Err(Trouble::Closed);
                    }
                    self.forget(&Rc::downgrade(&db));
                    db = self.db().await?;
                }
                Err(trouble) => return Err(trouble),
            }
        };
        self.fold(&[sealed.line]);
        tabs::tell();
        self.seal_when_due(&db);
        Ok(sealed.reference)
    }

    /// Who writes here; the first act makes one.
    pub(super) async fn writer(&self, db: &Db) -> Result<Me, Trouble> {
        let cell = self.cell();
        if let Some(me) = cell.borrow().me.clone() {
            return Ok(me);
        }
        // Another tab may have begun meanwhile.
        let me = match db.held().await?.me {
            Some(me) => me,
            None => {
                let me = Me::new(Some(cell.borrow().book.journal().book()), words::KEEPER);
                db.put_me(&me).await?;
                me
            }
        };
        let mut inner = cell.borrow_mut();
        if inner.book.journal().book() != me.book {
            inner.book = Book::new(me.book);
        }
        inner.me = Some(me.clone());
        Ok(me)
    }

    fn seal_when_due(&self, db: &Rc<Db>) {
        let cell = self.cell();
        let rows = {
            let mut inner = cell.borrow_mut();
            if inner.rows < SEAL_AT || inner.sealing {
                return;
            }
            inner.sealing = true;
            inner.rows
        };
        let folded = self.folded();
        let db = db.clone();
        spawn_local(async move {
            let sealed = db.seal_rows(rows, &folded).await;
            let mut inner = cell.borrow_mut();
            inner.sealing = false;
            // Not sealed now is no loss: the rows are as durable as a block, only slower to read.
            match sealed {
                Ok(true) => inner.rows = inner.rows.saturating_sub(rows),
                _ => inner.book.not_kept(&folded.shots),
            }
        });
    }

    async fn undoing(&self, reference: &Ref) -> Result<Undoing, Trouble> {
        let lines = self.db().await?.all_lines().await?;
        let entries: BTreeMap<Ref, journal::Entry> =
            lines.iter().filter_map(|line| journal::Entry::read(line).ok()).map(|e| (e.reference, e)).collect();
        let Some(entry) = entries.get(reference) else { return Ok(None) };
        let find = |named: &Named| entries.range(named.range()).map(|(_, entry)| entry.clone()).collect();
        let plan = self.peek(|book| book.journal().undo(entry, find));
        Ok(plan.draft.map(|draft| (draft, plan.skipped.len())))
    }

    async fn keep(&self) -> Result<(), Trouble> {
        loop {
            let folded = self.folded();
            let kept = match self.db().await {
                Ok(db) => db.put_state(&folded).await,
                Err(trouble) => Err(trouble),
            };
            if !matches!(kept, Ok(true)) {
                self.cell().borrow_mut().book.not_kept(&folded.shots);
                return Ok(());
            }
            if folded.shots.parts.is_empty() {
                return Ok(());
            }
            pause(0).await;
        }
    }

    /// The state as it is kept beside the lines; told by [`Book::not_kept`] when that fails.
    fn folded(&self) -> Folded {
        let cell = self.cell();
        let mut inner = cell.borrow_mut();
        let still: BTreeSet<Ref> = inner.book.journal().waiting().collect();
        let waits = |line: &String| journal::Entry::read(line).is_ok_and(|entry| still.contains(&entry.reference));
        inner.waiting.retain(waits);
        Folded {
            generation: inner.exchange.generation,
            shots: inner.book.shots(clock::wall().ms),
            waiting: inner.waiting.join("\n"),
        }
    }
}
