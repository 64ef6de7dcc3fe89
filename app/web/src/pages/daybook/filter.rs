//! Which acts of the daybook are shown: of a thing, a person, a day.

use crate::store::barn;
use crate::trail;
use crate::ui::forms::{Pick, TextField};
use crate::words::{daybook as words, names};
use desk::daybook::Wanted;
use leptos::prelude::*;

#[component]
pub fn Filter(wanted: RwSignal<Wanted>) -> impl IntoView {
    let barn = barn();
    let (thing, person, day) = (trail::kept("thing"), trail::kept("person"), trail::kept("day"));
    // What was looked for before stands open: nobody wonders where the rest is.
    let open = [thing, person, day].iter().any(|field| field.with_untracked(|field| !field.is_empty()));
    Effect::new(move |_| wanted.set(Wanted { thing: thing.get(), person: person.get(), day: day.get() }));
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
            <label class="field"><span>{words::FILTER_DAY}</span>
                <input type="date" prop:value=day on:input=move |ev| day.set(event_target_value(&ev)) />
            </label>
        </details>
    }
}
