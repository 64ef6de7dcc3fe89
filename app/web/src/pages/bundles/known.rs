//! What came in here, each with its way back, and the devices known, with what to compare.

use crate::clock;
use crate::store::sharing::Going;
use crate::store::{Barn, Import, barn};
use crate::words::rounds::act_label;
use crate::words::{bundles as words, trouble};
use journal::{Digest, Digesting};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::time::Duration;

/// Bundles taken in, newest first.
#[component]
pub fn Imports() -> impl IntoView {
    let barn = barn();
    let rows = move || {
        let (exchange, own, today) = (barn.exchange(), barn.device(), clock::today());
        let last = exchange.last_import().map(|import| import.n);
        exchange
            .imports
            .into_iter()
            .rev()
            .map(|import| {
                let device = barn.peek(|book| words::device(book, import.from, own));
                let said = words::import(&device, import.acts, &words::day_of(import.at_ms, today));
                view! { <ImportRow import=import.clone() said last=last == Some(import.n) /> }
            })
            .collect_view()
    };
    move || {
        let any = !barn.exchange().imports.is_empty();
        any.then(|| view! { <h2>{words::IMPORTS}</h2> {rows()} })
    }
}

#[component]
fn ImportRow(import: Import, said: String, last: bool) -> impl IntoView {
    let barn = barn();
    let Import { n, aside, .. } = import;
    let label = match (aside, last) {
        (true, _) => words::TAKE_BACK,
        (false, true) => words::GO_BACK,
        (false, false) => words::SET_ASIDE,
    };
    let turn = move |_| {
        spawn_local(async move {
            match barn.set_aside(n, !aside).await {
                Ok(()) => barn.say(if aside { words::CAME_BACK } else { words::WENT_BACK }.to_owned(), None),
                Err(why) => barn.amiss(trouble::saving(&why)),
            }
        });
    };
    let named = act_label(label, &said);
    view! {
        <div class="row">
            <span class="text"><span>{said}</span>{aside.then(|| view! { <span class="aside">{words::ASIDE}</span> })}</span>
            <button type="button" class="act small" aria-label=named on:click=turn>{label}</button>
        </div>
    }
}

/// Nothing, as high as a line.
const NOT_SAID: &str = "\u{a0}";
/// Records in the state's digest at a time: some milliseconds' work.
const RECORDS: usize = 4000;

/// The digest of the state, once it is known: of a large barn that is half a second's work. It is done piece by piece once the
/// page has been painted, begun anew with every change, and left when the page is.
fn state() -> RwSignal<Option<Digest>> {
    let (barn, state, turn) = (barn(), RwSignal::new(None), StoredValue::new(0u32));
    Effect::new(move |_| {
        barn.follow();
        if state.with_untracked(Option::is_some) {
            state.set(None);
        }
        turn.update_value(|turn| *turn = turn.wrapping_add(1));
        let now = turn.get_value();
        request_animation_frame(move || digest_on(barn, state, turn, now, Digesting::default()));
    });
    state
}

fn digest_on(barn: Barn, state: RwSignal<Option<Digest>>, turn: StoredValue<u32>, now: u32, mut digesting: Digesting) {
    let next = move || {
        if turn.try_get_value() != Some(now) {
            return;
        }
        match barn.peek(|book| book.journal().digest_on(&mut digesting, RECORDS)) {
            Some(digest) => state.set(Some(digest)),
            None => digest_on(barn, state, turn, now, digesting),
        }
    };
    set_timeout(next, Duration::ZERO);
}

/// Every device that ever wrote in this book.
#[component]
pub fn Devices() -> impl IntoView {
    let barn = barn();
    let state = state();
    let shown = move || {
        let (exchange, own, today) = (barn.exchange(), barn.device(), clock::today());
        let (going, state) = (barn.going(), state.get());
        barn.read(|book| {
            let unverified = exchange.unverified(book.journal());
            let mut rows: Vec<_> = book
                .journal()
                .chains()
                .filter(|chain| Some(chain.dev) != own)
                .map(|chain| {
                    let heard = exchange.heard.get(&chain.dev);
                    let when = match (heard, &going) {
                        (Some(heard), _) => Some(words::heard(&words::day_of(heard.at_ms, today))),
                        (None, Going::Off) => Some(words::NEVER_HEARD.to_owned()),
                        // Not known yet, or another tab knows.
                        (None, _) => None,
                    };
                    let there = match &going {
                        Going::On(told) => told.heard.get(&chain.dev).map(|made| words::in_folder(made, today)),
                        Going::Off | Going::Starting | Going::OtherTab | Going::Stopped(_) => None,
                    };
                    let unsigned = unverified.iter().find(|(dev, _)| *dev == chain.dev);
                    let unsigned = unsigned.map(|(_, entries)| words::unsigned(*entries as usize));
                    let acted = words::last_act(&words::day_of(chain.latest.ms(), today));
                    let missing = (chain.missing > 0).then(|| words::missing(chain.missing as usize));
                    // Its place is kept until it is known.
                    let same = heard.and_then(|heard| heard.digest);
                    let same = same.and_then(|there| match state {
                        Some(here) => (here == there).then_some(words::SAME),
                        None => Some(NOT_SAID),
                    });
                    let asides: Vec<String> =
                        [Some(acted), when, there, missing, unsigned].into_iter().flatten().collect();
                    (words::device(book, chain.dev, own), asides.join(" · "), same)
                })
                .collect();
            if let Going::On(told) = &going {
                let silent = told.heard.iter().filter(|(dev, _)| book.journal().chain(**dev).is_none());
                rows.extend(silent.map(|(dev, made)| {
                    let asides = [words::NOTHING_ENTERED.to_owned(), words::in_folder(made, today)];
                    (words::unwritten(*dev), asides.join(" · "), None)
                }));
            }
            (state.map(|state| state.short()), own.map(words::own_code), rows)
        })
    };
    view! {
        <h2>{words::DEVICES}</h2>
        {move || {
            let (state, code, rows) = shown();
            let big = state.as_ref().map(|state| format!("{}-{}", &state[..4], &state[4..]));
            view! {
                <section class="card stack" aria-label=words::THIS_DEVICE>
                    <h3>{words::THIS_DEVICE}</h3>
                    <p class="big code" data-digest=state>{big.unwrap_or_else(|| NOT_SAID.to_owned())}</p>
                    <p class="aside">{words::STATE}</p>
                    {code.map(|code| view! { <p class="aside">{code}</p> })}
                </section>
                {rows.into_iter().map(|(name, aside, same)| view! {
                    <div class="row"><span class="text">
                        <span class="title">{name}</span>
                        <span class="aside">{aside}</span>
                        {same.map(|same| view! { <span>{same}</span> })}
                    </span></div>
                }).collect_view()}
            }
        }}
    }
}
