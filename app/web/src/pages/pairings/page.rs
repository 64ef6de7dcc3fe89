//! One pairing: locks, what was seen of her, when eggs are to be expected.

use super::list::title;
use crate::clock;
use crate::route::Page;
use crate::store::{Barn, barn};
use crate::ui::day::{Seen, SeenField};
use crate::ui::signs::{Mark, act_link, sign};
use crate::ui::{Caution, Empty, Head, PairGenetics};
use crate::words::{animals as animal_words, dates, names, pairings as words};
use book::acts::{AnimalEventNoted, LockNoted, PairingEnded};
use book::views::{DamLine, NextStep, PairingView, pairing_view};
use book::words::AnimalEventWhat;
use book::{AnimalId, Kind, PairingId};
use leptos::prelude::*;
use trade::when::When;

#[component]
pub fn PairingPage(id: String) -> impl IntoView {
    let barn = barn();
    let id = PairingId::new(id);
    if barn.peek(|book| book.pairing(&id).is_none()) {
        return view! {
            <div class="page"><Empty text=words::NO_SUCH><a class="act main" href=Page::Pairings.href()>{words::TO_LIST}</a></Empty></div>
        }
        .into_any();
    }
    // Made once: the day chosen outlives a save.
    let seen = Seen::now();
    let when = view! { <SeenField seen /> };
    let named = id.clone();
    let name = Signal::derive(move || barn.read(|book| title(book, &named)));
    let shown = id.clone();
    let view = Memo::new(move |_| barn.read(|book| pairing_view(book, &shown, clock::now())));
    let facts = move || view.get().map(|view| view! { <Facts view /> });
    let rest = move || view.get().map(|view| view! { <Seeing view seen /> });
    let acting = id.clone();
    let acts = move || {
        let ended = barn.read(|book| book.pairing(&acting).is_some_and(|pairing| pairing.ended.is_some()));
        let (lock, apart) = (acting.clone(), acting.clone());
        let lock = move |_| {
            let Some(when) = seen.get() else { return };
            barn.save(LockNoted { pairing: lock.clone(), when }, words::LOCK_SAVED, |_| {});
        };
        let separate = move |_| {
            let Some(when) = seen.get() else { return };
            barn.save(PairingEnded { pairing: apart.clone(), when }, words::SEPARATE_SAVED, |_| {});
        };
        view! {
            <div class="acts">
                <a class="act" href=Page::PairingEdit(acting.to_string()).href()>{words::EDIT}</a>
                {(!ended).then(|| view! { <button type="button" class="act" on:click=separate>{words::SEPARATE}</button> })}
                <button type="button" class="act" class:main=!ended on:click=lock>{sign(Mark::Pair)}{words::LOCK}</button>
            </div>
        }
    };
    view! {
        <div class="page with-acts">
            <Head title=name back=(Page::Pairings, words::TITLE.to_owned()) />
            {facts}
            {when}
            {rest}
            <Caution text=animal_words::STRAINING_HINT />
            {acts}
        </div>
    }
    .into_any()
}

#[component]
fn Facts(view: PairingView) -> impl IntoView {
    let today = clock::today();
    let moment = |when: Option<When>| when.map_or_else(|| words::UNKNOWN.to_owned(), |when| dates::when(when, today));
    let ended = view.row.ended.map_or_else(|| words::NOT_SEPARATED.to_owned(), |when| dates::when(when, today));
    let parents = view.row.dams.iter().chain(&view.row.sires);
    let links = parents.map(|(id, name)| (Page::Animal(id.to_string()), name.clone())).collect::<Vec<_>>();
    let clutches = view.row.clutches.iter().map(|(id, number, laid)| {
        (Page::Clutch(id.to_string()), number.clone(), laid.map(|laid| dates::laid(laid, today)).unwrap_or_default())
    });
    let clutches: Vec<_> = clutches.collect();
    let several = view.dams.len() > 1;
    let waiting = clutches.is_empty();
    view! {
        <p class="sub">{links.into_iter().map(|(page, name)| view! { <a class="reach" href=page.href()>{name}</a>" " }).collect_view()}</p>
        {view.clashing.then(|| view! { <div class="banner"><p>{words::CLASHING}</p></div> })}
        <dl class="card facts">
            <dt>{words::INTRODUCED}</dt><dd>{moment(view.row.when)}</dd>
            <dt>{words::SEPARATED}</dt><dd>{ended}</dd>
            {view.note.map(|note| view! { <dt>{words::NOTE}</dt><dd>{note}</dd> })}
        </dl>
        {waiting.then(|| view.dams.into_iter().map(|dam| expected(dam, several)).collect_view())}
        {(!clutches.is_empty()).then(|| view! {
            <h2>{words::CLUTCHES}</h2>
            {clutches.into_iter().map(|(page, number, laid)| view! {
                <a class="row" href=page.href()><span class="text"><span class="title">{number}</span><span class="aside">{laid}</span></span></a>
            }.into_any()).collect_view()}
        })}
    }
}

/// What can be seen of each dam, and the locks seen so far.
#[component]
fn Seeing(view: PairingView, seen: Seen) -> impl IntoView {
    let barn = barn();
    let today = clock::today();
    let moment = |when: Option<When>| when.map_or_else(|| words::UNKNOWN.to_owned(), |when| dates::when(when, today));
    let ids = |side: &[(AnimalId, String)]| side.iter().map(|(id, _)| id.clone()).collect::<Vec<_>>();
    let (dams, sires) = (ids(&view.row.dams), ids(&view.row.sires));
    let (waiting, several) = (view.row.clutches.is_empty(), view.dams.len() > 1);
    view! {
        {waiting.then(|| view.dams.into_iter().map(|dam| taps(barn, dam, seen, several)).collect_view())}
        <PairGenetics dams sires />
        <h2>{words::LOCKS}</h2>
        {if view.locks.is_empty() {
            view! { <p class="quiet inset">{words::NO_LOCK}</p> }.into_any()
        } else {
            view! { <ul class="story card">{view.locks.into_iter().map(|lock| {
                let said = moment(lock.when);
                let by = barn.peek(|book| lock.written.as_ref().map(|w| names::person(book, &w.by))).unwrap_or_default();
                let label = animal_words::correct_of(words::LOCK, &said);
                let page = Page::Correct(Kind::LockSeen.word().into(), lock.id.to_string());
                view! {
                    <li class="spread">
                        <span><p>{said}</p><p class="aside">{by}</p></span>
                        <a class="reach aside" aria-label=label href=page.href()>{animal_words::CORRECT}</a>
                    </li>
                }.into_any()
            }).collect_view()}</ul> }.into_any()
        }}
    }
}

const HERS: [AnimalEventWhat; 3] = [AnimalEventWhat::Ovulation, AnimalEventWhat::PreLayShed, AnimalEventWhat::LayBox];

/// What is expected of a dam, and what was seen of her.
fn expected(dam: DamLine, named: bool) -> AnyView {
    let today = clock::today();
    let overdue = matches!(dam.next, Some(NextStep::Overdue { .. }));
    let next = dam.next.as_ref().map(|next| match next {
        NextStep::EggsDue { sign, from, to, own, .. } => view! {
            <p class="second nowrap">{dates::range(*from, *to, today)}</p>
            <p>{animal_words::EGGS_LIKELY}", "{words::basis(*sign, *own)}</p>
        }
        .into_any(),
        other => view! { <p class:warn=overdue>{words::next(other, today)}</p> }.into_any(),
    });
    let done = dam.seen.iter().map(|(what, when)| format!("{} {}", words::event(*what), dates::when(*when, today)));
    let done: Vec<String> = done.collect();
    (next.is_some() || !done.is_empty())
        .then(|| {
            view! {
                <div class="card">
                    {named.then(|| view! { <p class="quiet">{dam.name.clone()}</p> })}
                    {next}
                    {done.into_iter().map(|line| view! { <p class="aside">{line}</p> }.into_any()).collect_view()}
                </div>
            }
        })
        .into_any()
}

/// Each tap is saved at once.
fn taps(barn: Barn, dam: DamLine, seen: Seen, named: bool) -> AnyView {
    let buttons = HERS.map(|what| {
        let animal = dam.id.clone();
        let save = move |_| note(barn, &animal, what, seen);
        view! { <button type="button" class="act" on:click=save>{words::event(what)}</button> }.into_any()
    });
    let legend = if named { format!("{}: {}", dam.name, words::SEEN_OF_HER) } else { words::SEEN_OF_HER.to_owned() };
    view! {
        <fieldset class="field">
            <legend>{legend}</legend>
            <div class="gap grow">
                {buttons}
                {act_link(&Page::Found(Some(dam.id.to_string())), "act", words::EGGS_FOUND)}
            </div>
        </fieldset>
    }
    .into_any()
}

fn note(barn: Barn, animal: &AnimalId, what: AnimalEventWhat, seen: Seen) {
    let Some(when) = seen.get() else { return };
    let act = AnimalEventNoted { shed: None, animal: animal.clone(), what, when, mass: None, note: String::new() };
    barn.save(act, animal_words::saved_event(what, None), |_| {});
}
