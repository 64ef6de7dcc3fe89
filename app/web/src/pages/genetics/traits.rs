//! The traits of a species, and the form for one.

use crate::route::{Go, Page};
use crate::store::barn;
use crate::ui::forms::{Choice, Faults, Pick, Quantity, TextField};
use crate::ui::{Empty, Head};
use crate::words::{self as all_words, genetics as words};
use book::Book;
use book::acts::{TraitCard, TraitSet};
use book::genes::TraitFacts;
use book::words::{Together, TraitMode, TraitOn};
use desk::forms::traits::TraitForm as Form;
use leptos::prelude::*;
use std::collections::BTreeMap;

/// The species of most animals here that has traits, else the first that has.
fn most_kept(book: &Book) -> String {
    let mut kept: BTreeMap<&str, usize> = BTreeMap::new();
    for animal in book.animals() {
        *kept.entry(animal.species.as_deref().unwrap_or("")).or_default() += 1;
    }
    let with_traits = kept.into_iter().filter(|(key, _)| !key.is_empty() && !book.traits_of(key).is_empty());
    let most = with_traits.max_by_key(|(_, count)| *count).map(|(key, _)| key.to_owned());
    most.or_else(|| book.all_species().into_iter().map(|(key, _)| key).next()).unwrap_or_default()
}

#[component]
pub fn Traits(species: Option<String>) -> impl IntoView {
    let barn = barn();
    let species = species.unwrap_or_else(|| barn.peek(most_kept));
    let options: Vec<(String, String)> = barn
        .peek(|book| book.all_species().into_iter().map(|(key, profile)| (key, profile.name.into_owned())).collect());
    let chosen = RwSignal::new(species.clone());
    let shown = species.clone();
    Effect::new(move |_| {
        let now = chosen.get();
        if now != shown {
            Page::Traits(Some(now)).replace();
        }
    });
    let listed = species.clone();
    let rows = move || {
        let rows: Vec<AnyView> = barn.read(|book| book.traits_of(&listed).iter().map(|t| trait_row(book, t)).collect());
        if rows.is_empty() { view! { <p class="card">{words::NO_TRAITS_YET}</p> }.into_any() } else { rows.into_any() }
    };
    view! {
        <div class="page with-acts">
            <Head title=words::TRAITS.to_string() back=(Page::More, all_words::nav::MORE.to_owned()) />
            <div data-now=""><Pick label=words::SPECIES options=Signal::derive(move || options.clone()) value=chosen /></div>
            {rows}
            <div class="acts">
                <a class="act" href=Page::Plan(species.clone()).href()>{words::PLAN}</a>
                <a class="act main" href=Page::TraitNew(species).href()>{words::ADD_TRAIT}</a>
            </div>
        </div>
    }
    .into_any()
}

fn trait_row(book: &Book, facts: &TraitFacts) -> AnyView {
    let named = |key: &Option<String>| key.as_deref().and_then(|key| book.trait_facts(key)).map(|t| t.card.name);
    let (locus, linked) = (named(&facts.card.locus_of), named(&facts.card.linked_to));
    let line = words::trait_line(facts, locus.as_deref(), linked.as_deref());
    view! {
        <a class="row" href=Page::Trait(facts.key.clone()).href()>
            <span class="text">
                <span class="title">{facts.card.name.clone()}</span>
                <span>{line}</span>
                <span class="aside">{words::source(&facts.card.source)}</span>
            </span>
        </a>
    }
    .into_any()
}

#[component]
pub fn TraitForm(key: Option<String>, species: String) -> impl IntoView {
    let barn = barn();
    let known = key.as_deref().map(|key| barn.peek(|book| book.trait_facts(key)));
    let card = match known {
        Some(None) => {
            return view! {
                <div class="page"><Empty text=words::NO_SUCH_TRAIT><a class="act main" href=Page::Traits(None).href()>{words::TRAITS}</a></Empty></div>
            }
            .into_any();
        }
        Some(Some(facts)) => facts.card,
        None => TraitCard { species, mode: Some(TraitMode::Recessive), ..TraitCard::default() },
    };
    let title = if key.is_some() { words::EDIT_TRAIT } else { words::NEW_TRAIT };
    view! {
        <div class="page with-acts">
            <Head title=title.to_string() back=(Page::Traits(Some(card.species.clone())), words::TRAITS.to_owned()) />
            {form(key, card)}
        </div>
    }
    .into_any()
}

fn form(key: Option<String>, card: TraitCard) -> AnyView {
    let barn = barn();
    let species = card.species.clone();
    let start = Form::new(card);
    let text = |text: &str| RwSignal::new(text.to_owned());
    let (name, two, both, source) = (text(&start.name), text(&start.two), text(&start.both), text(&start.source));
    let (mode, on, together) = (RwSignal::new(start.mode), RwSignal::new(start.on), RwSignal::new(start.together));
    let (unviable, unused) = (RwSignal::new(start.unviable), RwSignal::new(start.unused));
    let (locus_of, linked_to) = (text(&start.locus_of), text(&start.linked_to));
    let (share, faults) = (RwSignal::new(start.share.clone()), Faults::new());
    let back = species.clone();
    let others: Vec<(String, String)> = barn.peek(|book| {
        let none = (String::new(), words::NONE.to_owned());
        let all = book.traits_of(&species).into_iter().filter(|t| Some(&t.key) != key.as_ref());
        std::iter::once(none).chain(all.map(|t| (t.key, t.card.name))).collect()
    });
    let others = Signal::derive(move || others.clone());
    let save = move |ev: leptos::ev::SubmitEvent| {
        ev.prevent_default();
        let form = Form {
            name: name.get_untracked(),
            mode: mode.get_untracked(),
            two: two.get_untracked(),
            unviable: unviable.get_untracked(),
            on: on.get_untracked(),
            locus_of: locus_of.get_untracked(),
            together: together.get_untracked(),
            both: both.get_untracked(),
            linked_to: linked_to.get_untracked(),
            share: share.get_untracked(),
            source: source.get_untracked(),
            unused: unused.get_untracked(),
            ..start.clone()
        };
        // As it stands by now: somebody else may have written meanwhile.
        let now = key.as_deref().and_then(|key| barn.peek(|book| book.trait_facts(key))).map(|facts| facts.card);
        let Some(card) = faults.pass(form.card(now.as_ref().unwrap_or(&form.before))) else { return };
        let to = Page::Traits(Some(back.clone()));
        barn.save(TraitSet { key: key.clone(), card }, words::TRAIT_SAVED, move |_| to.replace());
    };
    let modes = TraitMode::ALL.iter().map(|m| (*m, words::mode(*m).to_owned())).collect::<Vec<_>>();
    let ons = TraitOn::ALL.iter().map(|o| (*o, words::on(*o).to_owned())).collect::<Vec<_>>();
    let togethers = Together::ALL.iter().map(|t| (*t, words::together(*t).to_owned())).collect::<Vec<_>>();
    let lives = [false, true].map(|u| (u, words::unviable_choice(u).to_owned())).to_vec();
    let used = [false, true].map(|u| (u, words::used(u).to_owned())).to_vec();
    view! {
        <form novalidate on:submit=save>
            <TextField label=words::NAME value=name />
            <Choice label=words::MODE options=modes value=mode />
            {move || (mode.get() == TraitMode::IncompleteDominant).then(|| view! { <TextField label=words::TWO value=two /> })}
            <Choice label=words::UNVIABLE options=lives value=unviable />
            <Choice label=words::ON options=ons value=on />
            <Pick label=words::LOCUS_OF options=others value=locus_of />
            {move || (!locus_of.get().is_empty()).then(|| view! {
                <Choice label=words::TOGETHER options=togethers.clone() value=together />
                <TextField label=words::BOTH value=both />
            })}
            <Pick label=words::LINKED options=others value=linked_to />
            {move || (!linked_to.get().is_empty()).then(|| view! { <Quantity entry=share faults /> })}
            <TextField label=words::SOURCE value=source />
            <Choice label=words::USED options=used value=unused />
            <div class="acts"><button type="submit" class="act main">{all_words::SAVE}</button></div>
        </form>
    }
    .into_any()
}
