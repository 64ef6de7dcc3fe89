//! What opens the store is changed, or what opens the barn: a password was, or a device was lost. And stopping.

use super::set_up::Password;
use crate::store::sharing::Why;
use crate::store::{Barn, barn};
use crate::ui::forms::Faults;
use crate::words::share as words;
use leptos::prelude::*;
use leptos::task::spawn_local;
use share::wire::StoreAt;

/// What a new one of it is called, where anything opens the store, and the button that takes it.
pub fn opens(barn: Barn) -> Option<(&'static str, &'static str)> {
    match barn.invitation()?.store {
        StoreAt::Web { .. } => Some((words::NEW_PASSWORD, words::USE_PASSWORD)),
        StoreAt::Bucket { .. } => Some((words::NEW_SECRET, words::USE_SECRET)),
        StoreAt::Folder { .. } => None,
    }
}

/// A form that changes it; what failed is said under it.
#[derive(Clone, Copy)]
struct Change {
    typed: RwSignal<String>,
    faults: Faults,
    failed: RwSignal<Option<String>>,
    busy: RwSignal<bool>,
}

impl Change {
    fn new() -> Self {
        Self {
            typed: RwSignal::new(String::new()),
            faults: Faults::new(),
            failed: RwSignal::new(None),
            busy: RwSignal::new(false),
        }
    }

    fn run(self, change: impl AsyncFnOnce(String) -> Result<(), Why> + 'static) {
        if self.busy.get_untracked() {
            return;
        }
        self.busy.set(true);
        self.failed.set(None);
        spawn_local(async move {
            // The page may be gone by then.
            match change(self.typed.get_untracked()).await {
                Ok(()) => drop(self.typed.try_set(String::new())),
                Err(why) => drop(self.failed.try_set(Some(words::stopped(&why)))),
            }
            let _ = self.busy.try_set(false);
        });
    }

    fn told(self) -> impl IntoView {
        move || self.failed.get().map(|why| view! { <p class="hint bad" role="alert">{why}</p> })
    }
}

/// The store no longer takes what this device has.
#[component]
pub fn NewAccess() -> impl IntoView {
    let barn = barn();
    let change = Change::new();
    let Change { typed, faults, busy, .. } = change;
    let take = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        match typed.with_untracked(String::is_empty) {
            true => change.failed.set(Some(words::TYPE_ACCESS.to_owned())),
            false => change.run(async move |access| barn.share_with_access(access).await),
        }
    };
    opens(barn).map(|(label, button)| {
        view! {
            <form class="stack" on:submit=take novalidate>
                <Password label value=typed faults />
                <button type="submit" class="act" disabled=busy>{button}</button>
                {change.told()}
            </form>
        }
    })
}

/// A device was lost, or this one shall share no longer.
#[component]
pub fn TakeOut() -> impl IntoView {
    let barn = barn();
    let change = Change::new();
    let Change { typed, faults, busy, .. } = change;
    let lock_anew = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        change.run(async move |access| {
            barn.share_with_new_key(access).await?;
            barn.say(words::NEW_KEY_DONE.to_owned(), None);
            Ok(())
        });
    };
    let alone = Memo::new(move |_| {
        let _ = barn.going();
        !barn.has_company()
    });
    let stop = move |_| {
        barn.stop_sharing();
        barn.say(words::STOPPED.to_owned(), None);
    };
    view! {
        <details class="card">
            <summary>{words::TAKE_OUT}</summary>
            <ol class="lines">{words::TAKE_OUT_SAID.map(|said| view! { <li>{said}</li> })}</ol>
            <form class="stack" on:submit=lock_anew novalidate>
                {move || opens(barn).map(|(label, _)| view! { <Password label value=typed faults /> })}
                <button type="submit" class="act" disabled=busy>{words::NEW_KEY}</button>
                {change.told()}
            </form>
        </details>
        <details class="card">
            <summary>{words::STOP}</summary>
            <p>{move || if alone.get() { words::STOP_ALONE } else { words::STOP_SAID }}</p>
            <button type="button" class="act" on:click=stop>{words::STOP}</button>
        </details>
    }
}
