//! What two devices made of one thing, with the ways to mend it.

use crate::clock;
use crate::route::Page;
use crate::store::{Barn, barn};
use crate::ui::{Head, Paged};
use crate::words::rounds::act_label;
use crate::words::{dates, doubles as words, names, nav};
use book::acts::{ClutchesJoined, ClutchesParted, RecordsWithdrawn};
use book::views::{Doubled, Twin, doubled};
use book::{Book, ClutchId, Thing};
use chrono::NaiveDate;
use leptos::prelude::*;

#[component]
pub fn Doubles() -> impl IntoView {
    let barn = barn();
    let found = move || {
        let found = barn.read(doubled);
        if found.is_empty() {
            return view! { <p class="card">{words::NONE}</p> }.into_any();
        }
        let total = found.len();
        let show = Callback::new(move |(from, to): (usize, usize)| {
            found.get(from..to).unwrap_or_default().iter().map(|one| part(barn, one.clone())).collect_view().into_any()
        });
        view! {
            <p class="aside">{words::EXPLAIN}</p>
            <Paged name="doubles" total=Signal::stored(total) show />
        }
        .into_any()
    };
    view! {
        <div class="page">
            <Head title=words::TITLE.to_string() back=(Page::Rounds, nav::ROUNDS.to_string()) />
            {found}
        </div>
    }
}

fn part(barn: Barn, one: Doubled) -> AnyView {
    let today = clock::today();
    match one {
        Doubled::Number { number, clutches } => clutches_part(barn, words::number(&number), clutches, true),
        Doubled::Clutch { dam, clutches } => clutches_part(barn, words::clutch(&dam), clutches, false),
        Doubled::Eggs { number, counted, in_book, clutches } => {
            eggs_part(barn, words::eggs(&number, counted, in_book), clutches)
        }
        Doubled::Code { code, animals } => {
            let links = animals.into_iter().map(|(id, name)| (Page::AnimalEdit(id.to_string()), name)).collect();
            links_part(words::code(&code), links)
        }
        Doubled::BoxTwice { name, fillings, .. } => {
            let named = |id: &book::FillingId| barn.peek(|book| names::filling(book, id));
            let links = fillings.iter().map(|id| (Page::Box(id.to_string()), named(id))).collect();
            links_part(words::box_twice(&name), links)
        }
        Doubled::TwoPlaces { name, moves, .. } => {
            let all: Vec<Thing> = moves.iter().map(|(id, ..)| id.thing()).collect();
            let rows = moves.into_iter().map(|(id, place, when)| {
                let said = barn.peek(|book| names::place(book, &place));
                let when = when.map(|when| dates::when(when, today)).unwrap_or_default();
                let others: Vec<Thing> = all.iter().filter(|thing| thing.id != id.as_str()).cloned().collect();
                let keep = move |_| barn.save(RecordsWithdrawn { things: others.clone() }, words::STOOD, |_| {});
                let label = act_label(words::STANDS, &said);
                row(
                    said,
                    when,
                    view! { <button type="button" class="act small" aria-label=label on:click=keep>{words::STANDS}</button> }.into_any(),
                )
            });
            view! { <section class="card"><p>{words::two_places(&name)}</p>{rows.collect_view()}</section> }.into_any()
        }
    }
}

fn row(title: String, aside: String, acts: AnyView) -> AnyView {
    view! {
        <div class="row">
            <span class="text"><span class="title">{title}</span><span class="aside">{aside}</span></span>
            {acts}
        </div>
    }
    .into_any()
}

fn links_part(title: String, links: Vec<(Page, String)>) -> AnyView {
    view! {
        <section class="card">
            <p>{title}</p>
            {links.into_iter().map(|(page, name)| view! {
                <a class="row" href=page.href()><span class="text"><span class="title">{name}</span></span></a>
            }.into_any()).collect_view()}
        </section>
    }
    .into_any()
}

fn said(book: &Book, twin: &Twin, today: NaiveDate) -> String {
    words::twin(twin, &names::person(book, &twin.by), today)
}

/// One clutch or two? Joined, or given another number.
fn clutches_part(barn: Barn, title: String, clutches: Vec<Twin>, renumber: bool) -> AnyView {
    let today = clock::today();
    let first = clutches.first().map(|twin| twin.id.clone());
    let rows = clutches.iter().map(|twin| {
        let page = Page::Clutch(twin.id.to_string());
        let edit = renumber.then(|| {
            let label = format!("{}: {}", words::RENUMBER, twin.dams.join(" or "));
            view! { <a class="act small" aria-label=label href=Page::ClutchEdit(twin.id.to_string()).href()>{words::RENUMBER}</a> }
        });
        let about = barn.peek(|book| said(book, twin, today));
        view! {
            <div class="row">
                <span class="text"><a class="title reach" href=page.href()>{twin.number.clone()}</a><span class="aside">{about}</span></span>
                {edit}
            </div>
        }
        .into_any()
    });
    let rows = rows.collect_view();
    let others: Vec<ClutchId> = clutches.iter().skip(1).map(|twin| twin.id.clone()).collect();
    let joins = others.into_iter().filter_map(|clutch| {
        let same_as = first.clone()?;
        let join = move |_| {
            let act = ClutchesJoined { clutch: clutch.clone(), same_as: same_as.clone() };
            barn.save(act, words::JOINED, |_| {});
        };
        Some(view! { <button type="button" class="act" on:click=join>{words::SAME}</button> }.into_any())
    });
    // With three of one number, one pair at a time.
    let joins = joins.take(1).collect_view();
    view! { <section class="card"><p>{title}</p>{rows}{joins}</section> }.into_any()
}

/// Joined, and each brought eggs: keep those of one.
fn eggs_part(barn: Barn, title: String, clutches: Vec<Twin>) -> AnyView {
    let today = clock::today();
    let ids: Vec<ClutchId> = clutches.iter().map(|twin| twin.id.clone()).collect();
    let rows = clutches.iter().map(|twin| {
        let others: Vec<ClutchId> = ids.iter().filter(|id| **id != twin.id).cloned().collect();
        let keep = move |_| {
            let things = barn.peek(|book| {
                others.iter().flat_map(|id| book.eggs_of(id)).map(|egg| egg.id.thing()).collect::<Vec<_>>()
            });
            barn.save(RecordsWithdrawn { things }, words::KEPT_EGGS, |_| {});
        };
        let about = barn.peek(|book| said(book, twin, today));
        let label = act_label(words::KEEP_EGGS, &twin.number);
        row(
            twin.number.clone(),
            about,
            view! { <button type="button" class="act small" aria-label=label on:click=keep>{words::KEEP_EGGS}</button> }.into_any(),
        )
    });
    let rows = rows.collect_view();
    let clutch = ids.first().cloned();
    let part = move |_| {
        if let Some(clutch) = clutch.clone() {
            barn.save(ClutchesParted { clutch }, words::PARTED, |_| {});
        }
    };
    view! {
        <section class="card">
            <p>{title}</p>
            {rows}
            <button type="button" class="act" on:click=part>{words::PART}</button>
        </section>
    }
    .into_any()
}
