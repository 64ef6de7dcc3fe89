//! The demonstration season: loaded by one button, removed by another, never mixed with the keeper's own book.

use crate::app::reload;
use crate::prefs::{Prefs, prefs};
use crate::route::{Go, Page};
use crate::store::{Barn, barn};
use crate::words::{settings as words, trouble};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::time::Duration;

/// Long enough for the page to be drawn, or a preference to be kept, before what follows holds everything up.
const A_BREATH: Duration = Duration::from_millis(80);

/// Opens the other book from its first page.
fn switch(prefs: RwSignal<Prefs>, demo: bool) {
    prefs.update(|p| p.demo = demo);
    set_timeout(
        || {
            Page::Rounds.replace();
            reload();
        },
        A_BREATH,
    );
}

/// Loads the Alder Lane season and opens it.
#[component]
pub fn LoadDemo() -> impl IntoView {
    let prefs = prefs();
    let busy = RwSignal::new(false);
    let failed = RwSignal::new(None::<String>);
    let load = move |_| {
        // A second tap would lay the season out twice.
        if busy.get_untracked() {
            return;
        }
        busy.set(true);
        failed.set(None);
        let work = move || {
            spawn_local(async move {
                match Barn::load_demo().await {
                    Ok(()) => switch(prefs, true),
                    Err(why) => {
                        let _ = busy.try_set(false);
                        let _ = failed.try_set(Some(words::demo_failed(&trouble::saving(&why))));
                    }
                }
            });
        };
        set_timeout(work, A_BREATH);
    };
    view! {
        <div class="load-demo">
            <button type="button" class="act" disabled=busy on:click=load>{words::LOAD_DEMO}</button>
            <p class="aside" role="status">{move || if busy.get() { words::LOADING_DEMO } else { words::DEMO_SAID }}</p>
            {move || failed.get().map(|said| view! { <p class="warn" role="alert">{said}</p> })}
        </div>
    }
}

/// Removes the season and opens the keeper's own book.
pub fn leave_demo() {
    let (barn, prefs) = (barn(), prefs());
    barn.say(words::LEAVING_DEMO.to_owned(), None);
    spawn_local(async move {
        match barn.remove_demo().await {
            Ok(()) => switch(prefs, false),
            Err(why) => barn.amiss(words::leaving_failed(&trouble::saving(&why))),
        }
    });
}
