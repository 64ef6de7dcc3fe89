//! One place: its temperature, what stands there, and a reading in two taps.

use super::edit::Edit;
use super::list::{held, inside};
use crate::clock;
use crate::pages::boxes::burn;
use crate::pages::care::{ApartBanner, CleanHere};
use crate::pages::heat::ShelfHeat;
use crate::prefs::{Prefs, prefs, units};
use crate::route::Page;
use crate::store::barn;
use crate::ui::carried::BringHere;
use crate::ui::day::{Moment, MomentField, Seen, WhenFold};
use crate::ui::forms::{Faults, Quantity, TextField};
use crate::ui::{Burn, Empty, Head, Paged, Taper};
use crate::words::{
    self as all_words, animals as animal_words, boxes as box_words, care as care_words, dates, mother, names,
    places as words, record::Line, units as shown, window as window_words,
};
use book::records::Place;
use book::views::{BoxRow, PlaceView, place_view};
use book::words::PlaceWhat;
use book::{AnimalId, Book, Kind, PlaceId, Thing};
use desk::forms::places::{INCIDENT, humidity, incident, read_now, reading};
use leptos::prelude::*;
use trade::when::When;

/// Rows shown at first, and how many more at a time.
const STEP: usize = 60;

#[component]
pub fn PlacePage(id: String) -> impl IntoView {
    let barn = barn();
    let id = PlaceId::new(id);
    let looked = id.clone();
    let there = Memo::new(move |_| barn.read(|book| book.place(&looked).is_some()));
    move || {
        let id = id.clone();
        if there.get() {
            view! { <There id /> }.into_any()
        } else {
            view! {
                <div class="page">
                    <Head title=words::TITLE.to_string() back=(Page::Places, words::TITLE.to_owned()) />
                    <Empty text=words::NO_SUCH><a class="act main" href=Page::Places.href()>{words::TO_LIST}</a></Empty>
                </div>
            }
            .into_any()
        }
    }
}

/// A row of something that stands here or is inside.
struct Row {
    page: Page,
    title: String,
    said: String,
    taper: Option<Burn>,
}

struct Facts {
    incubates: bool,
    set: Option<(String, Option<String>)>,
    /// What the thermometer showed last, and when.
    last: Option<(String, String)>,
    /// Those typed by hand, newest first: temperature, and when by which thermometer.
    readings: Vec<Line>,
    incidents: Vec<Line>,
    inner: Vec<Row>,
    boxes: Vec<Row>,
    /// Eggs left with their mother.
    nests: Vec<Row>,
    animals: Vec<Row>,
}

fn facts(book: &Book, place: &Place, view: PlaceView, prefs: &Prefs) -> Facts {
    let today = clock::today();
    let moment = |when: Option<When>| when.map_or_else(|| crate::words::UNKNOWN.to_owned(), |w| dates::when(w, today));
    let set = view.set.map(|temp| {
        let outer = book.path(&place.id).into_iter().rev().find(|p| p.set.is_some()).filter(|p| p.id != place.id);
        (shown::temp(temp, prefs), outer.map(|outer| words::from_outer(&words::called(outer))))
    });
    let source = |source: &Option<String>| source.as_ref().map(|s| format!(", {s}")).unwrap_or_default();
    let last = view.readings.first().map(|reading| {
        let humid = reading.humidity.map(|humid| format!("{} · ", shown::humidity(humid))).unwrap_or_default();
        let when = format!("{humid}{}{}", dates::when(reading.when, today), source(&reading.source));
        (shown::temp(reading.temp, prefs), when)
    });
    // A logger's file has thousands, and is put right as a file.
    let readings = book.readings(&book.thermometer(&place.id)).filter_map(|reading| {
        let when = format!("{}{}", moment(reading.when), source(&reading.source));
        let humid = reading.humidity.map(|humid| format!(" · {}", shown::humidity(humid))).unwrap_or_default();
        Some((format!("{}{humid}", shown::temp(reading.temp?, prefs)), when, reading.id.thing()))
    });
    let incidents = view.incidents.iter().map(|incident| {
        let note = incident.note.as_ref().map(|note| format!(". {note}")).unwrap_or_default();
        let (from, to) = (moment(incident.from), incident.to.map(|to| moment(Some(to))));
        let what = format!("{}{note}", incident.what.clone().unwrap_or_default());
        (what, words::incident_lasted(&from, to.as_deref()), incident.id.thing())
    });
    Facts {
        incubates: matches!(place.what, Some(PlaceWhat::Shelf | PlaceWhat::Incubator)),
        set,
        last,
        readings: readings.collect(),
        incidents: incidents.collect(),
        inner: book
            .places_in(Some(&place.id))
            .into_iter()
            .filter(|p| !p.closed)
            .map(|p| inner_row(book, p, prefs))
            .collect(),
        boxes: view.boxes.iter().filter(|row| row.nest.is_none()).map(box_row).collect(),
        nests: view.boxes.iter().filter(|row| row.nest.is_some()).map(box_row).collect(),
        animals: view.animals.iter().map(|(id, name)| animal_row(book, id, name)).collect(),
    }
}

fn inner_row(book: &Book, place: &Place, prefs: &Prefs) -> Row {
    let within = !book.places_in(Some(&place.id)).is_empty();
    let kept = book.things_at(&place.id).into_iter().find(|thing| thing.kind == Kind::Animal);
    let said = match kept {
        _ if within => inside(book, place, prefs),
        // In a tub it matters who, not how many.
        Some(animal) => names::animal_long(book, &AnimalId::new(animal.id)),
        None => held(book, place, prefs).0,
    };
    Row { page: Page::Place(place.id.to_string()), title: words::called(place), said, taper: None }
}

fn box_row(row: &BoxRow) -> Row {
    let now = clock::now();
    let window = row.window.as_ref().ok();
    let taper = row.since.map(|since| burn(since.when, window, now));
    let said = window.map_or_else(|| window_words::NO_WINDOW.to_owned(), |w| window_words::short(w, now.date()));
    Row {
        page: Page::Box(row.id.to_string()),
        title: box_words::row_title(&row.numbers, &row.species),
        said: box_words::row_line(row, now, &said),
        taper,
    }
}

fn animal_row(book: &Book, id: &AnimalId, name: &str) -> Row {
    let said = book
        .animal(id)
        .map(|animal| animal_words::aside(animal.species.as_ref().map(|key| names::species(book, key)), animal));
    Row { page: Page::Animal(id.to_string()), title: name.to_owned(), said: said.unwrap_or_default(), taper: None }
}

#[component]
fn There(id: PlaceId) -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let named = StoredValue::new(id.clone());
    let title = Signal::derive(move || {
        named.with_value(|id| barn.read(|book| book.place(id).map(words::called).unwrap_or_default()))
    });
    let outer = Signal::derive(move || {
        named.with_value(|id| {
            barn.read(|book| {
                let path = book.path(id);
                words::path(&path[..path.len().saturating_sub(1)])
            })
        })
    });
    // Made once, so that what is being typed outlives a save of something else.
    let reading = view! { <ReadNow id=id.clone() /> };
    let incubates = barn.peek(|book| {
        book.place(&id)
            .is_some_and(|p| matches!(p.what, Some(PlaceWhat::Shelf | PlaceWhat::Incubator | PlaceWhat::Room)))
    });
    // The window of eggs left with their mother goes by what is read where she lies.
    let nest = barn.peek(|book| book.things_at(&id).iter().any(|thing| book.is_nest(&thing.id.as_str().into())));
    let heated = (incubates || nest).then(|| view! { <ShelfHeat id=id.clone() /> });
    let incident = incubates.then(|| view! { <IncidentForm id=id.clone() /> });
    let most = RwSignal::new(STEP);
    let around = id.clone();
    let inner = Memo::new(move |_| {
        barn.read(|book| {
            let open = book.places_in(Some(&around)).into_iter().filter(|inner| !inner.closed);
            open.map(|inner| inner.id.thing()).collect::<Vec<_>>()
        })
    });
    let labels_inside = move || {
        let things = inner.get();
        let said = words::print_inside(things.len());
        (!things.is_empty()).then(|| view! { <a class="act small" href=Page::labels_of(&things).href()>{said}</a> })
    };
    let shown = id.clone();
    let body = move || {
        let found = barn.read(|book| {
            let view = place_view(book, &shown, clock::now())?;
            book.place(&shown).map(|place| facts(book, place, view, &prefs.get()))
        });
        found.map(|facts| view! { <Body facts most /> })
    };
    view! {
        <div class="page">
            <Head title aside=outer back=(Page::Places, words::TITLE.to_owned()) />
            <ApartBanner of=id.thing() />
            <BringHere place=id.clone() />
            {(incubates || nest).then_some(reading)}
            <crate::pages::babies::FeedHere place=id.clone() />
            <CleanHere of=id.thing() />
            {body}
            {heated}
            {incident}
            <div class="gap">
                <a class="act small" href=Page::Label("place".into(), id.to_string()).href()>{words::PRINT}</a>
                {labels_inside}
                <a class="act small" href=Page::Apart("place".into(), id.to_string()).href()>{care_words::APART_SET}</a>
            </div>
            <Edit id />
        </div>
    }
}

#[component]
fn Body(facts: Facts, most: RwSignal<usize>) -> impl IntoView {
    let last = facts.last;
    let correct = |what: &str, when: &str, thing: Thing| {
        let page = Page::Correct(thing.kind.word().into(), thing.id);
        view! { <a class="reach aside" aria-label=animal_words::correct_of(what, when) href=page.href()>{animal_words::CORRECT}</a> }
    };
    let none = facts.incubates && facts.boxes.is_empty() && facts.inner.is_empty();
    let nobody = !facts.incubates && facts.animals.is_empty() && facts.boxes.is_empty() && facts.inner.is_empty();
    view! {
        {(facts.incubates || facts.set.is_some() || last.is_some()).then(|| view! {
            <div class="pair">
                {(facts.set.is_some() || facts.inner.is_empty()).then(|| view! { <div class="card"><p class="quiet">{words::SET}</p>{match facts.set {
                    Some((temp, outer)) => view! {
                        <p class="big nowrap">{temp}</p>
                        {outer.map(|outer| view! { <p class="aside">{outer}</p> })}
                    }.into_any(),
                    None => view! { <p>{words::NOT_SET}</p> }.into_any(),
                }}</div> })}
                <div class="card"><p class="quiet">{words::READ}</p>{match last {
                    Some((temp, when)) => view! { <p class="big nowrap">{temp}</p><p class="aside">{when}</p> }.into_any(),
                    None => view! { <p>{words::NOT_READ}</p> }.into_any(),
                }}</div>
            </div>
        })}
        <Rows title=words::INSIDE rows=facts.inner most />
        <Rows title=words::BOXES rows=facts.boxes most />
        <Rows title=mother::TITLE rows=facts.nests most />
        <Rows title=words::ANIMALS rows=facts.animals most />
        {none.then(|| view! { <p class="quiet inset">{words::NO_BOXES}</p> })}
        {nobody.then(|| view! { <p class="quiet inset">{words::NOBODY}</p> })}
        {(!facts.readings.is_empty()).then(|| view! {
            <details>
                <summary>{words::READINGS}</summary>
                <Paged name="readings" total=Signal::stored(facts.readings.len()) show=Callback::new(move |(from, to): (usize, usize)| {
                    let some = facts.readings.get(from..to).map(<[Line]>::to_vec).unwrap_or_default();
                    let line = |(temp, when, of): Line| {
                        let correct = correct(&temp, &when, of);
                        view! {
                            <li class="spread"><span><span class="nowrap">{temp}</span>" "<span class="aside">{when}</span></span>{correct}</li>
                        }
                    };
                    view! { <ul class="story card">{some.into_iter().map(line).collect_view()}</ul> }.into_any()
                }) />
            </details>
        })}
        {(!facts.incidents.is_empty()).then(|| view! {
            <h2>{words::INCIDENTS}</h2>
            <ul class="story card">{facts.incidents.into_iter().map(|(what, when, of)| {
                let correct = correct(&what, &when, of);
                view! { <li class="spread"><div><p>{what}</p><p class="aside">{when}</p></div>{correct}</li> }
            }).collect_view()}</ul>
        })}
    }
}

#[component]
fn Rows(title: &'static str, rows: Vec<Row>, most: RwSignal<usize>) -> impl IntoView {
    move || {
        let shown = most.get();
        let left = rows.len().saturating_sub(shown);
        (!rows.is_empty()).then(|| view! {
            <h2>{title}</h2>
            {rows.iter().take(shown).map(|row| view! {
                <a class="row" href=row.page.href()>
                    {row.taper.map(|burn| view! { <Taper burn /> })}
                    <span class="text"><span class="title">{row.title.clone()}</span><span class="aside">{row.said.clone()}</span></span>
                </a>
            }).collect_view()}
            {(left > 0).then(|| view! {
                <button type="button" class="act small" on:click=move |_| most.update(|m| *m += STEP)>{words::more(left)}</button>
            })}
        })
    }
}

#[component]
pub fn ReadNow(id: PlaceId) -> impl IntoView {
    let barn = barn();
    let (entry, humid, faults) = (RwSignal::new(reading()), RwSignal::new(humidity(None)), Faults::new());
    let seen = Seen::now();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(when) = seen.get() else { return };
        let built = read_now(id.clone(), (&entry.get_untracked(), &humid.get_untracked()), when, units());
        let Some(act) = faults.pass(built) else { return };
        barn.save(act, words::SAVED_READING, move |_| {
            let _ = (entry.try_set(reading()), humid.try_set(humidity(None)));
        });
    };
    view! {
        <form class="reading" novalidate on:submit=save>
            <Quantity entry faults />
            <button type="submit" class="act main">{words::SAVE_READING}</button>
            <details><summary>{words::HUMIDITY}</summary><Quantity entry=humid hint=words::HUMIDITY_HOW faults /></details>
            <WhenFold seen />
        </form>
    }
}

/// A power cut or the like; what it did to the boxes here is told with their warmth.
#[component]
fn IncidentForm(id: PlaceId) -> impl IntoView {
    let barn = barn();
    let (what, note) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    let (from, over, to) = (Moment::new(None), RwSignal::new(false), Moment::new(None));
    let faults = Faults::new();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let end = if over.get_untracked() { to.get().map(Some) } else { Some(None) };
        let (Some(from), Some(to)) = (from.get(), end) else { return };
        let built = incident(id.clone(), (from, to), &what.get_untracked(), note.get_untracked());
        let Some(act) = faults.pass(built) else { return };
        barn.save(act, words::INCIDENT_SAVED, move |_| {
            what.try_set(String::new());
            note.try_set(String::new());
        });
    };
    view! {
        <details>
            <summary>{words::INCIDENT_NOTE}</summary>
            <form novalidate on:submit=save>
                <TextField label=INCIDENT value=what faults offers=words::INCIDENT_OFFERS.iter().map(|o| (*o).to_owned()).collect() />
                <MomentField label=words::INCIDENT_FROM moment=from />
                <label class="gap tick"><input type="checkbox" prop:checked=over on:change=move |ev| over.set(event_target_checked(&ev)) />{words::INCIDENT_TO}</label>
                {move || over.get().then(|| view! { <MomentField label=words::INCIDENT_TO moment=to /> })}
                <TextField label=words::INCIDENT_MORE value=note />
                <button type="submit" class="act">{all_words::SAVE}</button>
            </form>
        </details>
    }
}
