//! A clutch: its boxes, its eggs and what became of them.

use super::page::Lines;
use crate::clock;
use crate::pages::clutches::Measured;
use crate::prefs::prefs;
use crate::route::{Page, PullFrom};
use crate::store::barn;
use crate::ui::{ClutchGenetics, Empty, Head};
use crate::words::{
    boxes as box_words, clutch as said, dates, doubles, mother, names, record as record_words, sires as sire_words,
    units, window as window_words,
};
use book::ClutchId;
use book::acts::ClutchesParted;
use book::views::{BoxRow, ClutchView, ClutchWarning, clutch_view};
use leptos::prelude::*;

#[component]
pub fn ClutchPage(id: String) -> impl IntoView {
    let barn = barn();
    let id = ClutchId::from(id.as_str());
    if barn.peek(|book| book.clutch(&id).is_none()) {
        return view! {
            <div class="page"><Empty text=box_words::NO_CLUTCH><a class="act main" href=Page::Boxes.href()>{box_words::TITLE}</a></Empty></div>
        }
        .into_any();
    }
    view! {
        <div class="page with-acts">
            {move || barn.read(|book| clutch_view(book, &id, clock::now())).map(|view| view! { <Whole view /> })}
        </div>
    }
    .into_any()
}

#[component]
fn Whole(view: ClutchView) -> impl IntoView {
    let barn = barn();
    let prefs = prefs();
    let today = clock::today();
    let id = view.id.to_string();
    let facts = facts(&view, &prefs.get_untracked());
    let warnings: Vec<String> = view.warnings.iter().map(said::warning).collect();
    let twice = view.warnings.iter().any(|w| matches!(w, ClutchWarning::NumberTwice { .. }));
    let also: Vec<String> = view.also.iter().map(|(_, number)| number.clone()).collect();
    let notes = barn.peek(|book| record_words::notes(book, &view.notes, today));
    let sum = said::sum(&view.sum);
    let pull = view.sum.in_book == 0;
    let parents = names::pair(&view.parents);
    let no_male = view.no_male.as_ref().map(|since| sire_words::no_male_before(since, today));
    let (nests, boxes): (Vec<BoxRow>, Vec<BoxRow>) = view.boxes.iter().cloned().partition(|row| row.nest.is_some());
    let left = barn.peek(|book| book.nest(&view.id).is_some());
    let pull_said = if left { mother::COUNT_OR_TAKE } else { said::PULL_AND_BOX };
    view! {
        <Head title=view.number.clone() aside=view.species.name.to_string() back=(Page::Boxes, box_words::TITLE.to_string()) />
        <p class="sub">{parents}</p>
        {no_male.map(|said| view! { <p class="card">{said}</p> })}
        {warnings.into_iter().map(|w| view! { <p class="card warned" role="note">{w}</p> }).collect_view()}
        {twice.then(|| view! { <a class="act small" href=Page::Doubles.href()>{crate::words::rounds::MEND}</a> })}
        {(!also.is_empty()).then(|| {
            let clutch = view.id.clone();
            let part = move |_| barn.save(ClutchesParted { clutch: clutch.clone() }, doubles::PARTED, |_| {});
            view! {
                <div class="card spread">
                    <p>{said::also(&also)}</p>
                    <button type="button" class="act small" on:click=part>{doubles::PART}</button>
                </div>
            }
        })}
        <dl class="card facts">
            {facts.into_iter().map(|(name, value)| view! { <dt>{name}</dt><dd>{value}</dd> }).collect_view()}
        </dl>
        {(!pull).then(|| view! { <h2>{said::WHAT_BECAME}</h2><p class="card">{sum}</p> })}
        {(!pull).then(|| view! {
            <crate::pages::babies::EggsOf clutch=view.id.clone() />
            <div class="gap"><a class="act small" href=Page::EggsLater(view.id.to_string()).href()>{said::LATER}</a></div>
        })}
        <Measured id=view.id.clone() measures=view.measures.clone() pulled=!pull />
        {[(mother::TITLE, nests), (box_words::TITLE, boxes)].into_iter().filter(|(_, rows)| !rows.is_empty()).map(|(title, rows)| view! {
        <h2>{title}</h2>
        {rows.into_iter().map(|row| {
            let window = match &row.window {
                Ok(w) => window_words::short(w, today),
                Err(_) => window_words::NO_WINDOW.to_string(),
            };
            view! {
                <a class="row" href=Page::Box(row.id.to_string()).href()>
                    <span class="text">
                        <span class="title">{stands(&row)}</span>
                        <span>{box_words::row_line(&row, clock::now(), &window)}</span>
                    </span>
                    {row.nest.is_none().then(|| view! { <span class="code aside">{names::code(row.id.as_str())}</span> })}
                </a>
            }
        }).collect_view()}
        }).collect_view()}
        <ClutchGenetics id=view.id.clone() />
        <h2>{box_words::NOTES}</h2>
        <Lines rows=notes none=box_words::NO_NOTES />
        {pull.then(|| view! {
            <div class="acts"><a class="act main" href=Page::Pull(PullFrom::Clutch(id)).href()>{pull_said}</a></div>
        })}
    }
}

/// Where a box stands, or who lies round the eggs, and where.
fn stands(row: &BoxRow) -> String {
    let nowhere = if row.nest.is_some() { mother::NO_PLACE } else { box_words::NO_PLACE };
    let place = if row.path.is_empty() { nowhere.to_owned() } else { names::path(&row.path) };
    if row.nest.is_some() { format!("{} · {place}", mother::with(row)) } else { place }
}

fn facts(view: &ClutchView, prefs: &crate::prefs::Prefs) -> Vec<(&'static str, String)> {
    let today = clock::today();
    let weighed = |(mass, on): (trade::units::Mass, Option<chrono::NaiveDate>)| {
        let on = on.map(|d| format!(", {}", dates::day(d, today))).unwrap_or_default();
        format!("{}{on}", units::mass(mass, prefs))
    };
    let window = view.window.as_ref().ok().map(|w| window_words::short(w, today));
    let rows = [
        (said::LAID, view.laid.map(|w| dates::laid(w, today))),
        (said::FOUND, view.found.map(|w| dates::when(w, today))),
        (said::COUNTED, view.counts.map(|c| said::counts(c.good, c.dud, c.slug))),
        (said::WINDOW, window),
        (said::GRAVID, view.gravid.map(weighed)),
        (said::SPENT, view.spent.map(weighed)),
        (said::NOTE, view.note.clone()),
    ];
    rows.into_iter().filter_map(|(name, value)| Some((name, value?))).collect()
}
