//! What is done to one animal from her page. A panel takes the page's place until it is saved or left: nothing
//! lies over anything.

use crate::clock;
use crate::pages::boxes::NoteForm;
use crate::prefs::units;
use crate::route::Page;
use crate::store::barn;
use crate::ui::carried::ScanPlace;
use crate::ui::day::{Seen, SeenField};
use crate::ui::forms::{Choice, Ends, Faults, Pick, Quantity, TextField};
use crate::ui::{Caution, Empty, Head};
use crate::words::{self as all_words, animals as words, follicles as follicle_words, money as money_words, names};
use book::acts::{AnimalEventNoted, Moved};
use book::words::{AnimalEventWhat, PlaceWhat, ShedAs};
use book::{AnimalId, PlaceId};
use desk::Entry;
use desk::forms::money::{asked, price_asked};
use desk::forms::weights::{FolliclesForm, last, looked_last, offered, weighed, weight};
use leptos::prelude::*;
use wasm_bindgen::JsCast;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Panel {
    Weigh,
    Seen,
    Follicles,
    Note,
    Move,
    Price,
}

#[component]
pub fn PanelPage(id: AnimalId, panel: Panel, open: RwSignal<Option<Panel>>) -> impl IntoView {
    let name = barn().peek(|book| names::animal(book, &id));
    let title = match panel {
        Panel::Weigh => words::weigh_title(&name),
        Panel::Seen | Panel::Follicles => words::seen_title(&name),
        Panel::Note => words::note_title(&name),
        Panel::Move => words::move_title(&name),
        Panel::Price => money_words::price_title(&name),
    };
    let node = NodeRef::<leptos::html::Div>::new();
    Effect::new(move |_| {
        if let Some(node) = node.get() {
            // The one field of the panel is where the next thing happens.
            let first = node.query_selector("input, textarea, select").ok().flatten();
            if let Some(first) =
                first.filter(|_| !matches!(panel, Panel::Seen)).and_then(|f| f.dyn_into::<web_sys::HtmlElement>().ok())
            {
                let _ = first.focus();
            }
            if let Some(window) = web_sys::window() {
                window.scroll_to_with_x_and_y(0.0, 0.0);
            }
        }
    });
    view! {
        <div class="page with-acts" node_ref=node>
            <Head title />
            {match panel {
                Panel::Weigh => view! { <Weigh id open /> }.into_any(),
                Panel::Seen => view! { <SeenPanel id open /> }.into_any(),
                Panel::Follicles => view! { <Follicles id open /> }.into_any(),
                Panel::Note => view! { <Note id open /> }.into_any(),
                Panel::Move => view! { <Move id open /> }.into_any(),
                Panel::Price => view! { <Price id open /> }.into_any(),
            }}
        </div>
    }
}

/// Back to the page, without saving.
fn away(open: RwSignal<Option<Panel>>) -> Option<Callback<()>> {
    Some(Callback::new(move |()| open.set(None)))
}

/// A save may end after its page has gone.
fn shut(open: RwSignal<Option<Panel>>) {
    let _ = open.try_set(None);
}

#[component]
fn Weigh(id: AnimalId, open: RwSignal<Option<Panel>>) -> impl IntoView {
    let barn = barn();
    let start = Entry::blank(barn.peek(|book| weight(last(book, &id))));
    let (entry, seen, faults) = (RwSignal::new(start), Seen::now(), Faults::new());
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(when) = seen.get() else { return };
        let built = entry.with_untracked(|entry| weighed(id.clone(), entry, when, units()));
        let Some(act) = faults.pass(built) else { return };
        barn.save(act, words::SAVED_WEIGHT, move |_| shut(open));
    };
    view! {
        <form novalidate on:submit=save>
            <Quantity entry faults />
            <SeenField seen />
            <Ends leave=away(open) />
        </form>
    }
}

#[component]
fn SeenPanel(id: AnimalId, open: RwSignal<Option<Panel>>) -> impl IntoView {
    let barn = barn();
    let seen = Seen::now();
    let note = RwSignal::new(String::new());
    let all = barn.peek(|book| offered(book, &id, clock::today()));
    let lays = all.contains(&AnimalEventWhat::Straining);
    let save = move |what: AnimalEventWhat, shed: Option<ShedAs>| {
        let Some(when) = seen.get() else { return };
        let act = AnimalEventNoted { animal: id.clone(), what, when, mass: None, shed, note: note.get_untracked() };
        barn.save(act, words::saved_event(what, shed), move |_| shut(open));
    };
    let save = StoredValue::new(save);
    let buttons = all.iter().filter(|what| **what != AnimalEventWhat::Shed).map(|&what| {
        let bad = what == AnimalEventWhat::Straining;
        let tap = move |_| match what {
            // A size and a number are asked first.
            AnimalEventWhat::Follicles => open.set(Some(Panel::Follicles)),
            _ => save.with_value(|save| save(what, None)),
        };
        view! { <button type="button" class="act" class:bad=bad on:click=tap>{words::event_button(what)}</button> }
    });
    // How it shed is the tap itself: what is asked afterwards is not answered.
    let sheds = words::shed_choices().into_iter().map(|(shed, said)| {
        let tap = move |_| save.with_value(|save| save(AnimalEventWhat::Shed, shed));
        view! { <button type="button" class="act" on:click=tap>{said}</button> }
    });
    let sheds = view! {
        <fieldset class="field">
            <legend>{words::event_button(AnimalEventWhat::Shed)}</legend>
            <div class="gap grow">{sheds.collect_view()}</div>
            <p class="hint">{words::SHED_HINT}</p>
        </fieldset>
    };
    let others = view! {
        <fieldset class="field">
            <legend>{words::WHAT_SEEN}</legend>
            <div class="gap grow">{buttons.collect_view()}</div>
        </fieldset>
    };
    // In the order they are offered in: of a hatchling the shed comes first.
    let parts = match all.first() {
        Some(AnimalEventWhat::Shed) => [sheds.into_any(), others.into_any()],
        _ => [others.into_any(), sheds.into_any()],
    };
    view! {
        <SeenField seen />
        {parts}
        <details>
            <summary>{words::ADD_NOTE}</summary>
            <TextField label=words::NOTE_TEXT value=note />
        </details>
        {lays.then(|| view! { <Caution text=words::STRAINING_HINT /> })}
        <Ends leave=away(open) save=false />
    }
}

#[component]
fn Follicles(id: AnimalId, open: RwSignal<Option<Panel>>) -> impl IntoView {
    let barn = barn();
    let start = FolliclesForm::new(barn.peek(|book| looked_last(book, &id)));
    let (size, count) = (RwSignal::new(start.size), RwSignal::new(start.count));
    let (looked, side) = (RwSignal::new(start.looked), RwSignal::new(start.side));
    let (note, seen, faults) = (RwSignal::new(start.note), Seen::now(), Faults::new());
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(when) = seen.get() else { return };
        let form = FolliclesForm {
            looked: looked.get_untracked(),
            side: side.get_untracked(),
            size: size.get_untracked(),
            count: count.get_untracked(),
            note: note.get_untracked(),
        };
        let Some(act) = faults.pass(form.act(id.clone(), when, units())) else { return };
        barn.save(act, follicle_words::SAVED, move |_| shut(open));
    };
    view! {
        <form novalidate on:submit=save>
            <div class="pair"><Quantity entry=size faults /><Quantity entry=count faults /></div>
            <Choice label=follicle_words::LOOKED options=follicle_words::looked_choices() value=looked />
            <Choice label=follicle_words::SIDE options=follicle_words::side_choices() value=side />
            <TextField label=words::NOTE_TEXT value=note />
            <SeenField seen />
            <p class="hint">{follicle_words::HOW}</p>
            <Ends leave=away(open) />
        </form>
    }
}

#[component]
fn Note(id: AnimalId, open: RwSignal<Option<Panel>>) -> impl IntoView {
    view! {
        <NoteForm about=id.thing() done=Callback::new(move |()| shut(open)) />
        <button type="button" class="act" data-leave="" on:click=move |_| open.set(None)>{all_words::LEAVE}</button>
    }
}

#[component]
fn Move(id: AnimalId, open: RwSignal<Option<Panel>>) -> impl IntoView {
    let barn = barn();
    let (to, seen) = (RwSignal::new(String::new()), Seen::now());
    let options = Signal::derive(move || place_options(words::NO_PLACE));
    let thing = id.thing();
    let none = barn.peek(|book| !book.places().iter().any(|place| keeps_animals(place.what) && !place.closed));
    if none {
        return view! {
            <Empty text=words::NO_PLACES><a class="act main" href=Page::PlaceNew.href()>{crate::words::places::ADD}</a></Empty>
            <Ends leave=away(open) save=false />
        }
        .into_any();
    }
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(when) = seen.get() else { return };
        let to = to.get_untracked();
        if to.is_empty() {
            return barn.amiss(words::NO_TARGET.to_owned());
        }
        let act = Moved::to_place(vec![id.thing()], PlaceId::new(to), when);
        barn.save(act, words::SAVED_MOVE, move |_| shut(open));
    };
    view! {
        <form novalidate on:submit=save>
            <Pick label=words::TO_PLACE options value=to />
            <ScanPlace thing />
            <SeenField seen />
            <Ends leave=away(open) />
        </form>
    }
    .into_any()
}

#[component]
fn Price(id: AnimalId, open: RwSignal<Option<Panel>>) -> impl IntoView {
    let barn = barn();
    let start = barn.peek(|book| asked(book.animal(&id).and_then(|animal| animal.asked), book.currency()));
    let (entry, faults) = (RwSignal::new(start), Faults::new());
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(act) = faults.pass(price_asked(id.clone(), &entry.get_untracked())) else { return };
        let told = if act.asked.is_some() { money_words::PRICE_SAVED } else { money_words::NOT_FOR_SALE };
        barn.save(act, told, move |_| shut(open));
    };
    view! {
        <form novalidate on:submit=save>
            <Quantity entry hint=money_words::ASKED_HOW faults />
            <Ends leave=away(open) />
        </form>
    }
}

fn keeps_animals(what: Option<PlaceWhat>) -> bool {
    !matches!(what, Some(PlaceWhat::Shelf | PlaceWhat::Incubator))
}

/// Where an animal can be kept, free ones said to be so; the first choice is `none`.
pub fn place_options(none: &str) -> Vec<(String, String)> {
    let places = barn().read(|book| {
        let fit = book.places().into_iter().filter(|place| keeps_animals(place.what) && !place.closed);
        let said = fit.map(|place| {
            let held = crate::words::places::animals(crate::pages::places::animals_at(book, &place.id));
            (place.id.to_string(), format!("{} · {held}", names::place(book, &place.id)))
        });
        said.collect::<Vec<_>>()
    });
    std::iter::once((String::new(), none.to_owned())).chain(places).collect()
}
