//! A new place. An incubator comes with all its shelves in one act.

use super::edit::outer_options;
use crate::prefs::units;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::Head;
use crate::ui::forms::{Choice, Faults, Pick, Quantity, Stepper, TextField, count};
use crate::words::{self as all_words, places as words};
use book::acts::made;
use book::words::PlaceWhat;
use book::{Book, Kind, PlaceId};
use desk::forms::places::{NewPlace, PlaceForm as Form};
use leptos::prelude::*;
use trade::units::Temp;

/// What a form offers, most used first.
const OFFERED: [PlaceWhat; 6] =
    [PlaceWhat::Incubator, PlaceWhat::Rack, PlaceWhat::Tub, PlaceWhat::Room, PlaceWhat::Shelf, PlaceWhat::Slot];

#[component]
pub fn PlaceForm() -> impl IntoView {
    let barn = barn();
    let what = RwSignal::new(PlaceWhat::Incubator);
    let name = RwSignal::new(barn.peek(|book| next_name(book, PlaceWhat::Incubator)));
    let within = RwSignal::new(barn.peek(|book| usual_outer(book, PlaceWhat::Incubator)));
    // A name that was typed stays; one that was offered follows the kind.
    Effect::new(move |was: Option<PlaceWhat>| {
        let now = what.get();
        if let Some(was) = was.filter(|was| *was != now) {
            barn.peek(|book| {
                if name.with_untracked(|n| *n == next_name(book, was)) {
                    name.set(next_name(book, now));
                }
                within.set(usual_outer(book, now));
            });
        }
        now
    });
    let start = Form::new(barn.peek(usual_set), units());
    let faults = Faults::new();
    let [shelves, tubs, set] = [&start.shelves, &start.tubs, &start.set].map(|entry| RwSignal::new(entry.clone()));
    let prefix = RwSignal::new(String::new());
    // All there can be, made here: one made where the fields are drawn would end when they are drawn anew.
    let each = StoredValue::new(start.each.iter().cloned().map(RwSignal::new).collect::<Vec<_>>());

    let save = move |again: bool| {
        let (kind, called) = (what.get_untracked(), name.get_untracked());
        let form = Form {
            what: kind,
            name: called.clone(),
            within: Some(within.get_untracked()).filter(|w| !w.is_empty()).map(PlaceId::new),
            shelves: shelves.get_untracked(),
            tubs: tubs.get_untracked(),
            prefix: prefix.get_untracked(),
            set: set.get_untracked(),
            each: each.with_value(|each| each.iter().map(|own| own.get_untracked()).collect()),
        };
        let Some(act) = faults.pass(form.act(units())) else { return };
        let said = words::added(&called);
        let after = move |draft: &journal::Draft| {
            if again {
                let _ = name.try_set(barn.peek(|book| next_name(book, kind)));
            } else {
                made(draft, Kind::Place).map_or(Page::Places, |place| Page::Place(place.id)).replace();
            }
        };
        match act {
            NewPlace::Incubator(act) => barn.save(act, said, after),
            NewPlace::Rack(act) => barn.save(act, said, after),
            NewPlace::Place(act) => barn.save(act, said, after),
        }
    };
    let submit = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        save(false);
    };
    let kinds = OFFERED.map(|kind| (kind, words::what(kind).to_owned())).to_vec();
    let options = Signal::derive(move || barn.read(|book| outer_options(book, None)));
    let incubator = move || what.get() == PlaceWhat::Incubator;
    view! {
        <div class="page with-acts">
            <Head title=words::NEW.to_string() back=(Page::Places, words::TITLE.to_owned()) />
            <form novalidate on:submit=submit>
                <Choice label=words::WHAT options=kinds value=what />
                <TextField label=words::NAME value=name />
                {move || incubator().then(|| view! { <Stepper entry=shelves faults /> })}
                {move || (what.get() == PlaceWhat::Rack).then(|| view! {
                    <Stepper entry=tubs faults />
                    <TextField label=words::TUB_PREFIX value=prefix hint=words::TUB_PREFIX_HINT />
                })}
                {move || match what.get() {
                    PlaceWhat::Incubator => view! { <Quantity entry=set hint=words::SET_ALL_HINT faults /> }.into_any(),
                    PlaceWhat::Shelf => view! { <Quantity entry=set faults /> }.into_any(),
                    _ => ().into_any(),
                }}
                {move || incubator().then(|| {
                    let n = count(shelves) as usize;
                    // What was typed for a shelf stays when another is added.
                    let fields = each.with_value(|each| each.iter().take(n).copied().collect::<Vec<_>>());
                    view! {
                        <details>
                            <summary>{words::EACH}</summary>
                            {fields.into_iter().map(|entry| view! { <Quantity entry faults /> }).collect_view()}
                        </details>
                    }
                })}
                {move || (options.get().len() > 1).then(|| view! { <Pick label=words::WITHIN options value=within /> })}
                <div class="acts">
                    {move || (!incubator()).then(|| view! {
                        <button type="button" class="act" on:click=move |_| save(true)>{words::SAVE_AND_NEXT}</button>
                    })}
                    <button type="submit" class="act main">{all_words::SAVE}</button>
                </div>
            </form>
        </div>
    }
}

/// The first of `Incubator A, B, C…`, `Tub 1, 2, 3…` that nothing is called yet.
fn next_name(book: &Book, what: PlaceWhat) -> String {
    let taken: Vec<String> =
        book.places().into_iter().filter_map(|place| place.name.as_ref().map(|n| n.to_lowercase())).collect();
    let kind = words::what(what);
    let letters = ('A'..='Z').map(|c| c.to_string()).collect::<Vec<_>>();
    let numbers = (1..=9_999).map(|n| n.to_string());
    let mut marks: Box<dyn Iterator<Item = String>> =
        if what == PlaceWhat::Incubator { Box::new(letters.into_iter().chain(numbers)) } else { Box::new(numbers) };
    let free = marks.find(|mark| !taken.contains(&format!("{kind} {mark}").to_lowercase()));
    free.map_or_else(|| kind.to_owned(), |mark| format!("{kind} {mark}"))
}

/// In the only room; a tub in the rack last added.
fn usual_outer(book: &Book, what: PlaceWhat) -> String {
    let last = |outer: PlaceWhat| {
        let fit = book.places().into_iter().filter(|place| place.what == Some(outer) && !place.closed);
        fit.max_by_key(|place| book.written(&place.id.thing()).map_or(0, |w| w.at_ms)).map(|place| place.id.to_string())
    };
    let outer = match what {
        PlaceWhat::Room => None,
        PlaceWhat::Tub | PlaceWhat::Slot => last(PlaceWhat::Rack),
        PlaceWhat::Shelf => last(PlaceWhat::Incubator),
        PlaceWhat::Incubator | PlaceWhat::Rack => last(PlaceWhat::Room),
    };
    outer.unwrap_or_default()
}

/// What most shelves are set to.
fn usual_set(book: &Book) -> Option<Temp> {
    let mut sets: Vec<Temp> = book.shelves().into_iter().filter_map(|shelf| shelf.set).collect();
    sets.sort_unstable();
    let of = |temp: Temp| sets.iter().filter(|t| **t == temp).count();
    sets.iter().copied().max_by_key(|&temp| of(temp))
}
