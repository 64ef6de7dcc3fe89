//! A shelf's temperature on its page, and on a box's page what its eggs went through.

use crate::clock;
use crate::prefs::{prefs, units as typed_units};
use crate::route::Page;
use crate::store::barn;
use crate::ui::Plot;
use crate::ui::forms::{Choice, Faults, Quantity};
use crate::words::{self, dates, heat as said, units};
use book::acts::{PlaceCard, PlaceEdited, SetPointChanged};
use book::views::{box_plot, males_of_box, place_view, shelf_plot};
use book::{FillingId, PlaceId};
use desk::forms::places::{set_anew, set_to};
use leptos::prelude::*;
use trade::when::When;

/// The plot, what it was set to, and the ways to tell more.
#[component]
pub fn ShelfHeat(id: PlaceId) -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let now = clock::now();
    let today = now.date();
    let shown = id.clone();
    let plot = move || match barn.read(|book| shelf_plot(book, &shown, now)) {
        Some(plot) => view! { <Plot plot prefs=prefs.get() /> }.into_any(),
        None => view! { <p class="quiet">{said::NO_PLOT}</p> }.into_any(),
    };
    let listed = id.clone();
    let history = move || {
        let prefs = prefs.get();
        let view = barn
            .read(|book| place_view(book, &listed, now).map(|v| (v.set_changes, v.logs, book.set_temps(&listed).0)));
        let (changes, logs, first) = view.unwrap_or_default();
        let told = !changes.is_empty();
        let sets = changes
            .into_iter()
            .map(|(since, temp)| said::was_set(&units::temp(temp, &prefs), Some(&dates::moment(since, today))))
            .chain(first.filter(|_| told).map(|temp| said::was_set(&units::temp(temp, &prefs), None)));
        let logs = logs.into_iter().map(|log| {
            let when = log.when.map(|w| dates::when(w, today)).unwrap_or_default();
            let name = log.source.unwrap_or_default();
            [said::readings(log.count), when, name]
                .into_iter()
                .filter(|p| !p.is_empty())
                .collect::<Vec<_>>()
                .join(" · ")
        });
        let (sets, logs): (Vec<String>, Vec<String>) = (sets.collect(), logs.collect());
        view! {
            {(!sets.is_empty()).then(|| view! { <p class="aside">{sets.join(" · ")}</p> })}
            {(!logs.is_empty()).then(|| view! {
                <details><summary>{said::LOGS}</summary>
                    <ul class="story">{logs.into_iter().map(|log| view! { <li>{log}</li> }).collect_view()}</ul>
                </details>
            })}
        }
    };
    view! {
        <h2>{said::TEMPERATURE_TITLE}</h2>
        <section class="card stack">
            {plot}
            {history}
        </section>
        <div class="gap">
            <a class="act small" href=Page::PlaceLog(id.to_string()).href()>{said::BRING_IN}</a>
        </div>
        <SetAnew id />
    }
}

/// Another set temperature: from now on, or the figure corrected.
#[component]
fn SetAnew(id: PlaceId) -> impl IntoView {
    let barn = barn();
    let (entry, faults) = (RwSignal::new(set_to()), Faults::new());
    let always = RwSignal::new(barn.peek(|book| book.set_temp(&id).is_none()));
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let built = entry.with_untracked(|entry| set_anew(entry, typed_units()));
        let Some(temp) = faults.pass(built) else { return };
        let done = move |_: &journal::Draft| {
            let _ = entry.try_set(set_to());
        };
        if !always.get_untracked() {
            let act = SetPointChanged { place: id.clone(), from: When::time(clock::now()), temp };
            return barn.save(act, said::SET_SAVED, done);
        }
        let Some(card) = barn.peek(|book| PlaceCard::of(book, &id)) else { return };
        barn.save(PlaceEdited { place: id.clone(), card: PlaceCard { set: Some(temp), ..card } }, said::SET_SAVED, done)
    };
    let since = vec![(false, said::FROM_NOW.to_owned()), (true, said::ALWAYS.to_owned())];
    view! {
        <details>
            <summary>{said::SET_ANEW}</summary>
            <form on:submit=save>
                <Quantity entry faults />
                <Choice label=said::FROM_WHEN options=since value=always />
                <p class="aside">{said::FROM_HINT}</p>
                <button type="submit" class="act main">{words::SAVE}</button>
            </form>
        </details>
    }
}

/// What the eggs of a box went through since they were laid, how far it brought them, and what it means for sex.
#[component]
pub fn BoxHeat(id: FillingId) -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    move || {
        let now = clock::now();
        let prefs = prefs.get();
        let (plot, males) = barn.read(|book| (box_plot(book, &id, now), males_of_box(book, &id, now)));
        plot.map(|plot| {
            view! {
                <h2>{said::TEMPERATURE_TITLE}</h2>
                <section class="card stack">
                    <Plot plot prefs=prefs.clone() />
                    {males.map(|(celsius, males)| view! { <p>{said::males(celsius, &males, &prefs)}</p> })}
                </section>
            }
        })
    }
}
