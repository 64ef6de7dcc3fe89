//! Spare copies, put beside the lines and got back, and the word of a new key: not the machine's, since nothing depends on them.

use super::ask::{self, Reached};
use super::{SHARING, say, say_with};
use journal::Id;
use js_sys::{ArrayBuffer, Uint8Array};
use share::spare::day_of;
use share::store::{Answer, Verb};
use share::wire::{StoreAt, ToPage};
use share::{BarnKey, Place, Safe};
use std::rc::Rc;
use wasm_bindgen_futures::spawn_local;
use web_sys::FileSystemDirectoryHandle;

/// The store, the barn's key and where things lie, while devices are kept in step.
pub fn here() -> Option<(Rc<Reached>, Rc<BarnKey>, Place)> {
    SHARING.with_borrow(|sharing| sharing.as_ref().map(|own| (own.store.clone(), own.key.clone(), own.place.clone())))
}

pub fn list() {
    let Some((store, _, place)) = here() else { return say(&ToPage::Spares(None)) };
    spawn_local(async move {
        let days = match store.ask(Verb::List { folder: place.spares() }, ask::PATIENCE).await {
            Answer::Listed(found) => {
                let mut days: Vec<String> =
                    found.iter().filter_map(|found| day_of(&found.name)).map(str::to_owned).collect();
                days.sort_unstable();
                Some(days)
            }
            _ => None,
        };
        say(&ToPage::Spares(days));
    });
}

pub fn put(day: String, file: Option<ArrayBuffer>) {
    let (Some((store, key, place)), Some(file)) = (here(), file) else { return say(&ToPage::SparePut(false)) };
    spawn_local(async move {
        let put = match key.close(&Uint8Array::new(&file).to_vec()) {
            Ok(bytes) => store.ask(Verb::Put { path: place.spare(&day), bytes }, ask::PATIENCE).await,
            Err(_) => Answer::Missing,
        };
        say(&ToPage::SparePut(matches!(put, Answer::Done | Answer::There)));
    });
}

pub fn get(day: String) {
    let Some((store, key, place)) = here() else { return say(&ToPage::Spare { day }) };
    spawn_local(async move {
        let got = store.ask(Verb::Get { path: place.spare(&day) }, ask::PATIENCE).await;
        let file = match got {
            Answer::Got(sealed) => key.open(&sealed).ok().map(|bytes| Uint8Array::from(bytes.as_slice()).buffer()),
            _ => None,
        };
        say_with(&ToPage::Spare { day }, file);
    });
}

/// Done or not, the page goes on.
pub fn say_moved(store: &StoreAt, book: Id, secret: &str, folder: Option<FileSystemDirectoryHandle>) {
    let (Some(store), Some(key)) = (Reached::of(store, folder), BarnKey::read(secret)) else {
        return say(&ToPage::SaidMoved);
    };
    spawn_local(async move {
        let path = Place::of(book, &key).moved();
        if let Ok(bytes) = key.close(b"This barn has a new key.\n") {
            let _ = store.ask(Verb::Put { path, bytes }, ask::TRIAL).await;
        }
        say(&ToPage::SaidMoved);
    });
}

/// Where the store lets none go, they stay.
pub fn drop_days(days: Vec<String>) {
    let Some((store, _, place)) = here() else { return };
    spawn_local(async move {
        for day in days {
            let _ = store.ask(Verb::Delete { path: place.spare(&day) }, ask::PATIENCE).await;
        }
    });
}
