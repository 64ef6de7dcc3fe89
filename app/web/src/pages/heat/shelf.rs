//! A shelf's temperature on its page, and on a box's page what its eggs went through.

use crate::clock;
use crate::prefs::{prefs, units as typed_units};
use crate::route::Page;
use crate::store::barn;
use crate::ui::Plot;
use crate::ui::day::{Seen, WhenFold};
use crate::ui::forms::{Choice, Faults, Quantity};
use crate::words::animals::{CORRECT, correct_of};
use crate::words::record::Line;
use crate::words::{self, dates, heat as said, units};
use book::acts::{PlaceCard, PlaceEdited, SetPointChanged};
use book::views::{box_plot, males_of_box, place_view, shelf_plot};
use book::{FillingId, PlaceId};
use desk::forms::places::{set_anew, set_to};
use leptos::prelude::*;

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
            let parts = [said::readings(log.count), when.clone(), name];
            let said = parts.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(" · ");
            (said, when, log.id.thing())
        });
        let (sets, logs): (Vec<String>, Vec<Line>) = (sets.collect(), logs.collect());
        let own: Vec<Line> = barn.read(|book| {
            let own = book.set_points(&listed).filter_map(|set| {
                let when = set.when.map(|when| dates::when(when, today))?;
                Some((said::was_set(&units::temp(set.temp?, &prefs), Some(&when)), when, set.id.thing()))
            });
            own.collect()
        });
        let correct = |(said, when, thing): Line| {
            let page = Page::Correct(thing.kind.word().into(), thing.id);
            let label = correct_of(&said, &when);
            view! { <li class="spread"><span>{said}</span><a class="reach aside" aria-label=label href=page.href()>{CORRECT}</a></li> }
        };
        view! {
            {(!sets.is_empty()).then(|| view! { <p class="aside">{sets.join(" · ")}</p> })}
            {(!own.is_empty()).then(|| view! {
                <details><summary>{said::SET_CHANGES}</summary>
                    <ul class="story">{own.into_iter().map(correct).collect_view()}</ul>
                </details>
            })}
            {(!logs.is_empty()).then(|| view! {
                <details><summary>{said::LOGS}</summary>
                    <ul class="story">{logs.into_iter().map(correct).collect_view()}</ul>
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
    let seen = Seen::now();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let built = entry.with_untracked(|entry| set_anew(entry, typed_units()));
        let Some(temp) = faults.pass(built) else { return };
        let done = move |_: &journal::Draft| {
            let _ = entry.try_set(set_to());
        };
        if !always.get_untracked() {
            let Some(from) = seen.get() else { return };
            let act = SetPointChanged { place: id.clone(), from, temp };
            return barn.save(act, said::SET_SAVED, done);
        }
        let Some(card) = barn.peek(|book| PlaceCard::of(book, &id)) else { return };
        barn.save(PlaceEdited { place: id.clone(), card: PlaceCard { set: Some(temp), ..card } }, said::SET_SAVED, done)
    };
    let since = vec![(false, said::FROM_NOW.to_owned()), (true, said::ALWAYS.to_owned())];
    view! {
        <details>
            <summary>{said::SET_ANEW}</summary>
            <form novalidate on:submit=save>
                <Quantity entry faults />
                <Choice label=said::FROM_WHEN options=since value=always />
                {move || (!always.get()).then(|| view! { <WhenFold seen /> })}
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
