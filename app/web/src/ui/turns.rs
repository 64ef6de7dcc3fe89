//! What takes long is drawn once the page has been painted, a piece at a time.

use leptos::prelude::*;
use std::sync::Arc;
use std::time::Duration;

/// Pieces of a page that wait until it has been painted. Each has a turn of its own, in the order they are made, so that a tap
/// comes between two of them; once the page is left, none has. A piece stands below what is there by then, or in a place kept
/// for it: nothing that can be tapped may move.
#[derive(Clone, Copy)]
pub struct Turns {
    /// Pieces whose turn has come.
    come: RwSignal<usize>,
    made: RwSignal<usize>,
}

impl Turns {
    /// Of the page that is being made.
    pub fn here() -> Self {
        let turns = Self { come: RwSignal::new(0), made: RwSignal::new(0) };
        request_animation_frame(move || turns.go_on());
        // Who prints by the browser's own menu gets the page whole, however soon.
        let whole = window_event_listener(leptos::ev::beforeprint, move |_| turns.come.set(turns.made.get_untracked()));
        on_cleanup(move || whole.remove());
        turns
    }

    /// The next turn, once whatever else waits has had one.
    fn go_on(self) {
        let turn = move || {
            let Some((come, made)) = self.come.try_get_untracked().zip(self.made.try_get_untracked()) else { return };
            if come < made {
                self.come.set(come + 1);
                self.go_on();
            }
        };
        set_timeout(turn, Duration::ZERO);
    }

    /// The next piece. None of what a form offers: a draft may have chosen it, and stands before.
    pub fn piece(self, shown: impl Fn() -> AnyView + Send + 'static) -> AnyView {
        let nth = self.made.get_untracked();
        self.made.set(nth + 1);
        let come = Memo::new(move |_| self.come.get() > nth);
        (move || come.get().then(&shown)).into_any()
    }

    /// Whether some piece is still to come: what is printed now would lack it.
    pub fn waits(self) -> Memo<bool> {
        Memo::new(move |_| self.come.get() < self.made.get())
    }

    /// Says so, below all pieces.
    pub fn said(self, waiting: &'static str) -> AnyView {
        let waits = self.waits();
        (move || waits.get().then(|| view! { <p class="card quiet" role="status" data-waits="">{waiting}</p> }))
            .into_any()
    }
}

/// A long sum that several pieces stand on: the first of them to ask works it out, and again what it read has changed.
pub fn shared<T: Send + Sync + 'static>(sum: impl Fn() -> T + Send + Sync + 'static) -> Memo<Arc<T>> {
    Memo::new_with_compare(move |_| Arc::new(sum()), |_, _| true)
}
