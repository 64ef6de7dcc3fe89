//! Everything that writes, reads all lines, or mends: what a start does not need, in a part fetched with the first thing
//! that is written.

use super::{Barn, Trouble};
use crate::words;
use journal::{Draft, Ref};
use leptos::task::spawn_local;
use std::pin::Pin;
use storage::{Look, Me};
use wasm_split_helpers::{SplitLoaderError, wasm_split};

type Later<T> = Pin<Box<dyn Future<Output = Result<T, Trouble>>>>;

/// An act's draft that undoes another, and how many fields it leaves alone.
pub(crate) type Undoing = Option<(Draft, usize)>;

#[wasm_split(egg_room, fallible)]
fn append(barn: Barn, draft: Draft) -> Result<Later<Ref>, SplitLoaderError> {
    Ok(Box::pin(async move { barn.tab().append(draft).await }))
}

#[wasm_split(egg_room, fallible)]
fn plan_undo(barn: Barn, reference: Ref) -> Result<Later<Undoing>, SplitLoaderError> {
    Ok(Box::pin(async move { barn.tab().plan_undo(reference).await }))
}

#[wasm_split(egg_room, fallible)]
fn keep(barn: Barn) -> Result<Later<()>, SplitLoaderError> {
    Ok(Box::pin(async move { barn.tab().keep().await }))
}

#[wasm_split(egg_room, fallible)]
fn read_all(barn: Barn) -> Result<Later<()>, SplitLoaderError> {
    Ok(Box::pin(async move { barn.tab().until_whole().await }))
}

#[wasm_split(egg_room, fallible)]
fn catch_up(barn: Barn) -> Result<Later<bool>, SplitLoaderError> {
    Ok(Box::pin(async move { barn.tab().catch_up().await }))
}

#[wasm_split(egg_room, fallible)]
fn write_as(barn: Barn, person: String) -> Result<Later<()>, SplitLoaderError> {
    Ok(Box::pin(async move { barn.tab().write_as(&person).await }))
}

#[wasm_split(egg_room, fallible)]
fn writer(barn: Barn) -> Result<Later<Me>, SplitLoaderError> {
    Ok(Box::pin(async move { barn.tab().writer().await }))
}

#[wasm_split(egg_room, fallible)]
fn look(barn: Barn, from: Option<String>, at_once: usize) -> Result<Later<Look>, SplitLoaderError> {
    Ok(Box::pin(async move { barn.tab().look(from.as_deref(), at_once).await }))
}

/// What a part gives, where it is on this device.
async fn fetched<T>(asked: impl Future<Output = Result<Later<T>, SplitLoaderError>>) -> Result<T, Trouble> {
    asked.await.map_err(|_| Trouble::PartMissing)?.await
}

impl Barn {
    /// Stores an act; comes back when it is durable and shown.
    pub(crate) async fn append(&self, draft: Draft) -> Result<Ref, Trouble> {
        let reference = fetched(append(*self, draft)).await?;
        self.changed();
        let barn = *self;
        spawn_local(async move { barn.keep_state().await });
        Ok(reference)
    }

    /// What undoing an act would write; nothing where nothing of it is left to undo.
    pub(crate) async fn plan_undo(&self, reference: &Ref) -> Result<Undoing, Trouble> {
        fetched(plan_undo(*self, *reference)).await
    }

    /// Seals rows, or keeps the state as it stands, when that is due. Not kept now, the next start adds the lines up
    /// again.
    pub(super) async fn keep_state(&self) {
        if self.tab().wants_keeping() {
            drop(fetched(keep(*self)).await);
        }
    }

    /// Reads what the quick way in could not.
    pub(super) async fn read_all(&self) -> Result<(), Trouble> {
        fetched(read_all(*self)).await
    }

    /// Takes what another tab has written, and who writes now.
    pub(crate) async fn catch_up(&self) -> Result<(), Trouble> {
        self.until_whole().await;
        // Drawing a page anew under a finger loses the tap: only where something is shown otherwise.
        if fetched(catch_up(*self)).await? {
            self.changed();
        }
        Ok(())
    }

    /// From now on the acts of this device are `person`'s.
    pub async fn write_as(&self, person: &str) -> Result<(), Trouble> {
        fetched(write_as(*self, person.to_owned())).await?;
        self.changed();
        Ok(())
    }

    /// Who writes here; the first thing that needs one makes it.
    pub(super) async fn writer(&self) -> Result<Me, Trouble> {
        fetched(writer(*self)).await
    }

    /// Looks at a few blocks of what is stored; what is harmed is mended.
    pub(super) async fn look(&self, from: Option<String>, at_once: usize) -> Result<Look, Trouble> {
        let look = fetched(look(*self, from, at_once)).await?;
        if look.mended {
            self.changed();
        }
        Ok(look)
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
}
