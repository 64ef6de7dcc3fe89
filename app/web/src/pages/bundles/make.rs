//! Making a bundle: one tap makes it, the next hands it over. Sharing needs a tap of its own, since a browser opens
//! its share sheet only straight after one.

use super::Working;
use crate::clock;
use crate::store::{Running, barn, cancel};
use crate::ui::files;
use crate::ui::forms::Choice;
use crate::words::{bundles as words, trouble};
use journal::DeviceId;
use js_sys::{Array, ArrayBuffer};
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::{JsCast, JsValue};

#[component]
pub fn Make() -> impl IntoView {
    let barn = barn();
    let running: Running = StoredValue::new_local(None);
    let percent = RwSignal::new(None::<u32>);
    let made = RwSignal::new_local(None::<JsValue>);
    let failed = RwSignal::new(None::<String>);
    let to = RwSignal::new(None::<DeviceId>);
    let photos = RwSignal::new(true);
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
        percent.set(Some(0));
        spawn_local(async move {
            let told = move |done| {
                let _ = percent.try_set(Some(done));
            };
            let answer = barn.make_bundle(to.get_untracked(), photos.get_untracked(), running, told).await;
            let _ = percent.try_set(None);
            let _ = match answer {
                Ok(file) => made.try_set(Some(file)).map(|_| ()),
                Err(why) => failed.try_set(words::failed(&why)).map(|_| ()),
            };
        });
    };
    let stop = Callback::new(move |()| cancel(running));
    // A page left is work nobody waits for.
    on_cleanup(move || cancel(running));
    let hand_over = move |_| {
        let Some(file) = made.get_untracked() else { return };
        spawn_local(async move {
            let given =
                files::give_parts(&Array::of1(&file), &words::file_name(clock::today()), "application/zip").await;
            if given.is_err() {
                return barn.say(words::NOT_GIVEN.to_owned(), None);
            }
            match barn.bundle_given().await {
                Ok(()) => barn.say(words::GIVEN.to_owned(), None),
                Err(why) => barn.say(trouble::saving(&why), None),
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
            <button type="button" class="act main" disabled=move || percent.get().is_some() on:click=make>{words::MAKE}</button>
            <Working percent cancel=stop />
            {move || failed.get().map(|said| view! { <p class="warn" role="alert">{said}</p> })}
            {move || made.get().and_then(|file| file.dyn_into::<ArrayBuffer>().ok()).map(|file| view! {
                <p role="status">{words::ready(file.byte_length())}</p>
                <button type="button" class="act main" on:click=hand_over>{words::SHARE_IT}</button>
            })}
        </section>
    }
}
