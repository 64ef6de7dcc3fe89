//! Making a bundle: one tap makes it, the next hands it over. Sharing needs a tap of its own, since a browser opens
//! its share sheet only straight after one.

use super::Working;
use super::along::Along;
use crate::clock;
use crate::store::{NoBundle, Running, barn, cancel, lock};
use crate::ui::forms::Choice;
use crate::ui::{Phrase, files};
use crate::words::{bundles as words, trouble};
use book::ContactId;
use journal::DeviceId;
use js_sys::{Array, ArrayBuffer};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::collections::BTreeSet;

/// A bundle that waits to be handed over.
#[derive(Clone)]
struct Made {
    file: ArrayBuffer,
    locked: bool,
    /// Of how many people details are in it.
    people: usize,
}

#[component]
pub fn Make() -> impl IntoView {
    let barn = barn();
    let running: Running = StoredValue::new_local(None);
    let percent = RwSignal::new(None::<u32>);
    let made = RwSignal::new_local(None::<Made>);
    let failed = RwSignal::new(None::<String>);
    let to = RwSignal::new(None::<DeviceId>);
    let photos = RwSignal::new(true);
    let along = RwSignal::new(BTreeSet::<ContactId>::new());
    // One that waits was made with what was chosen before.
    Effect::new(move |_| {
        along.track();
        made.set(None);
    });
    let locking = RwSignal::new(false);
    let passphrase = RwSignal::new(String::new());
    let has_photos = move || barn.read(|book| book.journal().records("photo").next().is_some());
    let others = move || {
        let (heard, own) = (barn.exchange().heard, barn.device());
        barn.read(|book| {
            let all = heard.keys().filter(|dev| Some(**dev) != own);
            all.map(|dev| (Some(*dev), words::lacks(&words::device(book, *dev, own)))).collect::<Vec<_>>()
        })
    };
    let make = move |_| {
        // A second tap would start it twice.
        if percent.get_untracked().is_some() {
            return;
        }
        made.set(None);
        failed.set(None);
        let passphrase = locking.get_untracked().then(|| passphrase.get_untracked());
        if passphrase.as_ref().is_some_and(|typed| typed.is_empty()) {
            return failed.set(Some(words::NO_PASSPHRASE.to_owned()));
        }
        percent.set(Some(0));
        let along = along.get_untracked();
        spawn_local(async move {
            let told = move |done| {
                let _ = percent.try_set(Some(done));
            };
            let answer = async {
                let file = barn.make_bundle(to.get_untracked(), photos.get_untracked(), &along, running, told).await?;
                let locked = passphrase.is_some();
                let file = match passphrase {
                    Some(passphrase) => lock(file, passphrase, running, told).await?,
                    None => file,
                };
                Ok::<Made, NoBundle>(Made { file, locked, people: along.len() })
            };
            let answer = answer.await;
            let _ = percent.try_set(None);
            let _ = match answer {
                Ok(done) => made.try_set(Some(done)).map(|_| ()),
                Err(why) => failed.try_set(words::failed(&why)).map(|_| ()),
            };
        });
    };
    let stop = Callback::new(move |()| cancel(running));
    // A page left is work nobody waits for.
    on_cleanup(move || cancel(running));
    let hand_over = move |_| {
        let Some(Made { file, locked, .. }) = made.get_untracked() else { return };
        let (name, mime) = match locked {
            false => (words::file_name(clock::today()), "application/zip"),
            true => (words::locked_name(clock::today()), "application/octet-stream"),
        };
        spawn_local(async move {
            let given = files::give_parts(&Array::of1(&file), &name, mime).await;
            if given.is_err() {
                return barn.say(words::NOT_GIVEN.to_owned(), None);
            }
            match barn.bundle_given().await {
                Ok(()) => barn.say(words::GIVEN.to_owned(), None),
                Err(why) => barn.amiss(trouble::saving(&why)),
            }
        });
    };
    view! {
        <section class="card stack" aria-label=words::MAKE>
            <p>{words::MAKE_SAID}</p>
            {move || {
                let others = others();
                (!others.is_empty()).then(|| {
                    let options = [vec![(None, words::EVERYTHING.to_owned())], others].concat();
                    view! { <Choice label=words::FOR_WHOM options value=to /> }
                })
            }}
            {move || has_photos().then(|| view! {
                <label class="gap tick">
                    <input type="checkbox" prop:checked=photos on:change=move |ev| photos.set(event_target_checked(&ev)) />
                    <span>{words::WITH_PHOTOS}</span>
                </label>
            })}
            <Along along locked=locking />
            <label class="gap tick">
                <input type="checkbox" prop:checked=locking on:change=move |ev| locking.set(event_target_checked(&ev)) />
                <span>{words::LOCK}</span>
            </label>
            {move || locking.get().then(|| view! {
                <Phrase value=passphrase hint=words::PASSPHRASE_HINT />
                <p class="warn">{words::LOCK_SAID}</p>
            })}
            <button type="button" class="act main" disabled=move || percent.get().is_some() on:click=make>{words::MAKE}</button>
            <Working percent cancel=stop />
            {move || failed.get().map(|said| view! { <p class="warn" role="alert">{said}</p> })}
            {move || made.get().map(|Made { file, locked, people }| view! {
                <p role="status">{words::ready(file.byte_length(), people, locked)}</p>
                <button type="button" class="act main" on:click=hand_over>{words::SHARE_IT}</button>
            })}
        </section>
    }
}
