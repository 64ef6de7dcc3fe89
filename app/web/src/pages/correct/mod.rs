//! One observation put right, in what it says or in when it happened; or taken back.

mod forms;
mod promises;

use crate::clock;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::day::Moment;
use crate::ui::{Empty, Head};
use crate::words::{self as all_words, correct as words, dates};
use book::acts::Withdrawn;
use book::{Kind, Thing};
use desk::correct::about;
use leptos::prelude::*;

#[component]
pub fn Correct(kind: String, id: String) -> impl IntoView {
    let barn = barn();
    let thing = Kind::of(&kind).map(|kind| Thing::new(kind, id));
    let found = thing.as_ref().and_then(|thing| barn.peek(|book| about(book, thing)));
    let (Some(thing), Some((when, page))) = (thing, found) else {
        return view! {
            <div class="page"><Empty text=words::GONE><a class="act main" href=Page::Daybook.href()>{all_words::daybook::TITLE}</a></Empty></div>
        }
        .into_any();
    };
    let today = clock::today();
    let written = barn.peek(|book| book.written(&thing)).map(|written| {
        let by = barn.peek(|book| all_words::names::person(book, &written.by));
        let typed = clock::day_at(written.at_ms).map(|day| dates::near(day, today));
        words::typed(&typed.unwrap_or_default(), &by)
    });
    let moment = Moment::new(when);
    let back = (page.clone(), words::BACK.to_owned());
    let form = forms::of(&thing, moment, page.clone());
    let take_back = move |_| {
        let to = page.clone();
        barn.save(Withdrawn { thing: thing.clone() }, words::TAKEN_BACK, move |_| to.replace());
    };
    view! {
        <div class="page with-acts">
            <Head title=words::TITLE.to_string() back />
            {form}
            {written.map(|written| view! { <p class="aside inset">{written}</p> })}
            <button type="button" class="act bad" on:click=take_back>{words::TAKE_BACK}</button>
        </div>
    }
    .into_any()
}
