//! What a scanned or followed label leads to: its record's page, or what the label itself says.

use crate::clock;
use crate::prefs::prefs;
use crate::route::{Go, Page, PullFrom};
use crate::store::{Barn, barn};
use crate::ui::{Head, carried};
use crate::words::{boxes as box_words, dates, found as said, nav, scan as scan_words, units, window as window_words};
use book::{Book, Kind, Thing};
use labels::payload::{Kind as LabelKind, Known, Label, Reading, read};
use leptos::prelude::*;
use trade::units::Mass;
use trade::when::When;

/// The record that carries this code.
fn thing_of(book: &Book, id: &str) -> Option<Thing> {
    let known = [Kind::Filling, Kind::Animal, Kind::Place, Kind::Clutch, Kind::Label];
    known.into_iter().map(|kind| Thing::new(kind, id)).find(|thing| book.has(thing))
}

fn page_of(thing: &Thing) -> Page {
    Page::of(thing).unwrap_or(Page::Daybook)
}

/// Goes there, unless it is the place that something is being brought to.
pub fn follow(barn: Barn, page: &Page) {
    if !carried::taken_to(barn, page) {
        carried::scanned(page);
        page.go();
    }
}

/// What a text turned out to mean.
pub enum Meant {
    /// Something in these records.
    Known(Thing),
    /// A label that is not; its own page shows what it says.
    Elsewhere(Page),
}

impl Meant {
    pub fn page(&self) -> Page {
        match self {
            Meant::Known(thing) => page_of(thing),
            Meant::Elsewhere(page) => page.clone(),
        }
    }
}

/// What a scanned or typed text means, printed by whichever version and for whichever address of the app; or a sentence
/// that says what it is instead.
pub fn meant(barn: Barn, text: &str) -> Result<Meant, String> {
    let known = |id: &str| barn.peek(|book| thing_of(book, id));
    // Another device's screen, held before the camera.
    if let Some((_, invitation)) = text.split_once(share::MARK) {
        return Ok(Meant::Elsewhere(Page::Join(invitation.to_owned())));
    }
    match read(text) {
        Reading::Label(label) => {
            let id = label.code.id();
            let blank = || match label.kind {
                LabelKind::Blank => Page::Pull(PullFrom::Blank(id.to_owned())),
                _ => Page::FromLabel(text.split_once('#').map_or(String::new(), |(_, fragment)| fragment.to_owned())),
            };
            Ok(known(id).map_or_else(|| Meant::Elsewhere(blank()), Meant::Known))
        }
        Reading::Bare(code) => known(code.id()).map(Meant::Known).ok_or_else(|| said::no_such_code(&code.to_string())),
        Reading::Damaged(damaged) => Err(scan_words::sentence(&damaged.to_string())),
        Reading::Foreign(foreign) => Err(scan_words::foreign(&foreign)),
    }
}

/// A printed link, opened by the phone's own camera or scanned and not known here.
#[component]
pub fn FromLabel(raw: String) -> impl IntoView {
    let barn = barn();
    match read(&format!("https://label/#{raw}")) {
        Reading::Label(label) => {
            let id = label.code.id().to_owned();
            match barn.peek(|book| thing_of(book, &id)) {
                Some(thing) => {
                    let page = page_of(&thing);
                    request_animation_frame(move || page.replace());
                    ().into_any()
                }
                None => view! { <Unknown label /> }.into_any(),
            }
        }
        Reading::Damaged(damaged) => view! { <Spoilt text=scan_words::sentence(&damaged.to_string()) /> }.into_any(),
        _ => view! { <Spoilt text=said::NOT_A_LABEL.to_string() /> }.into_any(),
    }
}

#[component]
fn Spoilt(text: String) -> impl IntoView {
    view! {
        <div class="page">
            <Head title=said::TITLE.to_string() back=(Page::Rounds, nav::ROUNDS.to_string()) />
            <p class="card" role="alert">{text}</p>
            <a class="act main" href=Page::Scan.href()>{said::TO_SCAN}</a>
        </div>
    }
}

/// Not in these records: what the label itself says, and how to get the rest.
#[component]
fn Unknown(label: Label) -> impl IntoView {
    let prefs = prefs();
    let today = clock::today();
    let code = label.code.to_string();
    let id = label.code.id().to_owned();
    let blank = label.kind == LabelKind::Blank;
    let facts = facts(&label.known, today, &prefs.get_untracked());
    let empty = barn().peek(|book| book.all_animals().next().is_none() && book.clutches().is_empty());
    let title = label.known.number.clone().unwrap_or_else(|| said::kind(label.kind).to_string());
    view! {
        <div class="page">
            <Head title aside=code back=(Page::Rounds, nav::ROUNDS.to_string()) />
            {if blank {
                view! {
                    <p class="card">{said::BLANK}</p>
                    <a class="act main" href=Page::Pull(PullFrom::Blank(id)).href()>{said::START_CLUTCH}</a>
                }.into_any()
            } else {
                view! {
                    <p class="card" role="status">{said::NOT_HERE}</p>
                    <h2>{said::LABEL_SAYS}</h2>
                    {if facts.is_empty() {
                        view! { <p class="card">{said::NOTHING_ELSE}</p> }.into_any()
                    } else {
                        view! {
                            <dl class="card facts">
                                {facts.into_iter().map(|(name, value)| view! { <dt>{name}</dt><dd>{value}</dd> }).collect_view()}
                            </dl>
                        }.into_any()
                    }}
                    <p class="aside">{said::GET_THE_REST}</p>
                }.into_any()
            }}
            {(empty && in_iphone_tab()).then(|| view! { <p class="card">{said::HOME_SCREEN}</p> })}
        </div>
    }
}

fn facts(known: &Known, today: chrono::NaiveDate, prefs: &crate::prefs::Prefs) -> Vec<(&'static str, String)> {
    let day = known.day.map(|d| When::about(d.day, u32::from(d.unsure_days)));
    let rows = [
        (said::SPECIES, known.species.clone()),
        (
            said::LAID,
            day.map(|w| {
                format!("{} · {}", dates::laid(w, today), box_words::day_number((today - w.date()).num_days()))
            }),
        ),
        (said::EGGS, known.eggs.map(|n| n.to_string())),
        (said::LOOK_FROM, known.window.map(|w| dates::near(w.look_from, today))),
        (said::WINDOW, known.window.map(|w| window_words::likely(w.likely_from, w.likely_to, today))),
        (said::FILL_TO, known.fill_to_mg.map(|m| units::mass(Mass(m), prefs))),
    ];
    rows.into_iter().filter_map(|(name, value)| Some((name, value?))).collect()
}

/// On iOS the browser's tab and the home-screen app keep separate records.
fn in_iphone_tab() -> bool {
    let Some(window) = web_sys::window() else { return false };
    let agent = window.navigator().user_agent().unwrap_or_default();
    let standalone = window.match_media("(display-mode: standalone)").ok().flatten().is_some_and(|m| m.matches());
    (agent.contains("iPhone") || agent.contains("iPad")) && !standalone
}
