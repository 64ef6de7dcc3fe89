//! Everything that is for sale: to look through, and on paper as it is filtered.

use crate::clock;
use crate::pages::babies::either_sex;
use crate::prefs::{Prefs, prefs};
use crate::route::Page;
use crate::store::barn;
use crate::ui::forms::{Choice, SearchField};
use crate::ui::photo::Face;
use crate::ui::{Empty, Head, foot, print};
use crate::words::{self, babies as young, dates, money as said, nav};
use book::views::{Face as Known, SaleRow, face_of, for_sale};
use desk::lists;
use leptos::prelude::*;

#[component]
pub fn ForSale() -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let (text, sex) = (RwSignal::new(String::new()), RwSignal::new(None));
    foot(&words::foot(said::FOR_SALE, &dates::full(clock::today())));
    let all = Memo::new(move |_| barn.read(for_sale));
    let found = Memo::new(move |_| all.with(|rows| text.with(|text| lists::for_sale(rows, text, sex.get()))));
    let sheet = move || {
        let prefs = prefs.get();
        let from = prefs.breeder.trim().to_owned();
        let head = (!from.is_empty()).then(|| view! { <p class="only-print">{from}</p> });
        view! {
            {head}
            <p class="only-print">{said::as_of(&dates::full(clock::today()))}</p>
            {faced(found.get()).into_iter().map(|(row, face)| sale_row(row, face, &prefs)).collect_view()}
        }
    };
    view! {
        <div class="page sale with-acts">
            <Head title=said::FOR_SALE.to_string() back=(Page::More, nav::MORE.to_owned()) />
            {move || if all.with(Vec::is_empty) {
                view! { <Empty text=said::NOTHING_FOR_SALE><a class="act main" href=Page::Babies(None).href()>{young::TITLE}</a></Empty> }.into_any()
            } else {
                view! {
                    <SearchField label=said::SEARCH value=text />
                    <Choice label=crate::words::animals::SEX options=either_sex() value=sex />
                    {move || found.with(Vec::is_empty).then(|| view! { <p class="quiet inset">{said::NONE_FIT}</p> })}
                    {sheet}
                    <p class="aside inset no-print">{said::SALE_HOW}</p>
                    <div class="acts"><button type="button" class="act main" on:click=|_| print()>{young::PRINT}</button></div>
                }.into_any()
            }}
        </div>
    }
}

/// With the face of each. On paper, where any has one, its room is kept free for all, so that names stand in line.
fn faced(rows: Vec<SaleRow>) -> Vec<(SaleRow, Option<AnyView>)> {
    let faces: Vec<_> = barn().read(|book| rows.iter().map(|row| face_of(book, &row.id)).collect());
    let any = faces.iter().any(Option::is_some);
    let shown = |face: Option<Known>| match face {
        Some(face) => Some(view! { <Face face paper=true /> }.into_any()),
        None => any.then(|| view! { <span class="face only-print"></span> }.into_any()),
    };
    rows.into_iter().zip(faces.into_iter().map(shown)).collect()
}

fn sale_row(row: SaleRow, face: Option<AnyView>, prefs: &Prefs) -> AnyView {
    view! {
        <a class="row" href=Page::Animal(row.id.to_string()).href()>
            {face}
            <span class="text">
                <span class="title">{row.name.clone()}</span>
                <span>{said::sale_looks(&row)}</span>
                <span class="aside">{said::sale_facts(&row, prefs)}</span>
            </span>
            <span class="price"><b>{row.asked.to_string()}</b>{row.held.then(|| view! { <span class="aside">{said::HELD}</span> })}</span>
        </a>
    }
    .into_any()
}
