//! Before an act is undone: what that would change, and what it would leave alone.

use crate::clock;
use crate::prefs::{Prefs, prefs};
use crate::store::{Barn, barn};
use crate::words::{self as all_words, bundles, daybook as words, record, trouble};
use book::{Book, Kind, Thing};
use journal::{Draft, DraftId, DraftSet, Ref, WITHDRAWN};
use leptos::prelude::*;
use leptos::task::spawn_local;

/// Records named one by one; an act may set hundreds.
const SHOWN: usize = 8;

#[component]
pub fn Undoing(reference: Ref, asking: RwSignal<Option<Ref>>) -> impl IntoView {
    let (barn, prefs) = (barn(), prefs().get_untracked());
    // None while it is looked up; no lines when there is nothing to undo.
    let plan = RwSignal::new(None::<Vec<String>>);
    spawn_local(async move {
        let lines = match barn.plan_undo(reference).await {
            Ok(plans) => lines(barn, &plans, &prefs),
            Err(why) => {
                barn.amiss(trouble::opening(&why));
                Vec::new()
            }
        };
        let _ = plan.try_set(Some(lines));
    });
    view! {
        <div class="card stack" role="group" aria-label=words::UNDO>
            {move || match plan.get() {
                None => view! { <p class="quiet">{words::UNDO_LOOKS}</p> }.into_any(),
                Some(lines) if lines.is_empty() => view! { <p>{all_words::NOTHING_TO_UNDO}</p> }.into_any(),
                Some(lines) => view! {
                    <ul class="lines">{lines.into_iter().map(|line| view! { <li>{line}</li> }).collect_view()}</ul>
                    <button type="button" class="act small main" on:click=move |_| {
                        asking.set(None);
                        barn.undo(reference);
                    }>{words::UNDO_IT}</button>
                }.into_any(),
            }}
            <button type="button" class="act small" on:click=move |_| asking.set(None)>{words::LEAVE_IT}</button>
        </div>
    }
}

fn lines(barn: Barn, plans: &[(Draft, usize)], prefs: &Prefs) -> Vec<String> {
    let sets: Vec<&DraftSet> = plans.iter().flat_map(|(draft, _)| &draft.sets).collect();
    let skipped: usize = plans.iter().map(|(_, skipped)| skipped).sum();
    let said = |book: &Book| sets.iter().take(SHOWN).map(|set| consequence(book, set, prefs)).collect();
    let mut lines: Vec<String> = barn.peek(said);
    if sets.len() > SHOWN {
        lines.push(all_words::sheets::more(sets.len() - SHOWN));
    }
    if !sets.is_empty() && skipped > 0 {
        lines.push(words::left_alone(skipped));
    }
    lines
}

fn consequence(book: &Book, set: &DraftSet, prefs: &Prefs) -> String {
    let id = match &set.id {
        DraftId::Known(id) => id.as_str(),
        DraftId::Observation => "",
    };
    let name = match Kind::of(&set.kind) {
        Some(kind) => book.short_name(&Thing::new(kind, id)),
        None => String::new(),
    };
    let kind = bundles::kind_name(&set.kind);
    let what = if name.is_empty() || name == id { kind } else { format!("{kind}, {name}") };
    let gone = set.fields.get(WITHDRAWN).and_then(|value| value.as_bool()) == Some(true);
    let back_to = |field: &str, value: &serde_json::Value| match value.as_str().is_some_and(|text| book.is_erased(text))
    {
        true => words::ERASED.to_owned(),
        false => record::value(book, field, value, prefs, clock::today()),
    };
    let changes: Vec<(String, String)> = set
        .fields
        .iter()
        .map(|(field, value)| (record::field(Kind::of(&set.kind), field), back_to(field, value)))
        .collect();
    words::consequence(&what, &changes, gone)
}
