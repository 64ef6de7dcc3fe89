//! Everything done, newest first, by whom; one's own acts can be undone.

use crate::clock;
use crate::prefs::{Prefs, prefs};
use crate::route::Page;
use crate::store::barn;
use crate::ui::{Empty, Head, Paged};
use crate::words::{self as all_words, dates, daybook as words, names, trouble};
use book::acts::is_final;
use book::views::describe;
use book::{Book, Thing};
use chrono::{NaiveDate, NaiveDateTime};
use desk::daybook::{Lines, Numbered, Wanted};
use journal::{DeviceId, Entry, Ref};
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::collections::BTreeSet;

mod filter;
mod undoing;

use filter::Filter;
use undoing::Undoing;

#[derive(Clone)]
enum State {
    Reading,
    Read(Lines),
    Failed(String),
}

#[component]
pub fn Daybook() -> impl IntoView {
    let barn = barn();
    let state = RwSignal::new(State::Reading);
    let wanted = RwSignal::new(Wanted::default());
    let asking = RwSignal::new(None::<Ref>);
    Effect::new(move |_| {
        // Read again whenever something was saved, here or in another tab.
        barn.follow();
        spawn_local(async move {
            let read = match barn.lines().await {
                Ok(lines) => State::Read(Lines::of(lines)),
                Err(why) => State::Failed(trouble::opening(&why)),
            };
            let _ = state.try_set(read);
        });
    });
    let aside = Signal::derive(move || {
        state.with(|state| match state {
            State::Read(lines) if !lines.newest.is_empty() => words::acts(lines.newest.len()),
            _ => String::new(),
        })
    });
    let body = move || match state.get() {
        State::Reading => view! { <p class="quiet inset">{words::READING}</p> }.into_any(),
        State::Failed(said) => view! { <div class="banner bad" role="alert"><p>{said}</p></div> }.into_any(),
        State::Read(lines) if lines.newest.is_empty() => view! {
            <Empty text=words::EMPTY><a class="act main" href=Page::Rounds.href()>{words::TO_ROUNDS}</a></Empty>
        }
        .into_any(),
        State::Read(lines) => view! { <Shown lines wanted asking /> }.into_any(),
    };
    view! {
        <div class="page">
            <Head title=words::TITLE.to_string() aside back=(Page::More, crate::words::settings::MORE.to_owned()) />
            <Filter wanted />
            {body}
        </div>
    }
}

/// The acts that fit, a page of them at a time: filtered by the lines' own text, and only what is shown is read whole.
#[component]
fn Shown(lines: Lines, wanted: RwSignal<Wanted>, asking: RwSignal<Option<Ref>>) -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let all = lines.clone();
    let fitting = Memo::new(move |_| {
        let wanted = wanted.with(|wanted| barn.peek(|book| wanted.find(book)));
        all.fitting(&wanted)
    });
    let total = Signal::derive(move || fitting.with(Vec::len));
    let some = Callback::new(move |(from, to): (usize, usize)| {
        let (own, prefs) = (barn.device(), prefs.get());
        let acts = barn.peek(|book| {
            let look = Look { book, prefs: &prefs, own, undone: &lines.undone, today: clock::today() };
            fitting.with(|fitting| {
                let shown = fitting.get(from..to).unwrap_or_default();
                shown.iter().filter_map(|&at| lines.newest.get(at)).map(|line| look.act(line)).collect()
            })
        });
        days(acts, asking)
    });
    move || match total.get() {
        0 => view! { <p class="quiet inset" role="status">{words::NONE_FIT}</p> }.into_any(),
        // Another search begins at its newest again.
        _ => {
            let name = wanted.with(|wanted| format!("{wanted:?}"));
            view! { <Paged name total show=some /> }.into_any()
        }
    }
}

/// One act as the page shows it.
struct Act {
    day: String,
    title: String,
    about: String,
    page: Option<Page>,
    details: String,
    text: Option<String>,
    aside: String,
    undone: bool,
    undo: Option<Ref>,
}

struct Look<'a> {
    book: &'a Book,
    prefs: &'a Prefs,
    own: Option<DeviceId>,
    undone: &'a BTreeSet<Numbered>,
    today: NaiveDate,
}

impl Look<'_> {
    fn act(&self, line: &str) -> Act {
        let Ok(entry) = Entry::read(line) else {
            return Act {
                day: String::new(),
                title: words::UNREADABLE.to_owned(),
                about: String::new(),
                page: None,
                details: String::new(),
                text: None,
                aside: String::new(),
                undone: false,
                undo: None,
            };
        };
        let said = describe(self.book, &entry);
        // The clock on the writing device's wall, as it said it; the offset is for machines.
        let written = said.wall.get(..16).and_then(|t| NaiveDateTime::parse_from_str(t, "%Y-%m-%dT%H:%M").ok());
        let undone = self.undone.contains(&(entry.dev().to_string(), entry.seq()));
        let time = written.map(dates::time).unwrap_or_default();
        let by = names::person(self.book, &said.by);
        // Only when it was not written down at once.
        let earlier = said.when.filter(|when| written.is_some_and(|t| when.days().1 < t.date()));
        let earlier = earlier.map(|when| words::happened(&dates::when(when, self.today)));
        let aside = [Some(time), Some(by), earlier].into_iter().flatten().filter(|s| !s.is_empty()).collect::<Vec<_>>();
        let gone = is_final(&said.act);
        let details = words::details(&said, self.prefs);
        let about: Vec<String> = said.subjects.iter().map(|(_, name)| name.clone()).collect();
        Act {
            day: written.map(|t| dates::near(t.date(), self.today)).unwrap_or_default(),
            title: words::seen(&entry).filter(|_| said.undoes.is_none()).unwrap_or_else(|| words::act(&said.act)),
            about: words::about(&about),
            page: said.subjects.iter().find_map(|(thing, _)| self.page(thing)),
            details: if gone { words::FINAL.to_owned() } else { details },
            text: said.text.clone(),
            aside: aside.join(" · "),
            undone,
            // An undo is an act too, and what it took back can be done again by undoing it.
            undo: (!undone && !gone && self.own == Some(entry.dev())).then_some(entry.reference),
        }
    }

    /// Where it leads, while the thing is there.
    fn page(&self, thing: &Thing) -> Option<Page> {
        Page::of(thing).filter(|_| self.book.has(thing))
    }
}

/// Rows under the days they were written on.
fn days(acts: Vec<Act>, asking: RwSignal<Option<Ref>>) -> AnyView {
    let mut days: Vec<(String, Vec<Act>)> = Vec::new();
    for act in acts {
        match days.last_mut() {
            Some((day, rows)) if *day == act.day => rows.push(act),
            _ => days.push((act.day.clone(), vec![act])),
        }
    }
    days.into_iter()
        .map(|(day, acts)| {
            view! {
                <h2>{if day.is_empty() { all_words::UNKNOWN.to_owned() } else { day }}</h2>
                <ul>{acts.into_iter().map(|act| view! { <li><ActView act asking /></li> }).collect_view()}</ul>
            }
        })
        .collect_view()
        .into_any()
}

#[component]
fn ActView(
    act: Act,
    /// The act whose undoing is being looked at.
    asking: RwSignal<Option<Ref>>,
) -> impl IntoView {
    let named = if act.about.is_empty() { act.title.clone() } else { format!("{}, {}", act.title, act.about) };
    let undo_said = words::undo_of(&named);
    view! {
        <div class="row linked" class:undone=act.undone>
            <span class="text">
                <span class="title">{match act.page {
                    Some(page) => view! { <a class="link" href=page.href()>{named}</a> }.into_any(),
                    None => named.into_any(),
                }}</span>
                {(!act.details.is_empty()).then(|| view! { <span>{act.details}</span> })}
                {act.text.map(|text| view! { <span class="said">{text}</span> })}
                <span class="aside">{act.aside}{act.undone.then(|| format!(" · {}", words::UNDONE))}</span>
            </span>
            {act.undo.map(|reference| view! {
                <button type="button" class="act small" aria-label=undo_said on:click=move |_| asking.set(Some(reference))>{words::UNDO}</button>
            })}
        </div>
        {act.undo.map(|reference| move || (asking.get() == Some(reference)).then(|| view! { <Undoing reference asking /> }))}
    }
}
