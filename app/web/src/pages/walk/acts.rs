//! What is done at each stop of a walk.

use super::Round;
use crate::prefs::{prefs, units as shown_units};
use crate::route::{BoxAct, Page};
use crate::ui::forms::{Faults, Quantity};
use crate::ui::signs::{Mark, tile};
use crate::words::{self, boxes as box_words, names, units, walk as said};
use book::acts::{BoxCandled, MealOffered, MealOutcomeSeen, Moved};
use book::words::{LaidAs, MealOutcome, Seen};
use book::{AnimalId, Book, EggId, FillingId, Kind, PlaceId, Thing};
use chrono::TimeDelta;
use desk::forms::water::{WaterAct, WaterForm};
use leptos::prelude::*;
use std::collections::BTreeMap;
use trade::units::Mass;
use trade::when::When;

/// A meal noted as offered is the one whose outcome is seen now, for so long.
const SAME_MEAL: TimeDelta = TimeDelta::days(4);

/// The box before the keeper, if what was scanned is one with eggs.
fn box_of(round: Round, scanned: RwSignal<Option<Thing>>) {
    Effect::new(move |_| {
        let Some(thing) = scanned.get() else { return };
        scanned.set(None);
        let id = FillingId::from(thing.id.as_str());
        if thing.kind != Kind::Filling {
            round.refuse(said::NOT_A_BOX);
        } else if round.barn.peek(|book| book.eggs_in(&id).is_empty()) {
            round.refuse(said::EMPTY);
        } else {
            round.known(thing);
        }
    });
}

fn filling(round: Round) -> Option<(FillingId, String)> {
    let id = FillingId::from(round.at.get()?.id.as_str());
    let name = round.barn.peek(|book| names::filling(book, &id));
    Some((id, name))
}

#[component]
pub fn Candling(round: Round, scanned: RwSignal<Option<Thing>>) -> impl IntoView {
    box_of(round, scanned);
    let save = move |changes: fn(&Book, &FillingId) -> BTreeMap<EggId, Seen>, text: fn(&str) -> String| {
        let Some((filling, name)) = filling(round) else { return };
        let Some(when) = round.when() else { return };
        let changes = round.barn.peek(|book| changes(book, &filling));
        let act = BoxCandled { filling, when, changes, note: String::new() };
        round.save(act, text(&name));
    };
    move || {
        filling(round).map(|(id, name)| {
            let first = round.barn.peek(|book| book.never_candled(&id));
            view! {
                <div class="card stack stop">
                    <h2>{name}</h2>
                    {first.then(|| view! {
                        <button type="button" class="act main" on:click=move |_| save(all_veins, said::veins)>{said::ALL_VEINS}</button>
                    })}
                    <div class="pair">
                        <button type="button" class="act" class:main=!first on:click=move |_| save(|_, _| BTreeMap::new(), if first { said::unsure } else { said::fine })>
                            {if first { said::ALL_UNSURE } else { said::AS_LAST_TIME }}
                        </button>
                        <a class="act" href=Page::BoxAct(id.to_string(), BoxAct::Candle).href()>{said::OPEN}</a>
                    </div>
                </div>
            }
        })
    }
}

/// Veins in every egg not looked at before; slugs are not candled, and the others are as last time.
fn all_veins(book: &Book, filling: &FillingId) -> BTreeMap<EggId, Seen> {
    let unseen = |egg: &&book::records::Egg| egg.laid_as != Some(LaidAs::Slug) && book.last_seen(&egg.id).is_none();
    book.eggs_in(filling).into_iter().filter(unseen).map(|egg| (egg.id.clone(), Seen::Veins)).collect()
}

#[component]
pub fn Watering(round: Round, scanned: RwSignal<Option<Thing>>) -> impl IntoView {
    box_of(round, scanned);
    move || filling(round).map(|(id, name)| view! { <WaterStop round id name /> })
}

#[component]
fn WaterStop(round: Round, id: FillingId, name: String) -> impl IntoView {
    let prefs = prefs();
    let faults = Faults::new();
    let of = id.to_string();
    let start = round.barn.peek(|book| WaterForm::new(id.clone(), book.fill_to(&id)));
    let fill_to = start.fill_to;
    let reading = RwSignal::new(start.reading.clone());
    // What is advised is added.
    let form = Signal::derive(move || {
        let units = prefs.get().units();
        let mut form = WaterForm { reading: reading.get(), ..start.clone() };
        form.added.offer(form.offered(units), units);
        form
    });
    let advice = move || form.with(|form| form.advice(prefs.get().units()));
    let show = move |mass: Mass| units::mass(mass, &prefs.get_untracked());
    let told = name.clone();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(when) = round.when() else { return };
        let built = form.with_untracked(|form| form.act(shown_units(), when));
        match faults.pass(built) {
            None => {}
            Some(WaterAct::Baseline(act)) => {
                let text = box_words::new_baseline(&show(act.mass));
                round.save(act, said::named(&told, &text))
            }
            Some(WaterAct::Checked(act)) => {
                let text = box_words::water_saved(&show(act.mass), act.added.map(show));
                round.save(act, said::named(&told, &text))
            }
        }
    };
    view! {
        <form class="card stack stop" data-of=of novalidate on:submit=save>
            <h2>{name}</h2>
            <p>{match fill_to {
                Some(f) => format!("{} {}", box_words::FILL_TO, show(f.mass)),
                None => box_words::NO_BASELINE.to_owned(),
            }}</p>
            <Quantity entry=reading first=true faults />
            {move || advice().map(|a| view! { <p class="big" role="status">{box_words::advice(a, show)}</p> })}
            <button type="submit" class="act main">{words::SAVE}</button>
        </form>
    }
}

#[component]
pub fn Feeding(round: Round, scanned: RwSignal<Option<Thing>>) -> impl IntoView {
    Effect::new(move |_| {
        let Some(thing) = scanned.get() else { return };
        scanned.set(None);
        match round.barn.peek(|book| eater(book, &thing)) {
            Some(animal) => round.known(animal.thing()),
            None => round.refuse(said::NOT_AN_ANIMAL),
        }
    });
    let animal = move || {
        let id = AnimalId::from(round.at.get()?.id.as_str());
        let name = round.barn.peek(|book| names::animal_long(book, &id));
        Some((id, name))
    };
    let fed = move |outcome: MealOutcome| {
        let Some((id, _)) = animal() else { return };
        let Some(when) = round.when() else { return };
        let (open, name, last) = round.barn.peek(|book| {
            let last = book.meals(&id).next();
            // One offered later is not the one that was looked at.
            let waits = |at: When| at.earliest() <= when.latest() && when.earliest() - at.latest() < SAME_MEAL;
            let open = last.filter(|m| (m.outcome.is_none() || m.is_assumed()) && m.offered.is_some_and(waits));
            let what = last.map(|m| [m.prey.clone(), m.size.clone(), m.how.clone()].map(Option::unwrap_or_default));
            (open.map(|m| m.id.clone()), names::animal(book, &id), what.unwrap_or_default())
        });
        let told = said::meal(&name, outcome == MealOutcome::Eaten);
        match open {
            Some(meal) => round.save(MealOutcomeSeen { meal, outcome, when }, told),
            None => {
                let [prey, size, how] = last;
                let act = MealOffered { animals: vec![id], offered: when, outcome: Some(outcome), prey, size, how };
                round.save(act, told);
            }
        }
    };
    move || {
        animal().map(|(_, name)| {
            view! {
                <div class="card stack stop">
                    <h2>{name}</h2>
                    <div class="pair">
                        {tile(Mark::Ate, said::ATE.to_owned(), true, move || fed(MealOutcome::Eaten))}
                        {tile(Mark::Refused, said::REFUSED.to_owned(), false, move || fed(MealOutcome::Refused))}
                    </div>
                </div>
            }
        })
    }
}

/// Who eats where this label hangs: the animal itself, or the only one kept at a place.
fn eater(book: &Book, thing: &Thing) -> Option<AnimalId> {
    if thing.kind == Kind::Animal {
        return Some(AnimalId::from(thing.id.as_str()));
    }
    // Of anything but a place, nothing stands there.
    let things = book.things_at(&PlaceId::from(thing.id.as_str()));
    let mut animals = things.iter().filter(|thing| thing.kind == Kind::Animal);
    let only = animals.next().filter(|_| animals.next().is_none())?;
    Some(AnimalId::from(only.id.as_str()))
}

#[component]
pub fn Moving(round: Round, scanned: RwSignal<Option<Thing>>) -> impl IntoView {
    let held = RwSignal::new(Vec::<Thing>::new());
    let target = RwSignal::new(None::<PlaceId>);
    let barn = round.barn;
    let names_of = move |things: &[Thing]| {
        let names: Vec<String> = barn.peek(|book| things.iter().map(|thing| book.short_name(thing)).collect());
        names.join(", ")
    };
    let bring = move |things: Vec<Thing>, place: PlaceId| {
        let told = said::moved(&names_of(&things), &barn.peek(|book| names::place(book, &place)));
        let Some(when) = round.when() else { return };
        // In the hand until it is stored: a day may be missing, a question be answered by looking again.
        let act = Moved::to_place(things.clone(), place, when);
        round.save_then(act, told, move || {
            held.try_update(|held| held.retain(|thing| !things.contains(thing)));
        });
    };
    Effect::new(move |_| {
        let Some(thing) = scanned.get() else { return };
        scanned.set(None);
        if thing.kind == Kind::Place {
            let place = PlaceId::from(thing.id.as_str());
            round.known(thing);
            let things = held.get_untracked();
            return if things.is_empty() { target.set(Some(place)) } else { bring(things, place) };
        }
        if !matches!(thing.kind, Kind::Filling | Kind::Animal) {
            return round.refuse(said::CANNOT_MOVE);
        }
        round.known(thing.clone());
        match target.get_untracked() {
            Some(place) => bring(vec![thing], place),
            None => held.update(|held| {
                if !held.contains(&thing) {
                    held.push(thing);
                }
            }),
        }
    });
    view! {
        <div class="card stack stop">
            {move || match (held.get(), target.get()) {
                (things, _) if !things.is_empty() => view! {
                    <p class="big">{said::held(&names_of(&things))}</p>
                    <button type="button" class="act small" on:click=move |_| held.set(Vec::new())>{said::PUT_BACK}</button>
                }.into_any(),
                (_, Some(place)) => view! {
                    <p class="big">{said::to(&barn.peek(|book| names::place(book, &place)))}</p>
                    <button type="button" class="act small" on:click=move |_| target.set(None)>{said::LET_GO}</button>
                }.into_any(),
                _ => view! { <p>{said::MOVE_HOW}</p> }.into_any(),
            }}
        </div>
    }
}
