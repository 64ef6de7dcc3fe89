//! Genetics: traits, what is known of an animal, what a pairing can give, what babies say back, a plan.

mod animal;
mod looks;
mod outcomes;
mod plan;
mod traits;

pub use animal::Genes;
pub use looks::LooksPage;
pub use outcomes::OutcomesPage;
pub use plan::PlanPage;
pub use traits::{TraitForm, Traits};

use crate::words::genetics as words;
use book::genes::Conflict;
use leptos::prelude::*;

/// What cannot be, and where to look.
fn conflict_banner(conflict: &Conflict) -> AnyView {
    view! { <div class="banner bad" role="alert"><p>{words::conflict(conflict)}</p></div> }.into_any()
}

/// What keeps something from being told.
fn trouble_banner(why: String) -> AnyView {
    view! { <div class="banner bad" role="alert"><p>{sentence(&why)}</p></div> }.into_any()
}

/// With a capital and a full stop.
fn sentence(text: &str) -> String {
    let mut chars = text.chars();
    let first = chars.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    let rest = chars.as_str();
    if rest.ends_with('.') { format!("{first}{rest}") } else { format!("{first}{rest}.") }
}
