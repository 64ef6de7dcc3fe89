//! Opening the records in two steps: what is live at once, what is over in the background, so that a start does not
//! grow with the years. Acts wait for the second step; pages of the first need not.

use super::{Barn, State, Trouble};
use crate::route::Page;
use book::FillingId;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::time::Duration;
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::JsFuture;

impl Barn {
    /// Reads what is stored into memory.
    pub(super) async fn start(&self) -> Result<(), Trouble> {
        let tab = self.tab();
        if !tab.open().await? {
            self.read_all().await?;
        }
        self.whole.set(tab.is_whole());
        self.changed();
        let barn = *self;
        if tab.is_whole() {
            spawn_local(async move { barn.keep_state().await });
        } else {
            spawn_local(async move {
                if let Err(trouble) = barn.complete().await {
                    barn.state.set(State::Broken(trouble));
                }
            });
        }
        Ok(())
    }

    /// Adds what is over to what is live.
    async fn complete(&self) -> Result<(), Trouble> {
        drawn().await;
        if !self.tab().complete().await? {
            self.read_all().await?;
        }
        self.whole.set(true);
        self.changed();
        Ok(())
    }

    /// Comes back when everything is there.
    pub(super) async fn until_whole(&self) {
        while !self.whole.get_untracked() {
            pause(20).await;
        }
    }

    /// Whether a page can be shown: with what is live only, those that show nothing else.
    pub fn is_there_for(&self, page: &Page) -> bool {
        match page {
            Page::Rounds | Page::Boxes | Page::More | Page::Settings | Page::Guide | Page::GuidePart(_) => true,
            Page::Box(id) | Page::BoxAct(id, _)
                if self.peek(|book| book.filling(&FillingId::from(id.as_str())).is_some()) =>
            {
                true
            }
            _ => self.whole.get(),
        }
    }
}

/// What is live is drawn first: a screenful in the next frame, the rows below it in the one after. A page that nobody
/// sees draws no frames, so it waits a moment only.
async fn drawn() {
    let wait = js_sys::Promise::new(&mut |done, _| {
        let unseen = done.clone();
        set_timeout(move || drop(unseen.call0(&JsValue::NULL)), Duration::from_millis(500));
        request_animation_frame(move || {
            request_animation_frame(move || set_timeout(move || drop(done.call0(&JsValue::NULL)), Duration::ZERO));
        });
    });
    // Neither frames nor timers fail.
    let _ = JsFuture::from(wait).await;
}

/// Lets the page answer to what has happened meanwhile.
pub(super) async fn pause(ms: i32) {
    let wait = js_sys::Promise::new(&mut |done, _| {
        if let Some(window) = web_sys::window() {
            let _ = window.set_timeout_with_callback_and_timeout_and_arguments_0(&done, ms);
        }
    });
    // A timer cannot fail.
    let _ = JsFuture::from(wait).await;
}
