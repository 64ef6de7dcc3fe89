//! How a box was set, put right; and what is taken out of it or put in, so that the fill-to mass stays right.

use crate::clock;
use crate::prefs::{prefs, units};
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::Head;
use crate::ui::day::{DateField, Seen, WhenFold};
use crate::ui::forms::{Choice, Faults, Quantity, TextField};
use crate::words::{self, boxes as said, mother, names, pull as pull_words, units as shown};
use book::FillingId;
use book::acts::BoxEdited;
use desk::forms::boxes::{EMPTIED_ON, SET_ON, SetupForm, taken, taken_mass};
use leptos::prelude::*;
use trade::units::Mass;

#[component]
pub fn Setup(id: FillingId) -> impl IntoView {
    let barn = barn();
    let back = Page::Box(id.to_string());
    let name = barn.peek(|book| names::filling(book, &id));
    let Some(before) = barn.peek(|book| BoxEdited::of(book, &id)) else { return ().into_any() };
    let (start, faults) = (SetupForm::new(before, units()), Faults::new());
    let [dry, water, closed] = [&start.dry, &start.water, &start.closed].map(|entry| RwSignal::new(entry.clone()));
    let (medium, note) = (RwSignal::new(start.medium.clone()), RwSignal::new(start.note.clone()));
    let own = RwSignal::new(start.name.clone());
    let (from, emptied) = (RwSignal::new(start.from.clone()), RwSignal::new(start.to.clone()));
    let was_emptied = start.before.to.is_some();
    let nest = barn.peek(|book| book.is_nest(&id));
    let (title, how, saved) = if nest {
        (mother::SET, mother::SET_HOW, mother::SET_SAVED)
    } else {
        (said::SETUP, said::SETUP_HOW, said::SETUP_SAVED)
    };
    let known: Vec<String> = barn.peek(|book| book.boxes().into_iter().filter_map(|b| b.name.clone()).collect());
    let to = back.clone();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let form = SetupForm {
            medium: medium.get_untracked(),
            note: note.get_untracked(),
            name: own.get_untracked(),
            dry: dry.get_untracked(),
            water: water.get_untracked(),
            closed: closed.get_untracked(),
            from: from.get_untracked(),
            to: emptied.get_untracked(),
            ..start.clone()
        };
        // As it stands by now: somebody else may have written meanwhile.
        let Some(now) = barn.peek(|book| BoxEdited::of(book, &start.before.filling)) else { return };
        let Some(act) = faults.pass(form.act(&now, units(), clock::today())) else { return };
        let to = to.clone();
        barn.save(act, saved, move |_| to.replace());
    };
    view! {
        <div class="page alone">
            <Head title=title.to_string() back=(back, name) />
            <p class="aside">{how}</p>
            <form novalidate on:submit=save>
                {(!nest).then(|| view! {
                    <TextField label=pull_words::MEDIUM value=medium />
                    <div class="pair"><Quantity entry=dry faults /><Quantity entry=water faults /></div>
                    <Quantity entry=closed faults />
                    <TextField label=said::BOX_NAME value=own offers=known hint=said::BOX_NAME_HOW />
                })}
                <TextField label=said::NOTE value=note />
                <DateField label=SET_ON value=from faults />
                {was_emptied.then(|| view! { <DateField label=EMPTIED_ON value=emptied faults /> })}
                <div class="acts"><button type="submit" class="act main">{words::SAVE}</button></div>
            </form>
        </div>
    }
    .into_any()
}

#[component]
pub fn Taken(id: FillingId) -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let back = Page::Box(id.to_string());
    let name = barn.peek(|book| names::filling(book, &id));
    let (what, mass, faults) = (RwSignal::new(String::new()), RwSignal::new(taken_mass()), Faults::new());
    let (out, seen) = (RwSignal::new(true), Seen::now());
    let to = back.clone();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let Some(when) = seen.get() else { return };
        let out = out.get_untracked();
        let built = mass.with_untracked(|mass| taken(id.clone(), (mass, out), &what.get_untracked(), when, units()));
        let Some(act) = faults.pass(built) else { return };
        let weighs = Mass(act.mass.0.saturating_abs());
        let told = said::taken(&shown::mass(weighs, &prefs.get_untracked()), out);
        let to = to.clone();
        barn.save(act, told, move |_| to.replace());
    };
    let ways = vec![(true, said::TAKEN_OUT.to_owned()), (false, said::PUT_IN.to_owned())];
    view! {
        <div class="page alone">
            <Head title=said::TAKEN.to_string() back=(back, name) />
            <p class="aside">{said::TAKEN_HOW}</p>
            <form novalidate on:submit=save>
                <Choice label=said::TAKEN_WHICH options=ways value=out />
                <TextField label=said::TAKEN_WHAT value=what />
                <Quantity entry=mass faults />
                <WhenFold seen />
                <div class="acts"><button type="submit" class="act main">{words::SAVE}</button></div>
            </form>
        </div>
    }
}
