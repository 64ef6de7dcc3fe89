//! Rounds, the first page: what wants looking at now, most urgent first, each row one tap from its act; and a
//! search box that finds an animal, clutch or box.

mod ahead;
mod clash;
mod find;

use crate::clock;
use crate::pages::boxes::burn;
use crate::pages::care::Given;
use crate::pages::settings::LoadDemo;
use crate::prefs::prefs;
use crate::route::{BoxAct, GuidePart, Page, PullFrom};
use crate::store::barn;
use crate::trail;
use crate::ui::forms::Choice;
use crate::ui::{Empty, Head, Paged, Taper};
use crate::words::{
    animals as animal_words, care as care_words, cleaning as cleaning_words, dates, names, rounds as said,
};
pub use ahead::Ahead;
use book::acts::{AnimalEventNoted, Snoozed};
use book::views::{Due, DueAct, DueKind, walk};
use book::words::{AnimalEventWhat, ShedAs};
use book::{AnimalId, Kind};
use clash::ClashRow;
pub use find::Find;
use leptos::prelude::*;
use std::time::Duration;
use trade::when::When;

const SHOWN: usize = 60;
/// Rows drawn first when the app opens: more than a phone shows at once.
const SCREENFUL: usize = 6;

#[component]
pub fn Rounds() -> impl IntoView {
    let barn = barn();
    let part = trail::kept("part");
    let all = Memo::new(move |_| {
        let now = barn.now();
        barn.read(|book| walk(book, now))
    });
    let later = Memo::new(move |_| all.with(|(_, later)| later.clone()));
    // Only rows that come, go or change places draw them anew: a row drawn anew under a finger loses the tap. Why each is
    // there changes by the hour.
    let due = Memo::new_with_compare(
        move |_| all.with(|(due, _)| due.clone()),
        |old: Option<&Vec<Due>>, new| {
            let alike = |(old, new): (&Vec<Due>, &Vec<Due>)| {
                old.len() == new.len() && old.iter().zip(new).all(|(old, new)| old.stands(new))
            };
            !old.zip(new).is_some_and(alike)
        },
    );
    let walked = Memo::new(move |_| {
        let part = part.get();
        due.with(|due| due.iter().filter(|due| is_in(due, &part)).cloned().collect::<Vec<_>>())
    });
    let some = Callback::new(move |(from, to): (usize, usize)| {
        let mut rows = walked.with(|due| due.get(from..to).map(<[Due]>::to_vec).unwrap_or_default());
        let below = rows.split_off(rows.len().min(SCREENFUL));
        let last = rows.last().map(heading);
        (headed(rows, None, all), move || barn.seen.get().then(|| headed(below.clone(), last, all))).into_any()
    });
    request_animation_frame(move || set_timeout(move || barn.seen.set(true), Duration::ZERO));
    let is_new = Memo::new(move |_| {
        barn.read(|book| book.all_animals().next().is_none() && book.clutches().is_empty() && book.places().is_empty())
    });
    let aside = Signal::derive(move || {
        let today = barn.today();
        format!("{} · {}", dates::weekday(today, today), said::things(due.with(Vec::len)))
    });
    view! {
        // What it shows is shown again at the next start, at once (`public/first.js`).
        <div class="page" data-rounds="">
            <Head title=said::TITLE.to_string() aside />
            {move || if is_new.get() {
                view! { <Start /> }.into_any()
            } else {
                view! {
                    <Find />
                    <Parts due part />
                    <crate::pages::labels::Lying />
                    {move || if walked.with(Vec::is_empty) {
                        view! { <Empty text=said::NOTHING_DUE><a class="act" href=Page::Boxes.href()>{said::SEE_BOXES}</a></Empty> }.into_any()
                    } else {
                        view! { <Paged name=part.get() total=Signal::derive(move || walked.with(Vec::len)) show=some /> }.into_any()
                    }}
                    {move || barn.seen.get().then(|| view! { <Below later /> })}
                }.into_any()
            }}
        </div>
    }
}

/// What is due, and what was put off until when.
type Walked = Memo<(Vec<Due>, Vec<(Due, chrono::NaiveDate)>)>;

/// What stands below the rows: drawn after the first screenful, like those.
#[component]
fn Below(later: Memo<Vec<(Due, chrono::NaiveDate)>>) -> impl IntoView {
    view! {
        {move || {
            let later = later.get();
            (!later.is_empty()).then(|| view! { <PutOff later /> })
        }}
        <div class="gap"><a class="act small" href=Page::Ahead.href()>{said::AHEAD}</a></div>
        <crate::pages::bundles::Nag />
    }
}

fn heading(due: &Due) -> &'static str {
    if due.kind <= DueKind::LookTonight { said::NOW } else { said::TODAY }
}

/// Rows under their headings, below those of which the last was under `above`.
fn headed(rows: Vec<Due>, above: Option<&'static str>, all: Walked) -> AnyView {
    let mut said = above;
    let row = |due: Due| {
        let head = heading(&due);
        let new = (said != Some(head)).then(|| view! { <h2>{head}</h2> });
        said = Some(head);
        (new, view! { <DueRow due all /> })
    };
    rows.into_iter().map(row).collect_view().into_any()
}

/// The empty first page teaches the next act.
#[component]
fn Start() -> impl IntoView {
    let demo = barn().demo;
    view! {
        <Empty text=said::EMPTY>
            <div class="stack start">
                <a class="act main" href=Page::AnimalNew.href()>{said::ADD_ANIMAL}</a>
                <a class="act" href=Page::Sheet.href()>{said::BRING_IN}</a>
                <a class="act" href=Page::PlaceNew.href()>{said::ADD_INCUBATOR}</a>
                <a class="act" href=Page::Pull(PullFrom::Nothing).href()>{said::PULL}</a>
                <a class="act" href=Page::GuidePart(GuidePart::Begin).href()>{said::FIRST_STEPS}</a>
                {(!demo).then(|| view! { <a class="act" href=Page::Share.href()>{said::JOIN}</a><LoadDemo /> })}
            </div>
        </Empty>
    }
}

#[component]
fn DueRow(due: Due, all: Walked) -> impl IntoView {
    if due.kind == DueKind::Clash {
        return view! { <ClashRow due /> }.into_any();
    }
    let barn = barn();
    let prefs = prefs();
    // A row that is gone says what it said until it is taken away.
    let first = StoredValue::new(due.clone());
    let now = move || {
        let same = |due: &&Due| first.with_value(|first| due.is(first));
        all.with(|(all, _)| all.iter().find(same).cloned()).unwrap_or_else(|| first.get_value())
    };
    let taper = move || {
        let (at, due) = (barn.now(), now());
        let since = due.counts?;
        Some(view! { <Taper burn=burn(since.when, due.window.as_ref(), at) height=64 /> })
    };
    let fact = move || {
        let (at, due) = (barn.now(), now());
        said::fact(due.thing.kind, &due.fact, at, &prefs.get())
    };
    let urgent = due.kind <= DueKind::Temperature;
    let (open, act, act_said) = leads(&due);
    // A place is named by the way to it, which the other rows have below.
    let is_place = due.thing.kind == Kind::Place && !due.path.is_empty();
    let title = match due.act {
        _ if is_place => names::path(&due.path),
        DueAct::Mend => said::DOUBLED.to_owned(),
        DueAct::Bundles => said::MISSING.to_owned(),
        _ => said::title(&due.name, &due.about),
    };
    let place = names::path(&due.path);
    view! {
        <div class="row linked" class:urgent=urgent class:two=due.kind.can_wait()>
            {taper}
            <span class="text">
                <a class="title link" href=open.href()>{title}</a>
                <span>{fact}</span>
                {(!due.path.is_empty() && !is_place).then(|| view! { <span class="aside">{place}</span> })}
                {due.apart.then(|| view! { <span class="aside">{care_words::APART_LAST}</span> })}
            </span>
            {due.kind.can_wait().then(|| view! { <NotToday due=due.clone() /> })}
            {if due.act == DueAct::Shed {
                view! { <ShedSeen animal=AnimalId::from(due.thing.id.as_str()) name=due.name.clone() /> }.into_any()
            } else if due.act == DueAct::Dose {
                view! { <Given treatment=due.thing.id.as_str().into() name=due.name.clone() /> }.into_any()
            } else if due.act == DueAct::LayBox {
                view! { <LayBoxIn animal=AnimalId::from(due.thing.id.as_str()) name=due.name.clone() /> }.into_any()
            } else {
                view! { <a class="act small" class:main=urgent href=act.href() aria-label=said::act_label(act_said, &due.name)>{act_said}</a> }.into_any()
            }}
        </div>
    }
    .into_any()
}

/// A person's rounds, told apart from a room of the same name.
const WHOSE: char = '\u{1}';

/// Whether a row is in the room, or among what a person looks after. What nobody looks after is everybody's.
fn is_in(due: &Due, part: &str) -> bool {
    match part.strip_prefix(WHOSE) {
        Some(person) => due.keeper.as_ref().is_none_or(|keeper| keeper.as_str() == person),
        None => part.is_empty() || due.path.first().is_some_and(|room| room == part),
    }
}

/// Whose rounds or which room is walked, where there are several.
#[component]
fn Parts(due: Memo<Vec<Due>>, part: RwSignal<String>) -> impl IntoView {
    let barn = barn();
    let parts = Memo::new(move |_| {
        let mut parts: Vec<(String, String)> = Vec::new();
        let mut add = |part: String, said: String| {
            if !parts.iter().any(|(known, _)| *known == part) {
                parts.push((part, said));
            }
        };
        due.with(|due| {
            for keeper in due.iter().filter_map(|due| due.keeper.as_ref()) {
                let name = barn.peek(|book| names::person(book, keeper.as_str()));
                add(format!("{WHOSE}{keeper}"), said::looked_after(&name));
            }
            for room in due.iter().filter_map(|due| due.path.first()) {
                add(room.clone(), room.clone());
            }
        });
        parts
    });
    move || {
        let parts = parts.get();
        (parts.len() > 1).then(|| {
            let options = std::iter::once((String::new(), said::ALL_ROOMS.to_owned())).chain(parts).collect();
            view! { <Choice label=said::PART options value=part /> }
        })
    }
}

/// Rows put off, each to be taken up again.
#[component]
fn PutOff(later: Vec<(Due, chrono::NaiveDate)>) -> impl IntoView {
    let barn = barn();
    let today = clock::today();
    view! {
        <details>
            <summary>{said::put_off(later.len())}</summary>
            {later.into_iter().take(SHOWN).map(|(due, until)| {
                let row = due.row();
                let wake = move |_| barn.save(Snoozed { row: row.clone(), until: None }, said::WOKEN, |_| {});
                view! {
                    <div class="row">
                        <span class="text"><span class="title">{said::title(&due.name, &due.about)}</span>
                            <span class="aside">{said::until(&dates::near(until, today))}</span></span>
                        <button type="button" class="act small" aria-label=said::act_label(said::WAKE, &due.name) on:click=wake>{said::WAKE}</button>
                    </div>
                }
            }).collect_view()}
        </details>
    }
}

/// Not tonight: the row comes back tomorrow.
#[component]
fn NotToday(due: Due) -> impl IntoView {
    let barn = barn();
    let (row, name) = (due.row(), due.name.clone());
    let looked = due.kind == DueKind::LookTonight;
    let later = move |_| {
        let until = clock::today().succ_opt();
        barn.save(
            Snoozed { row: row.clone(), until },
            if looked { said::LOOKED_SAVED } else { said::PUT_OFF_SAVED },
            |_| {},
        );
    };
    let label = if looked { said::LOOKED } else { said::TOMORROW };
    view! { <button type="button" class="act small" aria-label=said::act_label(label, &name) on:click=later>{label}</button> }
}

/// Done from the row itself: one tap.
#[component]
fn LayBoxIn(animal: AnimalId, name: String) -> impl IntoView {
    let barn = barn();
    let label = said::act_label(said::LAY_BOX_IN, &name);
    let done = move |_| {
        let act = AnimalEventNoted {
            animal: animal.clone(),
            what: AnimalEventWhat::LayBox,
            when: When::time(clock::now()),
            mass: None,
            shed: None,
            note: String::new(),
        };
        barn.save(act, said::LAY_BOX_SAVED, |_| {});
    };
    view! { <button type="button" class="act small" aria-label=label on:click=done>{said::LAY_BOX_IN}</button> }
}

/// A first shed seen: one tap opens how, and that one is noted.
#[component]
fn ShedSeen(animal: AnimalId, name: String) -> impl IntoView {
    let barn = barn();
    // Nothing yet was tapped here: the focus is not to be taken.
    let open = RwSignal::new(None::<bool>);
    let done = StoredValue::new(move |shed: Option<ShedAs>| {
        let act = AnimalEventNoted {
            animal: animal.clone(),
            what: AnimalEventWhat::Shed,
            when: When::time(clock::now()),
            mass: None,
            shed,
            note: String::new(),
        };
        barn.save(act, said::SHED_SAVED, |_| {});
    });
    let button = move |how: &str, tap: Box<dyn Fn()>, first: bool| {
        let label = said::act_label(how, &name);
        // The button that had the focus is gone.
        let here = NodeRef::<leptos::html::Button>::new();
        let focused = first && open.get_untracked().is_some();
        Effect::new(move |_| {
            if let Some(button) = here.get().filter(|_| focused) {
                request_animation_frame(move || drop(button.focus()));
            }
        });
        view! { <button node_ref=here type="button" class="act small" aria-label=label on:click=move |_| tap()>{how.to_owned()}</button> }
            .into_any()
    };
    move || match open.get() {
        None | Some(false) => button(said::HAS_SHED, Box::new(move || open.set(Some(true))), true),
        Some(true) => {
            let choices = animal_words::shed_choices()
                .into_iter()
                .enumerate()
                .map(|(at, (shed, how))| button(&how, Box::new(move || done.with_value(|done| done(shed))), at == 0));
            let cancel = button(said::CANCEL, Box::new(move || open.set(Some(false))), false);
            choices.chain([cancel]).collect::<Vec<_>>().into_any()
        }
    }
}

/// The page of the thing, the page of the act, and what the act is called.
fn leads(due: &Due) -> (Page, Page, &'static str) {
    let id = due.thing.id.clone();
    let own = || Page::of(&due.thing).unwrap_or(Page::Daybook);
    let open = if due.act == DueAct::Mend { Page::Doubles } else { own() };
    let open = if due.act == DueAct::Bundles { Page::Bundles } else { open };
    let (act, said) = match due.act {
        DueAct::Hatch if due.kind == DueKind::PippedNotOut => (Page::BoxAct(id, BoxAct::Out), said::LOOK),
        DueAct::Hatch => (Page::BoxAct(id, BoxAct::Pipped), said::LOOK),
        DueAct::Candle => (Page::BoxAct(id, BoxAct::Candle), said::CANDLE),
        DueAct::Water => (Page::BoxAct(id, BoxAct::Water), said::WATER),
        DueAct::Pull => (Page::Pull(PullFrom::Clutch(id)), said::BOX_IT),
        DueAct::Found => (Page::Found(Some(id)), said::FOUND),
        DueAct::Mend => (Page::Doubles, said::MEND),
        DueAct::Bundles => (Page::Bundles, said::OPEN),
        DueAct::Reading => (open.clone(), said::CHECK),
        DueAct::Feed => (Page::Meal(id), said::FEED),
        DueAct::FeedRack => (Page::Feed(id), if due.kind == DueKind::Refusers { said::MARK } else { said::FEED }),
        DueAct::Clean => (Page::Clean(due.thing.kind.word().into(), id), cleaning_words::CLEAN),
        DueAct::Place => (Page::Leave(id), said::OPEN),
        DueAct::Young if due.thing.kind == Kind::Clutch => (Page::Babies(Some(id)), said::OPEN),
        DueAct::Wishes => (Page::Wishes, said::OPEN),
        DueAct::Open | DueAct::Dose | DueAct::LayBox | DueAct::Shed | DueAct::Young | DueAct::Settle => {
            (open.clone(), said::OPEN)
        }
    };
    (open, act, said)
}
