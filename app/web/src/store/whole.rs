//! Opening the records in two steps: what is live at once, what is over in the background, so that a start does not
//! grow with the years. Acts wait for the second step; pages of the first need not.

use super::db::Db;
use super::{Barn, Inner, State, Trouble};
use crate::route::Page;
use book::{Book, FillingId};
use journal::Taken;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::time::Duration;
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::JsFuture;

impl Barn {
    /// Reads what is stored into memory anew.
    pub(super) async fn open(&self) -> Result<(), Trouble> {
        let db = self.db().await?;
        let held = db.held().await?;
        let cell = self.cell();
        let Some(me) = held.me else { return Ok(()) };
        let rows = held.rows.len();
        let restored = held.snapshot.as_deref().map(Book::restore);
        let added_up = !matches!(restored, Some(Ok(_)));
        let (mut live, lines) = match restored {
            Some(Ok(book)) => (book, [held.waiting, held.rows].concat()),
            // None, of an older version of the fold, or damaged: the lines are the truth, add them up again.
            _ => (Book::new(me.book), db.all_lines().await?),
        };
        held.exchange.joined.iter().for_each(|other| live.join(*other));
        let parts = live.parts();
        // Parts come before lines. Where there are no lines, copying what is live can wait until it has been drawn.
        let before_lines = (parts > 0 && !lines.is_empty()).then(|| live.clone());
        let waiting = take_all(&mut live, &lines);
        {
            let mut inner = cell.borrow_mut();
            let (db, exchange) = (inner.db.take(), held.exchange);
            *inner = Inner { db, me: Some(me), book: live, rows, sealing: false, exchange, waiting };
        }
        self.whole.set(parts == 0);
        self.version.update(|v| *v += 1);
        let barn = *self;
        if parts > 0 {
            spawn_local(async move {
                if let Err(trouble) = barn.complete(&db, before_lines, &lines).await {
                    barn.state.set(State::Broken(trouble));
                }
            });
        } else if added_up && !lines.is_empty() {
            spawn_local(async move { barn.keep_state().await });
        }
        Ok(())
    }

    /// Adds what is over to what is live, part by part, and puts the whole in its place.
    async fn complete(&self, db: &Db, live: Option<Book>, lines: &[String]) -> Result<(), Trouble> {
        drawn().await;
        let mut book = live.unwrap_or_else(|| self.peek(Book::clone));
        for number in (0..book.parts()).rev() {
            pause(0).await;
            let part = db.part(number).await?;
            if part.is_none_or(|part| book.take_part(&part).is_err()) {
                let mut all = Book::new(book.journal().book());
                self.cell().borrow().exchange.joined.iter().for_each(|other| all.join(*other));
                take_all(&mut all, &db.all_lines().await?);
                book = all;
                break;
            }
        }
        take_all(&mut book, lines);
        self.cell().borrow_mut().book = book;
        self.whole.set(true);
        self.version.update(|v| *v += 1);
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
            Page::Rounds | Page::Boxes | Page::More | Page::Settings => true,
            Page::Box(id) | Page::BoxAct(id, _)
                if self.peek(|book| book.filling(&FillingId::from(id.as_str())).is_some()) =>
            {
                true
            }
            _ => self.whole.get(),
        }
    }
}

/// Folds lines that are stored; which of them wait for earlier ones.
fn take_all(book: &mut Book, lines: &[String]) -> Vec<String> {
    let mut waiting = Vec::new();
    for line in lines {
        // A line that cannot be read now is kept in storage as it is; a newer version may read it.
        if matches!(book.take(line), Ok(Taken::Held)) {
            waiting.push(line.clone());
        }
    }
    waiting
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
