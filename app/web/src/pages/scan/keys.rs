//! Keys anywhere in the app while no field waits for typing: of readers that type like a keyboard, by cable or Bluetooth,
//! and of a hand (`desk::keys` tells them apart).

use super::heard;
use crate::pages;
use crate::store::{Barn, barn};
use crate::words;
use desk::keys::{Act, FAST_MS, Heard, Keyboard};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::time::Duration;
use wasm_bindgen::JsCast;
use wasm_split_helpers::{SplitLoaderError, wasm_split};
use web_sys::{Element, KeyboardEvent};

/// Who is told of labels typed by a reader; the page that stands open takes them, else their page is opened.
#[derive(Clone, Copy)]
struct Taker(StoredValue<Option<(u32, Callback<String>)>>);

/// The page that calls this is told of typed labels while it stands open.
pub fn take_keys(told: Callback<String>) {
    let Some(Taker(taker)) = use_context::<Taker>() else { return };
    // The next page may begin before the last one has ended.
    let mine = taker.with_value(|taker| taker.as_ref().map_or(0, |(turn, _)| turn.wrapping_add(1)));
    taker.set_value(Some((mine, told)));
    on_cleanup(move || {
        taker.try_update_value(|taker| {
            if taker.as_ref().is_some_and(|(turn, _)| *turn == mine) {
                *taker = None;
            }
        });
    });
}

/// What a text means is known to the part that scans.
#[wasm_split(egg_room, fallible)]
fn open(barn: Barn, text: String) -> Result<Result<(), String>, SplitLoaderError> {
    Ok(heard(barn, &text))
}

/// Listens for the whole app; put around the pages.
#[component]
pub fn KeyReader(children: Children) -> impl IntoView {
    super::feel::follow_sound();
    let barn = barn();
    let taker = StoredValue::new(None);
    provide_context(Taker(taker));
    let keyboard = StoredValue::new(Keyboard::default());
    let listening = window_event_listener(leptos::ev::keydown, move |ev: KeyboardEvent| {
        if waits_for_typing(&ev) || ev.ctrl_key() || ev.alt_key() || ev.meta_key() {
            return;
        }
        let (key, at, held) = (ev.key(), ev.time_stamp(), ev.repeat());
        let heard = keyboard.try_update_value(|keyboard| keyboard.hear(&key, at, held)).unwrap_or(Heard::Nothing);
        match heard {
            Heard::Nothing => {}
            Heard::Label(text) => {
                // Not the button that happens to have the focus.
                ev.prevent_default();
                labelled(barn, taker, text);
            }
            Heard::Act(act) => press(act),
            Heard::Alone(act, number) => {
                // A browser that searches the page by this key does not.
                ev.prevent_default();
                let still = move || keyboard.try_with_value(|keyboard| keyboard.alone(number)) == Some(true);
                let later = move || {
                    if still() {
                        press(act)
                    }
                };
                set_timeout(later, Duration::from_millis(FAST_MS as u64));
            }
        }
    });
    on_cleanup(move || listening.remove());
    children()
}

fn labelled(barn: Barn, taker: StoredValue<Option<(u32, Callback<String>)>>, text: String) {
    match taker.get_value() {
        Some((_, told)) => told.run(text),
        None => spawn_local(async move {
            let said = open(barn, text).await.unwrap_or_else(|_| Err(words::PART_MISSING.to_owned()));
            if let Err(why) = said {
                barn.amiss(why);
            }
        }),
    }
}

fn press(act: Act) {
    // A part that is not here and cannot be fetched: a key does nothing then.
    spawn_local(async move { drop(pages::pressed(act).await) });
}

fn waits_for_typing(ev: &KeyboardEvent) -> bool {
    let Some(target) = ev.target().and_then(|t| t.dyn_into::<Element>().ok()) else { return false };
    let tag = target.tag_name();
    let unticked =
        target.get_attribute("type").is_none_or(|kind| !matches!(kind.as_str(), "checkbox" | "radio" | "file"));
    (tag.eq_ignore_ascii_case("input") && unticked)
        || tag.eq_ignore_ascii_case("textarea")
        || tag.eq_ignore_ascii_case("select")
        || target.has_attribute("contenteditable")
}
