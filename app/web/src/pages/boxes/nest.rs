//! Eggs left with their mother: their window, what was seen of them, and taking them over into a box.

use super::draw;
use super::page::Lines;
use super::window::WindowCard;
use crate::clock;
use crate::pages::heat::BoxHeat;
use crate::pages::places::ReadNow;
use crate::prefs::prefs;
use crate::route::{BoxAct, Go, Page, PullFrom};
use crate::store::barn;
use crate::ui::day::{Seen, WhenFold};
use crate::ui::photo::Photos;
use crate::ui::{Caution, Empty, Tray};
use crate::words::animals::{CORRECT, correct_of};
use crate::words::{boxes as box_words, dates, mother as said, names, record as record_words};
use book::FillingId;
use book::acts::BoxEmptied;
use book::views::{BoxView, Nest};
use leptos::prelude::*;

/// Where eggs of a nest are counted, or taken into a box: those that nobody counted as a clutch is pulled.
pub fn taking(nest: &Nest) -> Page {
    let clutch = nest.clutch.to_string();
    if nest.counted { Page::EggsLater(clutch) } else { Page::Pull(PullFrom::Clutch(clutch)) }
}

/// A nest has no lid, no medium and no water.
#[component]
pub fn NothingWeighed(id: FillingId) -> impl IntoView {
    let name = barn().peek(|book| names::filling(book, &id));
    let page = Page::Box(id.to_string()).href();
    view! {
        <div class="page"><Empty text=said::NOTHING_WEIGHED><a class="act main" href=page>{name}</a></Empty></div>
    }
}

/// What can be done, the likeliest first: before the first pip she is left alone.
fn acts(view: &BoxView, nest: &Nest) -> AnyView {
    let act = |act: BoxAct| Page::BoxAct(view.id.to_string(), act);
    let (pip, out) = ((box_words::PIPPED, act(BoxAct::Pipped)), (box_words::OUT, act(BoxAct::Out)));
    let take = (said::TAKE, taking(nest));
    let order = match (nest.counted, view.counts.pipped > 0) {
        (true, true) => vec![out, pip, take],
        (true, false) => vec![pip, out, take],
        (false, _) => vec![(said::COUNT_OR_TAKE, taking(nest))],
    };
    let link = |(i, (name, to)): (usize, (&'static str, Page))| {
        view! { <a class="act" class:main=i == 0 href=to.href()>{name}</a> }
    };
    order.into_iter().enumerate().map(link).collect_view().into_any()
}

/// All of the page, as the records stand now.
#[component]
pub fn NestGlance(view: BoxView, nest: Nest, seen: Seen) -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let today = clock::today();
    let (id, about) = (view.id.clone(), view.id.thing());
    let open = view.emptied.is_none();
    let part = view.parts.first();
    let pair = part.map(|part| names::pair(&part.parents)).unwrap_or_default();
    let kind = part.map(|part| part.species.name.to_string()).unwrap_or_default();
    let place = if view.path.is_empty() { said::NO_PLACE.to_owned() } else { names::path(&view.path) };
    let warnings: Vec<String> =
        view.warnings.iter().map(|w| record_words::box_warning(w, &prefs.get_untracked())).collect();
    let as_kept = nest.as_kept.filter(|_| open).map(|kept| said::as_kept(kept, &prefs.get_untracked()));
    let tray = barn.peek(|book| draw::all(book, &view.tray));
    let states = box_words::states(tray.iter().filter(|e| !e.gone).map(|e| e.sign));
    let hatchings = barn.peek(|book| record_words::hatchings(book, &view.hatchings, today));
    let candlings = barn.peek(|book| record_words::candlings(book, &view.candlings, today));
    let notes = barn.peek(|book| record_words::notes(book, &view.notes, today));
    let moves = barn.peek(|book| record_words::moves(book, book.moves(&view.id.thing()), today));
    let nameless = barn.peek(|book| super::hatching::nameless(book, &view.id));
    let act = |act: BoxAct| Page::BoxAct(id.to_string(), act).href();
    let (hatch, setup) = (act(BoxAct::Hatch), act(BoxAct::Setup));
    let counted = [(crate::words::babies::HATCH_OUT, hatch.clone()), (box_words::EGGS, act(BoxAct::Eggs))];
    let counted = counted.into_iter().filter(|_| nest.counted);
    let moving = open.then(|| (box_words::MOVE, act(BoxAct::Move)));
    let links: Vec<(&'static str, String)> =
        counted.chain(moving).chain([(box_words::NOTE, act(BoxAct::Note)), (said::SET, setup.clone())]).collect();
    let mothers = nest.mothers.clone();
    let clutch = nest.clutch.to_string();
    let number = part.map(|part| part.number.clone()).unwrap_or_default();
    let over = view.emptied.map(|when| dates::when(when, today));
    let nothing_left = open && nest.counted && view.counts.still_in == 0;
    let hatching = view.counts.pipped > 0 || nameless;
    let (heated, closing) = (id.clone(), id.clone());
    let close = move |_| {
        let Some(when) = seen.get() else { return };
        barn.save(BoxEmptied { filling: closing.clone(), when }, said::OVER_NOW, |_| {})
    };
    let reading = view.place.clone().filter(|_| open);
    let shown = acts(&view, &nest);
    view! {
        <p class="sub">{[kind, pair, place].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" · ")}</p>
        {warnings.into_iter().map(|w| view! { <p class="card warned" role="note">{w}</p> }).collect_view()}
        {view.parts.into_iter().map(|part| view! { <WindowCard part named=false nest=true /> }).collect_view()}
        {as_kept.map(|said| view! { <p class="card">{said}</p> })}
        {over.map(|when| {
            let label = correct_of(said::IS_OVER, &when);
            view! {
                <p class="card spread">
                    <span>{said::IS_OVER}" "<span class="aside">{when}</span></span>
                    <a class="reach aside" aria-label=label href=setup.clone()>{CORRECT}</a>
                </p>
            }
        })}
        <section class="card">
            <p class="aside">{box_words::EGGS_WORD}</p>
            {if nest.counted {
                view! {
                    <p><span class="big">{box_words::eggs_in(view.counts.still_in)}</span>" "<span class="aside">{states}</span></p>
                    <Tray eggs=Signal::stored(tray) on_egg=|egg: String| Page::Egg(egg).go() />
                }.into_any()
            } else {
                view! { <p>{said::NOT_COUNTED_LONG}</p> }.into_any()
            }}
        </section>
        {open.then(|| view! { <Caution text=said::CARE /> })}
        {hatching.then(|| view! { <a class="act" href=hatch>{crate::words::babies::HATCH_OUT_LONG}</a> })}
        {nothing_left.then(|| view! {
            <button type="button" class="act" on:click=close>{said::OVER}</button>
            <WhenFold seen />
        })}
        {reading.map(|place| view! {
            <h2>{said::READ}</h2>
            <ReadNow id=place.clone() />
            <p class="inset"><a class="reach" href=Page::Place(place.to_string()).href()>{said::READINGS}</a></p>
            <p class="aside inset">{said::WARMS}</p>
        })}
        <BoxHeat id=heated />
        {(!candlings.is_empty()).then(|| view! { <h2>{box_words::CANDLING}</h2><Lines rows=candlings none="" /> })}
        {(!hatchings.is_empty()).then(|| view! { <h2>{box_words::HATCHING}</h2><Lines rows=hatchings none="" /> })}
        {(!moves.is_empty()).then(|| view! { <h2>{box_words::MOVES}</h2><Lines rows=moves none="" /> })}
        <h2>{box_words::NOTES}</h2>
        <Lines rows=notes none=box_words::NO_NOTES />
        <Photos about />
        <h2>{box_words::MORE}</h2>
        <div class="gap">
            {links.into_iter().map(|(name, to)| view! { <a class="act small" href=to>{name}</a> }).collect_view()}
            <a class="act small" href=Page::Clutch(clutch).href()>{box_words::clutch_link(&number)}</a>
            {mothers.into_iter().map(|(id, name)| view! { <a class="act small" href=Page::Animal(id.to_string()).href()>{name}</a> }).collect_view()}
        </div>
        {open.then(|| view! { <div class="acts">{shown}</div> })}
    }
}
