//! Eggs of a clutch that came after it was pulled, and boxes set for eggs that are in the book already.

use crate::clock;
use crate::pages::pull::boxing::{BoxFields, OneBox};
use crate::prefs::units;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::day::{DateField, Seen, WhenFold};
use crate::ui::forms::{Faults, Pick, Quantity, Stepper};
use crate::ui::{Empty, Head};
use crate::words::{boxes as box_words, clutch as said, mother, names, pull as pull_words};
use book::acts::made;
use book::{Book, ClutchId, EggId, FillingId, Kind, Where};
use desk::forms::boxes::{self, LaterForm};
use desk::forms::pull::BoxForm;
use leptos::prelude::*;

#[component]
pub fn EggsLater(id: String) -> impl IntoView {
    let barn = barn();
    let id = ClutchId::from(id.as_str());
    if barn.peek(|book| book.clutch(&id).is_none()) {
        return view! {
            <div class="page"><Empty text=box_words::NO_CLUTCH><a class="act main" href=Page::Boxes.href()>{box_words::TITLE}</a></Empty></div>
        }
        .into_any();
    }
    let (number, nest) = barn.peek(|book| (book.clutch_number(&id), book.nest(&id).is_some()));
    if nest {
        return view! {
            <div class="page">
                <Head title=mother::TAKE.to_string() back=(Page::Clutch(id.to_string()), number) />
                <Another id=id.clone() />
                <h2>{said::LATER_TITLE}</h2>
                <Added id />
            </div>
        }
        .into_any();
    }
    view! {
        <div class="page">
            <Head title=said::LATER_TITLE.to_string() back=(Page::Clutch(id.to_string()), number) />
            <Added id=id.clone() />
            <h2>{said::ANOTHER}</h2>
            <Another id />
        </div>
    }
    .into_any()
}

#[component]
fn Added(id: ClutchId) -> impl IntoView {
    let barn = barn();
    let start = LaterForm::new(id.clone());
    let (seen, faults) = (Seen::now(), Faults::new());
    let counts = start.counts.each_ref().map(|count| RwSignal::new(count.clone()));
    let (laid, mass) = (RwSignal::new(String::new()), RwSignal::new(start.mass.clone()));
    let boxes: Vec<(String, String)> = barn.peek(|book| {
        let own = book.fillings_of(&id).into_iter().filter(|filling| filling.to.is_none());
        own.map(|filling| (filling.id.to_string(), names::filling(book, &filling.id))).collect()
    });
    let into = RwSignal::new(boxes.first().map(|(id, _)| id.clone()).unwrap_or_default());
    let none = std::iter::once((String::new(), said::IN_NO_BOX.to_owned()));
    let options: Vec<(String, String)> = none.chain(boxes).collect();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(when) = seen.get() else { return };
        let form = LaterForm {
            counts: counts.map(|count| count.get_untracked()),
            laid: laid.get_untracked(),
            filling: Some(into.get_untracked()).filter(|id| !id.is_empty()).map(FillingId::new),
            mass: mass.get_untracked(),
            ..start.clone()
        };
        let Some(act) = faults.pass(form.act(said::LATER_LAID, when, clock::today(), units())) else { return };
        let to = Page::Clutch(id.to_string());
        barn.save(act, said::LATER_SAVED, move |_| to.replace());
    };
    view! {
        <form novalidate on:submit=save>
            <div class="steps">
                {counts.map(|entry| view! { <Stepper entry faults /> }).collect_view()}
            </div>
            <DateField label=said::LATER_LAID value=laid faults />
            <Pick label=pull_words::BOX options=Signal::stored(options) value=into />
            <Quantity entry=mass faults />
            <WhenFold seen />
            <button type="submit" class="act main">{said::ADD_THEM}</button>
        </form>
    }
}

/// Eggs still in, each with the box it is in now.
fn eggs(book: &Book, clutch: &ClutchId) -> Vec<(EggId, String, Option<String>)> {
    let still = book.eggs_of(clutch).into_iter().filter(|egg| egg.fate.is_none());
    let of = |egg: &book::records::Egg| match book.whereabouts(&egg.id.thing()) {
        Some(Where::Filling(id)) => Some(names::filling(book, id)),
        _ => None,
    };
    still.map(|egg| (egg.id.clone(), egg.letter.clone().unwrap_or_default(), of(egg))).collect()
}

#[component]
fn Another(id: ClutchId) -> impl IntoView {
    let barn = barn();
    let all = barn.peek(|book| eggs(book, &id));
    if all.is_empty() {
        return view! { <p class="card quiet">{said::NO_EGG_LEFT}</p> }.into_any();
    }
    // Those in no box want one, and who comes from her nest takes them all.
    let with_her = |egg: &EggId| {
        barn.peek(|book| matches!(book.whereabouts(&egg.thing()), Some(Where::Filling(id)) if book.is_nest(id)))
    };
    let first: Vec<EggId> =
        all.iter().filter(|(egg, _, at)| at.is_none() || with_her(egg)).map(|(egg, ..)| egg.clone()).collect();
    let (chosen, seen) = (RwSignal::new(first), Seen::now());
    let faults = Faults::new();
    let fields = BoxFields::new(BoxForm::new(barn.peek(Book::suggest_setup), None, None, units()), faults);
    let typed = fields.clone();
    let save = move |_| {
        let Some(when) = seen.get() else { return };
        let Some(act) = faults.pass(boxes::set(&typed.form(), chosen.get_untracked(), when, units())) else { return };
        barn.save(act, said::ANOTHER_SAVED, |draft| {
            if let Some(filling) = made(draft, Kind::Filling) {
                Page::Box(filling.id).replace();
            }
        });
    };
    let chip = move |(egg, letter, at): (EggId, String, Option<String>)| {
        let (own, tapped) = (egg.clone(), egg);
        let tap = move |_| {
            chosen.update(|list| match list.iter().position(|other| *other == tapped) {
                Some(at) => drop(list.remove(at)),
                None => list.push(tapped.clone()),
            });
        };
        let said = match at {
            Some(at) => format!("{letter} · {at}"),
            None => letter,
        };
        view! {
            <button type="button" class="chip" aria-pressed=move || chosen.with(|list| list.contains(&own)).to_string()
                on:click=tap>{said}</button>
        }
    };
    view! {
        <p class="aside">{said::ANOTHER_HOW}</p>
        <div class="chips">{all.into_iter().map(chip).collect_view()}</div>
        <OneBox fields number=None share=false />
        <WhenFold seen />
        <button type="button" class="act" on:click=save>{said::SET_IT}</button>
    }
    .into_any()
}
