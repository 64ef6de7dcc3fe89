//! A bundle that was looked at: what it would change, and then taken in or left.

use crate::clock;
use crate::store::{Opened, barn};
use crate::words::{bundles as words, trouble};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::rc::Rc;

#[component]
pub fn Arrived(found: Rc<Opened>, taken: Callback<()>, left: Callback<()>) -> impl IntoView {
    let barn = barn();
    let (busy, folded) = (RwSignal::new(false), RwSignal::new(None::<u32>));
    let own = barn.device();
    let lines = barn.peek(|book| words::preview(&found.looked, |dev| words::device(book, dev, own), clock::today()));
    let counts = found.looked.counts.clone();
    let take = move |_| {
        if busy.get_untracked() {
            return;
        }
        busy.set(true);
        let found = found.clone();
        spawn_local(async move {
            let told = move |done| {
                let _ = folded.try_set(Some(done));
            };
            let done = barn.take_bundle(&found, told).await;
            let _ = folded.try_set(None);
            let _ = busy.try_set(false);
            match done {
                Ok(()) => {
                    barn.say(words::taken(found.looked.new), None);
                    // The page may have been left meanwhile.
                    let _ = taken.try_run(());
                }
                Err(why) => barn.amiss(trouble::saving(&why)),
            }
        });
    };
    view! {
        <ul class="lines" aria-live="polite">{lines.into_iter().map(|line| view! {
            <li class:warn=line.warn>{line.text}</li>
        }).collect_view()}</ul>
        {(!counts.is_empty()).then(|| view! {
            <details>
                <summary>{words::COUNTS}</summary>
                <table class="table">
                    <thead><tr><th>{words::COUNTS_OF}</th><th>{words::BEFORE}</th><th>{words::AFTER}</th></tr></thead>
                    <tbody>{counts.iter().map(|(kind, (before, after))| view! {
                        <tr><td>{words::kind_name(kind)}</td><td>{*before}</td><td>{*after}</td></tr>
                    }).collect_view()}</tbody>
                </table>
            </details>
        })}
        <div class="gap">
            <button type="button" class="act main" disabled=busy on:click=take>{words::TAKE}</button>
            <button type="button" class="act" disabled=busy on:click=move |_| left.run(())>{words::LEAVE}</button>
        </div>
        // No way to end it: the whole bundle is stored by now.
        {move || folded.get().map(|done| view! {
            <div class="spread" role="status">
                <progress max="100" value=done.to_string() aria-label=words::working(done)></progress>
                <span>{words::working(done)}</span>
            </div>
        })}
    }
}
