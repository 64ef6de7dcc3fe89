//! One page that goes with an animal: who it is, whose it is, what it weighed and ate, and what to heed.

use super::contact::nobody;
use crate::clock;
use crate::prefs::prefs;
use crate::route::Page;
use crate::store::barn;
use crate::ui::photo::Photo;
use crate::ui::{Head, foot, print};
use crate::words::{
    self, animals as animal_words, babies as said, care as care_words, dates, money, names, notes as note_words,
    settings, units,
};
use book::AnimalId;
use book::views::{Parent, face_of, papers, photos_of};
use leptos::prelude::*;

/// Meals on the paper, the latest.
const MEALS: usize = 12;
const WEIGHTS: usize = 12;

#[component]
pub fn PapersPage(id: String) -> impl IntoView {
    let barn = barn();
    let prefs = prefs().get_untracked();
    let animal = AnimalId::new(id.clone());
    let Some(paper) = barn.peek(|book| papers(book, &animal, clock::now())) else {
        return nobody(animal_words::NO_SUCH, Page::Animals, animal_words::TO_LIST);
    };
    let parent = |parent: &Option<Parent>| {
        let parent = parent.as_ref()?;
        let parts = [Some(parent.name.clone()), parent.looks.clone(), parent.line.clone()];
        Some(parts.into_iter().flatten().collect::<Vec<_>>().join(", "))
    };
    let a = &paper.animal;
    let facts = [
        (said::CODE, a.code.clone()),
        (animal_words::SPECIES, Some(format!("{} ({})", paper.species.name, paper.species.latin))),
        (animal_words::SEX, a.sex.map(|sex| animal_words::sex(sex).to_owned())),
        (animal_words::SEX_HOW, a.sex_how.clone()),
        (said::LOOKS, a.morph.clone()),
        (said::FAULTS, a.faults.clone()),
        (animal_words::LINE, a.line.clone()),
        (animal_words::LOCALITY, a.locality.clone()),
        (animal_words::HYBRID, a.hybrid.clone()),
        (animal_words::DAM, parent(&paper.dam)),
        (animal_words::SIRE, parent(&paper.sire)),
        (said::CLUTCH, paper.clutch.clone()),
        (said::HATCHED, paper.hatched.map(dates::full_when)),
        (said::MEALS_SO_FAR, Some(said::meals_so_far(paper.taken, paper.refused))),
        (
            said::SHEDS_SEEN,
            (!paper.sheds.is_empty())
                .then(|| paper.sheds.iter().map(|when| dates::full(when.date())).collect::<Vec<_>>().join(", ")),
        ),
        (said::LEFT_ON, paper.left.map(dates::full_when)),
        (money::PRICE, paper.price.clone()),
    ];
    // What is said last and once, so that a page break does not part it from the rest.
    let from = [(said::FROM, Some(prefs.breeder.trim().to_owned())), (said::ISSUED, Some(dates::full(clock::today())))];
    let note = a.note.clone().filter(|note| !note.trim().is_empty());
    let weights = paper.weights.iter().rev().take(WEIGHTS).rev().map(|(mass, when)| {
        (when.map(|when| dates::full(when.date())).unwrap_or_default(), units::mass(*mass, &prefs))
    });
    let meals = paper.meals.iter().take(MEALS).map(|meal| {
        let what = [&meal.size, &meal.prey, &meal.how].into_iter().flatten().cloned().collect::<Vec<_>>().join(" ");
        let when = meal.offered.map(|when| dates::full(when.date())).unwrap_or_default();
        (when, what, animal_words::meal(meal.outcome))
    });
    let treatments: Vec<String> = paper
        .treatments
        .iter()
        .map(|event| {
            let when = event.when.map(|when| dates::full(when.date())).unwrap_or_default();
            format!("{when}: {}", event.note.clone().unwrap_or_default())
        })
        .chain(paper.ordered.iter().map(care_words::on_paper))
        .collect();
    let cautions = [settings::CAUTION_HANDS, settings::CAUTION_PERMITS, said::PAPER_VET, settings::CAUTION_GUIDANCE];
    let code = names::code(&id);
    foot(&words::foot(&paper.name, &dates::full(clock::today())));
    let picture = barn.peek(|book| {
        let face = face_of(book, &animal)?;
        photos_of(book, &animal.thing()).into_iter().find(|line| line.id == face.photo)
    });
    let picture = picture.map(|line| {
        let when = line.when.map(|when| dates::full(when.date())).unwrap_or_default();
        let alt = note_words::photo_of(&paper.name, &when);
        view! { <figure class="own"><Photo line alt paper=true /><figcaption class="aside">{when}</figcaption></figure> }
    });
    view! {
        <div class="page papers with-acts">
            <Head title=paper.name.clone() aside=code back=(Page::Animal(id), paper.name.clone()) />
            {picture}
            {facts_of(facts.into_iter())}
            {(!paper.weights.is_empty()).then(|| view! {
                <h2>{said::WEIGHTS}</h2>
                <ul class="card gap figures">{weights.map(|(day, mass)| view! { <li class="nowrap">{day}" "<b>{mass}</b></li> }).collect_view()}</ul>
            })}
            {(!paper.meals.is_empty()).then(|| view! {
                <h2>{said::LAST_MEALS}</h2>
                <section class="card"><table class="table"><tbody>{meals.map(|(day, what, outcome)| view! {
                    <tr><td class="nowrap">{day}</td><td>{what}</td><td>{outcome}</td></tr>
                }).collect_view()}</tbody></table></section>
            })}
            {(!treatments.is_empty()).then(|| view! { <h2>{said::TREATED}</h2> })}
            {treatments.into_iter().map(|line| view! { <p class="card">{line}</p> }).collect_view()}
            {note.map(|note| view! { <h2>{animal_words::NOTE_ABOUT}</h2><p class="card">{note}</p> })}
            <h2>{said::CARE}</h2>
            <ul class="card stack">{said::CARE_LINES.iter().chain(&cautions).map(|line| view! { <li>{*line}</li> }).collect_view()}</ul>
            {facts_of(from.into_iter())}
            {prefs.breeder.trim().is_empty().then(|| view! { <p class="aside no-print"><a href=Page::Settings.href()>{said::FROM_NOBODY}</a></p> })}
            <div class="acts"><button type="button" class="act main" on:click=|_| print()>{said::PRINT}</button></div>
        </div>
    }
    .into_any()
}

/// Those of them that say something.
fn facts_of<'a>(facts: impl Iterator<Item = (&'a str, Option<String>)>) -> impl IntoView {
    let facts = facts.filter_map(|(label, value)| Some((label.to_owned(), value.filter(|value| !value.is_empty())?)));
    view! { <dl class="card facts">{facts.map(|(label, value)| view! { <dt>{label}</dt><dd>{value}</dd> }).collect_view()}</dl> }
}
