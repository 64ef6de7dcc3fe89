//! Boxes whose label tells a wrong window, on Rounds.

use crate::clock;
use crate::route::Page;
use crate::store::barn;
use crate::words::{dates, labels as said, names};
use book::Thing;
use book::views::{LabelChange, LyingLabel, lying_labels};
use leptos::prelude::*;

#[component]
pub fn Lying() -> impl IntoView {
    let barn = barn();
    let lying = Memo::new(move |_| barn.read(|book| lying_labels(book, clock::now())));
    move || {
        let lying = lying.get();
        let things: Vec<Thing> = lying.iter().map(|l| l.filling.thing()).collect();
        (!lying.is_empty()).then(|| {
            view! {
                <details class="lying">
                    <summary>{said::LYING} " (" {things.len()} ")"</summary>
                    {lying.iter().map(row).collect_view()}
                    <a class="act" href=Page::labels_of(&things).href()>{said::PRINT_THEM}</a>
                </details>
            }
        })
    }
}

fn row(lying: &LyingLabel) -> AnyView {
    let today = clock::today();
    let day = |d: chrono::NaiveDate| dates::day(d, today);
    let told = match lying.change {
        LabelChange::LookFrom { printed, now } => said::lying(printed.map(day).as_deref(), now.map(day).as_deref()),
        LabelChange::FillTo { .. } => String::new(),
    };
    view! {
        <a class="row" href=Page::Label("filling".into(), lying.filling.to_string()).href()>
            <span class="text">
                <span class="title">{lying.numbers.join(" + ")}</span>
                <span>{told}</span>
                <span class="aside">{names::path(&lying.path)}</span>
            </span>
        </a>
    }
    .into_any()
}
