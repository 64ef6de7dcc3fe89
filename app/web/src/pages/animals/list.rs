//! The list of animals, which stays beside an animal's page on wide screens.

use crate::clock;
use crate::route::{self, Page};
use crate::store::barn;
use crate::ui::forms::{Choice, SearchField};
use crate::ui::photo::Face;
use crate::ui::{Empty, Head, PANES, Paged, Pane, wide};
use crate::words::{animals as words, dates, names};
use book::records::Animal;
use book::views::{Face as Known, NextStep, face_of, next_steps};
use book::words::Sex;
use book::{AnimalId, Book};
use desk::lists::Show;
use leptos::prelude::*;

// What was looked for stays while animals are opened and closed again.
thread_local! {
    static LOOK: (ArcRwSignal<String>, ArcRwSignal<Show>) = (ArcRwSignal::new(String::new()), ArcRwSignal::new(Show::All));
}

struct Row {
    id: AnimalId,
    title: String,
    about: String,
    place: Option<String>,
    state: Option<String>,
    urgent: bool,
    face: Option<Known>,
}

#[component]
pub fn Animals() -> impl IntoView {
    let barn = barn();
    let aside = Signal::derive(move || words::here(barn.read(|book| book.animals().len())));
    let wide = wide(PANES);
    let any = Memo::new(move |_| barn.read(|book| book.all_animals().next().is_some()));
    move || {
        if !any.get() {
            return view! {
                <div class="page">
                    <Head title=words::TITLE.to_string() />
                    <Empty text=words::EMPTY><a class="act main" href=Page::AnimalNew.href()>{words::ADD}</a></Empty>
                </div>
            }
            .into_any();
        }
        view! {
            <div class="page with-acts">
                <Head title=words::TITLE.to_string() aside />
                // Where there is room, the list stands beside.
                {move || if wide.get() {
                    view! { <p class="quiet inset">{words::CHOOSE}</p> }.into_any()
                } else {
                    view! { <List /> }.into_any()
                }}
                <div class="acts">
                    <a class="act" href=Page::Many.href()>{crate::words::many::OPEN}</a>
                    <a class="act main" href=Page::AnimalNew.href()>{words::ADD}</a>
                </div>
            </div>
        }
        .into_any()
    }
}

/// The list as it stands beside an animal.
#[component]
pub fn ListBeside() -> impl IntoView {
    let barn = barn();
    let aside = Signal::derive(move || words::here(barn.read(|book| book.animals().len())));
    let any = Memo::new(move |_| barn.read(|book| book.all_animals().next().is_some()));
    move || any.get().then(|| view! { <Pane name=words::TITLE href=Page::Animals.href() aside><List /></Pane> })
}

/// Search, chips and rows; the animal whose page stands beside them is marked.
#[component]
fn List() -> impl IntoView {
    let barn = barn();
    let (text, show) = LOOK.with(|(text, show)| (RwSignal::from(text.clone()), RwSignal::from(show.clone())));
    let options = [
        (Show::All, words::ALL),
        (Show::Females, words::FEMALES),
        (Show::Males, words::MALES),
        (Show::Left, words::LEFT),
    ];
    let options = options.into_iter().map(|(show, said)| (show, said.to_owned())).collect();
    let found = Memo::new(move |_| barn.read(|book| text.with(|text| desk::lists::animals(book, text, show.get()))));
    let page = route::page();
    let chosen = Memo::new(move |_| {
        page.with(|page| match page {
            Page::Animal(id) => Some(AnimalId::from(id.as_str())),
            _ => None,
        })
    });
    let some = Callback::new(move |(from, to): (usize, usize)| {
        let ids = found.with(|found| found.get(from..to).map(<[AnimalId]>::to_vec).unwrap_or_default());
        let now = clock::now();
        let rows: Vec<Row> =
            barn.read(|book| ids.iter().filter_map(|id| Some(row(book, book.animal(id)?, now))).collect());
        view! {
            <ul>{rows.into_iter().map(|row| {
                let id = row.id.clone();
                let here = Signal::derive(move || chosen.with(|chosen| chosen.as_ref() == Some(&id)));
                view! { <li><RowView row here /></li> }
            }).collect_view()}</ul>
        }
        .into_any()
    });
    let rows = move || {
        if found.with(Vec::is_empty) {
            let said =
                if show.get() == Show::Left && text.with(String::is_empty) { words::NONE_LEFT } else { words::NOBODY };
            let clear = move |_| {
                text.set(String::new());
                show.set(Show::All);
            };
            return view! {
                <Empty text=said><button type="button" class="act" on:click=clear>{words::CLEAR}</button></Empty>
            }
            .into_any();
        }
        let chosen = chosen.get_untracked();
        let at = found.with(|found| found.iter().position(|id| Some(id) == chosen.as_ref()));
        let name = text.with(|text| format!("{:?} {text}", show.get()));
        view! { <Paged name total=Signal::derive(move || found.with(Vec::len)) show=some at=at.unwrap_or(0) /> }
            .into_any()
    };
    let wanted = move || {
        let (females, males) = barn.read(|book| {
            let of = |sex: Sex| book.all_animals().any(|a| a.sex == Some(sex));
            (of(Sex::Female), of(Sex::Male))
        });
        match (females, males) {
            (true, false) => Some(words::NOW_A_MALE),
            (false, true) => Some(words::NOW_A_FEMALE),
            _ => None,
        }
    };
    view! {
        <SearchField label=words::SEARCH value=text />
        <Choice label=words::SHOW options value=show />
        {move || wanted().map(|said| view! { <p class="banner">{said}</p> })}
        {rows}
    }
}

#[component]
fn RowView(row: Row, here: Signal<bool>) -> impl IntoView {
    view! {
        <a class="row" class:urgent=row.urgent href=Page::Animal(row.id.to_string()).href() aria-current=move || here.get().then_some("true")>
            <span class="text">
                <span class="title">{row.title}</span>
                {row.state.map(|state| view! { <span class:warn=row.urgent>{state}</span> })}
                <span class="aside">{row.about}</span>
                {row.place.map(|place| view! { <span class="aside">{place}</span> })}
            </span>
            // Last, so that names stand below each other whether there is a picture or not.
            {row.face.map(|face| view! { <Face face /> })}
        </a>
    }
}

fn row(book: &Book, animal: &Animal, now: chrono::NaiveDateTime) -> Row {
    let today = now.date();
    let name = names::animal(book, &animal.id);
    let title = match &animal.code {
        Some(code) if *code != name => format!("{name} · {code}"),
        _ => name,
    };
    let next = next_steps(book, &animal.id, now).into_iter().next();
    let urgent = matches!(next, Some(NextStep::Straining { .. } | NextStep::Overdue { .. }));
    let state = next.map(|step| match step {
        NextStep::Straining { .. } => words::VET_STRAINING.to_owned(),
        NextStep::Overdue { .. } => words::VET_OVERDUE.to_owned(),
        NextStep::EggsDue { from, to, .. } => words::eggs_likely(&dates::range(from, to, today)),
        step @ NextStep::NoEggs { .. } => crate::words::pairings::next(&step, today),
        NextStep::EggsToBox { clutch, .. } => words::to_pull(&book.clutch_number(&clutch)),
        NextStep::Gone { went, when } => words::left(went, when.map(|w| dates::when(w, today)), None),
    });
    Row {
        id: animal.id.clone(),
        title,
        about: words::aside(animal.species.as_ref().map(|key| names::species(book, key)), animal),
        place: book.place_of(&animal.id.thing()).map(|place| names::place(book, &place.id)),
        state,
        urgent,
        face: face_of(book, &animal.id),
    }
}
