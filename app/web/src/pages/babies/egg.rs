//! One egg, from lay to baby: what was seen of it, where it was, what it became.

use super::contact::nobody;
use crate::clock;
use crate::prefs::units;
use crate::route::Page;
use crate::store::barn;
use crate::ui::Head;
use crate::ui::day::DateField;
use crate::ui::forms::{Faults, Pick, Quantity};
use crate::words::animals::{CORRECT, correct_of};
use crate::words::{self, babies as said, boxes as box_words, dates, eggs as egg_words, names};
use book::acts::EggCard;
use book::views::{Since, SinceWhat};
use book::words::{Fate, Step};
use book::{Book, ClutchId, EggId, Thing, Where};
use chrono::NaiveDate;
use desk::forms::eggs::{ENDED, EggForm};
use leptos::prelude::*;

#[component]
pub fn EggPage(id: String) -> impl IntoView {
    let barn = barn();
    let today = clock::today();
    let egg = EggId::new(id);
    let Some(card) = barn.peek(|book| EggCard::of(book, &egg)) else {
        return nobody(said::NO_EGG, Page::Boxes, box_words::TITLE);
    };
    let clutch = barn.peek(|book| book.egg(&egg).and_then(|egg| egg.clutch.clone()));
    let number = clutch.as_ref().map(|id| barn.peek(|book| book.clutch_number(id))).unwrap_or_default();
    let letter = barn.peek(|book| book.egg(&egg).and_then(|egg| egg.letter.clone())).unwrap_or_default();
    let faults = Faults::new();
    let has_ended = card.fate.is_some();
    let start = EggForm::new(egg.clone(), card, units());
    let fields = [&start.length, &start.width, &start.mass].map(|entry| RwSignal::new(entry.clone()));
    let [length, width, mass] = fields;
    let (stood, ended) = (RwSignal::new(start.stood), RwSignal::new(start.ended));
    let (was, fate) = (RwSignal::new(start.was), RwSignal::new(start.fate));
    let fates = std::iter::once((String::new(), said::NOTHING_YET.to_owned()));
    let fates = fates.chain(Fate::ALL.iter().map(|fate| (fate.word().to_owned(), egg_words::fate(*fate).to_owned())));
    let fates = Signal::stored(fates.collect::<Vec<_>>());
    let saved = StoredValue::new(egg.clone());
    let save = move |_| {
        let egg = saved.get_value();
        // As it stands by now: somebody else may have written meanwhile.
        let Some(card) = barn.peek(|book| EggCard::of(book, &egg)) else { return };
        let [length, width, mass] = fields.map(|field| field.get_untracked());
        let (stood_now, ended_now) = (stood.get_untracked(), ended.get_untracked());
        let (was_then, fate_now) = (was.get_untracked(), fate.get_untracked());
        let form = EggForm {
            egg: egg.clone(),
            card,
            length,
            width,
            mass,
            stood: stood_now,
            ended: ended_now,
            was: was_then,
            fate: fate_now,
        };
        let Some(act) = faults.pass(form.act(units(), clock::today())) else { return };
        barn.save(act, said::EGG_SAVED, move |_| {
            let Some(card) = barn.peek(|book| EggCard::of(book, &egg)) else { return };
            let form = EggForm::new(egg, card, units());
            for (field, stands) in fields.into_iter().zip([form.length, form.width, form.mass]) {
                let _ = field.try_set(stands);
            }
            let _ = (stood.try_set(form.stood), ended.try_set(form.ended));
            let _ = (was.try_set(form.was), fate.try_set(form.fate));
        });
    };
    let story = {
        let egg = egg.clone();
        move || barn.read(|book| story(book, &egg, today))
    };
    let young = {
        let egg = egg.clone();
        move || {
            barn.read(|book| {
                book.young_of(&egg).map(|a| (a.id.to_string(), book.animal_name(&a.id))).collect::<Vec<_>>()
            })
        }
    };
    let back = clutch.map_or(Page::Boxes, |id| Page::Clutch(id.to_string()));
    view! {
        <div class="page with-acts">
            <Head title=said::egg_of(&number, &letter) back=(back, box_words::clutch_link(&number)) />
            <ul class="card lines">{move || story().into_iter().map(|(what, when, of)| {
                let correct = of.map(|of| {
                    let (label, page) = (correct_of(&what, &when), Page::Correct(of.kind.word().into(), of.id));
                    view! { <a class="reach aside" aria-label=label href=page.href()>{CORRECT}</a> }
                });
                view! { <li class="spread"><span>{what}" "<span class="aside">{when}</span></span>{correct}</li> }
            }).collect_view()}</ul>
            {move || young().into_iter().map(|(id, name)| view! {
                <a class="row" href=Page::Animal(id).href()><span class="text"><span class="title">{name}</span><span class="aside">{said::CAME_OUT}</span></span></a>
            }).collect_view()}
            <details open=has_ended>
                <summary>{said::CORRECT_FATE}</summary>
                <Pick label=said::FATE options=fates value=fate />
                {move || (!fate.with(String::is_empty)).then(|| view! { <DateField label=ENDED value=ended faults /> })}
            </details>
            <h2>{said::MEASURED}</h2>
            <div class="pair"><Quantity entry=length faults /><Quantity entry=width faults /></div>
            <Quantity entry=mass faults />
            <div class="acts"><button type="button" class="act main" on:click=save>{words::SAVE}</button></div>
        </div>
    }
    .into_any()
}

/// The eggs of a clutch one by one, and the way to its young.
#[component]
pub fn EggsOf(clutch: ClutchId) -> impl IntoView {
    let barn = barn();
    let eggs: Vec<(String, String)> = barn.peek(|book| {
        let records = book.same_clutch(&clutch);
        let eggs = records.iter().flat_map(|record| book.eggs_of(&record.id));
        eggs.map(|egg| (egg.id.to_string(), egg.letter.clone().unwrap_or_default())).collect()
    });
    view! {
        <details>
            <summary>{said::EGGS}</summary>
            <div class="gap">{eggs.into_iter().take(MOST).map(|(id, letter)| view! {
                <a class="act small" href=Page::Egg(id).href()>{said::egg(&letter)}</a>
            }).collect_view()}</div>
        </details>
        <div class="gap"><a class="act small" href=Page::Babies(Some(clutch.to_string())).href()>{said::YOUNG_OF}</a></div>
    }
}

/// Links to eggs in the page; no clutch here has more.
const MOST: usize = 120;

/// Laid, moved, seen, hatched, ended; oldest first, with the record where that can be put right.
fn story(book: &Book, id: &EggId, today: NaiveDate) -> Vec<(String, String, Option<Thing>)> {
    let Some(egg) = book.egg(id) else { return Vec::new() };
    let mut lines = Vec::new();
    let mut add = |what: String, when: Option<trade::when::When>, of: Option<Thing>| {
        let at = when.map(trade::when::When::earliest);
        lines.push((at, what, when.map(|when| dates::when(when, today)).unwrap_or_default(), of));
    };
    let since = Since::of_egg(book, egg);
    let found = since.is_some_and(|since| since.what == SinceWhat::Found);
    add(said::laid_as(egg.laid_as, found), since.map(|since| since.when), None);
    if let Some(filling) = &egg.filling {
        let from = book.filling(filling).and_then(|filling| filling.from);
        add(said::set_in(&names::filling(book, filling), book.is_nest(filling)), from, None);
    }
    for mv in book.moves(&id.thing()) {
        let to = match &mv.to {
            Some(Where::Filling(filling)) => said::moved_to(&names::filling(book, filling)),
            _ => said::MOVED_AWAY.to_owned(),
        };
        add(to, mv.when, Some(mv.id.thing()));
    }
    let mut boxes: Vec<_> = egg.filling.iter().cloned().collect();
    boxes.extend(book.moves(&id.thing()).filter_map(|mv| match &mv.to {
        Some(Where::Filling(filling)) => Some(filling.clone()),
        _ => None,
    }));
    boxes.sort();
    boxes.dedup();
    for candling in boxes.iter().flat_map(|filling| book.candlings(filling)) {
        if let Some(seen) = candling.seen.get(id) {
            add(egg_words::seen(*seen).to_owned(), candling.when, Some(candling.id.thing()));
        }
    }
    for step in [Step::Pip, Step::Cut, Step::Out] {
        if let Some(done) = book.did(id, step) {
            add(step.word().to_owned(), done.when, Some(done.id.thing()));
        }
    }
    if let Some(fate) = egg.fate {
        let why = egg.fate_why.as_ref().map(|why| format!(": {why}")).unwrap_or_default();
        add(format!("{}{why}", egg_words::fate(fate)), egg.fate_when, None);
    }
    lines.sort_by_key(|(at, ..)| *at);
    lines.into_iter().map(|(_, what, when, of)| (what, when, of)).collect()
}
