//! The barn's own rules for its young, behind a fold.

use crate::store::barn;
use crate::ui::forms::Stepper;
use crate::words::{self, babies as said};
use book::acts::RulesSet;
use leptos::prelude::*;
use trade::raising::Rules;

#[component]
pub fn RulesForm() -> impl IntoView {
    let barn = barn();
    let now = barn.peek(|book| book.rules());
    let (sheds, meals) = (RwSignal::new(now.sheds), RwSignal::new(now.meals));
    let (low, high) = (RwSignal::new(now.prey_pct.0), RwSignal::new(now.prey_pct.1));
    let days = RwSignal::new(now.feed_days);
    let save = move |_| {
        let rules = Rules {
            sheds: sheds.get_untracked(),
            meals: meals.get_untracked(),
            prey_pct: (low.get_untracked(), high.get_untracked()),
            feed_days: days.get_untracked(),
        };
        barn.save(RulesSet { rules }, said::RULES_SAVED, |_| {});
    };
    view! {
        <details>
            <summary>{move || said::rules(&barn.read(|book| book.rules()))}</summary>
            <Stepper label=said::SHEDS value=sheds />
            <Stepper label=said::MEALS value=meals />
            <Stepper label=said::FEED_DAYS value=days />
            <div class="pair"><Stepper label=said::PREY_LOW value=low /><Stepper label=said::PREY_HIGH value=high /></div>
            <p class="aside">{said::RULES_SOURCE}</p>
            <button type="button" class="act" on:click=save>{words::SAVE}</button>
        </details>
    }
}
