//! A dose ticked off where it stands: one tap.

use crate::clock;
use crate::store::barn;
use crate::words::care as words;
use book::TreatmentId;
use book::acts::DoseNoted;
use leptos::prelude::*;
use trade::when::When;

#[component]
pub fn Given(treatment: TreatmentId, name: String) -> impl IntoView {
    let barn = barn();
    let done = move |_| {
        let (treatment, when) = (treatment.clone(), When::time(clock::now()));
        let act = DoseNoted { treatment, when, left_out: false, note: String::new() };
        barn.save(act, words::GIVEN_SAVED, |_| {});
    };
    view! { <button type="button" class="act small main" aria-label=words::given_to(&name) on:click=done>{words::GIVEN}</button> }
}
