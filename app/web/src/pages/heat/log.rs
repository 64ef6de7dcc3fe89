//! A logger's file: chosen, understood, looked at, and only then saved.

use crate::clock;
use crate::prefs::prefs;
use crate::route::{Go, Page};
use crate::store::{Barn, barn};
use crate::ui::forms::Choice;
use crate::ui::{Empty, Head};
use crate::words::{heat as said, places as place_words};
use book::PlaceId;
use book::acts::ReadingsImported;
use leptos::prelude::*;
use leptos::task::spawn_local;
use std::time::Duration;
use trade::logger::{Ask, Intake, Layout, Log, Order, Told, Unit, layout, packed, text_of};
use trade::path::Reading;
use trade::units::Humidity;

/// Lines read before the page may draw again.
const LINES: usize = 4000;
/// Left-out rows shown.
const BAD: usize = 50;

/// What stands on the page under the file's name.
#[derive(Clone)]
enum Stage {
    Nothing,
    /// In words, what is wrong.
    Refused(String),
    Reading(f64),
    /// Read, with how many of the readings are new.
    Read(Log, usize),
}

/// When it was read, and what.
type Humid = Vec<(chrono::NaiveDateTime, Humidity)>;

/// Everything about the file on the page; cheap to copy into closures.
#[derive(Clone, Copy)]
struct Held {
    name: RwSignal<String>,
    text: StoredValue<String>,
    told: RwSignal<Told>,
    layout: RwSignal<Option<Layout>>,
    stage: RwSignal<Stage>,
    /// which reading of a file is the one wanted
    turn: StoredValue<u32>,
    place: StoredValue<PlaceId>,
    barn: Barn,
}

#[component]
pub fn LogPage(id: String) -> impl IntoView {
    let barn = barn();
    let place = PlaceId::new(id);
    let Some(name) = barn.peek(|book| book.place(&place).map(place_words::called)) else {
        return view! { <div class="page"><Empty text=place_words::NO_SUCH><a class="act main" href=Page::Places.href()>{place_words::TO_LIST}</a></Empty></div> }.into_any();
    };
    let held = Held {
        name: RwSignal::new(String::new()),
        text: StoredValue::new(String::new()),
        told: RwSignal::new(Told::default()),
        layout: RwSignal::new(None),
        stage: RwSignal::new(Stage::Nothing),
        turn: StoredValue::new(0),
        place: StoredValue::new(place.clone()),
        barn,
    };
    let input = NodeRef::<leptos::html::Input>::new();
    let picked = move |_| {
        let Some(file) = input.get_untracked().and_then(|i| i.files()).and_then(|f| f.get(0)) else { return };
        held.name.set(file.name());
        spawn_local(async move {
            match wasm_bindgen_futures::JsFuture::from(file.array_buffer()).await {
                Ok(bytes) => {
                    held.text.set_value(text_of(&js_sys::Uint8Array::new(&bytes).to_vec()));
                    held.told.set(Told::default());
                    held.look();
                }
                Err(_) => held.stage.set(Stage::Refused(said::UNREADABLE_FILE.to_owned())),
            }
        });
    };
    view! {
        <div class="page alone">
            <Head title=said::LOG_TITLE.to_string() back=(Page::Place(place.to_string()), name) />
            <p>{said::LOG_HINT}</p>
            <label class="act photo-pick">
                {move || if held.name.get().is_empty() { said::CHOOSE.to_string() } else { held.name.get() }}
                <input node_ref=input class="unseen" type="file" accept=".csv,.txt,.tsv,.log,text/*" on:change=picked />
            </label>
            <div data-of=held.name>{move || held.layout.get().map(|layout| questions(held, layout))}</div>
            <div role="status" aria-live="polite">{move || shown(held)}</div>
        </div>
    }
    .into_any()
}

impl Held {
    /// Finds the file's shape; reads it when nothing is left to ask. Nothing when the page is gone.
    fn look(self) {
        let turn = self.turn.try_update_value(|t| {
            *t += 1;
            *t
        });
        let Some(turn) = turn else { return };
        let now = clock::now();
        let found = self.text.with_value(|text| layout(text, &self.told.get_untracked(), now));
        match found {
            Err(why) => {
                self.layout.set(None);
                self.stage.set(Stage::Refused(said::no_log(&why.to_string())));
            }
            Ok(layout) => {
                let ready = layout.asks.is_empty();
                self.layout.set(Some(layout.clone()));
                self.stage.set(Stage::Nothing);
                if ready {
                    let intake = Intake::new(self.text.get_value(), layout, clock::zone_minutes(), now);
                    self.read_on(intake, turn);
                }
            }
        }
    }

    /// Some lines, then the page may draw, then more.
    fn read_on(self, mut intake: Intake, turn: u32) {
        if self.turn.try_get_value() != Some(turn) {
            return;
        }
        let share = intake.step(LINES);
        if share < 1.0 {
            self.stage.set(Stage::Reading(share));
            return set_timeout(move || self.read_on(intake, turn), Duration::ZERO);
        }
        let log = intake.finish();
        let new = self.place.with_value(|place| self.barn.peek(|book| book.new_readings(place, &log.readings).len()));
        self.stage.set(Stage::Read(log, new));
    }

    fn tell(self, change: impl FnOnce(&mut Told)) {
        self.told.update(change);
        self.look();
    }

    /// A block of readings an act, one after another; to the end, even when the page is left meanwhile.
    fn save(self, place: PlaceId, source: String, mut left: Vec<Reading>, humidity: Humid, saved: usize) {
        if left.is_empty() {
            if self.turn.try_get_value().is_some() {
                Page::Place(place.to_string()).go();
            }
            return;
        }
        let rest = left.split_off(left.len().min(packed::MOST));
        let saved = saved + left.len();
        let beside = humidity.clone();
        let act = ReadingsImported { place: place.clone(), source: source.clone(), readings: left, humidity: beside };
        self.barn.save(act, said::brought(saved), move |_| self.save(place, source, rest, humidity, saved));
    }
}

/// What only the keeper can say, open; what was understood, folded away with the same choices.
fn questions(held: Held, layout: Layout) -> AnyView {
    let asks = layout.asks.clone();
    let open = |ask: Ask| asks.contains(&ask);
    let probe = (layout.probes.len() > 1).then(|| {
        let options =
            layout.probes.iter().map(|p| (Some(p.column), said::probe(&p.name, p.column, &p.sample))).collect();
        let value = RwSignal::new((!open(Ask::Probe)).then_some(layout.probe));
        follow(value, move |column| held.tell(|told| told.probe = column));
        (open(Ask::Probe), view! { <Choice label=said::WHICH_PROBE options value /> }.into_any())
    });
    let unit = {
        let options = [Unit::Celsius, Unit::Fahrenheit].map(|u| (Some(u), said::unit(u).to_owned())).to_vec();
        let value = RwSignal::new(layout.unit);
        follow(value, move |unit| held.tell(|told| told.unit = unit));
        (open(Ask::Unit), view! { <Choice label=said::WHICH_UNIT options value /> }.into_any())
    };
    let order = (layout.order != Some(Order::YearFirst)).then(|| {
        let options = [Order::DayFirst, Order::MonthFirst].map(|o| (Some(o), said::order(o).to_owned())).to_vec();
        let value = RwSignal::new(layout.order);
        follow(value, move |order| held.tell(|told| told.order = order));
        (open(Ask::Order), view! { <Choice label=said::which_order(&layout.first_date) options value /> }.into_any())
    });
    let (asked, told): (Vec<_>, Vec<_>) = [probe, Some(unit), order].into_iter().flatten().partition(|(open, _)| *open);
    let views = |all: Vec<(bool, AnyView)>| all.into_iter().map(|(_, view)| view).collect_view();
    view! {
        {views(asked)}
        <p class="aside">{said::understood(&layout)}</p>
        {(!told.is_empty()).then(|| view! { <details><summary>{said::READ_AS}</summary>{views(told)}</details> })}
    }
    .into_any()
}

/// Acts on a choice, not on what it was drawn with.
fn follow<T: Clone + PartialEq + Send + Sync + 'static>(value: RwSignal<Option<T>>, act: impl Fn(Option<T>) + 'static) {
    let drawn = value.get_untracked();
    Effect::new(move |_| {
        let chosen = value.get();
        if chosen != drawn {
            act(chosen);
        }
    });
}

fn shown(held: Held) -> Option<AnyView> {
    let today = clock::today();
    match held.stage.get() {
        Stage::Nothing => None,
        Stage::Refused(why) => Some(view! { <p class="card warned">{why}</p> }.into_any()),
        Stage::Reading(share) => Some(
            view! {
                <p>{said::READING_FILE} " " <progress max="1" value=share aria-label=said::READING_FILE></progress></p>
                <button type="button" class="act small" on:click=move |_| {
                    held.turn.update_value(|t| *t += 1);
                    held.stage.set(Stage::Nothing);
                }>{said::STOP}</button>
            }
            .into_any(),
        ),
        Stage::Read(log, new) => {
            let bad = log.bad.iter().take(BAD).map(|bad| {
                view! { <li>{said::bad_row(bad.line, &bad.why.to_string(), &bad.row)}</li> }
            });
            let some = !log.readings.is_empty();
            let (readings, humidity) = (log.readings.clone(), log.humidity.clone());
            Some(
                view! {
                    <section class="card stack">
                        <p>{said::found(&log, &prefs().get(), today)}</p>
                        {some.then(|| view! { <p>{said::new_ones(new, log.readings.len())}</p> })}
                        {(log.humid_bad > 0).then(|| view! { <p>{said::humid_bad(log.humid_bad)}</p> })}
                        {(log.bad_count > 0).then(|| view! {
                            <details><summary>{said::bad_rows(log.bad_count)}</summary><ul class="story">{bad.collect_view()}</ul></details>
                        })}
                    </section>
                    {(new > 0).then(|| view! {
                        <div class="acts"><button type="button" class="act main"
                            on:click=move |_| held.save(held.place.get_value(), held.name.get_untracked(), readings.clone(), humidity.clone(), 0)>{said::BRING_THEM}</button></div>
                    })}
                }
                .into_any(),
            )
        }
    }
}
