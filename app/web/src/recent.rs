//! The records opened last on this device: what the search box offers before anything is typed.

use crate::prefs::folder;
use crate::route::Page;
use book::{Kind, Thing};
use gloo_storage::{LocalStorage, Storage};

/// Kept; the search box shows those that are still in the book.
const KEPT: usize = 6;

fn key() -> String {
    format!("candlemark:{}recent", folder())
}

/// Names alone, apart from the preferences: opening a page must not draw anew what hangs on those.
fn kept() -> Vec<String> {
    let text = LocalStorage::raw().get_item(&key()).ok().flatten().unwrap_or_default();
    text.split(' ').filter(|name| !name.is_empty()).map(str::to_owned).collect()
}

/// A page was opened.
pub fn opened(page: &Page) {
    let (kind, id) = match page {
        Page::Animal(id) => (Kind::Animal, id),
        Page::Clutch(id) => (Kind::Clutch, id),
        Page::Box(id) => (Kind::Filling, id),
        Page::Place(id) => (Kind::Place, id),
        _ => return,
    };
    let name = Thing::new(kind, id.as_str()).to_string();
    let mut all = kept();
    all.retain(|known| *known != name);
    all.insert(0, name);
    all.truncate(KEPT);
    // Storage that is full or switched off loses a convenience, never a record.
    let _ = LocalStorage::raw().set_item(&key(), &all.join(" "));
}

/// Newest first.
pub fn last() -> Vec<Thing> {
    kept().iter().filter_map(|name| name.parse().ok()).collect()
}
