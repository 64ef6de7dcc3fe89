//! Readers that type like a keyboard, by cable or Bluetooth, anywhere in the app: keys faster than a hand, ending in
//! Enter, while no field waits for typing.

use super::heard;
use crate::store::{Barn, barn};
use crate::words;
use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsCast;
use wasm_split_helpers::{SplitLoaderError, wasm_split};
use web_sys::{Element, KeyboardEvent};

/// Longest pause between two keys of one label, ms. A quick typist needs about twice that.
const FAST_MS: f64 = 80.0;
/// Fewest keys that are a label: a code without its dashes.
const FEWEST: usize = 8;
/// Most keys kept; a payload is far shorter.
const MOST: usize = 2000;

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
    let typed = StoredValue::new((String::new(), 0.0_f64));
    let listening = window_event_listener(leptos::ev::keydown, move |ev: KeyboardEvent| {
        if waits_for_typing(&ev) || ev.ctrl_key() || ev.alt_key() || ev.meta_key() {
            return;
        }
        let (mut text, at) = typed.get_value();
        let now = ev.time_stamp();
        if now - at > FAST_MS {
            text.clear();
        }
        let key = ev.key();
        if key == "Enter" {
            typed.set_value((String::new(), now));
            if text.chars().count() < FEWEST {
                return;
            }
            // Not the button that happens to have the focus.
            ev.prevent_default();
            match taker.get_value() {
                Some((_, told)) => told.run(text),
                None => spawn_local(async move {
                    let said = open(barn, text).await.unwrap_or_else(|_| Err(words::PART_MISSING.to_owned()));
                    if let Err(why) = said {
                        barn.amiss(why);
                    }
                }),
            }
            return;
        }
        // Names of keys (Shift, F5) are longer than what they type.
        if key.chars().count() == 1 && text.len() < MOST {
            text.push_str(&key);
        }
        typed.set_value((text, now));
    });
    on_cleanup(move || listening.remove());
    children()
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
