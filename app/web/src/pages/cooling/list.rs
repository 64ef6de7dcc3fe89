//! All plans: those that go on or are to come, then those that are over; the rule for what comes before pairing.

use crate::clock;
use crate::prefs::prefs;
use crate::route::Page;
use crate::store::barn;
use crate::ui::forms::{Faults, Stepper, rule_fields};
use crate::ui::{Caution, Head, Paged};
use crate::words::{self as all_words, cooling as words, nav};
use book::AnimalId;
use book::views::{CoolingGroup, CoolingTold, cooling_groups, cooling_told};
use desk::forms::counts;
use leptos::prelude::*;
use trade::when::When;

#[component]
pub fn Coolings() -> impl IntoView {
    let barn = barn();
    let groups = Memo::new(move |_| barn.read(|book| cooling_groups(book, clock::now())));
    let show = Callback::new(move |(from, to): (usize, usize)| {
        let shown = groups.with(|groups| groups.get(from..to).map(<[CoolingGroup]>::to_vec).unwrap_or_default());
        shown.into_iter().map(|group| view! { <GroupRow group /> }).collect_view().into_any()
    });
    view! {
        <div class="page with-acts">
            <Head title=words::TITLE.to_string() back=(Page::More, nav::MORE.to_owned()) />
            {move || groups.with(Vec::is_empty).then(|| view! { <p class="quiet inset">{words::EMPTY}</p> })}
            <Paged name="coolings" total=Signal::derive(move || groups.with(Vec::len)) show />
            <p class="aside inset">{words::HOW}</p>
            <Caution text=words::CAUTION />
            <RuleForm />
            <div class="acts"><a class="act main" href=Page::Many.href()>{words::NEW}</a></div>
        </div>
    }
}

#[component]
fn GroupRow(group: CoolingGroup) -> impl IntoView {
    let prefs = prefs();
    let said = {
        let group = group.clone();
        move || words::group(&group, &prefs.get(), clock::today())
    };
    view! {
        <a class="row" class:urgent=group.due.is_some() href=Page::Cooling(Some(group.id.to_string())).href()>
            <span class="text">
                <span class="title">{group.name.clone()}</span>
                <span class="aside">{said}</span>
            </span>
        </a>
    }
}

/// What comes between cooling and pairing, behind a fold.
#[component]
fn RuleForm() -> impl IntoView {
    let barn = barn();
    let (fields, faults) = (rule_fields(|book| counts::cooling(book.cooling_rule())), Faults::new());
    let save = move |_| {
        let typed = fields.map(|field| field.get_untracked());
        let built = counts::cooling_set(&typed, barn.peek(|book| book.cooling_rule()));
        let Some(act) = faults.pass(built) else { return };
        barn.save(act, words::RULE_SAVED, |_| {});
    };
    view! {
        <details>
            <summary>{move || words::rule(&barn.read(|book| book.cooling_rule()))}</summary>
            {fields.map(|entry| view! { <Stepper entry faults /> }).into_iter().collect_view()}
            <p class="aside">{words::RULE_SOURCE}</p>
            <button type="button" class="act" on:click=save>{all_words::SAVE}</button>
        </details>
    }
}

/// On the page of an animal that is cooled, is to be, or comes out of it.
#[component]
pub fn CoolingBanner(of: AnimalId) -> impl IntoView {
    let (barn, prefs) = (barn(), prefs());
    let said = move || {
        let today = clock::today();
        Some(match barn.read(|book| cooling_told(book, &of, today))? {
            CoolingTold::Open { cooling, cool } => {
                let days = (cooling.began.or(cooling.from).map(When::date), cooling.until);
                (cooling.id.to_string(), words::banner(days, cooling.temp, cool, &prefs.get(), today))
            }
            CoolingTold::Warming { cooling, ended, wants } => {
                (cooling.to_string(), words::warming(ended, &wants, today))
            }
        })
    };
    move || {
        said().map(|(id, said)| {
            view! { <div class="banner"><p><a class="reach" href=Page::Cooling(Some(id)).href()>{said}</a></p></div> }
        })
    }
}
