//! Who is put with whom, and when.

use crate::clock;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::day::{DateField, Seen, SeenField};
use crate::ui::forms::{Faults, TextField};
use crate::ui::mates::{Side, SideField};
use crate::ui::{Empty, Head};
use crate::words::{self as all_words, animals as animal_words, names, pairings as words};
use book::acts::{Paired, PairingCard, PairingEdited, made};
use book::words::Sex;
use book::{AnimalId, Kind, PairingId};
use desk::forms::pairing::{INTRODUCED, PairingForm, SEPARATED};
use leptos::prelude::*;

/// A new pairing, begun from an animal or from nothing.
#[component]
pub fn PairingNew(with: Option<String>) -> impl IntoView {
    let barn = barn();
    let with = with.map(AnimalId::new).filter(|id| barn.peek(|book| book.animal(id).is_some()));
    let male = with.as_ref().is_some_and(|id| barn.peek(|book| book.animal(id).and_then(|a| a.sex)) == Some(Sex::Male));
    let chosen: Vec<AnimalId> = with.clone().into_iter().collect();
    let dams = Side::new(Sex::Female, if male { &[] } else { &chosen });
    let sires = Side::new(Sex::Male, if male { &chosen } else { &[] });
    let (seen, note) = (Seen::now(), RwSignal::new(String::new()));
    let back = match &with {
        Some(id) => (Page::Animal(id.to_string()), barn.peek(|book| names::animal(book, id))),
        None => (Page::Pairings, words::TITLE.to_owned()),
    };
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(when) = seen.get() else { return };
        let act = Paired { dams: dams.ids(), sires: sires.ids(), when, note: note.get_untracked() };
        barn.save(act, words::SAVED, move |draft| {
            made(draft, Kind::Pairing).map_or(Page::Pairings, |pairing| Page::Pairing(pairing.id)).replace();
        });
    };
    // What is not known yet comes first.
    let sides = if with.is_some() && !male { [(sires, dams), (dams, sires)] } else { [(dams, sires), (sires, dams)] };
    view! {
        <div class="page with-acts">
            <Head title=words::NEW.to_string() back />
            <form novalidate on:submit=save>
                {sides.map(|(side, other)| view! { <SideField side other /> }.into_any())}
                <p class="aside">{words::SEVERAL}</p>
                <SeenField seen />
                <details>
                    <summary>{animal_words::ADD_NOTE}</summary>
                    <TextField label=words::NOTE value=note />
                </details>
                <div class="acts"><button type="submit" class="act main">{all_words::SAVE}</button></div>
            </form>
        </div>
    }
}

/// Anything of a pairing put right.
#[component]
pub fn PairingEdit(id: String) -> impl IntoView {
    let barn = barn();
    let id = PairingId::new(id);
    let Some(before) = barn.peek(|book| PairingCard::of(book, &id)) else {
        return view! {
            <div class="page"><Empty text=words::NO_SUCH><a class="act main" href=Page::Pairings.href()>{words::TO_LIST}</a></Empty></div>
        }
        .into_any();
    };
    let start = PairingForm::new(before);
    let (dams, sires) = (Side::new(Sex::Female, &start.dams), Side::new(Sex::Male, &start.sires));
    let (when, ended) = (RwSignal::new(start.introduced.clone()), RwSignal::new(start.separated.clone()));
    let (note, faults) = (RwSignal::new(start.note.clone()), Faults::new());
    let name = barn.peek(|book| super::list::title(book, &id));
    let back = (Page::Pairing(id.to_string()), name);
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let form = PairingForm {
            dams: dams.ids(),
            sires: sires.ids(),
            introduced: when.get_untracked(),
            separated: ended.get_untracked(),
            note: note.get_untracked(),
            ..start.clone()
        };
        // As it stands by now: somebody else may have written meanwhile.
        let Some(now) = barn.peek(|book| PairingCard::of(book, &id)) else { return };
        let Some(card) = faults.pass(form.card(&now, clock::today())) else { return };
        let to = Page::Pairing(id.to_string());
        barn.save(PairingEdited { pairing: id.clone(), card }, words::SAVED, move |_| to.replace());
    };
    let today = clock::today();
    view! {
        <div class="page with-acts">
            <Head title=words::EDIT_TITLE.to_string() aside=crate::words::dates::weekday(today, today) back />
            <form novalidate on:submit=save>
                <SideField side=dams other=sires />
                <SideField side=sires other=dams />
                <DateField label=INTRODUCED value=when faults />
                <DateField label=SEPARATED value=ended faults />
                <TextField label=words::NOTE value=note />
                <div class="acts"><button type="submit" class="act main">{all_words::SAVE}</button></div>
            </form>
        </div>
    }
    .into_any()
}
