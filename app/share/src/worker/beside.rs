//! Pictures and people's details, made level with the store: one errand after another, so that a phone holds one picture
//! at a time.

use super::ask;
use super::spare::here;
use super::{say, say_with};
use js_sys::{ArrayBuffer, Uint8Array};
use share::store::{Answer, Verb};
use share::wire::ToPage;
use share::{Carried, Errand, Safe, Wanted};
use std::cell::RefCell;
use std::collections::{BTreeSet, VecDeque};
use wasm_bindgen_futures::spawn_local;

struct Round {
    wanted: Wanted,
    left: VecDeque<Errand>,
    /// The page is asked about this one.
    at: Option<Errand>,
    carried: Carried,
}

thread_local! {
    static ROUND: RefCell<Option<Round>> = const { RefCell::new(None) };
    /// What is wanted next, once the round that goes on is over.
    static NEXT: RefCell<Vec<Wanted>> = const { RefCell::new(Vec::new()) };
}

pub fn level(wanted: Wanted) {
    if ROUND.with_borrow(Option::is_some) {
        NEXT.with_borrow_mut(|next| {
            next.retain(|other| other.of != wanted.of);
            next.push(wanted);
        });
        return;
    }
    let round = Round { wanted: wanted.clone(), left: VecDeque::new(), at: None, carried: Carried::default() };
    ROUND.set(Some(round));
    spawn_local(list(wanted));
}

async fn list(wanted: Wanted) {
    let Some((store, key, place)) = here() else { return over() };
    let folder = place.all_beside(wanted.of);
    let answer = store.ask(Verb::List { folder }, ask::PATIENCE).await;
    with_round(|round| match answer {
        Answer::Listed(found) => {
            let listed: BTreeSet<String> = found.into_iter().map(|found| found.name).collect();
            let (errands, nowhere) = wanted.errands(&*key, &listed);
            round.left = errands.into();
            round.carried.nowhere = nowhere;
        }
        _ => round.carried.failed = true,
    });
    step().await;
}

fn with_round<T>(act: impl FnOnce(&mut Round) -> T) -> Option<T> {
    ROUND.with_borrow_mut(|round| round.as_mut().map(act))
}

/// On to the next one that the page has to be asked about.
async fn step() {
    while let Some(errand) = with_round(|round| round.left.pop_front()).flatten() {
        let Some(of) = with_round(|round| round.wanted.of) else { return };
        let Some((store, key, place)) = here() else { return over() };
        match errand {
            // Where the store lets nothing go, it stays.
            Errand::Drop(name) => {
                drop(store.ask(Verb::Delete { path: place.beside(of, &*key, &name) }, ask::PATIENCE).await);
            }
            Errand::Put(name) => {
                with_round(|round| round.at = Some(errand));
                return say(&ToPage::Give { of, name });
            }
            Errand::Get(name) => {
                let path = place.beside(of, &*key, &name);
                let got = match store.ask(Verb::Get { path }, ask::PATIENCE).await {
                    Answer::Got(sealed) => with_round(|round| round.wanted.open(&*key, &name, &sealed).ok()).flatten(),
                    Answer::No(_) => {
                        give_up();
                        None
                    }
                    _ => None,
                };
                match got {
                    Some(bytes) => {
                        with_round(|round| round.at = Some(errand));
                        let file = Uint8Array::from(bytes.as_slice()).buffer();
                        return say_with(&ToPage::Take { of, name }, Some(file));
                    }
                    None => drop(with_round(|round| round.carried.failed = true)),
                }
            }
        }
    }
    over();
}

/// The store says no: what is left is for another time.
fn give_up() {
    with_round(|round| {
        round.carried.failed = true;
        round.left.clear();
    });
}

fn over() {
    if let Some(round) = ROUND.take() {
        say(&ToPage::Levelled { of: round.wanted.of, carried: round.carried });
    }
    let next = NEXT.with_borrow_mut(|next| if next.is_empty() { None } else { Some(next.remove(0)) });
    if let Some(wanted) = next {
        level(wanted);
    }
}

/// The page gave what it was asked for, or has it no more.
pub fn given(file: Option<ArrayBuffer>) {
    let Some(Some((of, Errand::Put(name)))) =
        with_round(|round| round.at.take().map(|errand| (round.wanted.of, errand)))
    else {
        return;
    };
    spawn_local(async move {
        if let (Some(file), Some((store, key, place))) = (file, here()) {
            let answer = match key.close(&Uint8Array::new(&file).to_vec()) {
                Ok(bytes) => store.ask(Verb::Put { path: place.beside(of, &*key, &name), bytes }, ask::PATIENCE).await,
                Err(_) => Answer::Missing,
            };
            match answer {
                Answer::Done | Answer::There => {}
                _ => give_up(),
            }
        }
        step().await;
    });
}

/// The page has stored what came, or could not.
pub fn taken(stored: bool) {
    let waited = with_round(|round| {
        let waited = round.at.take().is_some();
        round.carried.failed |= !stored;
        waited
    });
    if waited == Some(true) {
        spawn_local(step());
    }
}
