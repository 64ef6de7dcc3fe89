//! What was found damaged or lost, and the looks for it: a few blocks at a time when nothing else is going on, and all of
//! it by hand.

use super::{Barn, Harm, Trouble};
use crate::prefs::folder;
use gloo_storage::{LocalStorage, Storage};
use leptos::prelude::*;
use storage::Checked;
use wasm_split_helpers::{SplitLoaderError, wasm_split};

/// Blocks of one look when idle: a few milliseconds' work.
const AT_ONCE: usize = 2;
/// How long the page is left alone before, and between two looks; milliseconds.
pub(super) const FIRST_MS: i32 = 20_000;
const BETWEEN_MS: i32 = 5_000;

type Checking = std::pin::Pin<Box<dyn Future<Output = Result<Checked, Trouble>>>>;

#[wasm_split(egg_room, fallible)]
fn check(barn: Barn, told: Box<dyn Fn(u32)>) -> Result<Checking, SplitLoaderError> {
    Ok(Box::pin(async move { barn.tab().check(told).await }))
}

fn place() -> String {
    format!("candlemark:{}looked", folder())
}

/// Where the last look ended.
fn looked_at() -> Option<String> {
    LocalStorage::raw().get_item(&place()).ok().flatten()
}

fn look_at(block: Option<&str>) {
    // Not kept, the next look begins at the beginning.
    let _ = match block {
        Some(block) => LocalStorage::raw().set_item(&place(), block),
        None => LocalStorage::raw().remove_item(&place()),
    };
}

impl Barn {
    /// What was found damaged or lost and not read by the keeper yet, oldest first.
    pub fn harms(&self) -> Vec<Harm> {
        self.version.track();
        self.tab().harms()
    }

    /// Whether anything was.
    pub fn any_harm(&self) -> bool {
        self.version.track();
        self.tab().has_harms()
    }

    /// The keeper has read it.
    pub async fn harms_read(&self) -> Result<(), Trouble> {
        self.tab().harms_read().await?;
        self.changed();
        Ok(())
    }

    /// Looks at everything that is stored, and folds it again beside what is shown.
    pub async fn check(&self, told: impl Fn(u32) + 'static) -> Result<Checked, Trouble> {
        let checked = check(*self, Box::new(told)).await.map_err(|_| Trouble::PartMissing)?.await?;
        self.changed();
        Ok(checked)
    }

    /// Goes on where the last look ended, a few blocks at a time while nothing else is going on, until the end.
    pub(super) async fn looks(&self) -> Result<(), Trouble> {
        let mut from = looked_at();
        loop {
            let idle = !document().hidden() && !self.working.get_untracked() && self.tab().device().is_some();
            if idle {
                let look = self.tab().look(from.as_deref(), AT_ONCE).await?;
                if look.mended {
                    self.changed();
                }
                look_at(look.next.as_deref());
                match look.next {
                    Some(next) => from = Some(next),
                    None => return Ok(()),
                }
            }
            super::whole::pause(BETWEEN_MS).await;
        }
    }
}
