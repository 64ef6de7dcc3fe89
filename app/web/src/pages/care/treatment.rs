//! One treatment: what was ordered, how it stands, each dose.

use super::form::none;
use crate::clock;
use crate::route::Page;
use crate::store::{Barn, barn};
use crate::ui::day::{Moment, MomentField};
use crate::ui::forms::TextField;
use crate::ui::{Caution, Head};
use crate::words::{animals as animal_words, care as words, dates, names};
use book::TreatmentId;
use book::acts::{DoseNoted, TreatmentCard, TreatmentEdited};
use book::records::Treatment;
use book::views::{DoseLine, TreatmentView, treatment_view};
use leptos::prelude::*;
use trade::when::When;

#[component]
pub fn TreatmentPage(id: String) -> impl IntoView {
    let barn = barn();
    let id = TreatmentId::new(id);
    let Some(animal) = barn.peek(|book| book.treatment(&id).map(|treatment| treatment.animal.clone())) else {
        return none();
    };
    let back = match animal {
        Some(animal) => (Page::Animal(animal.to_string()), barn.peek(|book| names::animal(book, &animal))),
        None => (Page::Care, words::TITLE.to_owned()),
    };
    let named = id.clone();
    let title = Signal::derive(move || barn.read(|book| book.short_name(&named.thing())));
    let shown = id.clone();
    let view = Memo::new(move |_| {
        let now = barn.now();
        barn.read(|book| treatment_view(book, &shown, now))
    });
    // Made once: what is typed of the next dose outlives what others write.
    let (moment, note) = (Moment::at_tap(), RwSignal::new(String::new()));
    let edit = Page::TreatmentEdit(id.to_string()).href();
    let dose = Callback::new({
        let id = id.clone();
        move |left_out: bool| {
            let Some(when) = moment.get() else { return };
            let act = DoseNoted { treatment: id.clone(), when, left_out, note: note.get_untracked() };
            let said = if left_out { words::LEFT_OUT_SAVED } else { words::GIVEN_SAVED };
            barn.save(act, said, move |_| {
                let _ = note.try_set(String::new());
                moment.clear();
            });
        }
    });
    let over = Memo::new(move |_| view.with(|view| view.as_ref().is_some_and(|view| view.row.standing.over)));
    view! {
        <div class="page with-acts">
            <Head title back />
            {move || view.get().map(|view| facts(&view))}
            <details>
                <summary>{animal_words::WHEN_FOLD}</summary>
                <MomentField label=words::GIVEN_ON moment />
                <p class="aside inset">{words::GIVEN_ON_HINT}</p>
            </details>
            <TextField label=words::WHY value=note />
            <Caution text=words::CAUTION />
            {move || view.get().map(|view| doses(barn, view))}
            {move || (!over.get()).then(|| view! { <End id=id.clone() /> })}
            <div class="acts">
                <a class="act" href=edit.clone()>{words::EDIT}</a>
                <button type="button" class="act" on:click=move |_| dose.run(true)>{words::LEAVE_OUT}</button>
                <button type="button" class="act" class:main=move || !over.get() on:click=move |_| dose.run(false)>{words::GIVE}</button>
            </div>
        </div>
    }
    .into_any()
}

/// What was ordered, and how it stands.
fn facts(view: &TreatmentView) -> AnyView {
    let today = clock::today();
    let Treatment { dose, by, from, until, ended, note, .. } = &view.treatment;
    let moment = |when: When| dates::when(when, today);
    let until = until.map_or_else(|| words::OPEN_END.to_owned(), |day| dates::near(day, today));
    let lines = [
        (words::DOSE, dose.clone()),
        (words::HOW_OFTEN, Some(words::often(view.row.every_hours))),
        (words::FIRST, from.map(moment)),
        (words::UNTIL, (view.row.every_hours > 0).then_some(until)),
        (words::ENDED, ended.map(moment)),
        (words::BY, by.clone()),
        (words::NOTE, note.clone()),
    ];
    let lines = lines.into_iter().filter_map(|(label, said)| Some((label, said?)));
    let missed = view.missed.iter().map(|at| words::missed_on(*at, view.row.every_hours, today)).collect::<Vec<_>>();
    let before = view.row.standing.missed.saturating_sub(u32::try_from(missed.len()).unwrap_or(u32::MAX));
    let more = (before > 0).then(|| words::more(before));
    let missed = missed.into_iter().chain(more).collect::<Vec<_>>().join(", ");
    view! {
        {view.clashing.then(|| view! { <div class="banner"><p>{words::CLASHING}</p></div> })}
        <div class="card"><p class="second">{words::stands(&view.row, today)}</p></div>
        <dl class="card facts">
            {lines.map(|(label, said)| view! { <dt>{label}</dt><dd>{said}</dd> }).collect_view()}
            {(!missed.is_empty()).then(|| view! { <dt class="warn">{words::MISSED}</dt><dd class="warn">{missed}</dd> })}
        </dl>
    }
    .into_any()
}

/// Why a dose that was given counts for none.
fn said_of(dose: &DoseLine) -> Option<&'static str> {
    dose.fills.filter(|_| !dose.left_out).and_then(words::counts_for_none)
}

/// Each dose, newest first.
fn doses(barn: Barn, view: TreatmentView) -> AnyView {
    let today = clock::today();
    let line = |dose: DoseLine| {
        let said = if dose.left_out { words::LEFT_OUT } else { words::GIVEN };
        let when = dose.when.map_or_else(|| crate::words::UNKNOWN.to_owned(), |when| dates::when(when, today));
        let by = barn.peek(|book| dose.written.as_ref().map(|w| names::person(book, &w.by))).unwrap_or_default();
        let label = animal_words::correct_of(said, &when);
        let counts = said_of(&dose);
        let page = Page::Correct(book::Kind::Dose.word().into(), dose.id.to_string());
        view! {
            <li class="spread">
                <div>
                    <p>{said}</p>
                    {dose.note.map(|note| view! { <p>{note}</p> })}
                    {counts.map(|said| view! { <p class="warn">{said}</p> })}
                    <p class="aside">{when}{(!by.is_empty()).then(|| format!(", {by}"))}</p>
                </div>
                <a class="reach aside" aria-label=label href=page.href()>{animal_words::CORRECT}</a>
            </li>
        }
        .into_any()
    };
    let none = view.doses.is_empty().then(|| view! { <p class="quiet inset">{words::NO_DOSE}</p> });
    view! {
        <h2>{words::DOSES}</h2>
        {none}
        {(!view.doses.is_empty()).then(|| view! { <ul class="story card">{view.doses.into_iter().map(line).collect_view()}</ul> })}
    }
    .into_any()
}

/// The veterinarian ended it.
#[component]
fn End(id: TreatmentId) -> impl IntoView {
    let barn = barn();
    let end = move |_| {
        let Some(card) = barn.peek(|book| TreatmentCard::of(book, &id)) else { return };
        let card = TreatmentCard { ended: Some(When::time(clock::now())), ..card };
        barn.save(TreatmentEdited { treatment: id.clone(), card }, words::END_SAVED, |_| {});
    };
    view! { <button type="button" class="act small" on:click=end>{words::END}</button> }
}
