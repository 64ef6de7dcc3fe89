//! Anything of a clutch entered later or put right.

use crate::clock;
use crate::prefs::units;
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::day::DateField;
use crate::ui::forms::{Choice, Faults, Pick, Quantity, Stepper, TextField};
use crate::ui::laid::{LaidField, LaidWhen};
use crate::ui::mates::{Side, SideField};
use crate::ui::sires::{Besides, OtherSires};
use crate::ui::{Empty, Head};
use crate::words::{self as all_words, boxes as box_words, measures as words, names};
use book::ClutchId;
use book::acts::{ClutchCard, ClutchesJoined};
use book::views::HerMale;
use book::words::Sex;
use desk::Entry;
use desk::forms::clutch::{ClutchForm, FOUND, Weighed};
use leptos::prelude::*;
use trade::when::When;

/// A weight and its day.
#[component]
fn WeighedField(mass: RwSignal<Entry>, day: RwSignal<String>, day_name: String, faults: Faults) -> impl IntoView {
    view! {
        <div class="pair">
            <Quantity entry=mass faults />
            <DateField label=day_name value=day faults />
        </div>
    }
}

/// Clutches offered, newest first.
const OTHERS: usize = 200;

/// Made on two phones: joined with its other record.
#[component]
fn SameAs(id: ClutchId) -> impl IntoView {
    let barn = barn();
    let other = RwSignal::new(String::new());
    let others = barn.peek(|book| {
        let own = book.same_clutch(&id);
        let all =
            book.clutches().into_iter().filter(|clutch| !own.iter().any(|same| same.id == clutch.id)).take(OTHERS);
        let all = all.map(|clutch| {
            let said = format!("{} · {}", book.clutch_number(&clutch.id), book.animal_names(&clutch.dams).join(" / "));
            (clutch.id.to_string(), said)
        });
        std::iter::once((String::new(), words::NO_OTHER.to_owned())).chain(all).collect::<Vec<_>>()
    });
    let join = move |_| {
        let chosen = other.get_untracked();
        if chosen.is_empty() {
            return barn.amiss(words::CHOOSE_OTHER.to_owned());
        }
        let to = Page::Clutch(id.to_string());
        let act = ClutchesJoined { clutch: id.clone(), same_as: ClutchId::from(chosen.as_str()) };
        barn.save(act, all_words::doubles::JOINED, move |_| to.replace());
    };
    view! {
        <details>
            <summary>{words::SAME_AS}</summary>
            <Pick label=words::OTHER options=Signal::stored(others) value=other />
            <button type="button" class="act" on:click=join>{all_words::doubles::SAME}</button>
        </details>
    }
}

#[component]
pub fn ClutchEdit(id: String) -> impl IntoView {
    let barn = barn();
    let id = ClutchId::from(id.as_str());
    let Some(before) = barn.peek(|book| ClutchCard::of(book, &id)) else {
        return view! {
            <div class="page"><Empty text=box_words::NO_CLUTCH><a class="act main" href=Page::Boxes.href()>{box_words::TITLE}</a></Empty></div>
        }
        .into_any();
    };
    let pulled = barn.peek(|book| !book.eggs_of(&id).is_empty());
    let start = ClutchForm::new(id.clone(), before.clone(), clock::today(), units());
    let faults = Faults::new();
    let number = RwSignal::new(start.number.clone());
    let (dams, sires) = (Side::new(Sex::Female, &start.dams), Side::new(Sex::Male, &start.sires));
    let besides = Besides::new(sires.chosen, start.unknown_male, start.no_male);
    let laid_by = before.laid.or(before.found).map_or_else(clock::now, When::latest);
    let species = RwSignal::new(start.species.clone().unwrap_or_default());
    let laid = LaidWhen::new(before.laid, clock::today());
    let found = RwSignal::new(start.found.clone());
    let weights: [(RwSignal<Entry>, RwSignal<String>); 3] = start
        .weights
        .each_ref()
        .map(|weighed| (RwSignal::new(weighed.mass.clone()), RwSignal::new(weighed.day.clone())));
    let day_names = start.weights.each_ref().map(Weighed::day_name);
    let counts = start.counts.each_ref().map(|count| RwSignal::new(count.clone()));
    let came = RwSignal::new(start.bought);
    let note = RwSignal::new(start.note.clone());
    let back = (Page::Clutch(id.to_string()), before.number.clone());
    let own = id.clone();
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let mut form = start.clone();
        for (weighed, (mass, day)) in form.weights.iter_mut().zip(weights) {
            (weighed.mass, weighed.day) = (mass.get_untracked(), day.get_untracked());
        }
        let form = ClutchForm {
            number: number.get_untracked(),
            dams: dams.ids(),
            sires: sires.ids(),
            unknown_male: besides.unknown.get_untracked(),
            no_male: besides.none.get_untracked(),
            species: Some(species.get_untracked()).filter(|species| !species.is_empty()),
            laid: laid.get(),
            found: found.get_untracked(),
            counts: counts.map(|count| count.get_untracked()),
            bought: came.get_untracked(),
            note: note.get_untracked(),
            ..form
        };
        let Some(now) = barn.peek(|book| ClutchCard::of(book, &own)) else { return };
        let Some(act) = faults.pass(form.act(&now, units(), clock::today())) else { return };
        let to = Page::Clutch(own.to_string());
        barn.save(act, words::SAVED, move |_| to.replace());
    };
    let weighings = weights
        .into_iter()
        .zip(day_names)
        .map(|((mass, day), day_name)| view! { <WeighedField mass day day_name faults /> })
        .collect_view();
    let hers = Signal::derive(move || {
        dams.chosen.track();
        dams.ids()
    });
    let kinds = Signal::derive(move || barn.read(names::species_choices));
    let came_options = vec![(false, words::LAID_HERE.to_owned()), (true, words::BOUGHT.to_owned())];
    view! {
        <div class="page with-acts">
            <Head title=words::EDIT_TITLE.to_string() back />
            <form novalidate on:submit=save>
                <TextField label=words::NUMBER value=number />
                <LaidField laid faults />
                <SideField side=dams other=sires />
                <SideField side=sires other=dams />
                <OtherSires dams=hers by=laid_by besides shown=|male: HerMale| male.earlier />
                <Pick label=crate::words::animals::SPECIES options=kinds value=species />
                {pulled.then(|| view! {
                    <div class="steps">
                        {counts.map(|entry| view! { <Stepper entry faults /> }).collect_view()}
                    </div>
                })}
                {weighings}
                <p class="aside">{words::CLUTCH_MASS_HINT}</p>
                <details>
                    <summary>{words::MORE}</summary>
                    <DateField label=FOUND value=found faults />
                    <Choice label=words::CAME options=came_options value=came />
                    <TextField label=words::NOTE value=note />
                </details>
                <div class="acts"><button type="submit" class="act main">{all_words::SAVE}</button></div>
            </form>
            <SameAs id />
        </div>
    }
    .into_any()
}
