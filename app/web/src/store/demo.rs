//! The demonstration season's own database: filled and removed, never mixed with the keeper's own book.

use super::bundles::blob;
use super::idb::Browser;
use super::{Barn, Trouble};
use crate::{clock, words};
use chrono::NaiveDate;
use js_sys::Uint8Array;
use std::pin::Pin;
use std::rc::Rc;
use storage::{Intake, Successor, Tab, Value};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use wasm_split_helpers::{SplitLoaderError, wasm_split};
use web_sys::Response;

/// Writes with every act there is, and most phones never ask for it: a part of its own.
#[wasm_split(season, fallible)]
fn fill(today: NaiveDate) -> Result<Pin<Box<dyn Future<Output = Result<(), Trouble>>>>, SplitLoaderError> {
    Ok(Box::pin(filled(today)))
}

async fn filled(today: NaiveDate) -> Result<(), Trouble> {
    let lines = book::demo::season(today);
    let first = lines.first().map(|l| journal::Entry::read(l)).transpose().map_err(|e| Trouble::Act(e.to_string()))?;
    let Some(first) = first else { return Ok(()) };
    let lines = lines.join("\n");
    let tab = Tab::new(Rc::new(Browser { demo: true, barn: None }), words::KEEPER);
    let photos = pictures().await;
    let intake = Intake {
        lines: &lines,
        photos: &photos,
        people: &[],
        people_lock: None,
        erased: &[],
        epoch: 0,
        successor: Successor::Same { book: first.book },
    };
    tab.take_in(&intake, |_, _| {}, |_| {}).await?;
    tab.keep().await?;
    tab.db().await?.close();
    Ok(())
}

/// The pictures that came with the app. One that cannot be had is as if it were on another device.
async fn pictures() -> Vec<(String, Value)> {
    let mut all = Vec::new();
    for (file, sha256) in book::demo::PICTURES {
        if let Some(picture) = fetched(&format!("demo/{file}"), sha256).await {
            all.push(((*sha256).to_owned(), Value::Other(Rc::new(picture))));
        }
    }
    all
}

async fn fetched(path: &str, sha256: &str) -> Option<JsValue> {
    let answer: Response = JsFuture::from(web_sys::window()?.fetch_with_str(path)).await.ok()?.dyn_into().ok()?;
    let bytes = JsFuture::from(answer.array_buffer().ok()?).await.ok()?;
    let hash = journal::Hash::of(&Uint8Array::new(&bytes).to_vec());
    blob(&bytes).filter(|_| hash.to_string() == sha256)
}

impl Barn {
    /// Fills the demonstration season's own database.
    pub async fn load_demo() -> Result<(), Trouble> {
        fill(clock::today()).await.map_err(|_| Trouble::PartMissing)?.await
    }

    /// Removes the demonstration season without a trace.
    pub async fn remove_demo(&self) -> Result<(), Trouble> {
        let tab = self.tab();
        // Removed by this page itself, it is nothing to tell.
        tab.let_go(Trouble::LetGo);
        Browser { demo: true, barn: None }.delete().await
    }
}
