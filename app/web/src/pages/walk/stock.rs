//! Stock-taking: which boxes were seen, and which were not. Kept on this device while it goes on, whatever page is
//! opened between; written down as one act.

use super::Round;
use crate::clock;
use crate::prefs::prefs;
use crate::route::Page;
use crate::words::animals::{CORRECT, correct_of};
use crate::words::{self, names, walk as said};
use book::acts::{Moved, StockTaken};
use book::{Book, FillingId, Kind, PlaceId, Thing};
use leptos::prelude::*;
use std::collections::BTreeSet;

/// Unseen boxes listed at once.
const SHOWN: usize = 60;

fn within(book: &Book, thing: &Thing, place: Option<&PlaceId>) -> bool {
    let Some(place) = place else { return true };
    book.place_of(thing).is_some_and(|at| book.path(&at.id).iter().any(|around| around.id == *place))
}

#[component]
pub fn Stock(round: Round, scanned: RwSignal<Option<Thing>>) -> impl IntoView {
    let barn = round.barn;
    let prefs = prefs();
    let (at, begun) = prefs.with_untracked(|p| p.stock.clone()).unwrap_or_default();
    let (at, begun) = barn.peek(|book| {
        let begun = begun.iter().map(|id| Thing::new(Kind::Filling, id.as_str())).filter(|thing| book.has(thing));
        (Some(PlaceId::new(at)).filter(|at| book.place(at).is_some()), begun.collect::<BTreeSet<_>>())
    });
    let seen = RwSignal::new(begun);
    let place = RwSignal::new(at);
    Effect::new(move |before: Option<()>| {
        let at = place.get().map(|at| at.to_string()).unwrap_or_default();
        let ids: Vec<String> = seen.with(|seen| seen.iter().map(|thing| thing.id.clone()).collect());
        if before.is_some() {
            prefs.update(|p| p.stock = (!at.is_empty() || !ids.is_empty()).then_some((at, ids)));
        }
    });
    // A box that is written down elsewhere than at the shelf it was seen at.
    let stray = RwSignal::new(None::<Thing>);
    Effect::new(move |_| {
        let Some(thing) = scanned.get() else { return };
        scanned.set(None);
        if thing.kind == Kind::Place {
            place.set(Some(PlaceId::from(thing.id.as_str())));
            return round.known(thing);
        }
        if thing.kind != Kind::Filling {
            return round.refuse(said::NOT_A_BOX);
        }
        let name = barn.peek(|book| book.short_name(&thing));
        let at_home = barn.peek(|book| within(book, &thing, place.get_untracked().as_ref()));
        stray.set((!at_home).then(|| thing.clone()));
        seen.update(|seen| {
            seen.insert(thing.clone());
        });
        round.known(thing);
        round.said.set(said::seen_one(&name));
    });
    let expected = move || {
        let place = place.get();
        barn.read(|book| {
            let boxes = book.open_boxes().into_iter().filter(|f| !book.eggs_in(&f.id).is_empty());
            boxes.map(|f| f.id.thing()).filter(|thing| within(book, thing, place.as_ref())).collect::<Vec<_>>()
        })
    };
    let unseen =
        move || seen.with(|seen| expected().into_iter().filter(|thing| !seen.contains(thing)).collect::<Vec<_>>());
    let put_here = move |thing: Thing| {
        let Some(to) = place.get_untracked() else { return };
        let told = barn.peek(|book| said::moved(&book.short_name(&thing), &names::place(book, &to)));
        let Some(when) = round.when() else { return };
        stray.set(None);
        round.save(Moved::to_place(vec![thing], to, when), told);
    };
    let write_down = move |_| {
        let id_of = |thing: &Thing| FillingId::from(thing.id.as_str());
        let Some(when) = round.when() else { return };
        // What stands elsewhere was seen too; it is told apart by its place.
        let (place_now, missing) = (place.get_untracked(), untrack(unseen));
        let found: Vec<FillingId> = seen.with_untracked(|seen| seen.iter().map(id_of).collect());
        let told = format!("{}.", said::taken(found.len(), missing.len()));
        let missing = missing.iter().map(id_of).collect();
        round.save(StockTaken { place: place_now, when, seen: found, missing }, told);
        seen.set(BTreeSet::new());
        stray.set(None);
    };
    // The one before, as long as nothing has been seen in this one.
    let before = move || {
        let place = place.get();
        barn.read(|book| {
            let last = book.last_stock_taking(place.as_ref())?;
            let when = last.when.map(|when| words::dates::when(when, clock::today())).unwrap_or_default();
            let by = book.written(&last.id.thing()).map(|w| names::person(book, &w.by)).unwrap_or_default();
            let names: Vec<String> = last.missing.iter().map(|id| book.short_name(&id.thing())).collect();
            Some((said::taken_last(&when, &by, &names.join(", ")), when, last.id.to_string()))
        })
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
            {move || if seen.with(BTreeSet::is_empty) {
                before().map(|(told, when, id)| view! {
                    <p class="aside">{told}" "
                        <a class="reach" aria-label=correct_of(said::STOCK_TAKING, &when)
                            href=Page::Correct(Kind::StockTaking.word().into(), id).href()>{CORRECT}</a>
                    </p>
                }).into_any()
            } else {
                view! {
                    <div class="pair">
                        <button type="button" class="act main" on:click=write_down>{said::WRITE_DOWN}</button>
                        <button type="button" class="act" on:click=move |_| seen.set(BTreeSet::new())>{said::BEGIN_AGAIN}</button>
                    </div>
                }.into_any()
            }}
        </div>
    }
}
