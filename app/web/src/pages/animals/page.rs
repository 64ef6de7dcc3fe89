//! One animal: how she is, what is next, her clutches, what happened.

use super::meals::{MealsCard, meals};
use super::panels::{Panel, PanelPage};
use super::season::{SeasonCard, season};
use super::story::{Line, shed_line, story};
use super::weights::Weights;
use crate::clock;
use crate::pages::boxes::Lines;
use crate::pages::care::{ApartBanner, treatment_line};
use crate::pages::cooling::CoolingBanner;
use crate::prefs::{Prefs, prefs};
use crate::route::{Page, PullFrom};
use crate::store::barn;
use crate::ui::photo::Face;
use crate::ui::signs::{Mark, act_link, sign};
use crate::ui::{AnimalGenotype, Caution, Empty, Head};
use crate::words::{
    self as all_words, animals as words, babies as young_words, boxes, care as care_words, cleaning as cleaning_words,
    dates, money as money_words, mother, names, notes as note_words, pairings as pair_words, record as record_words,
    units, window,
};
use book::records::Animal;
use book::views::{
    AnimalView, BoxRow, ClutchLine, Face as Known, NextStep, TreatmentRow, animal_view, face_of, nests_with, photos_of,
    treatments_of, tub_of,
};
use book::words::{Came, Sex};
use book::{AnimalId, Book};
use chrono::{NaiveDate, NaiveDateTime};
use desk::forms::animal::BORN;
use leptos::prelude::*;
use trade::units::Mass;
use trade::when::When;

/// Lines of her story shown at first, and how many more at a time.
const FIRST: usize = 4;
const STEP: usize = 20;
/// More clutches than any female has; a sire's are capped here too.
const CLUTCHES: usize = 40;

#[component]
pub fn AnimalPage(id: String) -> impl IntoView {
    let barn = barn();
    let id = AnimalId::new(id);
    let open = RwSignal::new(None::<Panel>);
    let looked = id.clone();
    let there = Memo::new(move |_| barn.read(|book| book.animal(&looked).is_some()));
    move || {
        let id = id.clone();
        match (there.get(), open.get()) {
            (false, _) => view! {
                <div class="page">
                    <Head title=words::TITLE.to_string() back=(Page::Animals, words::TITLE.to_owned()) />
                    <Empty text=words::NO_SUCH><a class="act main" href=Page::Animals.href()>{words::TO_LIST}</a></Empty>
                </div>
            }
            .into_any(),
            (true, Some(panel)) => view! { <PanelPage id panel open /> }.into_any(),
            (true, None) => view! { <Glance id open /> }.into_any(),
        }
    }
}

/// Everything the page says, looked up at once.
struct Facts {
    name: String,
    code: String,
    about: String,
    place: Option<(String, String)>,
    left: Option<String>,
    here: bool,
    /// What it is offered for, or that it may be; nothing where the barn writes no amounts down.
    price: Option<String>,
    lays: bool,
    next: Vec<NextStep>,
    /// Another animal carries this code; two devices disagree.
    doubts: Vec<&'static str>,
    /// Newest first: mass and day.
    weights: Vec<(String, String)>,
    /// The same to draw, oldest first.
    plot: Vec<(NaiveDateTime, Mass)>,
    meals: Option<MealsCard>,
    shed: Option<String>,
    /// How far sheds lie apart, and all of them, newest first.
    spacing: Option<String>,
    sheds: Vec<record_words::Line>,
    breeding: Option<SeasonCard>,
    past: Option<String>,
    /// What was ordered: what goes on, and what is over.
    care: (Vec<TreatmentRow>, Vec<TreatmentRow>),
    /// What it is known by, and what a screen reader says of that.
    face: Option<(Known, String)>,
    photos: usize,
    clutches: Vec<(String, String, String)>,
    /// Clutches she lies round: page, name, line.
    nests: Vec<(String, String, String)>,
    story: Vec<Line>,
    more: Vec<(&'static str, String, Option<Page>)>,
}

fn facts(book: &Book, view: AnimalView, prefs: &Prefs) -> Facts {
    let today = clock::today();
    let animal = &view.animal;
    let weighed = view.weights.iter().rev().take(2);
    let doubts = [(!view.code_twice.is_empty(), words::CODE_TWICE), (view.clashing, words::CLASHING)];
    Facts {
        code: animal.code.clone().filter(|code| *code != view.name).unwrap_or_default(),
        about: words::aside(animal.species.as_ref().map(|key| names::species(book, key)), animal),
        place: view.place.as_ref().map(|place| (place.to_string(), names::place(book, place))),
        left: animal
            .went
            .map(|how| words::left(how, animal.went_when.map(|w| dates::when(w, today)), animal.went_why.as_deref()))
            .map(|left| [Some(left), animal.went_price.clone()].into_iter().flatten().collect::<Vec<_>>().join(" · ")),
        here: animal.is_here(),
        price: (animal.is_here() && (animal.asked.is_some() || book.currency().is_some()))
            .then(|| money_words::asked(animal.asked)),
        lays: may_lay(animal),
        doubts: doubts.into_iter().filter(|(so, _)| *so).map(|(_, said)| said).collect(),
        weights: weighed
            .map(|(mass, when)| {
                let day = when.map_or_else(|| all_words::UNKNOWN.to_owned(), |when| dates::day(when.date(), today));
                (units::mass(*mass, prefs), day)
            })
            .collect(),
        plot: plotted(&view.weights),
        meals: MealsCard::new(&view, today),
        shed: view.sheds.first().map(|shed| {
            let day = shed.when.map(|when| dates::away(when.date(), today));
            let how = shed.shed.map(|how| words::shed_as(how).to_owned());
            [day, how].into_iter().flatten().collect::<Vec<_>>().join(", ")
        }),
        spacing: view.shed_spacing.as_ref().map(words::shed_spacing),
        sheds: view.sheds.iter().map(|shed| shed_line(shed, today)).collect(),
        breeding: view.breeding.as_ref().map(|breeding| SeasonCard::new(breeding, prefs, today)),
        past: (view.past.clutches > 0).then(|| words::past(&view.past)),
        care: treatments_of(book, &animal.id, clock::now()).into_iter().partition(|row| !row.standing.over),
        face: face_of(book, &animal.id).map(|face| {
            let day = face.when.map(|when| dates::when(when, today)).unwrap_or_default();
            (face, note_words::photo_of(&view.name, &day))
        }),
        photos: photos_of(book, &animal.id.thing()).len(),
        nests: nests_with(book, &animal.id, clock::now()).iter().map(|row| nest_row(book, row)).collect(),
        clutches: view.clutches.iter().take(CLUTCHES).map(|line| clutch_row(line, today)).collect(),
        story: story(book, &animal.id, prefs, today),
        more: about(book, animal, today),
        next: view.next,
        name: view.name,
    }
}

/// A female; or one whose sex nobody has told, unless it hatched here and is most likely too young.
fn may_lay(animal: &Animal) -> bool {
    match animal.sex {
        Some(Sex::Female) => true,
        Some(Sex::Male) => false,
        Some(Sex::Unknown) | None => {
            animal.from_eggs.is_empty() && !matches!(animal.came, Some(Came::Egg | Came::OneOf))
        }
    }
}

/// What she lies round: its page, its name, and a line.
fn nest_row(book: &Book, row: &BoxRow) -> (String, String, String) {
    let now = clock::now();
    let said = row.window.as_ref().map_or(window::NO_WINDOW.to_owned(), |w| window::short(w, now.date()));
    (Page::Box(row.id.to_string()).href(), names::filling(book, &row.id), boxes::row_line(row, now, &said))
}

/// Its id, its number, and a line.
fn clutch_row(line: &ClutchLine, today: NaiveDate) -> (String, String, String) {
    let eggs = line.counts.map(|counts| counts.all());
    let said = words::clutch_line(&line.with, eggs, line.since.map(|since| window::since(since, today)));
    let came = (line.sum.in_book > 0).then(|| words::clutch_came(line.sum.hatched, line.sum.still_in));
    let said = [Some(said), came].into_iter().flatten().collect::<Vec<_>>().join(" · ");
    (line.id.to_string(), line.number.clone(), said)
}

/// What is known of an animal and rarely looked for.
fn about(book: &Book, animal: &Animal, today: NaiveDate) -> Vec<(&'static str, String, Option<Page>)> {
    let parent = |id: &AnimalId| (names::animal_long(book, id), Some(Page::Animal(id.to_string())));
    let told: Vec<String> = [&animal.sex_how, &animal.sex_sure].into_iter().flatten().cloned().collect();
    let plain = [
        (words::SEX_HOW, (!told.is_empty()).then(|| told.join(", "))),
        (words::LINE, animal.line.clone()),
        (words::LOCALITY, animal.locality.clone()),
        (words::HYBRID, animal.hybrid.clone()),
        (BORN, animal.born.map(|w| dates::when(w, today))),
        (words::CAME, animal.came.map(|c| words::came(c).to_owned())),
        (words::NOTE_ABOUT, animal.note.clone()),
    ];
    let plain = plain.into_iter().filter_map(|(label, said)| Some((label, said?, None)));
    let parents = [(words::DAM, &animal.dam), (words::SIRE, &animal.sire)];
    let parents = parents.into_iter().filter_map(|(label, id)| id.as_ref().map(|id| (label, parent(id))));
    let tub = tub_of(book, &animal.id);
    let cleaned = book.cleanings(&tub).find(|cleaning| !cleaning.spot).and_then(|cleaning| cleaning.when);
    let cleaned = cleaned.map(|when| {
        let page = Page::Clean("animal".into(), animal.id.to_string());
        (cleaning_words::LAST, dates::when(when, today), Some(page))
    });
    let parents = parents.map(|(label, (said, page))| (label, said, page));
    plain.chain(parents).chain(cleaned.filter(|_| animal.is_here())).collect()
}

#[component]
fn Glance(id: AnimalId, open: RwSignal<Option<Panel>>) -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let most = RwSignal::new(FIRST);
    move || {
        let found = barn.read(|book| animal_view(book, &id, clock::now()).map(|view| facts(book, view, &prefs.get())));
        let Some(facts) = found else { return ().into_any() };
        let act = move |(panel, shown): (Panel, Mark), said: &'static str, class: &'static str| {
            view! { <button type="button" class=class data-opens="" on:click=move |_| open.set(Some(panel))>{sign(shown)}{said}</button> }
        };
        let (key, faced) = (id.to_string(), facts.face.is_some());
        // What she lies round is what is waited for next.
        let hatching = facts.nests.first().map(|(.., said)| said.clone());
        view! {
            <div class="page with-acts">
                <Head title=facts.name.clone() aside=facts.code back=(Page::Animals, words::TITLE.to_owned()) />
                <div class="card about" class:faced=faced>
                    <div>
                        {(!facts.about.is_empty()).then(|| view! { <p>{facts.about}</p> })}
                        <p class="quiet">{words::WHERE}": "{match facts.place {
                            Some((place, said)) => view! { <a class="reach" href=Page::Place(place).href()>{said}</a> }.into_any(),
                            None => words::NO_PLACE.into_any(),
                        }}</p>
                    </div>
                    {facts.face.map(|(face, alt)| view! {
                        <a href=Page::Photos(key.clone()).href() aria-label=note_words::photos_counted(&facts.name, facts.photos)>
                            <Face face alt /></a>
                    })}
                </div>
                <AnimalGenotype id=id.clone() />
                {facts.left.map(|left| view! { <div class="banner"><p>{left}</p></div> })}
                {urgent(&facts.next).map(|said| view! { <div class="banner bad" role="alert"><p>{said}</p></div> })}
                <ApartBanner of=id.thing() />
                <CoolingBanner of=id.clone() />
                {facts.care.0.into_iter().map(treatment_line).collect_view()}
                {facts.doubts.into_iter().map(|said| view! { <div class="banner"><p>{said}</p></div> }).collect_view()}
                {(!facts.nests.is_empty()).then(|| view! { <h2>{mother::TITLE}</h2> })}
                {facts.nests.into_iter().map(|(href, name, said)| view! {
                    <a class="row" href=href><span class="text"><span class="title">{name}</span><span class="aside">{said}</span></span></a>
                    <Caution text=mother::CARE />
                }).collect_view()}
                <div class="pair">
                    <div class="card"><p class="quiet">{words::WEIGHT}</p>{weight(&facts.weights)}</div>
                    <div class="card"><p class="quiet">{words::NEXT}</p>{match hatching {
                        Some(said) if facts.next.is_empty() => view! { <p>{said}</p> }.into_any(),
                        _ => next(&facts.next),
                    }}</div>
                </div>
                {(facts.plot.len() > 1).then(|| view! {
                    <div class="card"><Weights weights=facts.plot today=clock::today() prefs=prefs.get_untracked() /></div>
                })}
                <div class="pair">
                    <div class="card"><p class="quiet">{words::MEALS}</p>{meals(facts.meals)}</div>
                    <div class="card"><p class="quiet">{words::SHED}</p><p>{facts.shed.unwrap_or_else(|| words::NO_SHED.to_owned())}</p>
                        {facts.spacing.map(|spacing| view! { <p class="aside">{spacing}</p> })}</div>
                </div>
                {(facts.sheds.len() > 1).then(|| view! {
                    <details><summary>{words::ALL_SHEDS}</summary><Lines rows=facts.sheds none="" /></details>
                })}
                {facts.breeding.map(|card| season(&key, card, facts.here, &prefs.get_untracked()))}
                <div class="gap tight" role="group" aria-label=words::MORE_ACTS>
                    {act((Panel::Note, Mark::Note), words::NOTE, "act small")}
                    <a class="act small" href=Page::Photos(key.clone()).href()>{note_words::PHOTOS}</a>
                    {facts.here.then(|| act_link(&Page::Meal(key.clone()), "act small", words::MEAL))}
                    {facts.here.then(|| act_link(&Page::Clean("animal".into(), key.clone()), "act small", cleaning_words::CLEAN))}
                    {facts.here.then(|| act_link(&Page::Treat(key.clone()), "act small", care_words::TREAT))}
                    {facts.here.then(|| view! { <a class="act small" href=Page::Apart("animal".into(), key.clone()).href()>{care_words::APART_SET}</a> })}
                    {facts.here.then(|| act((Panel::Move, Mark::Move), words::MOVE, "act small"))}
                    {facts.price.map(|said| view! {
                        <button type="button" class="act small" data-opens="" on:click=move |_| open.set(Some(Panel::Price))>{said}</button>
                    })}
                    {facts.here.then(|| act_link(&Page::PairingNew(Some(key.clone())), "act small", pair_words::PAIR))}
                    <a class="act small" href=Page::AnimalEdit(key.clone()).href()>{words::EDIT}</a>
                    <a class="act small" href=Page::Label("animal".into(), key.clone()).href()>{words::PRINT}</a>
                    <a class="act small" href=if facts.here { Page::Leave(key.clone()) } else { Page::Papers(key.clone()) }.href()>
                        {if facts.here { young_words::HOLD_OR_PLACE } else { young_words::PAPERS }}
                    </a>
                    {facts.here.then(|| view! { <a class="act small" href=Page::Swap(key.clone()).href()>{words::SWAPPED}</a> })}
                </div>
                <h2>{words::CLUTCHES}</h2>
                {facts.past.map(|past| view! { <p class="inset">{past}</p> })}
                {if facts.clutches.is_empty() {
                    view! { <p class="quiet inset">{words::NO_CLUTCHES}</p> }.into_any()
                } else {
                    facts.clutches.into_iter().map(|(id, number, said)| view! {
                        <a class="row" href=Page::Clutch(id).href()>
                            <span class="text"><span class="title">{number}</span><span class="aside">{said}</span></span>
                        </a>
                    }).collect_view().into_any()
                }}
                <h2>{words::STORY}</h2>
                <Story lines=facts.story most />
                {(!facts.care.1.is_empty()).then(|| view! {
                    <details>
                        <summary>{care_words::past(facts.care.1.len())}</summary>
                        {facts.care.1.into_iter().map(treatment_line).collect_view()}
                    </details>
                })}
                {(!facts.more.is_empty()).then(|| view! {
                    <details>
                        <summary>{words::NOTES}</summary>
                        <dl class="facts card">{facts.more.into_iter().map(|(label, said, page)| view! {
                            <dt>{label}</dt>
                            <dd>{match page {
                                Some(page) => view! { <a class="reach" href=page.href()>{said}</a> }.into_any(),
                                None => said.into_any(),
                            }}</dd>
                        }).collect_view()}</dl>
                    </details>
                })}
                {facts.here.then(|| {
                    let lays = facts.lays;
                    view! {
                        <div class="acts">
                            {lays.then(|| act_link(&Page::Found(Some(key)), "act main", words::EGGS_FOUND))}
                            {act((Panel::Seen, Mark::Look), words::HAPPENED, "act")}
                            {act((Panel::Weigh, Mark::Weigh), words::WEIGH, if lays { "act" } else { "act main" })}
                        </div>
                    }
                })}
            </div>
        }
        .into_any()
    }
}

/// What can be drawn: weights with a day, none before the one ahead of it.
fn plotted(weights: &[(Mass, Option<When>)]) -> Vec<(NaiveDateTime, Mass)> {
    let dated = weights.iter().filter_map(|(mass, when)| Some((when.map(When::middle)?, *mass)));
    let mut last = NaiveDateTime::MIN;
    dated
        .map(|(at, mass)| {
            last = last.max(at);
            (last, mass)
        })
        .collect()
}

fn weight(weights: &[(String, String)]) -> AnyView {
    let Some((mass, when)) = weights.first().cloned() else {
        return view! { <p>{words::NOT_WEIGHED}</p> }.into_any();
    };
    let before = weights.get(1).map(|(mass, when)| words::weighed_before(mass, when));
    view! {
        <p class="big nowrap">{mass}</p>
        <p class="aside">{when}</p>
        {before.map(|before| view! { <p class="aside">{before}</p> })}
    }
    .into_any()
}

fn urgent(next: &[NextStep]) -> Option<&'static str> {
    next.iter().find_map(|step| match step {
        NextStep::Straining { .. } => Some(words::VET_STRAINING),
        NextStep::Overdue { .. } => Some(words::VET_OVERDUE),
        _ => None,
    })
}

fn next(steps: &[NextStep]) -> AnyView {
    let today = clock::today();
    let said = |step: &NextStep| match step {
        NextStep::Straining { since } => {
            view! { <p class="warn">{words::straining(&dates::when(*since, today))}</p> }.into_any()
        }
        NextStep::Overdue { sign, due, .. } => {
            let said = words::overdue_since(&dates::day(*due, today), pair_words::sign(*sign));
            view! { <p class="warn">{said}</p> }.into_any()
        }
        NextStep::EggsToBox { clutch, found } => {
            let href = Page::Pull(PullFrom::Clutch(clutch.to_string())).href();
            let found = found.map(|when| view! { <p class="aside">{dates::when(when, today)}</p> });
            view! { <p>{words::NOT_BOXED}</p>{found}<a class="act small" href=href>{words::PULL}</a> }.into_any()
        }
        NextStep::NoEggs { .. } => view! { <p>{pair_words::next(step, today)}</p> }.into_any(),
        NextStep::EggsDue { sign, seen, from, to, own, .. } => view! {
            <p class="second">{dates::range(*from, *to, today)}</p>
            <p>{words::EGGS_LIKELY}</p>
            <p class="aside">{pair_words::basis(*sign, *own)}</p>
            <p class="aside">{words::seen_ago(seen.date(), today)}</p>
        }
        .into_any(),
        // The banner says it.
        NextStep::Gone { .. } => view! { <p>{words::NOTHING_NEXT}</p> }.into_any(),
    };
    if steps.is_empty() {
        return view! { <p>{words::NOTHING_NEXT}</p> }.into_any();
    }
    view! { <div class="stack">{steps.iter().map(|step| view! { <div>{said(step)}</div> }).collect_view()}</div> }
        .into_any()
}

#[component]
fn Story(lines: Vec<Line>, most: RwSignal<usize>) -> impl IntoView {
    move || {
        if lines.is_empty() {
            return view! { <p class="quiet inset">{words::NO_STORY}</p> }.into_any();
        }
        let shown = most.get();
        let left = lines.len().saturating_sub(shown);
        view! {
            <ul class="story card">{lines.iter().take(shown).cloned().map(|line| view! {
                <li class="spread">
                    <div>
                        <p class:warn=line.urgent>{line.what.clone()}</p>
                        {line.note.map(|note| view! { <p>{note}</p> })}
                        <p class="aside">{line.when.clone()}{line.by.map(|by| format!(", {by}"))}</p>
                    </div>
                    <a class="reach aside" aria-label=words::correct_of(&line.what, &line.when)
                        href=Page::Correct(line.thing.kind.word().into(), line.thing.id).href()>{words::CORRECT}</a>
                </li>
            }.into_any()).collect_view()}</ul>
            {(left > 0).then(|| view! {
                <button type="button" class="act small" on:click=move |_| most.update(|m| *m += STEP)>{words::more(left)}</button>
            })}
        }
        .into_any()
    }
}
