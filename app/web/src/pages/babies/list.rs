//! The young: where each stands, by state, with a search; one row a baby.

use super::rules::RulesForm;
use crate::clock;
use crate::prefs::prefs;
use crate::route::Page;
use crate::store::barn;
use crate::ui::forms::{Choice, SearchField};
use crate::ui::photo::Face;
use crate::ui::{Empty, Head, Paged};
use crate::words::{babies as said, money, names, nav};
use book::views::{BabyRow, BabyState, baby_rows, face_of};
use book::{Book, ClutchId};
use desk::lists::{young, young_counts};
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
    let found = Memo::new(move |_| all.with(|rows| text.with(|text| young(rows, text, state.get()))));
    let options = move || {
        let counts = all.with(|rows| young_counts(rows)).into_iter();
        let called = |state: Option<BabyState>| state.map_or(said::ALL_HERE, said::state);
        counts.map(|(state, n)| (state, said::counted(called(state), n))).collect::<Vec<_>>()
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
                    <SearchField label=said::SEARCH value=text />
                    {move || view! { <Choice label=said::SHOW options=options() value=state /> }}
                    {move || found.with(Vec::is_empty).then(|| view! { <p class="quiet inset">{said::NOBODY}</p> })}
                    {move || {
                        let name = text.with(|text| format!("{:?} {text}", state.get()));
                        view! { <Paged name total=Signal::derive(move || found.with(Vec::len)) show /> }
                    }}
                }.into_any()
            }}
            <div class="gap">
                <a class="act small" href=Page::Wishes.href()>{said::WISHES}</a>
                <a class="act small" href=Page::Places.href()>{said::FEED_BY_PLACE}</a>
                {move || barn.read(Book::currency).map(|_| view! { <a class="act small" href=Page::ForSale.href()>{money::FOR_SALE}</a> })}
            </div>
            <RulesForm />
        </div>
    }
}

/// A row: name, what is next, weight and meals.
pub fn baby_view(row: &BabyRow, prefs: &crate::prefs::Prefs) -> AnyView {
    let place = row.place.as_ref().map(|id| barn().peek(|book| names::place(book, id)));
    let face = barn().read(|book| face_of(book, &row.id));
    let urgent = row.concern.is_some();
    view! {
        <a class="row" class:urgent=urgent href=Page::Animal(row.id.to_string()).href()>
            <span class="text">
                <span class="title">{said::row_title(row)}</span>
                <span class:warn=urgent>{said::row_state(row)}</span>
                <span class="aside">{said::row_facts(row, prefs)}</span>
                {place.map(|place| view! { <span class="aside">{place}</span> })}
            </span>
            {face.map(|face| view! { <Face face /> })}
        </a>
    }
    .into_any()
}
