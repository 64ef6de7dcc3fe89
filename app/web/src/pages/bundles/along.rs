//! Whose details go along in a bundle: nobody's, unless the keeper says so for this one.

use crate::store::{Somebody, barn};
use crate::ui::Unlock;
use crate::ui::forms::Choice;
use crate::words::{lost, people as words};
use book::ContactId;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::collections::BTreeSet;

#[derive(Clone, Copy, PartialEq)]
enum Which {
    Nobody,
    All,
    Chosen,
}

#[component]
pub fn Along(
    /// Whose details are to go along.
    along: RwSignal<BTreeSet<ContactId>>,
    /// The bundle will be locked with a passphrase.
    locked: RwSignal<bool>,
) -> impl IntoView {
    let barn = barn();
    let here = RwSignal::new(Vec::<Somebody>::new());
    let which = RwSignal::new(Which::Nobody);
    let ticked = RwSignal::new(BTreeSet::<ContactId>::new());
    Effect::new(move |_| {
        barn.follow();
        barn.shut.track();
        spawn_local(async move {
            // Where they cannot be read, none goes along.
            let found = barn.people_here().await.unwrap_or_default();
            if here.try_with_untracked(|here| *here != found).unwrap_or(false) {
                here.set(found);
            }
        });
    });
    Effect::new(move |_| {
        let all = here.with(|here| here.iter().map(|one| one.contact.clone()).collect::<BTreeSet<_>>());
        let now = match which.get() {
            Which::Nobody => BTreeSet::new(),
            Which::All => all,
            Which::Chosen => ticked.with(|ticked| all.intersection(ticked).cloned().collect()),
        };
        if along.with_untracked(|along| *along != now) {
            along.set(now);
        }
    });
    let tick = move |one: Somebody| {
        let id = one.contact.clone();
        let checked = ticked.with_untracked(|ticked| ticked.contains(&id));
        let turn = move |ev| {
            ticked.update(|ticked| match event_target_checked(&ev) {
                true => drop(ticked.insert(id.clone())),
                false => drop(ticked.remove(&id)),
            });
        };
        view! {
            <label class="gap tick">
                <input type="checkbox" prop:checked=checked on:change=turn />
                <span>{one.named}</span>
            </label>
        }
    };
    let said = move || match along.with(BTreeSet::is_empty) {
        true => view! { <p class="aside">{words::DETAILS_STAY}</p> }.into_any(),
        false if locked.get() => ().into_any(),
        false => view! { <p class="warn">{words::DETAILS_OPEN}</p> }.into_any(),
    };
    let chosen = move || {
        let people = here.get();
        (!people.is_empty()).then(|| {
            let options = vec![
                (Which::Nobody, words::DETAILS_NONE.to_owned()),
                (Which::All, words::DETAILS_ALL.to_owned()),
                (Which::Chosen, words::DETAILS_CHOOSE.to_owned()),
            ];
            view! {
                <Choice label=words::details_of(people.len()) options value=which />
                {move || (which.get() == Which::Chosen).then(|| people.iter().cloned().map(tick).collect_view())}
                {said}
            }
        })
    };
    view! {
        <Unlock said=lost::SHUT_BUNDLE />
        {chosen}
    }
}
