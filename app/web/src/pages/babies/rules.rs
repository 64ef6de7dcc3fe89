//! The barn's own rules for its young, behind a fold.

use crate::store::barn;
use crate::ui::forms::{Faults, Stepper, rule_fields};
use crate::words::{self, babies as said};
use desk::forms::counts;
use leptos::prelude::*;

#[component]
pub fn RulesForm() -> impl IntoView {
    let barn = barn();
    let (fields, faults) = (rule_fields(|book| counts::rules(book.rules())), Faults::new());
    let [sheds, meals, days, low, high] = fields;
    let save = move |_| {
        let typed = fields.map(|field| field.get_untracked());
        let Some(act) = faults.pass(counts::rules_set(&typed, barn.peek(|book| book.rules()))) else { return };
        barn.save(act, said::RULES_SAVED, |_| {});
    };
    view! {
        <details>
            <summary>{move || said::rules(&barn.read(|book| book.rules()))}</summary>
            <Stepper entry=sheds faults />
            <Stepper entry=meals faults />
            <Stepper entry=days faults />
            <div class="pair"><Stepper entry=low faults /><Stepper entry=high faults /></div>
            <p class="aside">{said::RULES_SOURCE}</p>
            <button type="button" class="act" on:click=save>{words::SAVE}</button>
        </details>
    }
}
