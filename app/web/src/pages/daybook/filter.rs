//! Which acts of the daybook are shown: of a thing, a person, a day.

use crate::store::barn;
use crate::trail;
use crate::ui::day::DateField;
use crate::ui::forms::{Faults, Pick, TextField};
use crate::words::{daybook as words, names};
use desk::daybook::Wanted;
use leptos::prelude::*;

#[component]
pub fn Filter(wanted: RwSignal<Wanted>) -> impl IntoView {
    let barn = barn();
    let (thing, person, day) = (trail::kept("thing"), trail::kept("person"), trail::kept("day"));
    // What was looked for before stands open: nobody wonders where the rest is.
    let open = [thing, person, day].iter().any(|field| field.with_untracked(|field| !field.is_empty()));
    let faults = Faults::new();
    Effect::new(move |_| {
        let typed = Wanted { thing: thing.get(), person: person.get(), day: day.get() };
        // What is shown stays as it was asked for while a day is half typed, which is said at its field.
        if let Some(whole) = faults.pass(typed.whole(words::FILTER_DAY)) {
            wanted.set(whole);
        }
    });
    let people = Signal::derive(move || {
        let all = barn.read(|book| {
            let named = book.people().into_iter().filter(|person| person.name.is_some());
            named.map(|person| (person.id.to_string(), names::person(book, person.id.as_str()))).collect::<Vec<_>>()
        });
        [vec![(String::new(), words::ANYBODY.to_owned())], all].concat()
    });
    view! {
        <details class="card" open=open>
            <summary>{words::FILTER}</summary>
            <TextField label=words::FILTER_THING value=thing />
            <Pick label=words::FILTER_PERSON options=people value=person />
            <DateField label=words::FILTER_DAY value=day faults />
        </details>
    }
}
