//! Who else may be the sire: males of earlier seasons with when each was last with her, a male nobody knows, no male.

use crate::clock;
use crate::store::barn;
use crate::words::{dates, sires as words};
use book::AnimalId;
use book::views::{HerMale, her_males};
use chrono::NaiveDateTime;
use leptos::prelude::*;

/// What may be the sire besides those chosen elsewhere on the page.
#[derive(Clone, Copy)]
pub struct Besides {
    /// Males by their ids.
    pub males: RwSignal<Vec<String>>,
    pub unknown: RwSignal<bool>,
    pub none: RwSignal<bool>,
}

impl Besides {
    pub fn new(males: RwSignal<Vec<String>>, unknown: bool, none: bool) -> Besides {
        Besides { males, unknown: RwSignal::new(unknown), none: RwSignal::new(none) }
    }
}

/// `by`: when the eggs were laid, as far as is known; `shown`: whether a male of hers is offered here.
#[component]
pub fn OtherSires(
    dams: Signal<Vec<AnimalId>>,
    by: NaiveDateTime,
    besides: Besides,
    #[prop(into)] shown: Callback<HerMale, bool>,
) -> impl IntoView {
    let barn = barn();
    let Besides { males, unknown, none } = besides;
    let open = unknown.get_untracked() || none.get_untracked();
    let toggle = move |id: &String| {
        males.update(|all| match all.iter().position(|known| known == id) {
            Some(at) => drop(all.remove(at)),
            None => all.push(id.clone()),
        })
    };
    let earlier = move || {
        let today = clock::today();
        let hers = barn.read(|book| her_males(book, &dams.get(), by));
        let each = hers.into_iter().filter(|male| shown.run(male.clone())).map(|male| {
            let said = words::last_with(&male, male.last.map(|when| dates::day(when.date(), today)));
            let id = male.id.to_string();
            let mine = id.clone();
            view! {
                <button type="button" class="chip" aria-pressed=move || males.with(|all| all.contains(&mine)).to_string()
                    on:click=move |_| toggle(&id)>{said}</button>
            }
            .into_any()
        });
        each.collect_view()
    };
    let flag = |said: &'static str, on: RwSignal<bool>| {
        view! {
            <button type="button" class="chip" aria-pressed=move || on.get().to_string()
                on:click=move |_| on.update(|on| *on = !*on)>{said}</button>
        }
        .into_any()
    };
    view! {
        <details open=open>
            <summary>{words::OTHERS}</summary>
            <div class="chips" role="group" aria-label=words::OTHERS>
                {earlier}
                {flag(words::UNKNOWN_MALE, unknown)}
                {flag(words::NO_MALE, none)}
            </div>
            <p class="aside field">{words::HOW}</p>
        </details>
    }
    .into_any()
}
