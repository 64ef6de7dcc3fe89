//! Eggs that are stuck together stay a clump: say which letters.

use crate::ui::forms::{Faults, TextField};
use crate::words::pull as said;
use desk::forms::pull::{CLUMPS, PullForm};
use leptos::prelude::*;

#[component]
pub fn Clumps(text: RwSignal<String>, all: Signal<u32>, faults: Faults) -> impl IntoView {
    let bad = move || PullForm::clumps_wrong(&text.get(), all.get()).filter(|_| faults.at(CLUMPS).is_none());
    view! {
        <TextField label=CLUMPS value=text hint=said::CLUMPS_HOW faults />
        {move || bad().map(|why| view! { <p class="warn" role="alert">{why}</p> })}
    }
}
