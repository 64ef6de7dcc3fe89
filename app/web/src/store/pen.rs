//! Everything that writes, reads all lines, or mends: what a start does not need, in a part fetched with the first thing
//! that is written.

use super::saving::Then;
use super::{Barn, Trouble};
use crate::words;
use book::acts::Act;
use journal::{Draft, Ref};
use leptos::task::spawn_local;
use std::pin::Pin;
use storage::{DeviceKey, Me};
use wasm_split_helpers::{SplitLoaderError, wasm_split};

/// The drafts that undo a deed, the last of it first, each with how many fields it leaves alone.
type Undoing = Vec<(Draft, usize)>;

type Later<T> = Pin<Box<dyn Future<Output = T>>>;

/// What is asked of the part. One way in: each would be downloaded apart.
enum Task {
    /// Acts that are one deed, with what is said and done once they are stored.
    Save(Vec<Box<dyn Act>>, String, Then),
    Append(Draft),
    PlanUndo(Ref),
    Undo(Ref),
    Keep,
    ReadAll,
    CatchUp,
    WriteAs(String),
    Writer,
    LookWhenIdle,
}

enum Done {
    Stored(Ref),
    Undoing(Undoing),
    /// How many fields were left alone; none where nothing was left to undo.
    Undone(Option<usize>),
    /// Whether something is shown otherwise now.
    Changed(bool),
    Writer(Box<Me>),
}

#[wasm_split(egg_room, fallible)]
fn pen(barn: Barn, task: Task) -> Result<Later<Result<Done, Trouble>>, SplitLoaderError> {
    Ok(Box::pin(async move {
        let tab = barn.tab();
        Ok(match task {
            Task::Save(acts, said, then) => {
                barn.ask(acts, said, then);
                Done::Changed(false)
            }
            Task::Append(draft) => Done::Stored(tab.append(draft).await?),
            Task::PlanUndo(reference) => Done::Undoing(plans(barn, reference).await?),
            Task::Undo(reference) => Done::Undone(undo_deed(barn, reference).await?),
            Task::Keep => tab.keep().await.map(|()| Done::Changed(false))?,
            Task::ReadAll => tab.until_whole().await.map(|()| Done::Changed(true))?,
            Task::CatchUp => Done::Changed(tab.catch_up().await?),
            Task::WriteAs(person) => tab.write_as(&person).await.map(|()| Done::Changed(true))?,
            Task::Writer => Done::Writer(Box::new(tab.writer().await?)),
            Task::LookWhenIdle => barn.looks().await.map(|()| Done::Changed(false))?,
        })
    }))
}

#[wasm_split(egg_room, fallible)]
fn make_key() -> Result<Later<Option<DeviceKey>>, SplitLoaderError> {
    Ok(Box::pin(super::keys::make()))
}

/// A key for a new identity; without its part, 32 bytes have to do.
pub(super) async fn device_key() -> Option<DeviceKey> {
    make_key().await.ok()?.await
}

impl Barn {
    async fn pen(&self, task: Task) -> Result<Done, Trouble> {
        let done = pen(*self, task).await.map_err(|_| Trouble::PartMissing)?.await?;
        // Drawing a page anew under a finger loses the tap: only where something is shown otherwise.
        if matches!(done, Done::Stored(_) | Done::Undone(Some(_)) | Done::Changed(true)) {
            self.changed();
        }
        Ok(done)
    }

    /// Asks about acts what is to be asked, and stores them.
    pub(super) async fn hand_over(&self, acts: Vec<Box<dyn Act>>, said: String, then: Then) -> Result<(), Trouble> {
        self.pen(Task::Save(acts, said, then)).await.map(drop)
    }

    /// Stores an act; comes back when it is durable and shown.
    pub(crate) async fn append(&self, draft: Draft) -> Result<Ref, Trouble> {
        let done = self.pen(Task::Append(draft)).await?;
        let barn = *self;
        spawn_local(async move { barn.keep_state().await });
        match done {
            Done::Stored(reference) => Ok(reference),
            _ => Err(mixed_up()),
        }
    }

    /// What undoing an act and all that was done with it in one go would write; empty where nothing of it is left to undo.
    pub(crate) async fn plan_undo(&self, reference: Ref) -> Result<Undoing, Trouble> {
        match self.pen(Task::PlanUndo(reference)).await? {
            Done::Undoing(undoing) => Ok(undoing),
            _ => Err(mixed_up()),
        }
    }

    /// Seals rows, or keeps the state as it stands, when that is due. Not kept now, the next start adds the lines up
    /// again.
    pub(super) async fn keep_state(&self) {
        if self.tab().wants_keeping() {
            drop(self.pen(Task::Keep).await);
        }
    }

    /// Reads what the quick way in could not.
    pub(super) async fn read_all(&self) -> Result<(), Trouble> {
        self.pen(Task::ReadAll).await.map(drop)
    }

    /// Takes what another tab has written, and who writes now.
    pub(crate) async fn catch_up(&self) -> Result<(), Trouble> {
        self.until_whole().await;
        self.pen(Task::CatchUp).await.map(drop)
    }

    /// From now on the acts of this device are `person`'s.
    pub async fn write_as(&self, person: &str) -> Result<(), Trouble> {
        self.pen(Task::WriteAs(person.to_owned())).await.map(drop)
    }

    /// Who writes here; the first thing that needs one makes it.
    pub(super) async fn writer(&self) -> Result<Me, Trouble> {
        match self.pen(Task::Writer).await? {
            Done::Writer(me) => Ok(*me),
            _ => Err(mixed_up()),
        }
    }

    /// Looks at all that is stored over the days, a little whenever the page stands open.
    pub(super) async fn look_when_idle(&self) {
        drop(self.pen(Task::LookWhenIdle).await);
    }

    /// Undoes an act, with all that was done with it in one go, as far as nothing newer stands on it, and says what it left
    /// alone.
    pub fn undo(&self, reference: Ref) {
        let barn = *self;
        spawn_local(async move {
            barn.until_whole().await;
            let said = match barn.pen(Task::Undo(reference)).await {
                Ok(Done::Undone(Some(skipped))) => words::undone(skipped),
                Ok(_) => words::NOTHING_TO_UNDO.to_owned(),
                Err(trouble) => {
                    // Of a deed of several acts the last ones may be undone already; the same again undoes the others.
                    barn.changed();
                    words::trouble::saving(&trouble)
                }
            };
            barn.say(said, None);
            barn.keep_state().await;
        });
    }
}

async fn plans(barn: Barn, reference: Ref) -> Result<Undoing, Trouble> {
    let mut plans = Vec::new();
    for part in barn.tab().deed(reference).await?.into_iter().rev() {
        plans.extend(barn.tab().plan_undo(part).await?);
    }
    Ok(plans)
}

async fn undo_deed(barn: Barn, reference: Ref) -> Result<Option<usize>, Trouble> {
    let (mut first, mut left) = (None, 0);
    for part in barn.tab().deed(reference).await?.into_iter().rev() {
        // Planned only now: what was undone just before may stand in the same records.
        let Some((draft, skipped)) = barn.tab().plan_undo(part).await? else { continue };
        let undone = barn.tab().append(Draft { with: first, ..draft }).await?;
        first.get_or_insert(undone);
        left += skipped;
    }
    Ok(first.map(|_| left))
}

fn mixed_up() -> Trouble {
    Trouble::Act("another answer than was asked for".to_owned())
}
