//! What each baby of a clutch looks like, and what that says.

use super::outcomes::outcome;
use super::{conflict_banner, trouble_banner};
use crate::clock;
use crate::route::Page;
use crate::store::barn;
use crate::ui::{Empty, Head, PairGenetics};
use crate::words::{self as all_words, genetics as words, sires as sire_words};
use book::acts::{GenotypeLine, GenotypesNoted};
use book::views::{Baby, ClutchLooks, LookLocus, Mixed, Says, Spread, clutch_looks};
use book::{AnimalId, ClutchId};
use leptos::prelude::*;
use std::collections::BTreeMap;
use trade::when::When;

/// Ticks not saved yet: the baby and the locus' name, and which look.
type Ticks = RwSignal<BTreeMap<(AnimalId, String), usize>>;

#[component]
pub fn LooksPage(id: String) -> impl IntoView {
    let barn = barn();
    let id = ClutchId::new(id);
    if barn.peek(|book| book.clutch(&id).is_none()) {
        return view! {
            <div class="page"><Empty text=words::NO_CLUTCH><a class="act main" href=Page::Boxes.href()>{all_words::boxes::TITLE}</a></Empty></div>
        }
        .into_any();
    }
    let also = RwSignal::new(Vec::<String>::new());
    let ticks: Ticks = RwSignal::new(BTreeMap::new());
    let number = barn.peek(|book| book.clutch_number(&id));
    let back = (Page::Clutch(id.to_string()), number.clone());
    let looked = id.clone();
    let all = Memo::new(move |_| barn.read(|book| also.with(|also| clutch_looks(book, &looked, also))));
    let save = move |_| {
        let lines =
            all.with_untracked(|all| all.as_ref().map(|all| lines(all, &ticks.get_untracked())).unwrap_or_default());
        let lines: Vec<GenotypeLine> = barn.peek(|book| {
            let over = lines
                .into_iter()
                .map(|(animal, key, seen)| GenotypeLine { seen: Some(seen), ..GenotypeLine::of(book, &animal, &key) });
            over.collect()
        });
        let act = GenotypesNoted { lines, when: When::time(clock::now()) };
        barn.save(act, words::TICKED, move |_| ticks.set(BTreeMap::new()));
    };
    let body = move || all.get().map(|all| body(all, ticks, also));
    view! {
        <div class="page with-acts">
            <Head title=words::looks_of(&number) back />
            {body}
            {move || (!ticks.with(BTreeMap::is_empty)).then(|| view! {
                <div class="acts"><button type="button" class="act main" on:click=save>{all_words::SAVE}</button></div>
            })}
        </div>
    }
    .into_any()
}

/// What ticks say: animal, trait, how it is seen.
fn lines(
    all: &ClutchLooks,
    ticks: &BTreeMap<(AnimalId, String), usize>,
) -> Vec<(AnimalId, String, book::words::TraitSeen)> {
    let mut lines = Vec::new();
    for ((animal, locus), choice) in ticks {
        let choice = all.loci.iter().find(|l| l.name == *locus).and_then(|l| l.choices.get(*choice));
        lines.extend(choice.into_iter().flat_map(|c| &c.seen).map(|(key, seen)| (animal.clone(), key.clone(), *seen)));
    }
    lines
}

fn body(all: ClutchLooks, ticks: Ticks, also: RwSignal<Vec<String>>) -> AnyView {
    let ids = |side: &[(AnimalId, String)]| side.iter().map(|(id, _)| id.clone()).collect::<Vec<_>>();
    let (dams, sires) = (ids(&all.dams), ids(&all.sires));
    let empty = all.babies.is_empty().then_some(words::NO_BABIES);
    let empty = empty.or_else(|| all.loci.is_empty().then_some(words::NO_LOCI));
    let says = (!all.babies.is_empty() && !all.loci.is_empty()).then(|| said(&all.says));
    let silent = all.several.as_ref().map(|several| several.silent.clone()).unwrap_or_default();
    let weighed = all.several.as_ref().map(sire_words::weighed).unwrap_or_default();
    let weighed =
        says.is_some().then(|| weighed.into_iter().map(|line| view! { <p class="aside inset">{line}</p> }.into_any()));
    let weighed = weighed.map(Iterator::collect::<Vec<_>>);
    view! {
        {all.trouble.clone().map(trouble_banner)}
        {says}
        {weighed}
        {empty.map(|why| view! { <p class="card">{why}</p> })}
        {all.babies.iter().map(|baby| baby_card(baby, &all.loci, ticks)).collect_view()}
        {(!all.other.is_empty() && !all.babies.is_empty()).then(|| view! { <Other traits=all.other.clone() also /> })}
        {all.mixed.as_ref().map(|of| mixed(of, &silent))}
        <PairGenetics dams sires />
    }
    .into_any()
}

/// What eggs can be over all that may be their sires.
fn mixed(mixed: &Mixed, silent: &[String]) -> AnyView {
    let Spread { rows, more, more_share, unviable } = &mixed.spread;
    view! {
        <h2>{sire_words::MIXED}</h2>
        <p class="card">{sire_words::mixed(mixed)}</p>
        {silent.iter().map(|name| view! { <p class="card">{words::counted_without(name)}</p> }.into_any()).collect_view()}
        {mixed.conflicts.iter().map(conflict_banner).collect_view()}
        <ul>{rows.iter().map(|row| outcome(row, mixed.eggs)).collect_view()}</ul>
        {(*more > 0).then(|| view! { <p class="quiet inset">{words::more_rows(*more, *more_share)}</p> })}
        {(*unviable > 1e-9).then(|| view! { <p class="card warned" role="note">{words::unviable(*unviable)}</p> })}
    }
    .into_any()
}

fn said(says: &[Says]) -> AnyView {
    let each = says.iter().map(|one| match one {
        Says::Impossible(conflict) => conflict_banner(conflict),
        other => view! { <p class="card">{words::says(other)}</p> }.into_any(),
    });
    let none = says.is_empty().then(|| view! { <p class="card">{words::SAYS_NOTHING}</p> });
    view! { <h2>{words::SAYS}</h2><div aria-live="polite">{each.collect_view()}{none}</div> }.into_any()
}

fn baby_card(baby: &Baby, loci: &[LookLocus], ticks: Ticks) -> AnyView {
    let page = Page::Animal(baby.animal.to_string());
    let rows = loci.iter().zip(&baby.looks).map(|(locus, ticked)| {
        let key = (baby.animal.clone(), locus.name.clone());
        let label = format!("{}: {}", baby.name, locus.name);
        let ticked = *ticked;
        let chips = locus.choices.iter().enumerate().map(|(n, choice)| {
            let (mine, shown) = (key.clone(), key.clone());
            let pressed = move || {
                let new = ticks.with(|all| all.get(&shown).copied());
                (new.or(ticked) == Some(n)).to_string()
            };
            let tick = move |_| {
                ticks.update(|all| {
                    if ticked == Some(n) {
                        all.remove(&mine);
                    } else {
                        all.insert(mine.clone(), n);
                    }
                });
            };
            let said = words::choice(&choice.words, &locus.name);
            view! { <button type="button" class="chip" aria-pressed=pressed on:click=tick>{said}</button> }.into_any()
        });
        view! { <div class="chips" role="group" aria-label=label>{chips.collect_view()}</div> }.into_any()
    });
    let rows: Vec<AnyView> = rows.collect();
    view! {
        <div class="card looks">
            <p><a class="reach" href=page.href()><b>{baby.name.clone()}</b></a></p>
            {rows}
            {(!baby.text.is_empty()).then(|| view! { <p class="aside">{baby.text.clone()}</p> })}
        </div>
    }
    .into_any()
}

/// A trait that nothing entered would make them show.
#[component]
fn Other(traits: Vec<(String, String)>, also: RwSignal<Vec<String>>) -> impl IntoView {
    let chosen = RwSignal::new(String::new());
    Effect::new(move |_| {
        let key = chosen.get();
        if !key.is_empty() {
            also.update(|all| all.push(key));
        }
    });
    let none = (String::new(), words::CHOOSE_TRAIT.to_owned());
    let options: Vec<(String, String)> = std::iter::once(none).chain(traits).collect();
    view! { <div data-adds=""><crate::ui::forms::Pick label=words::OTHER_TRAIT options=Signal::derive(move || options.clone()) value=chosen /></div> }
        .into_any()
}
