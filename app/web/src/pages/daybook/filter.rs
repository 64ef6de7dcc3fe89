//! Which acts of the daybook are shown: of a thing, a person, a day.

use crate::store::barn;
use crate::ui::forms::{Pick, TextField};
use crate::words::{daybook as words, names};
use book::Book;
use leptos::prelude::*;
use serde::Deserialize;

/// Things a typed name may mean, at most.
const HITS: usize = 20;

/// As typed and chosen.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wanted {
    thing: String,
    person: String,
    /// `2026-06-09`.
    day: String,
}

/// The same, looked up in the book.
pub struct Found {
    /// Ids of what was typed; none: anything.
    ids: Option<Vec<String>>,
    person: String,
    day: String,
}

/// What of a line is asked here.
#[derive(Deserialize)]
struct Said {
    by: String,
    wall: String,
}

impl Wanted {
    pub fn find(&self, book: &Book) -> Found {
        let typed = self.thing.trim();
        let ids = (!typed.is_empty())
            .then(|| book::views::search(book, typed, HITS).into_iter().map(|hit| hit.thing.id).collect::<Vec<_>>());
        Found { ids, person: self.person.clone(), day: self.day.clone() }
    }
}

impl Found {
    /// By the line's own text: an act is about a thing when it names its id.
    pub fn fits(&self, line: &str) -> bool {
        if let Some(ids) = &self.ids
            && !ids.iter().any(|id| line.contains(id.as_str()))
        {
            return false;
        }
        if self.person.is_empty() && self.day.is_empty() {
            return true;
        }
        let Ok(said) = serde_json::from_str::<Said>(line) else { return false };
        (self.person.is_empty() || said.by == self.person) && said.wall.starts_with(&self.day)
    }
}

#[component]
pub fn Filter(wanted: RwSignal<Wanted>) -> impl IntoView {
    let barn = barn();
    let thing = RwSignal::new(String::new());
    let person = RwSignal::new(String::new());
    let day = RwSignal::new(String::new());
    Effect::new(move |_| wanted.set(Wanted { thing: thing.get(), person: person.get(), day: day.get() }));
    let people = Signal::derive(move || {
        let all = barn.read(|book| {
            let named = book.people().into_iter().filter(|person| person.name.is_some());
            named.map(|person| (person.id.to_string(), names::person(book, person.id.as_str()))).collect::<Vec<_>>()
        });
        [vec![(String::new(), words::ANYBODY.to_owned())], all].concat()
    });
    view! {
        <details class="card">
            <summary>{words::FILTER}</summary>
            <TextField label=words::FILTER_THING value=thing />
            <Pick label=words::FILTER_PERSON options=people value=person />
            <label class="field"><span>{words::FILTER_DAY}</span>
                <input type="date" prop:value=day on:input=move |ev| day.set(event_target_value(&ev)) />
            </label>
        </details>
    }
}
