//! Which acts of the daybook are shown: of a thing, a person, a day.

use crate::store::barn;
use crate::trail;
use crate::ui::day::DateField;
use crate::ui::forms::{Faults, Pick, TextField};
use crate::words::{daybook as words, names};
use desk::Wrong;
use desk::daybook::Wanted;
use leptos::prelude::*;

#[component]
pub fn Filter(wanted: RwSignal<Wanted>) -> impl IntoView {
    let barn = barn();
    let (thing, person, day) = (trail::kept("thing"), trail::kept("person"), trail::kept("day"));
    // What was looked for before stands open: nobody wonders where the rest is.
    let open = [thing, person, day].iter().any(|field| field.with_untracked(|field| !field.is_empty()));
    let (typed, faults) = (RwSignal::new(day.get_untracked()), Faults::new());
    Effect::new(move |_| {
        // While a day is half typed, the day before it stays in force.
        if whole(&typed.get()).is_ok() {
            day.set(typed.get_untracked());
        }
    });
    Effect::new(move |_| wanted.set(Wanted { thing: thing.get(), person: person.get(), day: day.get() }));
    // Said once its field is left, and the cursor stays where it went. A page that goes takes the focus with it: by then
    // there is nobody to tell.
    let left = move |_| {
        if let Some(Err(wrong)) = typed.try_with_untracked(|typed| whole(typed)) {
            faults.mark(wrong);
        }
    };
    let people = Signal::derive(move || {
        let all = barn.read(|book| {
            let named = book.people().into_iter().filter(|person| person.name.is_some());
            named.map(|person| (person.id.to_string(), names::person(book, person.id.as_str()))).collect::<Vec<_>>()
        });
        [vec![(String::new(), words::ANYBODY.to_owned())], all].concat()
    });
    view! {
        <details class="card" open=open on:focusout=left>
            <summary>{words::FILTER}</summary>
            <TextField label=words::FILTER_THING value=thing />
            <Pick label=words::FILTER_PERSON options=people value=person />
            <DateField label=words::FILTER_DAY value=typed faults />
        </details>
    }
}

fn whole(day: &str) -> Result<(), Wrong> {
    Wanted::whole(day, words::FILTER_DAY)
}
