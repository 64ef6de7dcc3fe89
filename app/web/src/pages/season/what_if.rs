//! Changes in thought: a shelf's set temperature, a pairing's date. They live on the page and nowhere else.

use crate::prefs::prefs;
use crate::store::barn;
use crate::words::season as said;
use book::views::WhatIf;
use book::words::PlaceWhat;
use book::{PairingId, PlaceId};
use leptos::prelude::*;
use trade::units::Temp;

/// A what-if, with its changes in words.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Change {
    pub what_if: WhatIf,
}

/// Half a degree, in hundredths.
const STEP_CC: i32 = 50;
const WEEK: i64 = 7;

#[component]
pub fn WhatIfForm(change: RwSignal<Change>, pairs: Vec<(PairingId, String)>) -> impl IntoView {
    let barn = barn();
    let step = prefs().get_untracked().units().step(i64::from(STEP_CC));
    let places: Vec<(PlaceId, String, Temp)> = barn.peek(|book| {
        book.places()
            .into_iter()
            .filter(|p| !p.closed && matches!(p.what, Some(PlaceWhat::Shelf | PlaceWhat::Incubator)))
            .filter_map(|p| Some((p.id.clone(), book.short_name(&p.id.thing()), book.set_temp(&p.id)?)))
            .collect()
    });
    let place = RwSignal::new(None::<usize>);
    let pair = RwSignal::new(None::<usize>);
    let picked =
        |signal: RwSignal<Option<usize>>| move |ev: leptos::ev::Event| signal.set(event_target_value(&ev).parse().ok());
    let (known, named) = (places.clone(), pairs.clone());
    let warmer = move |by: i32| {
        let Some((id, _, set)) = place.get_untracked().and_then(|at| known.get(at).cloned()) else { return };
        change.update(|c| match c.what_if.set.iter_mut().find(|(known, _)| *known == id) {
            Some((_, temp)) => *temp = Temp(temp.0 + by),
            None => c.what_if.set.push((id, Temp(set.0 + by))),
        });
    };
    let later = move |by: i64| {
        let Some((id, _)) = pair.get_untracked().and_then(|at| named.get(at).cloned()) else { return };
        change.update(|c| match c.what_if.later.iter_mut().find(|(known, _)| *known == id) {
            Some((_, days)) => *days += by,
            None => c.what_if.later.push((id, by)),
        });
    };
    let (warm, cool) = (warmer.clone(), warmer);
    let (late, early) = (later.clone(), later);
    let (place_names, pair_names) = (places.clone(), pairs.clone());
    let lines = move || {
        let prefs = prefs().get();
        let c = change.get().what_if;
        let set = c.set.iter().filter_map(|(id, temp)| {
            let (_, name, _) = place_names.iter().find(|(known, ..)| known == id)?;
            Some(said::set_to(name, *temp, &prefs))
        });
        let moved = c.later.iter().filter_map(|(id, days)| {
            let (_, name) = pair_names.iter().find(|(known, _)| known == id)?;
            Some(said::paired_later(name, *days))
        });
        let all: Vec<AnyView> = set.chain(moved).map(|line| view! { <li>{line}</li> }.into_any()).collect();
        (!all.is_empty()).then(|| {
            view! {
                <ul class="lines" aria-live="polite">{all}</ul>
                <button type="button" class="act" on:click=move |_| change.set(Change::default())>{said::LEAVE}</button>
            }
        })
    };
    let options = |names: Vec<String>| {
        names
            .into_iter()
            .enumerate()
            .map(|(i, name)| view! { <option value=i.to_string()>{name}</option> })
            .collect_view()
    };
    view! {
        <details class="card no-print">
            <summary>{said::WHAT_IF}</summary>
            <p class="aside">{said::WHAT_IF_SAID}</p>
            <label class="field"><span>{said::SHELF}</span>
                <select on:change=picked(place)><option value="">{said::CHOOSE}</option>
                    {options(places.into_iter().map(|p| p.1).collect())}</select>
            </label>
            <div class="gap grow">
                <button type="button" class="act small" disabled=move || place.get().is_none() on:click=move |_| cool(-STEP_CC)>{said::cooler(&step)}</button>
                <button type="button" class="act small" disabled=move || place.get().is_none() on:click=move |_| warm(STEP_CC)>{said::warmer(&step)}</button>
            </div>
            {(!pairs.is_empty()).then(|| view! {
                <label class="field"><span>{said::PAIRING}</span>
                    <select on:change=picked(pair)><option value="">{said::CHOOSE}</option>
                        {options(pairs.into_iter().map(|p| p.1).collect())}</select>
                </label>
                <div class="gap grow">
                    <button type="button" class="act small" disabled=move || pair.get().is_none() on:click=move |_| early(-WEEK)>{said::EARLIER}</button>
                    <button type="button" class="act small" disabled=move || pair.get().is_none() on:click=move |_| late(WEEK)>{said::LATER_WEEK}</button>
                </div>
            })}
            {lines}
        </details>
    }
}
