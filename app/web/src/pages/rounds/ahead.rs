//! The days ahead, and the calendar file for the phone's own calendar.

use crate::clock;
use crate::prefs::{Prefs, prefs};
use crate::route::Page;
use crate::store::barn;
use crate::ui::Head;
use crate::ui::files::give;
use crate::words::{dates, names, nav, rounds as said};
use book::Book;
use book::calendar::{Event, write};
use book::views::{CalendarRow, CalendarWhat, Coming, ahead, calendar_rows};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// Rows of one day in the page.
const SHOWN: usize = 30;

#[component]
pub fn Ahead() -> impl IntoView {
    let barn = barn();
    let prefs = prefs();
    let now = clock::now();
    let days = Memo::new(move |_| barn.read(|book| ahead(book, now, 7)));
    let calendar = move |_| {
        let text = barn.peek(|book| {
            let events = calendar_rows(book, now);
            let events: Vec<Event> = events.iter().map(|row| event(book, row, &prefs.get_untracked())).collect();
            write(said::CALENDAR_NAME, &events, clock::utc())
        });
        spawn_local(async move {
            if give(text.as_bytes(), "candlemark.ics", "text/calendar").await.is_err() {
                barn.say(said::NOT_GIVEN.into(), None);
            }
        });
    };
    view! {
        <div class="page with-acts">
            <Head title=said::AHEAD_TITLE.to_string() back=(Page::Rounds, nav::ROUNDS.to_owned()) />
            <p class="aside">{said::AHEAD_HOW}</p>
            {move || days.get().into_iter().map(|coming| day_view(coming, &prefs.get())).collect_view()}
            <p class="aside">{said::CALENDAR_HOW}</p>
            <div class="acts"><button type="button" class="act main" on:click=calendar>{said::CALENDAR}</button></div>
        </div>
    }
}

fn day_view(coming: Coming, prefs: &Prefs) -> AnyView {
    let today = clock::today();
    let more = coming.dues.len().saturating_sub(SHOWN);
    let rows = coming.dues.into_iter().take(SHOWN).map(|due| {
        let (open, ..) = super::leads(&due);
        view! {
            <a class="row" href=open.href()>
                <span class="text">
                    <span class="title">{said::title(&due.name, &due.about)}</span>
                    <span>{said::fact(due.thing.kind, &due.fact, coming.day.and_hms_opt(20, 0, 0).unwrap_or_default(), prefs)}</span>
                    {(!due.path.is_empty()).then(|| view! { <span class="aside">{names::path(&due.path)}</span> })}
                </span>
            </a>
        }
    });
    let rows = rows.collect_view();
    let none = rows.is_empty();
    view! {
        <h2>{dates::near(coming.day, today)}</h2>
        {none.then(|| view! { <p class="quiet inset">{said::NOTHING_COMES}</p> })}
        {rows}
        {(more > 0).then(|| view! { <p class="aside">{said::more(more)}</p> })}
    }
    .into_any()
}

/// One entry in words; its identifier is the thing's own, with the barn's.
fn event(book: &Book, row: &CalendarRow, prefs: &Prefs) -> Event {
    let title = match &row.what {
        CalendarWhat::Hatch => said::hatch_likely(&row.name),
        CalendarWhat::Eggs => said::eggs_likely(&row.name),
        CalendarWhat::Due(due) => {
            let evening = row.from.and_hms_opt(20, 0, 0).unwrap_or_default();
            format!("{}: {}", row.name, said::fact(due.thing.kind, &due.fact, evening, prefs))
        }
    };
    Event {
        uid: format!("{}@{}.candlemark", row.key, book.journal().book()),
        from: row.from,
        to: row.to,
        title,
        about: if row.path.is_empty() { String::new() } else { names::path(&row.path) },
    }
}
