//! Which pairing among the barn's own for a wish.

use super::trouble_banner;
use crate::route::Page;
use crate::store::barn;
use crate::ui::forms::{Choice, Pick};
use crate::ui::{Empty, Head};
use crate::words::genetics as words;
use book::views::{PlanRow, Want, plan};
use leptos::prelude::*;

#[component]
pub fn PlanPage(species: String) -> impl IntoView {
    let barn = barn();
    let name = barn.peek(|book| book.species_of(Some(&species)).name.into_owned());
    let traits = barn.peek(|book| book.traits_of(&species));
    let traits: Vec<(String, String)> =
        traits.into_iter().filter(|t| !t.card.unused).map(|t| (t.key, t.card.name)).collect();
    let back = (Page::Traits(Some(species.clone())), words::TRAITS.to_owned());
    if traits.is_empty() {
        return view! {
            <div class="page">
                <Head title=words::PLAN.to_string() aside=name back />
                <Empty text=words::NO_TRAITS_YET><a class="act main" href=Page::TraitNew(species).href()>{words::ADD_TRAIT}</a></Empty>
            </div>
        }
        .into_any();
    }
    let key = RwSignal::new(traits[0].0.clone());
    let want = RwSignal::new(Want::Shows);
    let wants = RwSignal::new(Vec::<(String, Want)>::new());
    let called = traits.clone();
    let named =
        move |key: &str| called.iter().find(|(k, _)| k == key).map(|(_, name)| name.clone()).unwrap_or_default();
    let add = move |_| {
        wants.update(|all| {
            all.retain(|(known, _)| *known != key.get_untracked());
            all.push((key.get_untracked(), want.get_untracked()));
        });
    };
    let wants_options = [Want::Shows, Want::Carries, Want::Homozygous].map(|w| (w, words::want(w).to_owned())).to_vec();
    let wished = move || {
        let all = wants.get();
        let said: Vec<String> =
            all.iter().map(|(key, want)| format!("{}: {}", named(key), words::want(*want))).collect();
        (!said.is_empty()).then(|| view! {
            <div class="card spread">
                <p>{said.join(", ")}</p>
                <button type="button" class="act small" on:click=move |_| wants.set(Vec::new())>{words::CLEAR}</button>
            </div>
        })
    };
    let rows = move || {
        let all = wants.get();
        if all.is_empty() {
            return view! { <p class="quiet inset">{words::NO_WISH}</p> }.into_any();
        }
        match barn.read(|book| plan(book, &species, &all)) {
            Err(why) => trouble_banner(why),
            Ok(rows) if rows.is_empty() => view! { <p class="card">{words::NO_PAIR}</p> }.into_any(),
            Ok(rows) => rows.iter().map(row).collect_view().into_any(),
        }
    };
    view! {
        <div class="page">
            <Head title=words::PLAN.to_string() aside=name back />
            <Pick label=words::WISH options=Signal::derive(move || traits.clone()) value=key />
            <Choice label=words::HOW options=wants_options value=want />
            <button type="button" class="act" on:click=add>{words::ADD_WISH}</button>
            {wished}
            <div aria-live="polite">{rows}</div>
        </div>
    }
    .into_any()
}

fn row(row: &PlanRow) -> AnyView {
    let page = Page::Outcomes(row.dam.0.to_string(), row.sire.0.to_string());
    view! {
        <a class="row" href=page.href()>
            <span class="text">
                <span class="title">{format!("{} × {}", row.dam.1, row.sire.1)}</span>
                <span>{words::plan_line(row.of_one, row.clutch, row.in_a_clutch)}</span>
                <span class="aside">{words::plan_eggs(row.eggs_for_90, row.ever, row.inbreeding)}</span>
            </span>
        </a>
    }
    .into_any()
}
