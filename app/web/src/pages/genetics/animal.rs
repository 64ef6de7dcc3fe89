//! What is known of an animal's traits, what follows, and why.

use super::{conflict_banner, trouble_banner};
use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::forms::{Choice, Faults, Pick, Quantity, TextField};
use crate::ui::{Empty, Head, TypedTraits};
use crate::words::{self as all_words, genetics as words, names};
use book::AnimalId;
use book::acts::{GenotypeLine, GenotypesNoted};
use book::genes::TraitFacts;
use book::views::{AnimalGenes, animal_genes};
use book::words::{Sex, TraitKnown, TraitSeen};
use desk::forms;
use leptos::prelude::*;
use trade::genetics::Mode;
use trade::when::When;

#[component]
pub fn Genes(id: String) -> impl IntoView {
    let barn = barn();
    let id = AnimalId::new(id);
    let Some(species) = barn.peek(|book| book.animal(&id).map(|animal| animal.species.clone().unwrap_or_default()))
    else {
        return view! {
            <div class="page"><Empty text=words::NO_ANIMAL><a class="act main" href=Page::Animals.href()>{words::TO_ANIMALS}</a></Empty></div>
        }
        .into_any();
    };
    let name = barn.peek(|book| names::animal(book, &id));
    let told = id.clone();
    let shown = move || barn.read(|book| animal_genes(book, &told)).map(shown);
    let traits: Vec<TraitFacts> =
        barn.peek(|book| book.traits_of(&species)).into_iter().filter(|t| !t.card.unused).collect();
    let entry = if species.is_empty() {
        let edit = Page::AnimalEdit(id.to_string()).href();
        view! { <Empty text=words::NO_SPECIES><a class="act main" href=edit>{words::TO_EDIT}</a></Empty> }.into_any()
    } else if traits.is_empty() {
        let add = Page::TraitNew(species.clone()).href();
        view! { <Empty text=words::NO_TRAITS><a class="act main" href=add>{words::ADD_TRAIT}</a></Empty> }.into_any()
    } else {
        view! { <Entry id=id.clone() traits /> }.into_any()
    };
    view! {
        <div class="page with-acts">
            <Head title=words::of(&name) back=(Page::Animal(id.to_string()), name.clone()) />
            {shown}
            <TypedTraits id=id.clone() />
            {entry}
            <Mate id=id.clone() species=species.clone() />
            {(!species.is_empty()).then(|| view! {
                <div class="gap">
                    <a class="act small" href=Page::Traits(Some(species.clone())).href()>{words::TRAITS}</a>
                    <a class="act small" href=Page::Plan(species.clone()).href()>{words::PLAN}</a>
                </div>
            })}
        </div>
    }
    .into_any()
}

fn shown(genes: AnimalGenes) -> AnyView {
    let none = genes.lines.is_empty() && genes.trouble.is_none();
    view! {
        {genes.trouble.map(trouble_banner)}
        {genes.conflicts.iter().map(conflict_banner).collect_view()}
        {(!genes.text.is_empty()).then(|| view! { <p class="card second">{genes.text}</p> })}
        {none.then(|| view! { <p class="card">{words::NOTHING_SAID}</p> })}
        {genes.lines.into_iter().map(|line| {
            let title = if line.words.is_empty() { words::not(&line.facts.card.name) } else { line.words.clone() };
            let whys: Vec<String> = line.why.iter().map(|why| words::why(why, &line.facts, &line.from)).collect();
            view! {
                <div class="card">
                    <p><b>{title}</b></p>
                    {whys.into_iter().map(|why| view! { <p class="aside">{why}</p> }.into_any()).collect_view()}
                </div>
            }.into_any()
        }).collect_view()}
    }
    .into_any()
}

/// One trait, how it looks, what is known besides.
#[component]
fn Entry(id: AnimalId, traits: Vec<TraitFacts>) -> impl IntoView {
    let barn = barn();
    let options: Vec<(String, String)> = traits.iter().map(|t| (t.key.clone(), t.card.name.clone())).collect();
    let key = RwSignal::new(options.first().map(|(key, _)| key.clone()).unwrap_or_default());
    let traits = StoredValue::new(traits);
    let (animal, saved) = (StoredValue::new(id), RwSignal::new(0u32));
    let form = move || {
        saved.track();
        let key = key.get();
        let facts = traits.with_value(|all| all.iter().find(|t| t.key == key).cloned())?;
        let line = barn.peek(|book| animal.with_value(|id| GenotypeLine::of(book, id, &key)));
        Some(entry_form(facts, line, saved))
    };
    view! {
        <h2>{words::ENTER}</h2>
        <Pick label=words::TRAIT options=Signal::derive(move || options.clone()) value=key />
        {form}
    }
    .into_any()
}

fn entry_form(facts: TraitFacts, line: GenotypeLine, saved: RwSignal<u32>) -> AnyView {
    let barn = barn();
    let seen = RwSignal::new(line.seen);
    let known = RwSignal::new(line.known);
    let (chance, faults) = (RwSignal::new(forms::chance(line.chance_pm)), Faults::new());
    let from = RwSignal::new(line.why.clone());
    let mut looks = vec![None, Some(TraitSeen::No), Some(TraitSeen::Shows)];
    if facts.mode == Mode::IncompleteDominant {
        looks.push(Some(TraitSeen::Two));
    }
    let looks: Vec<_> = looks.into_iter().map(|s| (s, words::seen(&facts, s))).collect();
    let knowns = std::iter::once(None).chain(TraitKnown::ALL.iter().copied().map(Some));
    let knowns: Vec<_> = knowns.map(|k| (k, words::known(k).to_owned())).collect();
    let save = move |_| {
        let possible = known.get_untracked() == Some(TraitKnown::Possible);
        let typed = possible.then(|| chance.with_untracked(forms::permille)).transpose();
        let Some(chance_pm) = faults.pass(typed) else { return };
        let line = GenotypeLine {
            seen: seen.get_untracked(),
            known: known.get_untracked(),
            chance_pm,
            why: from.get_untracked(),
            ..line.clone()
        };
        let when = When::time(crate::clock::now());
        barn.save(GenotypesNoted { lines: vec![line], when }, words::SAVED, move |_| saved.update(|n| *n += 1));
    };
    let offers = words::FROM_OFFERS.iter().map(|offer| (*offer).to_owned()).collect::<Vec<_>>();
    view! {
        <Choice label=words::LOOKS_LIKE options=looks value=seen />
        <Choice label=words::KNOWN options=knowns value=known />
        {move || (known.get() == Some(TraitKnown::Possible)).then(|| view! { <Quantity entry=chance faults /> })}
        <TextField label=words::FROM value=from offers />
        <div class="acts"><button type="button" class="act main" on:click=save>{all_words::SAVE}</button></div>
    }
    .into_any()
}

/// Another animal of the species: what the two can give.
#[component]
fn Mate(id: AnimalId, species: String) -> impl IntoView {
    let barn = barn();
    let own = barn.peek(|book| book.animal(&id).and_then(|animal| animal.sex));
    let mates: Vec<(String, String)> = barn.peek(|book| {
        let fit = book.animals().into_iter().filter(|other| {
            let opposite = other.sex != own || matches!(own, None | Some(Sex::Unknown));
            other.id != id && opposite && other.species.as_deref() == Some(species.as_str())
        });
        fit.map(|other| (other.id.to_string(), names::animal_long(book, &other.id))).collect()
    });
    if mates.is_empty() || species.is_empty() {
        return ().into_any();
    }
    let chosen = RwSignal::new(String::new());
    Effect::new(move |_| {
        let other = chosen.get();
        if !other.is_empty() {
            let male = own == Some(Sex::Male);
            let (dam, sire) = if male { (other, id.to_string()) } else { (id.to_string(), other) };
            Page::Outcomes(dam, sire).go();
        }
    });
    let none = (String::new(), words::CHOOSE.to_owned());
    let options: Vec<(String, String)> = std::iter::once(none).chain(mates).collect();
    view! { <div data-now=""><Pick label=words::WITH options=Signal::derive(move || options.clone()) value=chosen /></div> }.into_any()
}
