//! The young: where each stands, by state, with a search; one row a baby.

use super::rules::RulesForm;
use crate::clock;
use crate::prefs::prefs;
use crate::route::Page;
use crate::store::barn;
use crate::ui::forms::Choice;
use crate::ui::{Empty, Head, Paged};
use crate::words::{babies as said, names, nav};
use book::ClutchId;
use book::views::{BabyRow, BabyState, baby_rows};
use leptos::prelude::*;

// What was looked for stays while babies are opened and closed again.
thread_local! {
    static LOOK: (ArcRwSignal<String>, ArcRwSignal<Option<BabyState>>) = (ArcRwSignal::new(String::new()), ArcRwSignal::new(None));
}

#[component]
pub fn Babies(clutch: Option<String>) -> impl IntoView {
    let barn = barn();
    let prefs = prefs();
    let (text, state) = LOOK.with(|(text, state)| (RwSignal::from(text.clone()), RwSignal::from(state.clone())));
    let clutch = clutch.map(|id| ClutchId::from(id.as_str()));
    let number = clutch.as_ref().map(|id| barn.peek(|book| book.clutch_number(id)));
    if clutch.is_some() {
        state.set(None);
    }
    let all = Memo::new(move |_| {
        let mut rows = barn.read(|book| baby_rows(book, clock::now()));
        if let Some(clutch) = &clutch {
            rows.retain(|row| row.clutch.as_ref().is_some_and(|(id, _)| id == clutch));
        }
        rows
    });
    let found = Memo::new(move |_| {
        let wanted = text.get().trim().to_lowercase();
        let state = state.get();
        let fits = |row: &&BabyRow| {
            let right = state.map_or(row.state != BabyState::Left, |state| row.state == state);
            let words = || {
                let clutch = row.clutch.as_ref().map_or("", |(_, number)| number.as_str());
                format!("{} {clutch} {} {}", row.name, row.species, row.looks.as_deref().unwrap_or("")).to_lowercase()
            };
            right && (wanted.is_empty() || wanted.split_whitespace().all(|word| words().contains(word)))
        };
        all.with(|rows| rows.iter().filter(fits).cloned().collect::<Vec<_>>())
    });
    let options = move || {
        let count = |state: BabyState| all.with(|rows| rows.iter().filter(|row| row.state == state).count());
        let here = all.with(|rows| rows.iter().filter(|row| row.state != BabyState::Left).count());
        let states = BabyState::ALL.into_iter().map(|s| (Some(s), said::counted(said::state(s), count(s))));
        std::iter::once((None, said::counted(said::ALL_HERE, here))).chain(states).collect::<Vec<_>>()
    };
    let show = Callback::new(move |(from, to): (usize, usize)| {
        let rows = found.with(|rows| rows.get(from..to).map(<[BabyRow]>::to_vec).unwrap_or_default());
        rows.into_iter().map(|row| baby_view(&row, &prefs.get())).collect_view().into_any()
    });
    let title = number.map_or_else(|| said::TITLE.to_owned(), |number| said::of_clutch(&number));
    view! {
        <div class="page">
            <Head title back=(Page::More, nav::MORE.to_owned()) />
            {move || if all.with(Vec::is_empty) {
                view! { <Empty text=said::EMPTY><a class="act main" href=Page::Boxes.href()>{said::TO_BOXES}</a></Empty> }.into_any()
            } else {
                view! {
                    <label class="field">
                        <span>{said::SEARCH}</span>
                        <input type="search" autocomplete="off" autocapitalize="none" prop:value=text on:input=move |ev| text.set(event_target_value(&ev)) />
                    </label>
                    {move || view! { <Choice label=said::SHOW options=options() value=state /> }}
                    {move || found.with(Vec::is_empty).then(|| view! { <p class="quiet inset">{said::NOBODY}</p> })}
                    <Paged total=Signal::derive(move || found.with(Vec::len)) show />
                }.into_any()
            }}
            <div class="gap">
                <a class="act small" href=Page::Wishes.href()>{said::WISHES}</a>
                <a class="act small" href=Page::Places.href()>{said::FEED_BY_PLACE}</a>
            </div>
            <RulesForm />
        </div>
    }
}

/// A row: name, what is next, weight and meals.
pub fn baby_view(row: &BabyRow, prefs: &crate::prefs::Prefs) -> AnyView {
    let place = row.place.as_ref().map(|id| barn().peek(|book| names::place(book, id)));
    let urgent = row.concern.is_some();
    view! {
        <a class="row" class:urgent=urgent href=Page::Animal(row.id.to_string()).href()>
            <span class="text">
                <span class="title">{said::row_title(row)}</span>
                <span class:warn=urgent>{said::row_state(row)}</span>
                <span class="aside">{said::row_facts(row, prefs)}</span>
                {place.map(|place| view! { <span class="aside">{place}</span> })}
            </span>
        </a>
    }
    .into_any()
}
