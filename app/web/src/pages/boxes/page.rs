//! A box's page: what one glance must give, and the acts below the thumb.

use super::nest::NestGlance;
use super::window::WindowCard;
use super::{NoBox, draw};
use crate::clock;
use crate::pages::heat::BoxHeat;
use crate::prefs::prefs;
use crate::route::{BoxAct, Go, Page};
use crate::store::barn;
use crate::ui::day::{Seen, WhenFold};
use crate::ui::photo::Photos;
use crate::ui::signs::act_link;
use crate::ui::{Head, Tray};
use crate::words::animals::{CORRECT, correct_of};
use crate::words::{boxes as said, dates, names, record as record_words, units};
use book::FillingId;
use book::acts::BoxEmptied;
use book::views::{BoxView, box_view};
use leptos::prelude::*;

/// Rows of each list shown at first.
const SHOWN: usize = 8;

#[component]
pub fn BoxPage(id: String) -> impl IntoView {
    let barn = barn();
    let id = FillingId::from(id.as_str());
    if barn.peek(|book| book.filling(&id).is_none()) {
        return view! { <NoBox /> }.into_any();
    }
    // A nest has no label, and stands with its clutch.
    let nest = barn.peek(|book| book.filling(&id).and_then(|filling| filling.brooded.clone()));
    let aside = if nest.is_some() { String::new() } else { names::code(id.as_str()) };
    let back = match nest {
        Some(clutch) => (Page::Clutch(clutch.to_string()), barn.peek(|book| book.clutch_number(&clutch))),
        None => (Page::Boxes, said::TITLE.to_owned()),
    };
    let name_id = id.clone();
    let title = Signal::derive(move || barn.read(|book| names::filling(book, &name_id)));
    // What is typed in it stands when the rest is drawn anew.
    let seen = Seen::now();
    view! {
        <div class="page with-acts">
            <Head title aside back />
            {move || barn.read(|book| box_view(book, &id, clock::now())).map(|view| match view.nest.clone() {
                Some(nest) => view! { <NestGlance view nest seen /> }.into_any(),
                None => view! { <Glance view seen /> }.into_any(),
            })}
        </div>
    }
    .into_any()
}

/// All of the page, as the records stand now.
#[component]
fn Glance(view: BoxView, seen: Seen) -> impl IntoView {
    let barn = barn();
    let prefs = prefs();
    let today = clock::today();
    let id = view.id.clone();
    let about = id.thing();
    let sub = subtitle(&view);
    let several = view.parts.len() > 1;
    let tray = barn.peek(|book| draw::all(book, &view.tray));
    let states = said::states(tray.iter().filter(|e| !e.gone).map(|e| e.sign));
    let warnings: Vec<String> =
        view.warnings.iter().map(|w| record_words::box_warning(w, &prefs.get_untracked())).collect();
    let candlings = barn.peek(|book| record_words::candlings(book, &view.candlings, today));
    let notes = barn.peek(|book| record_words::notes(book, &view.notes, today));
    let hatchings = barn.peek(|book| record_words::hatchings(book, &view.hatchings, today));
    let waters = barn.peek(|book| record_words::waters(book, &view.water.checks, &prefs.get_untracked(), today));
    let fill_to = view.water.fill_to.map(|f| f.mass);
    let last_water = view.water.last.clone();
    let clutches: Vec<(String, String)> = view.parts.iter().map(|p| (p.clutch.to_string(), p.number.clone())).collect();
    let act = |act: BoxAct| Page::BoxAct(id.to_string(), act);
    let links = [
        (crate::words::babies::HATCH_OUT, act(BoxAct::Hatch)),
        (said::MOVE, act(BoxAct::Move)),
        (said::NOTE, act(BoxAct::Note)),
        (said::EGGS, act(BoxAct::Eggs)),
        (said::TAKEN, act(BoxAct::Taken)),
        (said::SETUP, act(BoxAct::Setup)),
        (said::LABEL, Page::Label("filling".into(), id.to_string())),
    ];
    let acts = acts(&id, view.counts.pipped > 0);
    let hatching = view.counts.pipped > 0 || barn.peek(|book| super::hatching::nameless(book, &view.id));
    let hatch = act(BoxAct::Hatch).href();
    let open = view.emptied.is_none();
    let emptied = view.emptied.map(|when| dates::when(when, today));
    let setup = act(BoxAct::Setup).href();
    let moves = barn.peek(|book| record_words::moves(book, book.moves(&view.id.thing()), today));
    let taken = barn.peek(|book| record_words::taken(book, book.taken_out(&view.id), &prefs.get_untracked(), today));
    let nothing_left = open && view.counts.good + view.counts.dud == 0;
    let heated = id.clone();
    let close = move |_| {
        let Some(when) = seen.get() else { return };
        barn.save(BoxEmptied { filling: id.clone(), when }, said::CLOSED_NOW, |_| {})
    };
    view! {
        <p class="sub">{sub}</p>
        {warnings.into_iter().map(|w| view! { <p class="card warned" role="note">{w}</p> }).collect_view()}
        {view.parts.into_iter().map(|part| view! { <WindowCard part named=several nest=false /> }).collect_view()}
        <section class="card"><Tray eggs=Signal::stored(tray) on_egg=|egg: String| Page::Egg(egg).go() /></section>
        <div class="pair">
            <section class="card">
                <p class="aside">{said::FILL_TO}</p>
                <p class="big nowrap">{move || fill_to.map_or_else(|| "–".to_string(), |m| units::mass(m, &prefs.get()))}</p>
                <p class="aside">{move || record_words::last_water(last_water.as_ref(), &prefs.get(), today)}</p>
            </section>
            <section class="card">
                <p class="aside">{said::EGGS_WORD}</p>
                <p class="big">{said::eggs_in(view.counts.still_in)}</p>
                <p class="aside">{states}</p>
            </section>
        </div>
        {hatching.then(|| view! { <a class="act" href=hatch>{crate::words::babies::HATCH_OUT_LONG}</a> })}
        {nothing_left.then(|| view! {
            <button type="button" class="act" on:click=close>{said::EMPTY_IT}</button>
            <WhenFold seen />
        })}
        {emptied.map(|when| {
            let label = correct_of(said::IS_CLOSED, &when);
            view! {
                <p class="card spread">
                    <span>{said::IS_CLOSED}" "<span class="aside">{when}</span></span>
                    <a class="reach aside" aria-label=label href=setup.clone()>{CORRECT}</a>
                </p>
            }
        })}
        <BoxHeat id=heated />
        <h2>{said::CANDLING}</h2>
        <Lines rows=candlings none=said::NOT_CANDLED />
        {(!hatchings.is_empty()).then(|| view! { <h2>{said::HATCHING}</h2><Lines rows=hatchings none="" /> })}
        {(!waters.is_empty()).then(|| view! { <h2>{said::WATER}</h2><Lines rows=waters none="" /> })}
        {(!taken.is_empty()).then(|| view! { <h2>{said::TAKINGS}</h2><Lines rows=taken none="" /> })}
        {(!moves.is_empty()).then(|| view! { <h2>{said::MOVES}</h2><Lines rows=moves none="" /> })}
        <h2>{said::NOTES}</h2>
        <Lines rows=notes none=said::NO_NOTES />
        <Photos about />
        <h2>{said::MORE}</h2>
        <div class="gap">
            {links.into_iter().map(|(name, to)| act_link(&to, "act small", name)).collect_view()}
            {clutches.into_iter().map(|(c, name)| view! { <a class="act small" href=Page::Clutch(c).href()>{said::clutch_link(&name)}</a> }).collect_view()}
        </div>
        <div class="acts">{acts}</div>
    }
}

/// `Desert kingsnake · Bel × Moss · box 1 of 2 · Incubator A, shelf 2`.
fn subtitle(view: &BoxView) -> String {
    let mut parts: Vec<String> = Vec::new();
    for part in &view.parts {
        let kind = part.species.name.to_string();
        if !parts.contains(&kind) {
            parts.push(kind);
        }
        parts.push(names::pair(&part.parents));
    }
    parts.extend(view.nth.map(|(n, all)| said::nth_box(n, all)));
    parts.push(if view.path.is_empty() { said::NO_PLACE.to_string() } else { names::path(&view.path) });
    parts.join(" · ")
}

/// The acts, the likeliest first: before the first pip one candles, after it babies walk out.
fn acts(id: &FillingId, pipped: bool) -> AnyView {
    let candle = (said::CANDLE, BoxAct::Candle);
    let water = (said::WATER, BoxAct::Water);
    let pip = (said::PIPPED, BoxAct::Pipped);
    let out = (said::OUT, BoxAct::Out);
    let order = if pipped { [out, pip, candle, water] } else { [candle, water, pip, out] };
    let link = |(i, (name, act)): (usize, (&'static str, BoxAct))| {
        act_link(&Page::BoxAct(id.to_string(), act), if i == 0 { "act main" } else { "act" }, name)
    };
    order.into_iter().enumerate().map(link).collect_view().into_any()
}

/// Lines with an aside, the first few of many, each with the way to put it right.
#[component]
pub fn Lines(rows: Vec<record_words::Line>, none: &'static str) -> impl IntoView {
    let all = RwSignal::new(false);
    if rows.is_empty() {
        return view! { <p class="card quiet">{none}</p> }.into_any();
    }
    let more = rows.len().saturating_sub(SHOWN);
    view! {
        <ul class="card lines">
            {move || rows.iter().take(if all.get() { usize::MAX } else { SHOWN }).cloned().map(|(what, aside, thing)| {
                let label = correct_of(&what, aside.trim_start_matches("· "));
                let page = Page::Correct(thing.kind.word().into(), thing.id);
                view! {
                    <li class="spread">
                        <span>{what} " " <span class="aside">{aside}</span></span>
                        <a class="reach aside" aria-label=label href=page.href()>{CORRECT}</a>
                    </li>
                }
            }).collect_view()}
        </ul>
        {move || (more > 0 && !all.get()).then(|| view! {
            <button type="button" class="act small" on:click=move |_| all.set(true)>{said::more(more)}</button>
        })}
    }
    .into_any()
}
