//! The demonstration season's own database: filled and removed, never mixed with the keeper's own book.

use super::db::{Db, Trouble};
use super::identity::Me;
use super::intake::Intake;
use super::{Barn, database_name};
use crate::{clock, words};
use chrono::NaiveDate;
use std::collections::BTreeSet;
use std::pin::Pin;
use std::rc::Rc;
use wasm_split_helpers::{SplitLoaderError, wasm_split};

/// Writes with every act there is, and most phones never ask for it: a part of its own.
#[wasm_split(season, fallible)]
fn fill(today: NaiveDate) -> Result<Pin<Box<dyn Future<Output = Result<(), Trouble>>>>, SplitLoaderError> {
    Ok(Box::pin(filled(today)))
}

async fn filled(today: NaiveDate) -> Result<(), Trouble> {
    let lines = book::demo::season(today);
    let first = lines.first().map(|l| journal::Entry::read(l)).transpose().map_err(|e| Trouble::Act(e.to_string()))?;
    let Some(first) = first else { return Ok(()) };
    let db = Db::open(&database_name(true), Box::new(|| {})).await?;
    let lines = lines.join("\n");
    let me = Me::new(Some(first.book), words::KEEPER);
    let erased = BTreeSet::new();
    let intake = Intake { lines: &lines, photos: &[], people: &[], erased: &erased, me: Some(&me), generation: 0 };
    db.take_in(&intake, |_, _| {}).await?;
    db.close();
    Ok(())
}

impl Barn {
    /// Fills the demonstration season's own database.
    pub async fn load_demo() -> Result<(), Trouble> {
        fill(clock::today()).await.map_err(|_| Trouble::PartMissing)?.await
    }

    /// Removes the demonstration season without a trace.
    pub async fn remove_demo(&self) -> Result<(), Trouble> {
        let db = self.cell().borrow_mut().db.take();
        match db.map(Rc::try_unwrap) {
            Some(Ok(db)) => db.delete().await,
            _ => Db::open(&database_name(true), Box::new(|| {})).await?.delete().await,
        }
    }
}
