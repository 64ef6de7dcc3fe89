//! Long drawing that leaves the page alive: how far it is, and a button that stops it.

use super::draw::Watch;
use crate::clock;
use crate::words::labels as said;
use leptos::prelude::*;
use std::cell::Cell;

/// How long the page may be still, ms.
const STILL_MS: f64 = 40.0;

/// What is being drawn on a page, if anything. Copy it into any closure.
#[derive(Clone, Copy)]
pub struct Work {
    /// Labels done, of how many.
    so_far: RwSignal<Option<(usize, usize)>>,
    stopped: RwSignal<bool>,
}

/// One run of it.
pub struct Run {
    work: Work,
    of: usize,
    looked: Cell<f64>,
}

impl Work {
    pub fn new() -> Self {
        let work = Self { so_far: RwSignal::new(None), stopped: RwSignal::new(false) };
        // A page that is left wants nothing more.
        on_cleanup(move || {
            work.stopped.try_set(true);
        });
        work
    }

    pub fn is_on(&self) -> bool {
        self.so_far.get().is_some()
    }

    /// Begins on so many labels; nothing when something is being drawn already, or the page is gone.
    pub fn begin(&self, of: usize) -> Option<Run> {
        if self.so_far.try_get_untracked()?.is_some() {
            return None;
        }
        self.stopped.set(false);
        self.so_far.set(Some((0, of)));
        Some(Run { work: *self, of, looked: Cell::new(js_sys::Date::now()) })
    }
}

impl Watch for Run {
    async fn go_on(&self, done: usize) -> bool {
        if js_sys::Date::now() - self.looked.get() > STILL_MS {
            self.work.so_far.try_set(Some((done.min(self.of), self.of)));
            clock::pause(0).await;
            self.looked.set(js_sys::Date::now());
        }
        // A signal of a page that was left cannot be read any more.
        !self.work.stopped.try_get_untracked().unwrap_or(true)
    }
}

impl Drop for Run {
    fn drop(&mut self) {
        self.work.so_far.try_set(None);
    }
}

/// Shown while something is being drawn.
#[component]
pub fn Working(work: Work) -> impl IntoView {
    move || {
        work.so_far.get().map(|(done, of)| {
            view! {
                <div class="card stack working" role="status">
                    <p>{said::made_so_far(done, of)}</p>
                    <progress max=of.to_string() value=done.to_string() aria-label=said::TITLE_MANY></progress>
                    <button type="button" class="act" on:click=move |_| work.stopped.set(true)>{said::STOP}</button>
                </div>
            }
        })
    }
}
