//! The passphrase on people's details: set, changed, taken off.

use crate::store::{Kept, NoBundle, barn};
use crate::ui::{Phrase, Unlock};
use crate::words::{bundles, lost as words};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// What is being asked for.
#[derive(Clone, Copy, PartialEq)]
enum Doing {
    Nothing,
    Setting,
    Changing,
    TakingOff,
}

#[component]
pub fn PeopleLock(
    /// How people's details lie here; kept up by this part.
    kept: RwSignal<Option<Kept>>,
) -> impl IntoView {
    let barn = barn();
    let (doing, busy) = (RwSignal::new(Doing::Nothing), RwSignal::new(false));
    let (now, new, again) = (RwSignal::new(String::new()), RwSignal::new(String::new()), RwSignal::new(String::new()));
    let failed = RwSignal::new(None::<String>);
    let look = move || {
        spawn_local(async move {
            match barn.people_kept().await {
                Ok(found) => drop(kept.try_set(Some(found))),
                Err(why) => drop(failed.try_set(words::failed(&NoBundle::Trouble(why)))),
            }
        });
    };
    // Unlocked or shut meanwhile, here or by being away.
    Effect::new(move |_| {
        barn.shut.track();
        look();
    });
    let begin = move |what| {
        [now, new, again].iter().for_each(|typed| typed.set(String::new()));
        failed.set(None);
        doing.set(what);
    };
    let submit = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        // A second tap would do it twice.
        if busy.get_untracked() {
            return;
        }
        let (what, now, new) = (doing.get_untracked(), now.get_untracked(), new.get_untracked());
        let wrong = match what {
            Doing::Nothing | Doing::TakingOff => None,
            _ if new.is_empty() => Some(words::NONE_TYPED),
            _ if new != again.get_untracked() => Some(words::DIFFER),
            _ => None,
        };
        failed.set(wrong.map(str::to_owned));
        if wrong.is_some() {
            return;
        }
        busy.set(true);
        spawn_local(async move {
            let (done, said) = match what {
                Doing::Nothing => return,
                Doing::Setting => (barn.lock_people(&new).await, words::NOW_LOCKED),
                Doing::Changing => (barn.change_phrase(&now, &new).await, words::NOW_CHANGED),
                Doing::TakingOff => (barn.keep_people_plain(&now).await, words::NOW_PLAIN),
            };
            let _ = busy.try_set(false);
            match done {
                Ok(()) => {
                    barn.say(said.to_owned(), None);
                    if doing.try_get_untracked().is_some() {
                        begin(Doing::Nothing);
                        look();
                    }
                }
                Err(why) => drop(failed.try_set(words::failed(&why))),
            }
        });
    };
    let form = move |what: Doing| {
        let (title, warning) = match what {
            Doing::Changing => (words::CHANGE, words::FORGOTTEN),
            Doing::TakingOff => (words::TAKE_OFF, words::TAKE_OFF_SAID),
            _ => (words::LOCK, words::FORGOTTEN),
        };
        view! {
            <form class="stack" novalidate on:submit=submit>
                <p class="warn">{warning}</p>
                {(what == Doing::Setting).then(|| view! { <p class="aside">{words::LINGERS}</p> })}
                {(what != Doing::Setting).then(|| view! { <Phrase value=now label=words::NOW /> })}
                {(what != Doing::TakingOff).then(|| view! {
                    <Phrase value=new label=words::NEW hint=bundles::PASSPHRASE_HINT />
                    <Phrase value=again label=words::AGAIN />
                })}
                <button type="submit" class="act main" disabled=busy>{title}</button>
                <button type="button" class="act small" on:click=move |_| begin(Doing::Nothing)>{words::LEAVE}</button>
                {move || busy.get().then(|| view! { <p class="aside" role="status">{words::WORKING}</p> })}
            </form>
        }
    };
    let to = move |what, said: &'static str| {
        view! { <button type="button" class="act small" on:click=move |_| begin(what)>{said}</button> }
    };
    let choice = move || match kept.get() {
        None => ().into_any(),
        Some(Kept::Plain) => view! {
            <p>{words::PLAIN_SAID}</p>
            {to(Doing::Setting, words::LOCK)}
        }
        .into_any(),
        Some(found) => view! {
            {(found == Kept::Open).then(|| view! {
                <p>{words::OPEN_SAID}</p>
                <button type="button" class="act small" on:click=move |_| barn.shut_people()>{words::SHUT}</button>
            })}
            {to(Doing::Changing, words::CHANGE)}
            {to(Doing::TakingOff, words::TAKE_OFF)}
        }
        .into_any(),
    };
    view! {
        <h2>{words::PHRASE_TITLE}</h2>
        <Unlock said=words::SHUT_SAID />
        <section class="card stack" aria-label=words::PHRASE_TITLE>
            {move || match doing.get() {
                Doing::Nothing => choice().into_any(),
                what => form(what).into_any(),
            }}
            {move || failed.get().map(|said| view! { <p class="warn" role="alert">{said}</p> })}
        </section>
    }
}
