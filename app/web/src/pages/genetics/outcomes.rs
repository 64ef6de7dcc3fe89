//! What a dam and a sire can give: every look with its share, its eggs, and what lies under it.

use super::{conflict_banner, trouble_banner};
use crate::route::Page;
use crate::store::barn;
use crate::ui::forms::{Faults, Stepper, count};
use crate::ui::{Empty, Head};
use crate::words::genetics as words;
use book::AnimalId;
use book::acts::MOST_EGGS;
use book::genes::Genotype;
use book::views::{KinView, OutcomeRow, Outcomes, outcomes};
use desk::{Ask, Entry};
use leptos::prelude::*;

#[component]
pub fn OutcomesPage(dam: String, sire: String) -> impl IntoView {
    let barn = barn();
    let (dam, sire) = (AnimalId::new(dam), AnimalId::new(sire));
    let usual = barn.peek(|book| {
        let species = book.animal(&dam)?.species.clone();
        book.animal(&sire)?;
        Some(book.species_of(species.as_deref()).usual_eggs().max(1))
    });
    let Some(usual) = usual else {
        return view! {
            <div class="page"><Empty text=words::NO_ANIMAL><a class="act main" href=Page::Animals.href()>{words::TO_ANIMALS}</a></Empty></div>
        }
        .into_any();
    };
    let typed = RwSignal::new(Entry::of_count(Ask::count(words::EGGS, 1, 4 * MOST_EGGS), usual));
    // While it cannot be read, as many as before.
    let eggs = Memo::new(move |before: Option<&u32>| match count(typed) {
        0 => before.copied().unwrap_or(usual),
        eggs => eggs,
    });
    // Loci that are not told apart.
    let together = RwSignal::new(Vec::<String>::new());
    let title = barn.peek(|book| format!("{} × {}", book.animal_name(&dam), book.animal_name(&sire)));
    let back = (Page::Animal(dam.to_string()), barn.peek(|book| book.animal_name(&dam)));
    let parents = [dam.clone(), sire.clone()];
    let all = Memo::new(move |_| {
        let hidden = together.get();
        barn.read(|book| {
            let whole = outcomes(book, &dam, &sire, eggs.get(), None)?;
            if hidden.is_empty() {
                return Some(whole);
            }
            let apart: Vec<String> =
                whole.loci.iter().map(|(name, _)| name.clone()).filter(|name| !hidden.contains(name)).collect();
            outcomes(book, &dam, &sire, eggs.get(), Some(&apart))
        })
    });
    view! {
        <div class="page">
            <Head title back />
            {move || all.get().map(|all| who(&all, &parents))}
            <Stepper entry=typed faults=Faults::new() />
            {move || all.get().map(|all| told(all, together))}
        </div>
    }
    .into_any()
}

fn who(all: &Outcomes, [dam, sire]: &[AnimalId; 2]) -> AnyView {
    let line = |id: &AnimalId, name: &str, said: &Genotype| {
        let said = format!("{name}: {}", words::genotype(said));
        view! { <p><a class="reach" href=Page::Genes(id.to_string()).href()>{said}</a></p> }.into_any()
    };
    view! { <div class="card">{line(dam, &all.dam, &all.dam_said)}{line(sire, &all.sire, &all.sire_said)}</div> }
        .into_any()
}

fn told(all: Outcomes, together: RwSignal<Vec<String>>) -> AnyView {
    let eggs = all.eggs;
    if all.not_entered() {
        return view! { <p class="card">{words::NONE_ENTERED}</p>{kin(&all.kin)} }.into_any();
    }
    let one = [(&all.dam_said, &all.dam), (&all.sire_said, &all.sire)];
    let silent = one.into_iter().find(|(said, _)| **said == Genotype::NotEntered);
    let silent = silent.map(|(_, name)| view! { <p class="card">{words::counted_without(name)}</p> });
    let none = all.rows.is_empty() && all.trouble.is_none();
    let why_none = if all.conflicts.is_empty() { words::SAME_SEX } else { words::CANNOT };
    let chips = (all.loci.len() > 1).then(|| chips(&all.loci, together));
    let plain = all.loci.is_empty() && !none && all.trouble.is_none();
    view! {
        {all.trouble.clone().map(trouble_banner)}
        {all.conflicts.iter().map(conflict_banner).collect_view()}
        {silent}
        {chips}
        {none.then(|| view! { <p class="card">{why_none}</p> })}
        {plain.then(|| view! { <p class="card">{words::ALL_NORMAL}</p> })}
        <ul>{all.rows.iter().map(|row| outcome(row, eggs)).collect_view()}</ul>
        {(all.more > 0).then(|| view! { <p class="quiet inset">{words::more_rows(all.more, all.more_share)}</p> })}
        {(all.unviable > 1e-9).then(|| view! { <p class="card warned" role="note">{words::unviable(all.unviable)}</p> })}
        {kin(&all.kin)}
    }
    .into_any()
}

fn chips(loci: &[(String, bool)], together: RwSignal<Vec<String>>) -> AnyView {
    let each = loci.iter().map(|(name, apart)| {
        let (name, apart) = (name.clone(), *apart);
        let own = name.clone();
        let turn = move |_| {
            together.update(|all| if apart { all.push(own.clone()) } else { all.retain(|other| *other != own) });
        };
        view! { <button type="button" class="chip" aria-pressed=apart.to_string() on:click=turn>{name}</button> }
            .into_any()
    });
    view! {
        <fieldset class="field"><legend>{words::APART}</legend><div class="chips">{each.collect_view()}</div></fieldset>
    }
    .into_any()
}

pub(super) fn outcome(row: &OutcomeRow, eggs: u32) -> AnyView {
    let under = row.under.join(", ");
    view! {
        <li class="card">
            <p class="spread"><b>{words::look(row)}</b><span class="second nowrap">{words::percent(row.share)}</span></p>
            <p>{words::of_eggs(row, eggs)}</p>
            {(!under.is_empty()).then(|| view! { <p>{under}</p> })}
            <p class="aside">{words::at_least(row, eggs)}</p>
        </li>
    }
    .into_any()
}

/// Ancestors named at most.
const ANCESTORS: usize = 8;

fn kin(kin: &KinView) -> AnyView {
    if let Some(why) = &kin.trouble {
        return trouble_banner(why.clone());
    }
    let ancestors: Vec<AnyView> = kin
        .ancestors
        .iter()
        .take(ANCESTORS)
        .map(|(id, name, adds, down)| {
            let page = Page::Animal(id.to_string());
            view! { <li><a class="reach" href=page.href()>{words::ancestor(name, *adds, *down)}</a></li> }.into_any()
        })
        .collect();
    let some = !ancestors.is_empty();
    view! {
        <div class="card">
            <p>{words::inbreeding(kin.inbreeding)}</p>
            {some.then(|| view! { <p class="quiet">{words::COMMON}</p><ul>{ancestors}</ul> })}
            {(kin.unsure > 0).then(|| view! { <p class="aside">{words::unsure(kin.unsure)}</p> })}
        </div>
    }
    .into_any()
}
