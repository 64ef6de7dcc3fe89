//! Stock-taking: which boxes were seen, and which were not. Nothing is written down but moves.

use super::Round;
use crate::clock;
use crate::route::Page;
use crate::words::{names, walk as said};
use book::acts::Moved;
use book::{Book, FillingId, Kind, PlaceId, Thing, Where};
use leptos::prelude::*;
use std::collections::BTreeSet;
use trade::when::When;

/// Unseen boxes listed at once.
const SHOWN: usize = 60;

fn within(book: &Book, thing: &Thing, place: Option<&PlaceId>) -> bool {
    let Some(place) = place else { return true };
    book.place_of(thing).is_some_and(|at| book.path(&at.id).iter().any(|around| around.id == *place))
}

#[component]
pub fn Stock(round: Round, scanned: RwSignal<Option<Thing>>) -> impl IntoView {
    let barn = round.barn;
    let seen = RwSignal::new(BTreeSet::<Thing>::new());
    let place = RwSignal::new(None::<PlaceId>);
    // A box that is written down elsewhere than at the shelf it was seen at.
    let stray = RwSignal::new(None::<Thing>);
    Effect::new(move |_| {
        let Some(thing) = scanned.get() else { return };
        scanned.set(None);
        match thing.kind {
            Kind::Place => {
                place.set(Some(PlaceId::from(thing.id.as_str())));
                round.known(thing);
            }
            Kind::Filling => {
                let name = barn.peek(|book| book.short_name(&thing));
                let at_home = barn.peek(|book| within(book, &thing, place.get_untracked().as_ref()));
                stray.set((!at_home).then(|| thing.clone()));
                seen.update(|seen| {
                    seen.insert(thing.clone());
                });
                round.done.set(seen.with_untracked(BTreeSet::len));
                round.known(thing);
                round.said.set(said::seen_one(&name));
            }
            _ => round.refuse(said::NOT_A_BOX),
        }
    });
    let expected = move || {
        let place = place.get();
        barn.read(|book| {
            let boxes = book.open_fillings().into_iter().filter(|f| !book.eggs_in(&f.id).is_empty());
            boxes.map(|f| f.id.thing()).filter(|thing| within(book, thing, place.as_ref())).collect::<Vec<_>>()
        })
    };
    let unseen =
        move || seen.with(|seen| expected().into_iter().filter(|thing| !seen.contains(thing)).collect::<Vec<_>>());
    let put_here = move |thing: Thing| {
        let Some(to) = place.get_untracked() else { return };
        let told = barn.peek(|book| said::moved(&book.short_name(&thing), &names::place(book, &to)));
        let act = Moved {
            things: vec![thing],
            to: Where::Place(to),
            when: When::time(clock::now()),
            mass: None,
            note: String::new(),
        };
        stray.set(None);
        round.save(act, told);
    };
    let everywhere = move |_| {
        place.set(None);
        stray.set(None);
    };
    view! {
        <div class="card stack stop">
            <p class="big" role="status">{move || { let all = expected(); said::seen(all.len() - unseen().len(), all.len()) }}</p>
            {move || place.get().map(|place| view! {
                <div class="spread">
                    <span>{barn.peek(|book| names::place(book, &place))}</span>
                    <button type="button" class="act small" on:click=everywhere>{said::EVERYWHERE}</button>
                </div>
            })}
            {move || stray.get().map(|thing| {
                let told = barn.peek(|book| {
                    let at = book.place_of(&thing).map_or_else(|| crate::words::UNKNOWN.to_owned(), |p| names::place(book, &p.id));
                    said::elsewhere(&book.short_name(&thing), &at)
                });
                view! {
                    <p role="status">{told}</p>
                    <button type="button" class="act" on:click=move |_| put_here(thing.clone())>{said::MOVE_HERE}</button>
                }
            })}
            {move || if place.get().is_none() && seen.with(BTreeSet::is_empty) { Some(view! { <p class="aside">{said::STOCK_HOW}</p> }) } else { None }}
            {move || {
                let unseen = unseen();
                let total = unseen.len();
                if total == 0 {
                    return view! { <p>{said::ALL_SEEN}</p> }.into_any();
                }
                view! {
                    <details>
                        <summary>{said::not_seen(total)}</summary>
                        {unseen.into_iter().take(SHOWN).map(|thing| {
                            let id = FillingId::from(thing.id.as_str());
                            let (name, at) = barn.peek(|book| (
                                names::filling(book, &id),
                                book.place_of(&thing).map(|p| names::place(book, &p.id)).unwrap_or_default(),
                            ));
                            view! {
                                <a class="row" href=Page::Box(thing.id).href()>
                                    <span class="text"><span class="title">{name}</span><span class="aside">{at}</span></span>
                                </a>
                            }.into_any()
                        }).collect_view()}
                    </details>
                }.into_any()
            }}
            <button type="button" class="act small" on:click=move |_| { seen.set(BTreeSet::new()); round.done.set(0); }>{said::BEGIN_AGAIN}</button>
        </div>
    }
}
