//! A clutch pulled: from eggs found to a box with a label. Everything offered can be taken as it stands.

pub mod boxing;
mod clump;

use crate::clock;
use crate::prefs::units;
use crate::route::{Go, Page, PullFrom};
use crate::store::barn;
use crate::ui::day::{Seen, WhenFold};
use crate::ui::forms::{Faults, Pick, Quantity, Stepper, TextField, count};
use crate::ui::laid::{LaidField, LaidWhen};
use crate::ui::sires::{Besides, OtherSires};
use crate::ui::{Caution, Head, Lasting};
use crate::words::{self, boxes as box_words, mother, names, pull as said};
use book::acts::{ClutchPulled, EggsFound, made};
use book::views::{HerMale, due_dams, is_young};
use book::words::Sex;
use book::{AnimalId, Book, ClutchId, FillingId, Kind};
use boxing::{BoxFields, Boxing};
use desk::forms::pull::PullForm;

use leptos::prelude::*;
use trade::species::Kin;
use trade::when::When;

/// Eggs found: noted at once, boxed later.
#[component]
pub fn Found(dam: Option<String>) -> impl IntoView {
    let barn = barn();
    let dam = dam.map(|d| AnimalId::from(d.as_str()));
    let name = dam.as_ref().map(|d| barn.peek(|book| names::animal(book, d)));
    let back = match &dam {
        Some(dam) => (Page::Animal(dam.to_string()), name.clone().unwrap_or_default()),
        None => (Page::Rounds, words::nav::ROUNDS.to_string()),
    };
    let seen = Seen::now();
    let save = move |_| {
        let Some(found) = seen.get() else { return };
        let act = match &dam {
            Some(dam) => EggsFound { found, ..barn.peek(|book| EggsFound::under(book, dam, clock::now())) },
            None => EggsFound { dams: Vec::new(), sires: Vec::new(), found, laid: None, number: None },
        };
        barn.save(act, said::FOUND_SAVED, |draft| {
            if let Some(clutch) = made(draft, Kind::Clutch) {
                Page::Clutch(clutch.id.to_string()).replace();
            }
        });
    };
    view! {
        <div class="page alone">
            <Head title=said::FOUND_TITLE.to_string() back />
            <p class="card">{match name { Some(name) => said::found_under(&name), None => said::FOUND_UNKNOWN.to_string() }}</p>
            <WhenFold seen />
            <Caution text=said::HANDS />
            <div class="acts"><button type="button" class="act main" on:click=save>{said::FOUND_NOW}</button></div>
        </div>
    }
}

/// Animals of one sex, and those of unknown sex, as a picker offers them: first "unknown", then who is likeliest; the young
/// last.
fn candidates(book: &Book, sex: Sex, likely: &[AnimalId]) -> Vec<(String, String)> {
    let (fits, today) = (|s: Option<Sex>| s.is_none_or(|s| s == sex || s == Sex::Unknown), clock::today());
    let others = book.animals().into_iter().filter(|a| fits(a.sex) && !likely.contains(&a.id));
    let (young, grown): (Vec<_>, Vec<_>) = others.partition(|a| is_young(a, today));
    let unknown = (String::new(), words::UNKNOWN.to_string());
    let others = grown.into_iter().chain(young).map(|a| &a.id);
    let offered = likely.iter().chain(others).map(|id| (id.to_string(), names::animal_long(book, id)));
    std::iter::once(unknown).chain(offered).collect()
}

fn picked(first: RwSignal<String>, second: RwSignal<String>) -> Vec<AnimalId> {
    let mut ids: Vec<AnimalId> = Vec::new();
    for id in [first.get_untracked(), second.get_untracked()] {
        if !id.is_empty() && !ids.iter().any(|known| known.as_str() == id) {
            ids.push(AnimalId::from(id.as_str()));
        }
    }
    ids
}

fn sires_of(first: RwSignal<String>, second: RwSignal<String>, besides: Besides) -> Vec<AnimalId> {
    let mut all = picked(first, second);
    for id in besides.males.get_untracked() {
        if !all.iter().any(|known| known.as_str() == id) {
            all.push(AnimalId::from(id.as_str()));
        }
    }
    all
}

#[component]
pub fn Pull(from: PullFrom) -> impl IntoView {
    let barn = barn();
    let now = clock::now();
    let (clutch, dam, label) = match from {
        PullFrom::Nothing => (None, None, None),
        PullFrom::Blank(id) => (None, None, Some(FillingId::from(id.as_str()))),
        PullFrom::Clutch(id) => (Some(ClutchId::from(id.as_str())), None, None),
        PullFrom::Dam(id) => (None, Some(AnimalId::from(id.as_str())), None),
    };
    let due = barn.peek(|book| due_dams(book, now));
    // Where one is due and nobody was named, it is hers as a rule; the page says so.
    let guess = match due.as_slice() {
        [only] if clutch.is_none() && dam.is_none() => Some(only.clone()),
        _ => None,
    };
    let guessed = guess.clone().map(|id| id.to_string());
    let dams: Vec<AnimalId> = dam.or(guess).into_iter().collect();
    let start = barn.peek(|book| ClutchPulled::start(book, clutch.as_ref(), &dams, now));
    let start = PullForm::new(start, label.clone(), now.date(), units());
    let faults = Faults::new();
    let id_at = |list: &[AnimalId], i: usize| list.get(i).map(ToString::to_string).unwrap_or_default();
    let dam = RwSignal::new(id_at(&start.dams, 0));
    let dam_too = RwSignal::new(id_at(&start.dams, 1));
    let sire = RwSignal::new(id_at(&start.sires, 0));
    let sire_too = RwSignal::new(id_at(&start.sires, 1));
    let rest = |list: &[AnimalId]| list.iter().skip(2).map(ToString::to_string).collect::<Vec<_>>();
    let besides = Besides::new(RwSignal::new(rest(&start.sires)), start.unknown_male, start.no_male);
    let number = RwSignal::new(start.number.clone());
    let species = RwSignal::new(start.species.clone().unwrap_or_default());
    let species_chosen = RwSignal::new(start.species.is_some());
    let laid = LaidWhen::new(start.base.card.laid, now.date());
    let [good, dud, slug, gravid, spent] =
        [&start.good, &start.dud, &start.slug, &start.gravid, &start.spent].map(|entry| RwSignal::new(entry.clone()));
    let note = RwSignal::new(start.note.clone());
    let clumps = RwSignal::new(String::new());
    let boxes = RwSignal::new(start.boxes.iter().cloned().map(|form| BoxFields::new(form, faults)).collect::<Vec<_>>());
    let (later, left, lasting) = (RwSignal::new(false), RwSignal::new(start.left), Lasting::here());
    let seen = Seen::now();

    // A dam chosen brings her species, and the sires she was paired with, unless the keeper has said otherwise.
    Effect::new(move |before: Option<String>| {
        let id = dam.get();
        if before.as_ref().is_some_and(|b| *b != id) && !id.is_empty() {
            let dams = [AnimalId::from(id.as_str())];
            let (sires, kind) = barn.peek(|book| {
                let sires = book.suggest_sires(&dams, now);
                let kind = book.suggest_species(&dams, &sires);
                (sires, kind)
            });
            if sire.get_untracked().is_empty() {
                sire.set(id_at(&sires, 0));
                sire_too.set(id_at(&sires, 1));
                besides.males.set(rest(&sires));
            }
            if !species_chosen.get_untracked() {
                species.set(kind.unwrap_or_default());
            }
        }
        id
    });
    let all = Signal::derive(move || count(good) + count(dud) + count(slug));
    let save = move |print: bool| {
        let form = PullForm {
            number: number.get_untracked(),
            dams: picked(dam, dam_too),
            sires: sires_of(sire, sire_too, besides),
            unknown_male: besides.unknown.get_untracked(),
            no_male: besides.none.get_untracked(),
            species: Some(species.get_untracked()).filter(|s| !s.is_empty()),
            laid: laid.get(),
            good: good.get_untracked(),
            dud: dud.get_untracked(),
            slug: slug.get_untracked(),
            gravid: gravid.get_untracked(),
            spent: spent.get_untracked(),
            note: note.get_untracked(),
            clumps: clumps.get_untracked(),
            boxes: boxes.with_untracked(|list| list.iter().map(BoxFields::form).collect()),
            later: later.get_untracked(),
            left: left.get_untracked(),
            base: start.base.clone(),
        };
        let Some(when) = seen.unless_now() else { return };
        // Weighed when the clutch was pulled.
        let weighed = when.map_or_else(clock::today, When::date);
        let Some(mut act) = faults.pass(form.act(units(), weighed)) else { return };
        act.when = when;
        let told = match act.left {
            true => mother::left(&act.card.number),
            false => said::pulled(&act.card.number, act.boxes.len()),
        };
        barn.save(act, told, move |draft| {
            let (filling, clutch) = (made(draft, Kind::Filling), made(draft, Kind::Clutch));
            match (filling, clutch) {
                (Some(filling), _) if print => Page::Label("filling".into(), filling.id.to_string()).replace(),
                (Some(filling), _) => Page::Box(filling.id.to_string()).replace(),
                (None, Some(clutch)) => Page::Clutch(clutch.id.to_string()).replace(),
                _ => Page::Rounds.replace(),
            }
        });
    };
    let save = StoredValue::new_local(save);
    let dams = Signal::derive(move || barn.read(|book| candidates(book, Sex::Female, &due)));
    let sires = Signal::derive(move || barn.read(|book| candidates(book, Sex::Male, &[])));
    let kinds = Signal::derive(move || barn.read(names::species_choices));
    let hers = Signal::derive(move || {
        let all = [dam.get(), dam_too.get()].into_iter().filter(|id| !id.is_empty());
        all.map(|id| AnimalId::from(id.as_str())).collect::<Vec<_>>()
    });
    // Who stands above is not offered again.
    let not_picked = move |male: HerMale| {
        let id = male.id.to_string();
        sire.get() != id && sire_too.get() != id
    };
    // Pythons lie round their eggs; of others it is asked below.
    let lies_round = move || left.get() || barn.read(|book| book.species_of(Some(&species.get())).kin == Kin::Python);
    let tick_left = move || {
        view! {
            <label class="gap tick"><input type="checkbox" prop:checked=left on:change=move |ev| left.set(event_target_checked(&ev)) />{mother::LEFT_TICK}</label>
            {move || left.get().then(|| view! { <p class="aside">{mother::LEFT_HOW}</p><Caution text=mother::CARE /> })}
        }
    };
    let two_dams = RwSignal::new(!dam_too.get_untracked().is_empty());
    let two_sires = RwSignal::new(!sire_too.get_untracked().is_empty());
    view! {
        <div class="page alone pull">
            <Head title=said::TITLE.to_string() aside=Signal::derive(move || number.get()) back=(Page::Rounds, words::nav::ROUNDS.to_string()) />
            {label.map(|id| view! { <p class="card">{said::label_waits(&names::code(id.as_str()))}</p> })}
            <Pick label=said::DAM options=dams value=dam />
            {move || guessed.clone().filter(|id| *id == dam.get()).map(|_| view! { <p class="aside">{said::DAM_DUE}</p> })}
            {move || two_dams.get().then(|| view! { <Pick label=said::OR_DAM options=dams value=dam_too /> })}
            <Pick label=said::SIRE options=sires value=sire />
            {move || two_sires.get().then(|| view! { <Pick label=said::OR_SIRE options=sires value=sire_too /> })}
            <OtherSires dams=hers by=now besides shown=not_picked />
            <LaidField laid faults />
            <div class="steps">
                <Stepper entry=good faults />
                <Stepper entry=dud faults />
                <Stepper entry=slug faults />
            </div>
            // Who leaves them with her lifts none.
            {move || (!left.get()).then(|| view! { <Caution text=said::KEEP_UP /> })}
            {move || lies_round().then(tick_left)}
            {move || (!later.get() && !left.get()).then(|| view! { <Boxing boxes good=good dud=dud lasting /> })}
            <details>
                <summary>{said::MORE}</summary>
                <TextField label=said::NUMBER value=number />
                <Pick label=said::SPECIES options=kinds value=species />
                <div class="gap field">
                    <button type="button" class="act small" data-opens="" on:click=move |_| two_dams.set(true)>{said::ADD_DAM}</button>
                    <button type="button" class="act small" data-opens="" on:click=move |_| two_sires.set(true)>{said::ADD_SIRE}</button>
                </div>
                <clump::Clumps text=clumps all faults />
                <Quantity entry=gravid faults />
                <Quantity entry=spent faults />
                <TextField label=box_words::NOTE value=note />
                <WhenFold seen />
                {move || (!lies_round()).then(tick_left)}
                <label class="gap tick"><input type="checkbox" prop:checked=later on:change=move |ev| later.set(event_target_checked(&ev)) />{said::BOX_LATER}</label>
            </details>
            <Caution text=said::HANDS />
            <div class="acts">
                {move || if later.get() || left.get() {
                    view! { <button type="button" class="act main" on:click=move |_| save.with_value(|s| s(false))>{words::SAVE}</button> }.into_any()
                } else {
                    view! {
                        <button type="button" class="act" on:click=move |_| save.with_value(|s| s(false))>{words::SAVE}</button>
                        <button type="button" class="act main" on:click=move |_| save.with_value(|s| s(true))>{said::SAVE_AND_LABEL}</button>
                    }.into_any()
                }}
            </div>
        </div>
    }
}
